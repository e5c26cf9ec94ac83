# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strake checks as a document object: sheets and report, change, saving, what is refused; and against the host's own curves."""

import shutil

import FreeCAD
import numpy as np
import Part
import pytest
from demo_hull import demo_patch_data

from strakeplan.core.cautions import CAUTIONS
from strakeplan.core.checks.limits import Limits
from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.wood.handbook import HANDBOOK
from strakeplan.host.shapes import face_of
from strakeplan.host.woods import species_of_sheet
from strakeplan.objects import make
from strakeplan.objects.job import job_of, limits_of
from strakeplan.objects.strake_checks import checks_of
from strakeplan.objects.wood_choice import make_wood_table


class Boat:
    """The demonstration hull with a line-off of few strakes."""

    def __init__(self, document):
        self.document = document
        self.hull = document.addObject("Part::Feature", "Hull")
        self.hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(self.hull, HalfSiding=37.5, StationSpacing=1000)
        self.line = make.make_taut_line(self.surface, BowGirth=1050, SternGirth=950)
        self.line_off = make.make_line_off(self.line, Strakes=12, ParallelBelt=False)


@pytest.fixture
def boat(document):
    return Boat(document)


def state(document):
    return [(o.Name, o.Label) for o in document.Objects]


def member(obj, key):
    return next(m for m in obj.Members if m.FilledAs == key)


def test_defaults_are_the_core_s(boat):
    checks = make.make_strake_checks(boat.line_off)
    found, job = limits_of(checks), job_of(checks)
    for name, value in vars(Limits()).items():
        print(name, getattr(found, name), value)
        assert getattr(found, name) == value or abs(getattr(found, name) / value - 1.0) < 1e-9
    assert (job.thickness, job.plank_length, job.steam) == (28.0, 5000.0, "where needed")
    make.change(checks, "no force", LimitForce=0)
    assert limits_of(checks).force is None


def test_sheets_and_report(boat):
    tuck = make.make_tuck_line(boat.surface)
    wale = make.make_parallel_line(boat.surface, 300)
    checks = make.make_strake_checks(boat.line_off, Tuck=tuck, Lines=[wale])
    core = checks_of(checks).value
    m = len(core.strakes.number)
    assert [x.Label for x in checks.Members] == ["Strakes", "Strakes at stations", "Strake report"]
    sheet = member(checks, "Strakes")
    heads = {sheet.get(f"{c}1"): c for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ"}
    width = [sheet.get(f"{heads['Greatest width square, mm']}{k + 2}").Value for k in range(m)]
    print(width, core.widths.wide.worst)
    assert np.allclose(width, core.widths.wide.worst, atol=0.051)
    assert any("one clamp at mid-length" in h for h in heads)
    text = member(checks, "Report").Text
    assert "What binds" in text and all(c.split(":")[0][:40] in text for c in CAUTIONS)
    assert len(checks.Verdicts) == m == checks.Sprung + checks.Spiled + checks.WillNotGo
    assert abs(checks.Margin - core.worst_margin) < 1e-12 and checks.Sentence
    assert [(o.Label, o.State) for o in boat.document.Objects if o.State != ["Up-to-date"]] == []


def test_change_save_and_open(boat, tmp_path):
    checks = make.make_strake_checks(boat.line_off)
    first = checks.Sentence
    make.change(checks, "thinner", Thickness="22 mm", Wood="northern white-cedar", LimitForce="900 N")
    second = checks.Sentence
    assert first != second and "22 mm northern white-cedar" in second
    make.change(boat.line_off, "fewer", Strakes=11)
    assert checks.Sentence.startswith("12 strakes")  # eleven and the garboard
    assert len(checks.Members) == 3 and not any("001" in o.Label for o in boat.document.Objects)
    text, report = checks.Sentence, member(checks, "Report").Text
    path = str(tmp_path / "boat.FCStd")
    boat.document.saveAs(path)
    again = FreeCAD.openDocument(str(shutil.copy(path, tmp_path / "again.FCStd")))
    try:
        obj = again.getObject("StrakeChecks")
        obj.touch()
        again.recompute()
        assert obj.State == ["Up-to-date"] and obj.Sentence == text and member(obj, "Report").Text == report
        assert limits_of(obj).force == 900.0
    finally:
        FreeCAD.closeDocument(again.Name)


def test_what_is_refused_leaves_nothing(boat):
    before = state(boat.document)
    for values, word in (
        ({"Grade": 0.0}, "grade factor"), ({"Thickness": 0.0}, "thickness"), ({"OwnWood": "ebony"}, "'ebony'"),
        ({"WoodTable": boat.hull}, "no sheet of species"), ({"Tuck": boat.line}, "no tuck line"),
        ({"LimitBuckling": -1.0}, "buckling"),
    ):  # fmt: skip
        with pytest.raises(PlanError) as fault:
            make.make_strake_checks(boat.line_off, **values)
        print(fault.value)
        assert word in str(fault.value) and state(boat.document) == before


def test_own_wood(boat):
    sheet = make_wood_table(boat.document)
    table = species_of_sheet(sheet)
    for name, species in HANDBOOK.items():
        a, b = species.wood(), table[name].wood()
        assert abs(a.along / b.along - 1) < 1e-9 and abs(a.rupture / b.rupture - 1) < 1e-9
    row = len(HANDBOOK) + 2
    for column, value in (("A", "swamp oak"), ("C", "MPa"), ("D", "90"), ("E", "11000"), ("N", "test of my own")):
        sheet.set(f"{column}{row}", value)
    checks = make.make_strake_checks(boat.line_off, WoodTable=sheet, OwnWood="swamp oak")
    print(checks.Sentence)
    assert "swamp oak" in checks.Sentence and job_of(checks).wood.modulus == 11000.0
    sheet.set(f"N{row}", "")
    boat.document.recompute()
    print(checks.getStatusString())
    assert "without a source" in checks.getStatusString()


def test_bends_against_differences_of_the_host(boat):
    """Normal and geodesic curvature, bend and twist of the middle line: differences of the host's points and normals."""
    core = checks_of(make.make_strake_checks(boat.line_off)).value
    s, frame = core.strakes, core.strakes.frame
    face = boat.hull.Shape.Faces[0].Surface
    p = frame.points_to_model(s.point)
    worst = np.zeros(3)
    outward = None
    for row, k in ((row, k) for row in (1, 6, 10) for k in range(10, s.s.shape[1] - 10, 7)):
        h = s.s[row, 1]
        q = [FreeCAD.Vector(*p[row, k + j]) for j in (-2, -1, 0, 1, 2)]
        n = []
        for one in q:
            u, v = face.parameter(one)
            n.append(np.array(face.normal(u, v)))
            # the place lies on the host's surface
            assert (face.value(u, v) - one).Length < 1e-4
        q = np.array([tuple(one) for one in q])
        if outward is None:
            outward = np.sign(frame.vectors_to_ship(n[2])[1])
        n = outward * np.array(n)
        t = (q[0] - 8 * q[1] + 8 * q[3] - q[4]) / (12 * h)
        c = (-q[0] + 16 * q[1] - 30 * q[2] + 16 * q[3] - q[4]) / (12 * h * h)
        dn = (n[0] - 8 * n[1] + 8 * n[3] - n[4]) / (12 * h)
        b = np.cross(n[2], t)
        found = -c @ n[2], abs(c @ b), abs(dn @ b)
        told = s.bend[row, k], abs(s.edgewise[row, k]), abs(s.twist[row, k])
        worst = np.maximum(worst, np.abs(np.subtract(found, told)))
    print("bend, edgewise, twist: greatest difference", worst, "1/mm")
    assert np.all(worst < 2e-7)


def test_girth_widths_against_the_host_s_sections(boat):
    """Width along a station: length of the host's own section between the two seams."""
    core = checks_of(make.make_strake_checks(boat.line_off)).value
    s = core.strakes
    n = s.s.shape[1]
    seams = list(boat.line_off.Shape.Edges)
    worst = 0.0
    for row, k in ((1, n // 4), (1, n // 2), (5, n // 3), (5, n // 2), (5, 3 * n // 4), (9, n // 2), (10, 2 * n // 3)):
        x = float(s.frame.to_model_station(s.x[row, k]))
        section = Part.Compound(boat.hull.Shape.slice(FreeCAD.Vector(1, 0, 0), x)).Edges
        curve = max(section, key=lambda e: e.Length)
        plane = Part.Plane(FreeCAD.Vector(x, 0, 0), FreeCAD.Vector(1, 0, 0)).toShape(-1e4, 1e4, -1e4, 1e4)
        hits = [v.Point for e in seams for v in e.section(plane).Vertexes]
        at = sorted({round(curve.Curve.length(curve.FirstParameter, curve.Curve.parameter(p)), 2) for p in hits})
        gaps = np.diff(at)
        width = s.girth_width[row, k]
        near = gaps[np.argmin(np.abs(gaps - width))]
        print(f"strake {row + 1} at {x:.1f} mm: {width:.3f} mm, by the host's section {near:.3f} mm")
        worst = max(worst, abs(near - width))
    assert worst < 0.03  # what is shown is good to 0.01 mm, and so are the lengths here
