# SPDX-License-Identifier: LGPL-2.1-or-later
"""Belts, nibs and stealers as document objects: read-outs, solids, sketches, tables, saving, and what is refused."""

import shutil

import FreeCAD
import Part
import pytest
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.nibs import nib_curves
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.host.export import write_step
from strakeplan.host.shapes import face_of
from strakeplan.objects import make
from strakeplan.objects.line_off import lineoff_of
from strakeplan.objects.planks import planks_of, solids_of

NIBS = {
    "NibStrakes": [3, 10], "NibEnds": ["Bow", "Stern"], "NibStations": ["station 2", ""], "NibDepths": [0.0, 100.0],
}  # fmt: skip


class Boat:
    """The demonstration hull with two lines."""

    def __init__(self, document):
        self.document = document
        hull = document.addObject("Part::Feature", "Hull")
        hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(hull, HalfSiding="37.5 mm", StationSpacing="1 m")
        self.line = make.make_taut_line(self.surface, BowGirth="1050 mm", SternGirth=950)
        self.wale = make.make_parallel_line(self.surface, 300)

    def belts(self):
        return [
            make.make_belt(self.document, Rule="Graded", Weights=[1.2, 1, 1, 1, 1, 1], Line=self.line),
            make.make_belt(self.document, Rule="Parallel", Width=150.0),
        ]


@pytest.fixture
def boat(document):
    return Boat(document)


def state(document):
    return [(o.Name, o.Label) for o in document.Objects]


def test_rules_hide_what_says_nothing(boat):
    belt = make.make_belt(boat.document, Rule="Equal", Strakes=5, Line=boat.line)
    shown = {}
    for rule in belt.getEnumerationsOfProperty("Rule"):
        belt.Rule = rule
        shown[rule] = {n for n in belt.PropertiesList if belt.getGroupOfProperty(n) == "Belt"
                       and "Hidden" not in belt.getEditorMode(n)}  # fmt: skip
        print(rule, sorted(shown[rule]))
    assert shown["Equal"] == {"Rule", "Line", "Strakes"}
    assert shown["Graded"] == {"Rule", "Line", "Weights"}
    assert shown["Parallel"] == {"Rule", "Width", "ToRabbet", "GarboardLeast"}
    belt.ToRabbet = False
    belt.RunsParallelTo = "Lower line"
    assert {"Strakes", "RunsParallelTo", "Line"} <= {
        n for n in belt.PropertiesList if "Hidden" not in belt.getEditorMode(n)
    }


def test_line_off_by_belts_with_nibs_to_the_solids(boat, tmp_path):
    line_off = make.make_line_off(None, boat.belts(), **NIBS)
    print(*line_off.FoundBelts, *line_off.FoundNibs, *line_off.RunOuts, *line_off.Notes, sep="\n")
    assert line_off.FoundBelts[0].startswith("Strakes 1 to 6: graded")
    assert "Strake 3 ends in a nib towards the bow at 2000 mm" in line_off.FoundNibs[0] and len(line_off.FoundNibs) == 2
    assert line_off.RunOuts and "degrees" in line_off.RunOuts[-1] and line_off.GarboardWidth.Value > 50
    assert line_off.LeastBreadth.Value > 100
    planks = make.make_planks(line_off, Thickness=25)
    lineoff = lineoff_of(line_off).value
    # every strake is one plank: with joined cells too
    assert planks.PlankCount == 2 * len(lineoff.strakes)
    total = 0.0
    for shape, (name, solid) in zip(planks_of(planks).value, solids_of(planks).value):
        assert solid.isValid() and len(solid.Solids) == 1 and len(solid.Shells) == 1 and solid.Shells[0].isClosed()
        assert len(solid.Faces) == len(shape.faces) and name == shape.name
        total += shape.volume
    sizes = {name: len(solid.Faces) for name, solid in solids_of(planks).value}
    print("faces:", {k: v for k, v in sizes.items() if k.startswith("Port")})
    assert sizes["Port strake 02"] > sizes["Port strake 01"]
    whole = make.make_planks(make.make_line_off(boat.line, Strakes=6, ParallelWidth=150), Thickness=25)
    other = sum(shape.volume for shape in planks_of(whole).value)
    print(f"volume with nibs {total:.1f} mm3, without {other:.1f}")
    assert abs(total / other - 1.0) < 1e-6
    path = str(tmp_path / "planks.step")
    write_step(path, solids_of(planks).value)
    solids = Part.read(path).Solids
    bad = [s for s in solids if not s.isValid() or not s.Shells[0].isClosed()]
    print(f"{len(solids)} solids read back from STEP, {len(bad)} of them not valid")
    assert len(solids) == planks.PlankCount and not bad


def test_sketches_show_nibs_and_end_seams_there(boat):
    line_off = make.make_line_off(None, boat.belts(), **NIBS)
    sketches = make.make_strake_sketches(line_off)
    lineoff = lineoff_of(line_off).value
    frame = lineoff.hull.frame
    shown = {s.Label: s for s in sketches.Members}
    profile = shown["Strakes, profile"]
    back = profile.Placement.inverse()
    ends = [g.EndPoint for g in profile.Geometry] + [g.StartPoint for g in profile.Geometry]
    for cut in nib_curves(lineoff):
        for p in frame.points_to_model(cut.points([0.0, cut.length])):
            flat = back.multVec(Vector(*p))
            flat.z = 0.0
            near = sorted((e - flat).Length for e in ends)
            print(f"nib corner {tuple(round(v, 1) for v in p)}: curves end {near[0]:.4f} and {near[1]:.4f} mm from it")
            assert near[0] < 0.02
        upper = back.multVec(Vector(*frame.points_to_model(cut.points([0.0]))[0]))
        upper.z = 0.0
        assert sorted((e - upper).Length for e in ends)[1] < 0.02  # the seam, and the nib
    count = sum(len(seam.parts) for seam in lineoff.seams)
    assert len(lineoff.seams) == line_off.StrakeCount and count >= len(lineoff.seams)


def test_tables_have_a_sheet_of_nibs_only_where_there_are_some(boat):
    line_off = make.make_line_off(None, boat.belts(), **NIBS)
    sheets = make.make_marks_and_bevels(line_off)
    assert [m.FilledAs for m in sheets.Members] == ["Marks", "Bevels", "Nibs"]
    nibs = sheets.Members[2]
    print([nibs.getContents(c + "2") for c in "ABCDEFGH"])
    assert nibs.get("A2") == 3 and nibs.get("D2").Value == pytest.approx(2000.0, abs=0.01)
    make.change(line_off, "No nibs", NibStrakes=[], NibEnds=[], NibStations=[], NibDepths=[])
    boat.document.recompute()
    assert [m.FilledAs for m in sheets.Members] == ["Marks", "Bevels"]
    assert boat.document.getObject("Nibs") is None


def test_stealers_stand_at_the_stations_and_keep_the_breadth(boat):
    line_off = make.make_line_off(boat.line, Strakes=6, ParallelWidth=250, NarrowestStrake=170)
    print(*line_off.FoundNibs, *line_off.Notes, sep="\n")
    divided = [n for n in lineoff_of(line_off).value.nibs if n.strake <= 6]
    assert divided and all(abs(n.position % 1000.0) < 1e-6 for n in divided)
    print(f"least breadth {line_off.LeastBreadth.Value:.2f} mm")
    assert line_off.LeastBreadth.Value >= 170.0 * 0.999
    assert not any(r.startswith("Strake 7") for r in line_off.RunOuts)


def test_numbers_side_by_side_in_one_step(boat):
    line_off = make.make_line_off(boat.line, Strakes=6)
    compared = make.make_comparison(line_off, Counts=[5, 6, 7])
    (sheet,) = compared.Members
    rows = {sheet.get(f"A{r}"): [sheet.get(f"{c}{r}") for c in "BCD"] for r in range(2, 20)
            if f"B{r}" in sheet.PropertiesList}  # fmt: skip
    print(rows)
    assert [sheet.get(f"{c}1") for c in "BCD"] == ["5", "6", "7"]
    assert rows["Strakes in all"][1] == line_off.StrakeCount
    assert rows["Width of the parallel strakes, mm"][1].Value == pytest.approx(line_off.FoundParallelWidth.Value, abs=0.01)
    assert rows["Narrowest strake, mm"][1].Value == pytest.approx(line_off.LeastBreadth.Value, abs=0.01)
    make.change(line_off, "More", Strakes=7)
    boat.document.recompute()
    # what is compared hangs on the lines, not on the number chosen
    assert sheet.get("B1") == "5" and rows["Strakes in all"][2] == line_off.StrakeCount
    make.change(compared, "Around", Counts=[])
    assert [sheet.get(f"{c}1") for c in "BCDEFGH"] == ["4", "5", "6", "7", "8", "9", "10"]


def test_saved_and_opened_again(boat, tmp_path):
    line_off = make.make_line_off(None, boat.belts(), **NIBS)
    compared = make.make_comparison(make.make_line_off(boat.line, Strakes=4, ParallelBelt=False), Counts=[3, 4])
    before = [*line_off.FoundBelts, *line_off.FoundNibs, *line_off.Notes]
    names = line_off.Name, compared.Name
    path = str(tmp_path / "belts.FCStd")
    boat.document.saveAs(path)
    again = FreeCAD.openDocument(shutil.copy(path, str(tmp_path / "again.FCStd")))  # by its own name it is open already
    try:
        opened, sheet = (again.getObject(n) for n in names)
        assert [b.Proxy.KIND for b in opened.Belts] == ["Belt", "Belt"]
        opened.touch()
        again.recompute()
        assert opened.isValid() and sheet.isValid()
        assert [*opened.FoundBelts, *opened.FoundNibs, *opened.Notes] == before
        assert list(opened.NibStations) == ["station 2", ""]
    finally:
        FreeCAD.closeDocument(again.Name)


def test_documents_from_before_belts_get_their_properties(boat):
    """A line-off as an older version left it: with the simple properties alone."""
    line_off = make.make_line_off(boat.line, Strakes=4)
    strakes = line_off.StrakeCount
    for name in ("Belts", "NarrowestStrake", "NibStrakes", "FoundNibs", "RunOuts", "LeastBreadth"):
        line_off.removeProperty(name)
    line_off.Proxy.onDocumentRestored(line_off)
    line_off.touch()
    boat.document.recompute()
    assert line_off.isValid() and line_off.StrakeCount == strakes and line_off.LeastBreadth.Value > 0


FAULTS = {
    "no weight above 0": (lambda b: make.make_belt(b.document, Rule="Graded", Weights=[1, 0], Line=b.line), "weight"),
    "no strakes": (lambda b: make.make_belt(b.document, Rule="Equal", Strakes=0, Line=b.line), "0 strakes"),
    "widths for no station": (lambda b: make.make_belt(b.document, Rule="By widths at stations", Widths=[1.0, 2.0]), "2 widths for 0"),
    "no line at all": (lambda b: make.make_line_off(None, [make.make_belt(b.document, Rule="Equal")]), "no line"),
    "lines crossed over": (
        lambda b: make.make_line_off(None, [make.make_belt(b.document, Line=b.line), make.make_belt(b.document, Line=b.wale)]),
        "cross",
    ),
    "parallel without width": (
        lambda b: make.make_line_off(b.line, [make.make_belt(b.document, Rule="Parallel", ToRabbet=True)]), "no width",
    ),
    "nib of the sheer strake": (
        lambda b: make.make_line_off(b.line, NibStrakes=[1], NibEnds=["Bow"], NibStations=["2 m"], NibDepths=[0.0]),
        "strake 1",
    ),
    "nib at no end": (
        lambda b: make.make_line_off(b.line, NibStrakes=[3], NibEnds=["Top"], NibStations=["2 m"], NibDepths=[0.0]),
        "'Top'",
    ),
    "nib at a station unheard of": (
        lambda b: make.make_line_off(b.line, NibStrakes=[3], NibEnds=["bow"], NibStations=["Stn. 99"], NibDepths=[0.0]),
        "no station '99'",
    ),
    "nib at no station": (
        lambda b: make.make_line_off(b.line, NibStrakes=[3], NibEnds=["bow"], NibStations=["here"], NibDepths=[0.0]),
        "'here'",
    ),
    "lists of unlike length": (lambda b: make.make_line_off(b.line, NibStrakes=[3]), "1 strakes that end in nibs"),
    "too narrow for any nib": (lambda b: make.make_line_off(b.line, NarrowestStrake=2000.0), "narrower than 2000"),
    "numbers that are none": (lambda b: make.make_comparison(make.make_line_off(b.line, Strakes=3), Counts=[0]), "0 strakes"),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_faults_leave_nothing_half_made(boat, fault):
    make_it, word = FAULTS[fault]
    before = state(boat.document)
    with pytest.raises(PlanError) as caught:
        make_it(boat)
    print(caught.value)
    assert word in str(caught.value)
    left = [label for name, label in state(boat.document) if (name, label) not in before]
    # what was made rightly before stays
    assert not [label for label in left if label.startswith(("Line-off", "Numbers")) and fault != "numbers that are none"]
    assert all(o.isValid() for o in boat.document.Objects)


def test_a_fault_in_a_change_brings_the_old_values_back(boat):
    line_off = make.make_line_off(None, boat.belts(), **NIBS)
    found = list(line_off.FoundNibs)
    with pytest.raises(PlanError):
        make.change(line_off, "Bad", NibStrakes=[3, 99])
    assert list(line_off.NibStrakes) == [3, 10] and list(line_off.FoundNibs) == found and line_off.isValid()
    belt = line_off.Belts[0]
    with pytest.raises(PlanError):
        make.change(belt, "Bad", Weights=[1.0, -1.0])
    assert list(belt.Weights) == [1.2, 1, 1, 1, 1, 1] and line_off.isValid()
