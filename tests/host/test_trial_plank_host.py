# SPDX-License-Identifier: LGPL-2.1-or-later
"""Trial planks as document objects: figures of the core, the plank on the hull, changes, undo, saving, what is refused."""

import shutil

import FreeCAD
import numpy as np
import Part
import pytest
from demo_hull import demo_patch_data

from strakeplan.core.cautions import CAUTIONS
from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.strakes.samples import strake_samples
from strakeplan.core.wood.handbook import species_named
from strakeplan.core.wood.place import place_of_curve, place_of_strake
from strakeplan.core.wood.trial import TrialPlank, try_plank
from strakeplan.host.shapes import face_of
from strakeplan.objects import make
from strakeplan.objects.line_off import lineoff_of
from strakeplan.objects.planked_surface import surface_of
from strakeplan.objects.trial_plank import AT_POSITION, TRIAL_LIMITS


class Boat:
    """The demonstration hull with a line-off of few strakes."""

    def __init__(self, document):
        self.document = document
        self.hull = document.addObject("Part::Feature", "Hull")
        self.hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(self.hull, HalfSiding=37.5, StationSpacing=1000)
        self.line = make.make_taut_line(self.surface, BowGirth=1050, SternGirth=950)
        self.line_off = make.make_line_off(self.line, Strakes=12)


@pytest.fixture
def boat(document):
    return Boat(document)


def state(document):
    return [(o.Name, o.Label) for o in document.Objects]


def newton(force):
    return force.getValueAs("N").Value


def figures(obj):
    """Name -> value of all read-outs."""
    found = {}
    for p in obj.Proxy.PROPERTIES:
        if p.group == "Found":
            value = getattr(obj, p.name)
            found[p.name] = getattr(value, "Value", value)
    return found


def test_figures_are_the_core_s(boat):
    plank = TrialPlank(105.0, 28.0, 5000.0, species_named("Douglas-fir, coast").wood(), 350.0)
    samples = strake_samples(lineoff_of(boat.line_off).value)
    cases = [
        (make.make_trial_plank(boat.surface), place_of_curve(surface_of(boat.surface).value.sheer)),
        (make.make_trial_plank(boat.line_off, Strake=4), place_of_strake(samples, 3)),
    ]
    for obj, place in cases:
        core, found = try_plank(plank, place), figures(obj)
        print(obj.On.Label, found)
        assert obj.EdgeSet.Value == pytest.approx(core.edge_set, rel=1e-12) and obj.Towards == core.towards
        forces = (core.one_clamp, core.per_clamp, core.tip, core.hold_down, core.frame_force)
        names = ("OneClamp", "PerClamp", "TipForce", "HoldDown", "FrameForce")
        assert [newton(getattr(obj, name)) for name in names] == pytest.approx(forces, rel=1e-9)
        assert obj.ThreeClamps == pytest.approx(core.three_clamps, rel=1e-9, abs=1e-9)
        angles = np.degrees([core.roll, core.twist * 1000.0, core.twist_in_all])
        assert [obj.Roll.Value, obj.Twist.Value, obj.TwistInAll.Value] == pytest.approx(angles, rel=1e-9)
        assert (obj.EdgeOff, obj.HoldDownEdge, obj.Flips) == (core.edge_off, core.hold_down_edge, False)
        lengths = (core.stand_off, core.hollow, core.stock)
        assert [obj.StandOff.Value, obj.Hollow.Value, obj.Stock.Value] == pytest.approx(lengths, rel=1e-9)
        shares = (core.edgewise, core.flatwise, core.compound, core.corner, core.shear, core.buckling, core.bend_ratio)
        names = ("ShareEdgewise", "ShareFlatwise", "ShareCompound", "ShareCorner", "ShareShear", "BucklingShare", "BendRatio")
        assert [getattr(obj, name) for name in names] == pytest.approx(shares, rel=1e-9)
        assert obj.Margin == pytest.approx(core.margins[0].margin) and tuple(obj.Verdict) == core.verdict
        text = obj.Members[0].Text
        assert all(line in text for line in core.verdict) and all(c in text for c in CAUTIONS)
        assert f"{obj.MiddleAt.Value:.0f} mm along the ship" in text
    assert [o.Label for o in boat.document.Objects if o.State != ["Up-to-date"]] == []


def test_plank_lies_on_the_hull(boat):
    """Its inner face's middle line is on the host's face; its volume is width by thickness by length, nearly."""
    for values in ({}, {"Width": 60, "Thickness": 20, "PlankLength": 3000, "PlacedBy": AT_POSITION, "Position": 4000}):
        obj = make.make_trial_plank(boat.line_off, Strake=3, **values)
        shape = obj.Shape
        box = obj.Width.Value * obj.Thickness.Value * obj.PlankLength.Value
        assert shape.ShapeType == "Solid" and shape.isValid() and shape.Volume == pytest.approx(box, rel=5e-3)
        inner = shape.Faces[0].Surface
        spans = inner.getUKnots()
        u = np.linspace(spans[0], spans[-1], 21)
        middle = [inner.value(float(a), 0.5) for a in u]
        away = [boat.hull.Shape.distToShape(Part.Vertex(p))[0] for p in middle]
        at = middle[10].x
        print(f"off the hull {max(away):.2e} mm; middle at {at:.2f} mm of {obj.MiddleAt.Value:.2f}")
        assert max(away) < 0.02 and abs(at - obj.MiddleAt.Value) < 0.5
        if values:
            assert abs(at - 4000.0) < 0.5


def test_follows_a_moved_mark_and_goes_in_one_step(boat):
    document = boat.document
    document.UndoMode = 1
    try:
        parallel = make.make_parallel_line(boat.line, 200)
        before = state(document)
        obj = make.make_trial_plank(parallel)
        first, where = obj.EdgeSet.Value, obj.Shape.BoundBox.Center
        make.change(boat.line, "mark", BowGirth=900)
        print(first, obj.EdgeSet.Value, obj.Shape.BoundBox.Center)
        assert obj.State == ["Up-to-date"] and abs(obj.EdgeSet.Value - first) > 1e-3
        assert (obj.Shape.BoundBox.Center - where).Length > 5.0
        document.undo()
        document.recompute()
        assert obj.EdgeSet.Value == pytest.approx(first, rel=1e-9)
        document.undo()
        assert state(document) == before
    finally:
        document.UndoMode = 0


def test_save_and_open(boat, tmp_path):
    obj = make.make_trial_plank(boat.line_off, Strake=5, Wood="teak", Steamed=True, LimitForce="700 N")
    found, page = figures(obj), obj.Members[0].Text
    path = str(tmp_path / "boat.FCStd")
    boat.document.saveAs(path)
    again = FreeCAD.openDocument(str(shutil.copy(path, tmp_path / "again.FCStd")))
    try:
        same = again.getObject(obj.Name)
        same.touch()
        again.recompute()
        assert same.State == ["Up-to-date"] and same.Members[0].Text == page and "steamed" in page
        for name, value in figures(same).items():
            assert value == found[name] or value == pytest.approx(found[name], rel=1e-9), name
        make.change(same, "other strake", Strake=6)
        assert same.EdgeSet.Value != found["EdgeSet"] and len(same.Members) == 1
    finally:
        FreeCAD.closeDocument(again.Name)


def test_moved_along_at_the_end_is_told(boat):
    obj = make.make_trial_plank(boat.line, PlacedBy=AT_POSITION, Position=600)
    print(obj.Notes)
    assert any("moved along" in note for note in obj.Notes) and obj.MiddleAt.Value > 2000.0
    assert any("moved along" in line for line in obj.Members[0].Text.splitlines())


def test_only_limits_of_a_plank(boat):
    obj = make.make_trial_plank(boat.line_off, LimitEdgeSet=1)
    have = {p for p in obj.PropertiesList if p.startswith("Limit")}
    assert have == {limited.name for limited in TRIAL_LIMITS} and "LimitTuckAngle" not in have
    assert any("edge set" in line and "against 1 mm" in line for line in obj.Verdict)
    make.change(obj, "none", LimitEdgeSet=0)
    assert not any("edge set" in line for line in obj.Verdict)


def test_what_is_refused_leaves_nothing(boat):
    before = state(boat.document)
    cases = (
        (boat.line, {"PlankLength": 50000}, "Taut line", "shorter plank"),
        (boat.line_off, {"Strake": 99}, "no strake 99", "counted 1 to"),
        (boat.line_off, {"Strake": 2, "Part": 3}, "no part 3", "leave the part out"),
        (boat.hull, {}, "Hull", "Set its property On"),
        (boat.line, {"PlacedBy": AT_POSITION, "Position": -9000}, "Taut line", "between"),
        (boat.line, {"Width": 0}, "width", "above 0"), (boat.line, {"FrameSpacing": 0}, "frame spacing", "above 0"),
        (boat.line, {"Grade": 0}, "grade factor", ""), (boat.line, {"PlankLength": 300}, "too short", "five times"),
        (boat.line, {"OwnWood": "ebony"}, "'ebony'", ""),
    )  # fmt: skip
    for on, values, what, remedy in cases:
        with pytest.raises(PlanError) as fault:
            make.make_trial_plank(on, **values)
        print(fault.value)
        assert what in str(fault.value) and remedy in str(fault.value) and state(boat.document) == before
