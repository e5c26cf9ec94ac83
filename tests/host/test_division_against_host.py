# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks against girths that the host itself takes from its section of the face.

The host cuts the face with the station's plane and measures along what comes out; it knows
nothing of the core's sections. Its section is a chain of a thousand chords here, good to
1e-4 mm of girth as measured below.
"""

import FreeCAD
import demoplan
import hulls
import numpy as np
import Part
import pytest

from strakeplan.core.sections import plane_crossings
from strakeplan.core.stations import Station, stations_spaced
from strakeplan.core.tables.marks import marks_table
from strakeplan.host.shapes import face_of

TO_A_HUNDREDTH = 0.01  # mm, of the mark


class HostSection:
    """The host's section of a face at x, measured from the sheer down.

    A section of a face that runs to the centreplane is one edge, sheer to keel.
    """

    def __init__(self, face, x):
        wires = face.slice(FreeCAD.Vector(1, 0, 0), x)
        (edge,) = [e for wire in wires for e in wire.Edges]
        self.curve, self.range = edge.Curve, edge.ParameterRange
        top, foot = (self.curve.value(t) for t in self.range)
        self.sheer = self.range[0] if top.z > foot.z else self.range[1]

    def girth(self, p):
        """(girth down to a point, how far the point lies off the section), mm."""
        p = FreeCAD.Vector(*p)
        at = self.curve.parameter(p)
        return self.curve.length(*sorted((self.sheer, at))), (self.curve.value(at) - p).Length

    def point(self, girth):
        """The point at a girth below the sheer, by halving."""
        lo, hi = self.sheer, self.range[1] if self.sheer == self.range[0] else self.range[0]
        for _ in range(45):
            mid = 0.5 * (lo + hi)
            lo, hi = (mid, hi) if self.curve.length(*sorted((self.sheer, mid))) < girth else (lo, mid)
        return np.array(tuple(self.curve.value(lo)))


@pytest.fixture(scope="module")
def face():
    return face_of(hulls.demo())


def seam_points(plan, x, count):
    """Points (count, 3) where seams 1 to count pass the plane at x."""
    out = []
    for seam in plan.seams[1 : count + 1]:
        curve = seam.parts[0].curve
        _, piece, t = plane_crossings(curve, [x])
        out.append(curve.at_local(piece, t).p[0])
    return np.array(out)


def places_of(plan, random=12):
    """Every equally divided station at half metres, and some places at random."""
    lo, hi = plan.exact_range
    spaced = [s.x for s in stations_spaced(plan.hull, 500.0) if lo <= s.x <= hi]
    return np.concatenate([spaced, [lo + 1e-3, hi - 1e-3], np.random.default_rng(5).uniform(lo, hi, random)])


@pytest.mark.parametrize("count, share", [(20, 0.65), (7, 0.65), (12, 0.9)])
def test_mark_j_is_j_nths_of_the_hosts_girth(face, count, share):
    plan = demoplan.demo_plan(count, share, 30.0 if share > 0.8 else 60.0)
    places = places_of(plan)
    worst = off_section = apart = 0.0
    for x in places:
        section = HostSection(face, x)
        p = seam_points(plan, x, count)
        girths, off = np.array([section.girth(q) for q in p]).T
        parts = np.arange(1, count + 1) / count * girths[-1]
        worst = max(worst, np.abs(girths - parts).max())
        off_section = max(off_section, off.max())
        # the other way about: where the host's own tape puts the mark
        j = count // 2
        apart = max(apart, np.linalg.norm(section.point(parts[j - 1]) - p[j - 1]))
    print(f"{count} strakes, {len(places)} sections: marks off j/N of the host's girth by {worst:.1e} mm; "
          f"the host's own mark lies {apart:.1e} mm from the seam; seams off its sections by {off_section:.1e}")  # fmt: skip
    assert worst < TO_A_HUNDREDTH and apart < TO_A_HUNDREDTH and off_section < 1e-3


def test_marks_table_reads_what_the_host_measures(face):
    """Every reading of the table at every station, parallel seams too."""
    plan = demoplan.demo_plan()
    stations = stations_spaced(plan.hull, 1000.0)
    table = marks_table(plan, stations)
    worst, count = 0.0, 0
    for row in table.rows:
        if row.position is None:
            continue
        section = HostSection(face, row.position)
        for seam, told in zip(plan.seams[1:], row.readings):
            found = [
                curve.at_local(piece, t).p[0]
                for curve in (part.curve for part in seam.parts)
                for _, piece, t in [plane_crossings(curve, [row.position])] if len(piece)
            ]  # fmt: skip
            assert (told is None) == (not found), (row.name, seam.name)
            if found:
                worst = max(worst, abs(section.girth(found[0])[0] - told))
                count += 1
    print(f"{count} readings at {len(stations)} stations: off the host's by {worst:.1e} mm")
    assert count > 150 and worst < TO_A_HUNDREDTH


def test_rabbet_readings_are_the_hosts(face):
    """The tape's last reading: down to where the half-breadth is the half siding."""
    plan = demoplan.demo_plan()
    stations = [s for s in stations_spaced(plan.hull, 1000.0) if 2000.0 < s.x < 9500.0]
    table = marks_table(plan, stations)
    worst = 0.0
    for row in table.rows[1:-1]:
        section = HostSection(face, row.position)
        lo, hi = section.range
        if section.sheer == hi:
            lo, hi = hi, lo
        for _ in range(50):  # half-breadth falls through 60 mm once, near the keel
            mid = 0.5 * (lo + hi)
            lo, hi = (mid, hi) if section.curve.value(mid).y > 60.0 else (lo, mid)
        worst = max(worst, abs(section.curve.length(*sorted((section.sheer, lo))) - row.rabbet))
    print(f"rabbet at {len(stations)} stations: off the host's by {worst:.1e} mm")
    assert worst < TO_A_HUNDREDTH


def test_girth_of_1995_mm_on_the_host(face):
    """Common practice, no source: 1,995 mm make 19 strakes of 105.0 mm, 20 of 99.75 mm.

    A station is looked for at which the host's own girth down to the line is 1,995 mm.
    """
    plan = {n: demoplan.demo_plan(n, 0.8, 30.0) for n in (19, 20)}

    def girth(n, x):
        return HostSection(face, x).girth(seam_points(plan[n], x, n)[-1])[0]

    lo, hi = plan[19].exact_range[0] + 1.0, 5500.0
    assert girth(19, lo) < 1995.0 < girth(19, hi)
    for _ in range(40):
        mid = 0.5 * (lo + hi)
        lo, hi = (mid, hi) if girth(19, mid) < 1995.0 else (lo, mid)
    for n, width in ((19, 105.0), (20, 99.75)):
        section = HostSection(face, lo)
        marks = np.array([section.girth(p)[0] for p in seam_points(plan[n], lo, n)])
        told = np.array(marks_table(plan[n], [Station("a", lo)]).rows[1].readings[:n])
        off = np.abs(marks - width * np.arange(1, n + 1)).max()
        print(f"x = {lo:.3f}: girth {marks[-1]:.5f} mm, {n} of {width} mm; marks off by {off:.1e}, "
              f"the table by {np.abs(told - marks).max():.1e} mm")  # fmt: skip
        assert off < TO_A_HUNDREDTH and np.abs(told - marks).max() < TO_A_HUNDREDTH


def test_hood_ends_along_the_hosts_stem_and_stern():
    """Stem and stern edges made the host's own curves: equal parts along them."""
    plan = demoplan.demo_plan()
    hull = plan.hull
    for end, s0, s1 in (("stem", 0.0, hull.s_stem_end), ("stern", hull.s_stern_start, hull.boundary.length)):
        points = hull.boundary.points(np.linspace(s0, s1, 2001))
        wire = Part.makePolygon([FreeCAD.Vector(*p) for p in points])
        total = wire.Length
        curve = Part.BSplineCurve()
        curve.interpolate([FreeCAD.Vector(*p) for p in points[::10]])
        marks = []
        for seam in plan.seams[1:21]:
            part = seam.parts[0]
            tip = part.curve.points([0.0 if end == "stem" else part.curve.length])[0]
            at = curve.parameter(FreeCAD.Vector(*tip))
            top = curve.FirstParameter if end == "stem" else curve.LastParameter
            marks.append(curve.length(*sorted((top, at))))
        off = np.abs(np.array(marks) - np.arange(1, 21) / 20 * marks[-1]).max()
        print(f"{end} of {total:.2f} mm: 20 parts of {marks[-1] / 20:.3f} mm, off by {off:.1e} mm")
        assert off < TO_A_HUNDREDTH
