# SPDX-License-Identifier: LGPL-2.1-or-later
"""Widths and edge set of planks: closed form on a sphere, and by other routes on real hulls."""

from types import SimpleNamespace

import demoplan
import numpy as np
import surfaces

from strakeplan.core.curve import curve_through
from strakeplan.core.frame import ShipFrame
from strakeplan.core.lineoff.lineoff import LineOff, Strake
from strakeplan.core.lineoff.outline import LowerPiece, PlankOutline
from strakeplan.core.lineoff.seams import Seam, SeamPart
from strakeplan.core.planks.measure import measure_planks
from strakeplan.core.sections import plane_crossings, sections_at

RADIUS = 3000.0


def strip(low, high):
    """A strake between two circles of latitude of a sphere whose pole looks along z."""
    known = surfaces.sphere(RADIUS, b_lo=-0.9, b_hi=0.9, lo=0.2, hi=1.7, pieces=1)
    patch = known.patch.transformed([[0, -1, 0], [0, 0, 1], [1, 0, 0]])

    def seam(number, f):
        curve = curve_through(
            patch, lambda q: np.stack(known.uv(np.full(len(q), f), q), axis=1), np.linspace(0.25, 1.65, 9)
        )
        return Seam(number, "seam", (SeamPart(curve, 0.0, 0.0),))

    upper, lower = seam(0, high), seam(1, low)
    below = lower.parts[0].curve
    outline = PlankOutline(upper.parts[0], (LowerPiece("seam", below, below),), None, None)
    frame = ShipFrame((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    hull = SimpleNamespace(patch=patch, frame=frame, name="sphere")
    return LineOff(hull, (), (upper, lower), (Strake(1, "parallel", upper, lower, (outline,)),), None, None, None, ())


def test_strip_between_two_latitudes_of_a_sphere():
    """Width R df along the meridian; the middle circle has kappa_g = tan f / R (closed forms)."""
    low, high = 0.30, 0.34
    (m,) = measure_planks(strip(low, high), 2000.0)
    f = 0.5 * (low + high)
    r = RADIUS / np.tan(f)
    sagitta = r * (1.0 - np.cos(1000.0 / r))
    width = RADIUS * (high - low)
    print(f"width {m.greatest:.4f} mm ({width:.4f}), length {m.length:.3f} "
          f"({RADIUS * np.cos(f) * 1.4:.3f}), edge set {m.edge_set:.3f} ({sagitta:.3f})")  # fmt: skip
    # the width is taken along a straight line of the parameters, a shade longer than the meridian
    assert abs(m.greatest - width) < 0.01
    assert abs(m.length - RADIUS * np.cos(f) * 1.4) < 0.05
    assert abs(m.edge_set / sagitta - 1.0) < 0.005


def test_parallel_strakes_keep_their_width():
    plan = demoplan.demo_plan()
    measures = [m for m in measure_planks(plan, 4900.0) if m.rule == "parallel"]
    widths = np.array([m.greatest for m in measures])
    print(f"{len(widths)} parallel strakes of {plan.parallel_width:.3f} mm measure {widths.min():.3f} to {widths.max():.3f}")
    assert np.abs(widths - plan.parallel_width).max() < 0.1


def test_square_width_is_not_the_girthwise_one():
    """Bench and boat read differently where strakes slant over the sections: never mixed.

    Square to the strake is less than girthwise by about the cosine of the slant; the hood
    ends' girths are lengths along stem and stern.
    """
    plan = demoplan.demo_plan()
    hull = plan.hull
    m = measure_planks(plan, 4900.0)[0]
    x = np.array([0.5 * sum(plan.exact_range)])
    section = sections_at(hull, x)
    k, piece, t = plane_crossings(plan.seams[1].parts[0].curve, x)
    girth = section.girth_at_v(k, plan.seams[1].parts[0].curve.uv_local(piece, t)[:, 1])[0]
    print(f"sheer strake: bow {m.bow:.2f} square, {m.bow_girth:.2f} along the stem; "
          f"greatest {m.greatest:.3f}, girth amidships {girth:.3f}")  # fmt: skip
    p = hull.boundary.points(np.linspace(0.0, plan.seams[1].parts[0].s_fore, 201))
    assert abs(m.bow_girth - demoplan.simpson_length(p)) < 1e-6
    assert m.bow < m.bow_girth - 1.0 and m.stern < m.stern_girth - 1.0
    assert abs(m.greatest - girth) < 0.5


def test_greatest_width_where_it_is_said_to_be():
    """Every strake's width by the least distance of points on one edge from the other."""
    plan = demoplan.demo_plan()
    worst = 0.0
    for m, strake in zip(measure_planks(plan, 4900.0), plan.strakes):
        if strake.rule != "equal":
            continue
        upper, lower = strake.upper.parts[0].curve, strake.lower.parts[0].curve
        c = upper.sample(200)
        d, _ = demoplan.distance_to(lower, c.p, 1500)
        worst = max(worst, abs(d[20:-20].max() - m.greatest))
        assert abs(np.interp(m.greatest_at, c.p[:, 0], d) - d[20:-20].max()) < 0.2, strake.name
    print(f"greatest widths of the equal strakes: off by {worst:.3f} mm (chord against surface)")
    assert worst < 0.1


def test_lengths_of_planks_reach_from_end_to_end():
    """A plank's length along its middle lies between its edges' lengths, pointed or not.

    Upper edge and lower edge (all of its stretches) bound it from either side, give or take
    what the hood ends slant: twice the greatest width.
    """
    for plan in (demoplan.demo_plan(), demoplan.cut_plan()):
        measures = iter(measure_planks(plan, 4900.0))
        off = []
        for strake in plan.strakes:
            for outline in strake.planks:
                m = next(measures)
                edges = outline.upper.curve.length, sum(piece.curve.length for piece in outline.lower)
                slack = 2.0 * max(m.greatest, m.bow_girth, m.stern_girth)
                off.append((max(min(edges) - slack - m.length, m.length - max(edges) - slack, 0.0), strake.name))
        print(f"{plan.hull.name}: worst length {max(off)}")
        assert max(off)[0] == 0.0, max(off)


def test_cut_strakes_are_measured_part_by_part():
    plan = demoplan.cut_plan()
    cut = [m for m in measure_planks(plan, 4900.0) if m.part]
    for m in cut:
        print(f"strake {m.strake} part {m.part}: {m.length:.0f} mm long, {m.greatest:.1f} wide at "
              f"{m.greatest_at:.0f}, points at {m.fore_point:.0f} and {m.aft_point:.0f}")  # fmt: skip
        assert m.fore_point < m.greatest_at < m.aft_point and m.bow == m.stern == 0.0
        assert m.edge_set_length == min(4900.0, m.length)
    assert [m.part for m in cut] == [1, 2] and cut[0].aft_point < cut[1].fore_point
