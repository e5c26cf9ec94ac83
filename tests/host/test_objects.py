# SPDX-License-Identifier: LGPL-2.1-or-later
"""Document objects: everything downstream follows, survives saving, and undoes in one step."""

import subprocess
import sys

import FreeCAD
import numpy as np
import Part
import pytest
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.host.locate import find_host
from strakeplan.host.shapes import face_of
from strakeplan.host.sketches import VIEWS
from strakeplan.objects import line_off as line_off_module
from strakeplan.objects import make, planked_surface
from strakeplan.objects.base import kind_of
from strakeplan.objects.line_off import lineoff_of
from strakeplan.objects.planks import planks_of


class Boat:
    """The demonstration hull with one object of each kind."""

    def __init__(self, document, strakes=6):
        self.document = document
        self.hull = document.addObject("Part::Feature", "Hull")
        self.hull.Label = "Moulded surface"
        self.hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(self.hull, HalfSiding="37.5 mm", StationSpacing="2 m")
        self.line = make.make_taut_line(self.surface, BowGirth="1050 mm", SternGirth=950)
        self.line_off = make.make_line_off(self.line, Strakes=strakes)
        self.sketches = make.make_strake_sketches(self.line_off)
        self.planks = make.make_planks(self.line_off, Thickness="32 mm")
        self.sheets = make.make_marks_and_bevels(self.line_off, Planks=self.planks)


@pytest.fixture
def boat(document):
    return Boat(document)


def stale(document):
    """Labels of objects that are not up to date."""
    return [(o.Label, o.State) for o in document.Objects if o.State != ["Up-to-date"]]


def outline(document):
    """What a document holds, for comparison: labels, and sizes of shapes, sketches, sheets."""
    found = {}
    for obj in document.Objects:
        if obj.isDerivedFrom("Spreadsheet::Sheet"):
            found[obj.Label] = (obj.get("C5"), obj.get("C6"))
        elif obj.isDerivedFrom("Part::Feature"):
            shape = obj.Shape
            box = shape.BoundBox
            found[obj.Label] = (
                shape.ShapeType, len(shape.Edges),
                *(round(x, 6) for x in (shape.Length, box.XMin, box.XMax, box.YMin, box.YMax, box.ZMin)),
            )  # fmt: skip
        else:
            found[obj.Label] = obj.TypeId
    return found


def test_chain_is_made_and_every_plank_is_a_named_solid(boat):
    assert stale(boat.document) == []
    count = boat.line_off.StrakeCount
    labels = [p.Label for p in boat.planks.Members]
    print(f"{count} strakes, {len(labels)} planks: {labels[0]} ... {labels[-1]}")
    assert count > 6 and boat.planks.PlankCount == len(labels)
    assert len(set(labels)) == len(labels)
    for side in ("Port", "Starboard"):
        assert [f"{side} strake {n:02d}" for n in range(1, 7)] == [
            label for label in labels if label.startswith(side)
        ][:6]
    for plank in boat.planks.Members:
        assert plank.Shape.ShapeType == "Solid" and plank.Shape.isValid()
        assert plank.Shape.Shells[0].isClosed() and plank.Shape.Volume > 0
    # the host's centre of mass of such solids is off by millimetres, its corners are exact
    shapes = {p.Label: p.Shape for p in boat.planks.Members}
    for corner in shapes["Port strake 03"].Vertexes:
        image = Part.Vertex(Vector(corner.X, -corner.Y, corner.Z))
        off = min(image.distToShape(v)[0] for v in shapes["Starboard strake 03"].Vertexes)
        print(f"a corner of port strake 03 is the image of one to starboard to {off:.1e} mm")
        assert corner.Y < 0 and off < 1e-9


def test_sketches_follow_the_seams(boat):
    frame = lineoff_of(boat.line_off).value.hull.frame
    assert [s.Label for s in boat.sketches.Members] == [f"Strakes, {v.name.lower()}" for v in VIEWS]
    for sketch in boat.sketches.Members:
        edges = [g.toShape() for g in sketch.Geometry]
        lines = Part.Compound(edges)
        back = sketch.Placement.inverse()
        worst = 0.0
        for seam in lineoff_of(boat.line_off).value.seams:
            for part in seam.parts:
                p = part.curve.sample(60).p
                if sketch.Label.endswith("body plan"):
                    aft = p[:, 0] > lineoff_of(boat.line_off).value.hull.greatest_half_breadth[0]
                    p = p * np.where(aft, -1.0, 1.0)[:, None] ** np.array([0, 1, 0])
                for q in frame.points_to_model(p):
                    flat = back.multVec(Vector(*q))
                    flat.z = 0.0
                    worst = max(worst, lines.distToShape(Part.Vertex(flat))[0])
        print(f"{sketch.Label}: seams within {worst:.4f} mm, "
              f"{len(sketch.Constraints)} constraints on {len(edges)} curves")  # fmt: skip
        assert worst < 0.1
        assert len(sketch.Constraints) <= len(edges)


def test_number_of_strakes_changes_everything_downstream(boat, monkeypatch):
    before = outline(boat.document)
    made = []
    for module, name in (
        (planked_surface, "planked_surface"),
        (line_off_module, "line_off"),
    ):
        real = getattr(module, name)
        monkeypatch.setattr(
            module, name, lambda *a, real=real, name=name, **k: (made.append(name), real(*a, **k))[1]
        )
    for strakes in (4, 7, 6):
        boat.line_off.Strakes = strakes
        boat.document.recompute()
        assert stale(boat.document) == []
        planks = [o for o in boat.document.Objects if o.TypeId == "Part::Feature"]
        assert len(planks) == len(boat.planks.Members) + 1 == boat.planks.PlankCount + 1
        parts = sum(len(s.planks) for s in lineoff_of(boat.line_off).value.strakes)
        print(strakes, "equal strakes:", boat.line_off.StrakeCount, "in all,", len(planks) - 1, "planks")
        assert boat.planks.PlankCount == 2 * parts
        seams = sum(len(s.parts) for s in lineoff_of(boat.line_off).value.seams)
        assert len(boat.line_off.Shape.Wires) == seams
    assert outline(boat.document) == before
    print("worked out anew:", made)
    # the surface was not touched, and six strakes were still known from the beginning
    assert made == ["line_off", "line_off"]


def test_mark_hull_and_thickness_are_followed(boat):
    before = outline(boat.document)
    boat.line.BowGirth = 800
    boat.document.recompute()
    by_mark = outline(boat.document)
    changed = {k for k in before if by_mark.get(k) != before[k]}
    assert {"Taut line", "Line-off", "Port strake 06", "Strakes, profile", "Marks"} <= changed
    assert "Planked surface" not in changed
    boat.planks.Thickness = "40 mm"
    boat.document.recompute()
    changed = {k for k in by_mark if outline(boat.document).get(k) != by_mark[k]}
    print("thickness changes", len(changed), "objects")
    assert "Port strake 01" in changed and "Line-off" not in changed
    matrix = FreeCAD.Matrix()
    matrix.scale(1.0, 1.1, 1.0)
    boat.hull.Shape = boat.hull.Shape.transformGeometry(matrix)
    width = boat.surface.Shape.BoundBox.YMax
    boat.document.recompute()
    print("half-breadth", width, "->", boat.surface.Shape.BoundBox.YMax)
    assert stale(boat.document) == []
    assert abs(boat.surface.Shape.BoundBox.YMax / width - 1.1) < 1e-3


def test_save_and_reopen_is_the_same(boat, tmp_path):
    path = str(tmp_path / "boat.FCStd")
    boat.document.saveAs(path)
    before = outline(boat.document)
    name = boat.document.Name
    again = FreeCAD.openDocument(str(_copy(path, tmp_path / "again.FCStd")))
    try:
        assert again.Name != name
        assert stale(again) == []
        assert outline(again) == before
        kinds = [kind_of(o) for o in again.Objects if kind_of(o)]
        assert kinds == [
            "PlankedSurface", "TautLine", "LineOff", "StrakeSketches", "Planks", "MarksAndBevels",
        ]  # fmt: skip
        for obj in again.Objects:
            obj.touch()
        again.recompute()
        assert stale(again) == []
        assert outline(again) == before
        again.getObject("LineOff").Strakes = 5
        again.recompute()
        assert stale(again) == []
        assert "Port strake 06" in outline(again)  # the first parallel strake now
        assert outline(again) != before
    finally:
        FreeCAD.closeDocument(again.Name)


def _copy(source, target):
    target.write_bytes(open(source, "rb").read())
    return target


def test_opens_without_the_add_on(boat, tmp_path):
    """Planks, sketches and sheets are ordinary objects: nothing is lost without the add-on."""
    path = str(tmp_path / "boat.FCStd")
    boat.document.saveAs(path)
    script = (
        f"import sys; sys.path.insert(0, {find_host()!r})\n"
        "import FreeCAD, Part\n"
        f"d = FreeCAD.openDocument({path!r})\n"
        "assert 'strakeplan' not in sys.modules\n"
        "planks = [o for o in d.Objects if 'strake' in o.Label and o.TypeId == 'Part::Feature']\n"
        "assert planks and all(p.Shape.isValid() and p.Shape.Solids for p in planks)\n"
        "sketches = [o for o in d.Objects if o.TypeId == 'Sketcher::SketchObject']\n"
        "print(len(planks), 'planks', len(sketches), 'sketches', d.getObject('Marks').get('A5'))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, cwd=tmp_path, check=False
    )
    print(done.stdout, done.stderr)
    assert done.returncode == 0
    assert f"{boat.planks.PlankCount} planks 3 sketches Seam 01" in done.stdout


def test_one_undo_step_each(document):
    document.UndoMode = 1
    boat = Boat(document)
    steps = ["Marks and bevels", "Planks", "Strake sketches", "Line-off", "Taut line", "Planked surface"]
    print("undo list:", document.UndoNames)
    assert document.UndoNames[: len(steps)] == steps
    full = outline(document)
    make.change(boat.line_off, "Fewer strakes", Strakes=4)
    fewer = outline(document)
    assert document.UndoNames[0] == "Fewer strakes" and fewer != full
    document.undo()
    assert outline(document) == full
    document.recompute()
    assert outline(document) == full and stale(document) == []
    document.redo()
    assert outline(document) == fewer
    document.undo()
    document.undo()
    assert "Marks" not in outline(document) and "Planks" in outline(document)
    document.undo()
    assert not [o for o in document.Objects if "strake 0" in o.Label]


@pytest.mark.parametrize("undo", [0, 1])
def test_failed_command_leaves_the_document_as_it_was(document, undo):
    document.UndoMode = undo
    boat = Boat(document)
    before, steps = outline(document), list(document.UndoNames)
    for call, word in (
        (lambda: make.make_taut_line(boat.surface, BowGirth=50000, SternGirth=900), "50000"),
        (lambda: make.make_line_off(boat.line, Strakes=0), "strakes"),
        (lambda: make.make_line_off(boat.line, Strakes=500), "500"),
        (lambda: make.make_planks(boat.line_off, Thickness=5000), "5000"),
        (lambda: make.make_planks(boat.line_off, Thickness=0), "thickness"),
        (lambda: make.make_planked_surface(boat.hull, HalfSiding=5000), "siding"),
        (lambda: make.make_planked_surface(boat.hull, StationPositions=[99999.0]), "station"),
        (lambda: make.make_planked_surface(boat.planks.Members[0]), "faces"),
        (lambda: make.make_planked_surface(boat.sketches), "no shape"),
        (lambda: make.change(boat.line_off, "Wrong", Strakes=0), "strakes"),
        (lambda: make.change(boat.planks, "Wrong", Thickness=9999), "9999"),
    ):
        with pytest.raises(PlanError) as caught:
            call()
        print(caught.value)
        assert word in str(caught.value)
        assert outline(document) == before
        assert list(document.UndoNames) == steps
        document.recompute()
        assert stale(document) == []


def test_object_with_a_fault_says_so_and_recovers(boat):
    boat.line.BowGirth = 9999
    boat.document.recompute()
    assert not boat.line.isValid()
    text = boat.line.getStatusString()
    print(text)
    assert "9999" in text and "stem" in text and "Moulded surface" in text
    boat.line.BowGirth = 1050
    boat.document.recompute()
    assert stale(boat.document) == []


def test_missing_link_names_the_property(boat):
    boat.line_off.Line = None
    boat.document.recompute()
    text = boat.line_off.getStatusString()
    print(text)
    assert "Line-off has no line" in text and "property Line" in text


def test_cubes_side_is_no_hull(document):
    cube = document.addObject("Part::Box", "Cube")
    document.recompute()
    for face in ("Face1", "Face6"):
        with pytest.raises(PlanError) as caught:
            make.make_planked_surface(cube, face)
        print(caught.value)
        assert "Cube" in str(caught.value)
    assert [o.Label for o in document.Objects] == ["Cube"]


def test_second_set_of_planks_keeps_its_strakes_names(boat):
    inside = make.make_planks(boat.line_off, Thickness=20, BothSides=False, Layer="Inside the surface")
    labels = [p.Label for p in inside.Members]
    print(labels)
    assert labels[:2] == [f"Starboard strake {n:02d} ({inside.Label})" for n in (1, 2)]
    assert inside.PlankCount * 2 == boat.planks.PlankCount


TURNED = {
    # rows: where the model's x, y and z go; whether the model's starboard side stays so
    "port side": (((1, 0, 0), (0, -1, 0), (0, 0, 1)), {}),
    "bow to +X": (((-1, 0, 0), (0, 1, 0), (0, 0, 1)), {}),
    "along Y": (((0, 1, 0), (1, 0, 0), (0, 0, 1)), {}),
    "Y is up": (((1, 0, 0), (0, 0, 1), (0, 1, 0)), {"Up": "Y", "Forward": "-X"}),
    "askew": (
        ((0.6, 0.8, 0.0), (-0.8, 0.6, 0.0), (0, 0, 1)),
        {"Forward": "-0.6, -0.8, 0"},
    ),
}


@pytest.mark.parametrize("turned", TURNED)
def test_hull_lying_any_way_gives_the_same_planks(document, turned):
    """Sides are told by the bow, and the planks keep their volumes."""
    plain = Boat(document)
    truth = planks_of(plain.planks).value
    rows, values = TURNED[turned]
    matrix = np.array(rows, float).T
    other = FreeCAD.newDocument("Turned")
    try:
        hull = other.addObject("Part::Feature", "Hull")
        hull.Shape = face_of(SplinePatch(*demo_patch_data()).transformed(matrix))
        surface = make.make_planked_surface(hull, HalfSiding=37.5, StationSpacing=2000, **values)
        line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
        line_off = make.make_line_off(line, Strakes=6)
        sketches = make.make_strake_sketches(line_off)
        planks = make.make_planks(line_off, Thickness=32)
        shapes = planks_of(planks).value
        some = (0, len(truth) // 2 - 1)  # sheer strake and garboard of the modelled side
        off = max(abs(shapes[k].volume / truth[k].volume - 1) for k in some)
        side = "port" if np.linalg.det(matrix) < 0 else "starboard"
        print(f"{turned}: modelled side {surface.Side}, volumes differ by {off:.1e}")
        assert surface.Side == side and len(shapes) == len(truth) and off < 1e-6
        first = planks.Members[0]
        assert first.Label == f"{side.capitalize()} strake 01"
        # the modelled side's planks lie on the hull's face, the others away from it
        near = hull.Shape.distToShape(Part.Vertex(first.Shape.Vertexes[0].Point))[0]
        assert near < 33
        for sketch in sketches.Members:
            assert sketch.State == ["Up-to-date"] and sketch.GeometryCount > 5
    finally:
        FreeCAD.closeDocument(other.Name)
