# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines of every kind as document objects: a moved mark moves the line and all that hangs on it."""

import FreeCAD
import numpy as np
import Part
import pytest
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.marks import Mark, places
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.host.shapes import AIM as SHOWN  # mm: how far what is shown may lie from the line itself
from strakeplan.host.shapes import face_of
from strakeplan.objects import make
from strakeplan.objects.base import kind_of
from strakeplan.objects.line import line_of
from strakeplan.objects.planked_surface import surface_of


class Boat:
    """The demonstration hull with its planked surface, and one line of each kind."""

    def __init__(self, document):
        self.document = document
        self.hull = document.addObject("Part::Feature", "Hull")
        self.hull.Label = "Moulded surface"
        self.hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(self.hull, HalfSiding="37.5 mm", StationSpacing="2 m")

    def every_kind(self):
        """One line of each kind, the tuck and a report: dict by kind."""
        self.mark = self.document.addObject("Part::Feature", "Mark")
        self.mark.Shape = Part.Vertex(*self.point(0.6, 7500.0))
        self.drawing = self.document.addObject("Part::Feature", "Drawing")
        self.drawing.Shape = self.profile(1050.0, 950.0)
        self.taut = make.make_taut_line(self.surface, BowGirth="1050 mm", SternGirth=950)
        self.eased = make.make_eased_line(self.surface, BowGirth=1050, SternGirth=950, Slack=10)
        self.batten = make.make_batten_line(
            self.surface, BowGirth=1000, SternGirth=900, MarkPositions=[4000.0], MarkGirths=[1350.0],
            MarkVertices=[(self.mark, ["Vertex1"])],
        )  # fmt: skip
        self.parallel = make.make_parallel_line(self.taut, -100)
        self.drawn = make.make_drawn_line(self.surface, self.drawing, Way="As seen in profile")
        self.line_off = make.make_line_off(self.parallel, Strakes=4, ParallelBelt=False)
        self.tuck = make.make_tuck_line(
            self.surface, Turn="Round, of the bilge", Lines=[self.taut, self.line_off]
        )
        self.report = make.make_line_report([self.taut, self.eased, self.batten], CompareWith=self.parallel)
        return {
            kind_of(o): o
            for o in (self.taut, self.eased, self.batten, self.parallel, self.drawn, self.tuck, self.report,
                      self.line_off)
        }  # fmt: skip

    def point(self, share, station):
        """A point on the hull in the document's coordinates."""
        hull = surface_of(self.surface).value
        place = places(hull, [Mark(station=station, share=share)])[0]
        return tuple(float(v) for v in hull.frame.points_to_model(place.p[None])[0])

    def profile(self, bow, stern):
        """A straight line in profile between two girths on stem and stern, drawn abreast of the hull."""
        hull = surface_of(self.surface).value
        ends = places(hull, [Mark.end("stem", bow), Mark.end("stern", stern)])
        a, b = (Vector(p[0], 4000.0, p[2]) for p in (hull.frame.points_to_model(e.p[None])[0] for e in ends))
        return Part.makeLine(a + (a - b) * 0.1, b + (b - a) * 0.1)

    def recompute(self):
        """Recompute, and see that nothing is left to do."""
        self.document.recompute()
        assert [(o.Label, o.State) for o in self.document.Objects if o.State != ["Up-to-date"]] == []


@pytest.fixture
def boat(document):
    return Boat(document)


def sheer_stem_rabbet_stern(boat):
    return boat.surface.Shape.Wires


def end_girth(boat, line, edge):
    """Girth from the sheer down to a line's end, by the host's lengths along the planked surface's wires."""
    _, stem, _, stern = sheer_stem_rabbet_stern(boat)
    wire = stem if edge == "stem" else stern
    ends = [v.Point for v in line.Shape.Vertexes]
    end = min(ends, key=lambda p: wire.distToShape(Part.Vertex(p))[0])
    assert wire.distToShape(Part.Vertex(end))[0] < SHOWN
    top = max((v.Point for v in wire.Vertexes), key=lambda p: p.z)
    edges = Part.__sortEdges__(wire.Edges)
    if (edges[0].valueAt(edges[0].FirstParameter) - top).Length > SHOWN:
        edges = [e for e in reversed(edges)]
    total = 0.0
    for one in edges:
        curve, (a, b) = one.Curve, one.ParameterRange
        if one.distToShape(Part.Vertex(end))[0] < SHOWN:
            t = curve.parameter(end)
            down = one.valueAt(a).z > one.valueAt(b).z
            return total + (curve.length(a, t) if down else curve.length(t, b))
        total += one.Length
    raise AssertionError(f"the line does not end on the {edge}")


def off(obj, point):
    """Distance of a point from what is shown of an object."""
    return obj.Shape.distToShape(Part.Vertex(*point))[0]


def ends_and_length(line):
    return [tuple(round(x, 6) for x in v.Point) for v in line.Shape.Vertexes], line.LineLength.Value


def test_every_kind_is_made_and_shows_its_line(boat):
    made = boat.every_kind()
    boat.recompute()
    for kind in ("TautLine", "EasedLine", "BattenLine", "ParallelLine", "DrawnLine"):
        obj = made[kind]
        found = line_of(obj).value
        shown = obj.Shape.Length
        print(f"{kind}: {found.curve.length:.4f} mm, shown {shown:.4f}, good to {obj.ErrorPosition.Value:.1e}")
        assert obj.LineLength.Value == found.curve.length and abs(shown - found.curve.length) < SHOWN
        assert 0.0 < obj.ErrorPosition.Value < 1e-3
        p = surface_of(boat.surface).value.frame.points_to_model(found.curve.sample(25).p)
        assert max(off(obj, q) for q in p) < SHOWN
        assert max(boat.hull.Shape.distToShape(Part.Vertex(*q))[0] for q in p) < 1e-6
    assert boat.tuck.LineLength.Value > 0 and boat.tuck.Crossings == list(boat.tuck.Crossings)
    (sheet,) = boat.report.Members
    assert [sheet.get(f"{c}1") for c in "BCD"] == ["Taut line", "Eased line", "Batten line"]


def test_first_versions_names_and_choices_are_kept(boat):
    """Users' expressions and scripts hang on these."""
    line = make.make_taut_line(boat.surface, BowGirth=1050, SternGirth=950)
    names = {"Surface", "Marks", "BowGirth", "SternGirth", "MarkPosition1", "MarkGirth1", "MarkPosition2",
             "MarkGirth2", "LineLength", "ErrorPosition", "Notes"}  # fmt: skip
    print(sorted(line.PropertiesList))
    assert names <= set(line.PropertiesList)
    choices = line.getEnumerationsOfProperty("Marks")
    assert choices[:2] == ["Between ends", "Through aim marks"]


def test_only_what_the_choices_ask_for_is_shown_in_the_editor(boat):
    line = make.make_taut_line(boat.surface, BowGirth=1050, SternGirth=950)

    def hidden(name):
        return "Hidden" in line.getEditorMode(name)

    assert not hidden("BowGirth") and hidden("BowShare") and hidden("MarkGirth1") and hidden("Heading")
    line.BowGivenBy = "Share of the girth"
    assert hidden("BowGirth") and not hidden("BowShare")
    line.Marks = "Through a mark by a heading"
    assert hidden("BowShare") and not hidden("MarkGirth1") and not hidden("Heading") and hidden("MarkGirth2")


@pytest.mark.parametrize("edge, name", [("stem", "Bow"), ("stern", "Stern")])
def test_taut_lines_end_follows_its_mark_however_it_is_given(boat, edge, name):
    line = make.make_taut_line(boat.surface, BowGirth=1050, SternGirth=950)
    whole = getattr(boat.surface, "StemLength" if edge == "stem" else "SternLength").Value
    hull = surface_of(boat.surface).value
    place = places(hull, [Mark.end(edge, 850.0)])[0]
    picked = hull.frame.points_to_model(place.p[None])[0]
    vertex = boat.document.addObject("Part::Feature", "Vertex")
    vertex.Shape = Part.Vertex(*picked)
    for values, girth in (
        ({"Girth": 900}, 900.0),
        ({"GivenBy": "Share of the girth", "Share": 0.6}, 0.6 * whole),
        ({"GivenBy": "Picked point", "Point": Vector(*picked)}, 850.0),
        ({"Point": Vector(0, 0, 0), "Vertex": (vertex, ["Vertex1"])}, 850.0),
    ):
        for part, value in values.items():
            setattr(line, name + part, value)
        boat.recompute()
        measured = end_girth(boat, line, edge)
        print(f"{edge} by {sorted(values)}: wanted {girth:.4f}, measured by the host {measured:.4f}")
        assert abs(measured - girth) < 2 * SHOWN
    vertex.Shape = Part.Vertex(*hull.frame.points_to_model(places(hull, [Mark.end(edge, 700.0)])[0].p[None])[0])
    boat.recompute()
    measured = end_girth(boat, line, edge)
    print(f"{edge}'s vertex moved: wanted 700, measured by the host {measured:.4f}")
    assert abs(measured - 700.0) < 2 * SHOWN


def test_taut_line_follows_aim_marks_an_end_and_a_heading(boat):
    line = make.make_taut_line(
        boat.surface, Marks="Through aim marks", MarkPosition1=4000, MarkGirth1=1350,
        MarkPosition2=7000, MarkGivenBy2="Share of the girth", MarkShare2=0.55,
    )  # fmt: skip
    assert off(line, boat.point(0.55, 7000.0)) < SHOWN
    line.MarkShare2 = 0.57
    boat.recompute()
    print("second mark moved:", off(line, boat.point(0.55, 7000.0)), off(line, boat.point(0.57, 7000.0)))
    assert off(line, boat.point(0.57, 7000.0)) < SHOWN < 5.0 < off(line, boat.point(0.55, 7000.0))
    line.Marks = "From an end through a mark"
    line.End, line.SternGirth = "Stern", 800
    line.MarkGivenBy1, line.MarkShare1 = "Share of the girth", 0.5
    boat.recompute()
    assert off(line, boat.point(0.5, 4000.0)) < SHOWN and abs(end_girth(boat, line, "stern") - 800) < 2 * SHOWN
    line.Marks = "Through a mark by a heading"
    stations = []
    for heading in (-1.0, 1.0):
        line.Heading = heading
        boat.recompute()
        assert off(line, boat.point(0.5, 4000.0)) < SHOWN
        found = line_of(line).value
        stations.append(end_girth(boat, line, "stern"))
        print(f"heading {heading}: ends {stations[-1]:.1f} mm below the sheer at the stern; {found.kind}")
    assert stations[1] > stations[0] + 50.0  # going aft it falls more


def test_bridging_string_is_the_same_where_there_is_no_hollow(boat):
    line = make.make_taut_line(boat.surface, BowGirth=1050, SternGirth=950)
    length = line.LineLength.Value
    line.Bridge = True
    boat.recompute()
    print(line.Notes, line.GreatestGap, line.LineLength.Value - length)
    assert any("no hollow" in note for note in line.Notes)
    assert line.GreatestGap.Value == 0.0 and abs(line.LineLength.Value - length) < 1e-3


def test_eased_line_follows_slack_and_girth_to_pass(boat):
    taut = make.make_taut_line(boat.surface, BowGirth=1050, SternGirth=950)
    line = make.make_eased_line(boat.surface, BowGirth=1050, SternGirth=950, Slack=10)
    for slack in (10.0, 25.0, -5.0, 0.0):
        line.Slack = slack
        boat.recompute()
        more = line.LineLength.Value - taut.LineLength.Value
        print(f"slack {slack}: {more:.7f} mm longer than the taut line")
        # on either side of the sheer the string can only be longer; the sign says to which side it is eased
        assert abs(more - abs(slack)) < 1e-4
    line.EasedBy, line.PassGivenBy, line.PassPosition = "Girth to pass", "Share of the girth", 5500
    for share in (0.6, 0.5):
        line.PassShare = share
        boat.recompute()
        print(f"passes {share} of the girth at {off(line, boat.point(share, 5500.0)):.1e} mm")
        assert off(line, boat.point(share, 5500.0)) < SHOWN
    line.BowGirth = 900
    boat.recompute()
    assert abs(end_girth(boat, line, "stem") - 900) < 2 * SHOWN and off(line, boat.point(0.5, 5500.0)) < SHOWN


def test_batten_follows_every_kind_of_mark(boat):
    boat.every_kind()
    batten = boat.batten
    assert off(batten, boat.point(0.6, 7500.0)) < SHOWN
    boat.mark.Shape = Part.Vertex(*boat.point(0.58, 7500.0))
    boat.recompute()
    print("vertex moved:", off(batten, boat.point(0.58, 7500.0)))
    assert off(batten, boat.point(0.58, 7500.0)) < SHOWN
    batten.MarkPositions, batten.MarkGirths = [3500.0, 5500.0], [1300.0, 1550.0]
    boat.recompute()
    assert len(batten.MarkOffsets) == 5 and max(abs(v) for v in batten.MarkOffsets) < 1e-6
    batten.MarksGivenBy, batten.MarkShares = "Share of the girth", [0.6, 0.55]
    boat.recompute()
    assert max(off(batten, boat.point(s, x)) for s, x in ((0.6, 3500.0), (0.55, 5500.0))) < SHOWN
    batten.MarkPoints = [Vector(*boat.point(0.62, 8500.0))]
    boat.recompute()
    assert off(batten, boat.point(0.62, 8500.0)) < SHOWN
    exact = batten.LineLength.Value
    batten.Tolerance = 4
    boat.recompute()
    print("offsets within 4 mm:", [round(v, 3) for v in batten.MarkOffsets])
    assert 0.1 < max(abs(v) for v in batten.MarkOffsets) < 4.0 + 1e-6
    assert batten.LineLength.Value != exact
    batten.Tolerance = 0
    before = ends_and_length(batten)
    batten.BowHeld, batten.BowAngle = True, 1.0
    boat.recompute()
    assert ends_and_length(batten) != before


def test_parallel_line_follows_its_line_and_what_hangs_on_it(boat):
    made = boat.every_kind()
    sheet = boat.report.Members[0]
    kept = {kind: ends_and_length(made[kind]) for kind in ("EasedLine", "BattenLine", "DrawnLine")}
    crossings = list(boat.tuck.Crossings)
    for girth in (1050, 900):
        boat.taut.BowGirth = girth
        boat.recompute()
        frame = surface_of(boat.surface).value.frame
        p = frame.points_to_model(line_of(boat.parallel).value.curve.sample(21).p)[2:-2]
        chords = [off(boat.taut, q) for q in p]
        print(f"mark at {girth}: chords from the parallel line to its line {min(chords):.3f} to {max(chords):.3f} mm")
        # the chord of an arc of 100 mm is shorter by 100^3 / 24 R^2, 0.1 mm at the tightest bend of 0.7 m
        assert 99.9 < min(chords) and max(chords) < 100.0 + SHOWN
        lowest = max(off(boat.line_off, q) for q in p)
        print(f"the line-off's lowest seam lies on the parallel line to {lowest:.1e} mm")
        assert lowest < SHOWN
        assert abs(float(sheet.get("B3")) - boat.taut.LineLength.Value) < 0.006
    assert {kind: ends_and_length(made[kind]) for kind in kept} == kept
    print("crossings of the tuck:", crossings, "->", list(boat.tuck.Crossings))
    assert list(boat.tuck.Crossings) != crossings
    boat.parallel.Distance = 60
    boat.recompute()
    assert 59.9 < min(off(boat.taut, q) for q in _inner(boat, boat.parallel)) < 60.0 + SHOWN


def _inner(boat, line):
    frame = surface_of(boat.surface).value.frame
    return frame.points_to_model(line_of(line).value.curve.sample(21).p)[2:-2]


def test_parallel_to_the_sheer(boat):
    line = make.make_parallel_line(boat.surface, 80)
    sheer = sheer_stem_rabbet_stern(boat)[0]
    chords = [sheer.distToShape(Part.Vertex(*q))[0] for q in _inner(boat, line)]
    print(f"chords to the sheer {min(chords):.3f} to {max(chords):.3f} mm")
    assert 79.9 < min(chords) and max(chords) < 80.0 + SHOWN
    line_off = make.make_line_off(line, Strakes=1, ParallelBelt=False)
    assert line_off.StrakeCount == 2  # the strake above the line, and what lies below it


def test_drawn_line_follows_what_was_drawn(boat):
    boat.every_kind()
    for bow, stern in ((1050.0, 950.0), (900.0, 800.0)):
        boat.drawing.Shape = boat.profile(bow, stern)
        boat.recompute()
        a, b = (v.Point for v in boat.drawing.Shape.Vertexes)
        worst = 0.0
        for q in _inner(boat, boat.drawn):
            worst = max(worst, abs(a.z + (q[0] - a.x) * (b.z - a.z) / (b.x - a.x) - q[2]))
        girths = end_girth(boat, boat.drawn, "stem"), end_girth(boat, boat.drawn, "stern")
        print(f"seen in profile it lies {worst:.1e} mm off the drawing; ends at {girths[0]:.3f}, {girths[1]:.3f}")
        assert worst < 1e-6
        assert abs(girths[0] - bow) < 2 * SHOWN and abs(girths[1] - stern) < 2 * SHOWN
    boat.drawn.Way = "Along a direction"
    boat.drawn.Direction = Vector(0, -1, 0)
    length = boat.drawn.LineLength.Value
    boat.recompute()
    assert abs(boat.drawn.LineLength.Value - length) < 1e-6  # the same as in profile
    boat.drawn.Direction = Vector(0.1, -1, 0)
    boat.recompute()
    assert abs(boat.drawn.LineLength.Value - length) > 1.0


def test_drawn_sketch(boat):
    """A sketch in the plane of the profile, and some of its edges."""
    line = boat.profile(1050.0, 950.0)
    a, b = (v.Point for v in line.Vertexes)
    sketch = boat.document.addObject("Sketcher::SketchObject", "Profile")
    sketch.Placement = FreeCAD.Placement(Vector(0, 4000, 0), FreeCAD.Rotation(Vector(1, 0, 0), 90))
    middle = Vector((a.x + b.x) / 2, (a.z + b.z) / 2, 0)
    sketch.addGeometry(Part.LineSegment(Vector(a.x, a.z, 0), middle), False)
    sketch.addGeometry(Part.LineSegment(middle, Vector(b.x, b.z, 0)), False)
    sketch.addGeometry(Part.LineSegment(Vector(a.x, a.z + 3000, 0), Vector(b.x, b.z + 3000, 0)), False)
    boat.document.recompute()
    drawn = make.make_drawn_line(boat.surface, sketch, ["Edge1", "Edge2"], Way="As seen in profile")
    worst = max(
        abs(a.z + (q[0] - a.x) * (b.z - a.z) / (b.x - a.x) - q[2]) for q in _inner(boat, drawn)
    )
    print(f"the sketch's line is kept to {worst:.1e} mm")
    assert worst < 1e-6


def test_tuck_line_follows_its_choices(boat):
    boat.every_kind()
    tuck = boat.tuck
    found = ends_and_length(tuck)
    tuck.TurnOver = 300
    boat.recompute()
    assert ends_and_length(tuck) != found
    tuck.TurnOver, tuck.Limits = 150, [6200.0, 8000.0]
    boat.recompute()
    print(tuck.Notes)
    box = tuck.Shape.BoundBox
    assert 6199 < box.XMin and box.XMax < 8001
    tuck.Limits = []
    tuck.Turn = "Hollow, into the sternpost"
    boat.recompute()
    print(tuck.Notes)  # the demonstration hull's hollow grows right down to the rabbet
    assert tuck.LineLength.Value == 0.0 and tuck.Notes and not tuck.Shape.Edges


@pytest.mark.parametrize("undo", [0, 1])
def test_what_cannot_be_is_refused_and_leaves_nothing(document, undo):
    document.UndoMode = undo
    boat = Boat(document)
    boat.every_kind()
    before = [o.Name for o in document.Objects]
    sizes = {o.Name: o.LineLength.Value for o in document.Objects if hasattr(o, "LineLength")}
    steps = list(document.UndoNames)
    s = boat.surface
    for call, word in (
        (lambda: make.make_taut_line(s, BowGivenBy="Share of the girth", BowShare=1.5, SternGirth=900), "stem"),
        (lambda: make.make_taut_line(s, BowGivenBy="Picked point", BowPoint=Vector(0, 9000, 0)), "picked"),
        (lambda: make.make_taut_line(s, BowGivenBy="Picked point", BowVertex=(boat.hull, ["Face1"])), "no vertex"),
        (lambda: make.make_taut_line(s, Marks="Through a mark by a heading", MarkPosition1=5500, MarkGirth1=1400,
                                     Heading=80), "sheer"),
        (lambda: make.make_eased_line(s, BowGirth=1050, SternGirth=950, Slack=9000), "eased so far"),
        (lambda: make.make_eased_line(s, BowGirth=1050, SternGirth=950, EasedBy="Girth to pass",
                                      PassPosition=5500, PassGirth=9000), "girth"),
        (lambda: make.make_batten_line(s, BowGirth=1000, SternGirth=900, MarkPositions=[5000.0]), "positions"),
        (lambda: make.make_batten_line(s, BowEnd=False, SternEnd=False), "two marks"),
        (lambda: make.make_batten_line(s, BowGirth=1000, SternGirth=900, MarkPositions=[5000.0, 5000.0],
                                       MarkGirths=[1300.0, 1400.0]), "mark"),
        (lambda: make.make_parallel_line(boat.taut, -3000), "distance"),
        (lambda: make.make_parallel_line(boat.hull, 100), "no line"),
        (lambda: make.make_drawn_line(s, boat.hull), "faces"),
        (lambda: make.make_drawn_line(s, boat.drawing, ["Edge7"]), "Edge7"),
        (lambda: make.make_drawn_line(s, boat.drawing, Way="Along a direction"), "direction"),
        (lambda: make.make_tuck_line(s, Limits=[5000.0]), "limits"),
        (lambda: make.make_tuck_line(s, Lines=[boat.hull]), "no line"),
        (lambda: make.make_line_report([boat.taut], PlankLength=0), "plank"),
        (lambda: make.make_line_report([boat.taut], CompareWith=boat.hull), "no line"),
        (lambda: make.make_line_off(boat.tuck), "no line"),
        (lambda: make.change(boat.eased, "Wrong", Slack=9000), "eased so far"),
        (lambda: make.change(boat.batten, "Wrong", MarkGirths=[9000.0]), "9000"),
        (lambda: make.change(boat.taut, "Wrong", BowGivenBy="Picked point", BowPoint=Vector(0, 9000, 0)), "picked"),
    ):  # fmt: skip
        with pytest.raises(PlanError) as caught:
            call()
        print(caught.value)
        assert any(w in str(caught.value) for w in word.split("|"))
        assert [o.Name for o in document.Objects] == before
        assert list(document.UndoNames) == steps
        boat.recompute()
        now = {o.Name: o.LineLength.Value for o in document.Objects if hasattr(o, "LineLength")}
        assert now == sizes


def test_line_without_its_link_says_which(boat):
    made = boat.every_kind()
    for kind, name in (
        ("TautLine", "Surface"), ("EasedLine", "Surface"), ("BattenLine", "Surface"), ("ParallelLine", "Line"),
        ("DrawnLine", "Drawn"), ("TuckLine", "Surface"), ("LineReport", "Lines"),
    ):  # fmt: skip
        obj = made[kind]
        old = getattr(obj, name)
        setattr(obj, name, [] if name == "Lines" else None)
        boat.document.recompute()
        text = obj.getStatusString()
        print(f"{kind}: {text}")
        assert not obj.isValid() and name in text
        setattr(obj, name, old)
        boat.recompute()


def test_save_reopen_recompute_is_the_same(boat, tmp_path):
    boat.every_kind()
    first = str(tmp_path / "lines.FCStd")
    boat.document.saveAs(first)
    before = outline(boat.document)
    copy = tmp_path / "again.FCStd"
    copy.write_bytes((tmp_path / "lines.FCStd").read_bytes())
    again = FreeCAD.openDocument(str(copy))
    try:
        assert [(o.Label, o.State) for o in again.Objects if o.State != ["Up-to-date"]] == []
        assert outline(again) == before
        for obj in again.Objects:
            obj.touch()
        again.recompute()
        assert [(o.Label, o.State) for o in again.Objects if o.State != ["Up-to-date"]] == []
        assert outline(again) == before
        taut, parallel = again.getObject("TautLine"), again.getObject("ParallelLine")
        taut.BowGirth = 900
        again.recompute()
        moved = {name for name, value in outline(again).items() if value != before[name]}
        print("a mark moved in the document that was opened:", sorted(moved))
        assert {"Taut line", "Parallel line", "Line-off"} <= moved and "Batten line" not in moved
        assert "Hidden" in taut.getEditorMode("Heading") and parallel.Line is taut
    finally:
        FreeCAD.closeDocument(again.Name)


def outline(document):
    """What a document holds: sizes of shapes and figures of the report."""
    found = {}
    for obj in document.Objects:
        if obj.isDerivedFrom("Spreadsheet::Sheet"):
            found[obj.Label] = tuple(str(obj.get(f"B{row}")) for row in (2, 3, 5))
        elif obj.isDerivedFrom("Part::Feature"):
            box = obj.Shape.BoundBox
            found[obj.Label] = tuple(round(v, 6) for v in (obj.Shape.Length, box.XMin, box.XMax, box.ZMin))
    return found


@pytest.mark.parametrize("kind", ["eased", "batten", "parallel", "drawn"])
def test_line_off_by_any_line_and_what_follows(boat, kind):
    boat.every_kind()
    line = getattr(boat, kind)
    line_off = make.make_line_off(line, Strakes=3, ParallelBelt=False)
    before = max(off(line_off, q) for q in _inner(boat, line))
    print(f"{kind}: the third seam lies on the line to {before:.1e} mm")
    assert before < SHOWN and line_off.StrakeCount == 4
    planks = make.make_planks(line_off, Thickness=20, BothSides=False)
    assert planks.PlankCount >= 4 and all(p.Shape.isValid() for p in planks.Members)
    length = line.LineLength.Value
    if kind == "eased":
        line.Slack = 20
    elif kind == "batten":
        line.MarkGirths = [1380.0]
    elif kind == "parallel":
        line.Distance = -120
    else:
        boat.drawing.Shape = boat.profile(1000.0, 900.0)
    boat.recompute()
    assert abs(line.LineLength.Value - length) > 0.1
    assert max(off(line_off, q) for q in _inner(boat, line)) < SHOWN
    assert all(p.Shape.isValid() and p.Shape.Solids for p in planks.Members)


def test_report_compares_with_the_tuck_and_says_when_there_is_none(boat):
    boat.every_kind()
    boat.report.CompareWith = boat.tuck
    boat.recompute()
    sheet = boat.report.Members[0]
    rows = {sheet.get(f"A{k}"): sheet.get(f"B{k}") for k in range(2, 40) if f"B{k}" in sheet.PropertiesList}
    print(rows)
    assert rows["Distance from"] == "Tuck line"
    boat.tuck.Turn = "Hollow, into the sternpost"
    boat.document.recompute()
    text = boat.report.getStatusString()
    print(text)
    assert not boat.report.isValid() and "no tuck" in text


def test_colours_can_be_told_from_light_and_dark():
    """At least 3 to 1 against white and against a dark background: WCAG 2.1, 1.4.11 (non-text contrast)."""
    from strakeplan.gui.views import LINES

    def luminance(colour):  # WCAG 2.1, relative luminance of sRGB
        c = np.array(colour)
        return float(np.where(c <= 0.03928, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) @ [0.2126, 0.7152, 0.0722])

    dark = luminance((0x1E / 255,) * 3)
    for kind, (colour, width, _) in LINES.items():
        y = luminance(colour)
        on_white, on_dark = 1.05 / (y + 0.05), (y + 0.05) / (dark + 0.05)
        print(f"{kind}: {on_white:.2f} on white, {on_dark:.2f} on dark")
        assert on_white >= 3.0 and on_dark >= 3.0 and width >= 2.0
    assert len({colour for colour, _, _ in LINES.values()}) == len(LINES)
