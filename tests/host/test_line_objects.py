# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines of every kind as document objects: a moved mark moves the line and all that hangs on it."""

import FreeCAD
import Part
import pytest
from FreeCAD import Vector
from line_boat import SHOWN, Boat, end_girth, ends_and_length, inner, off, sheer_stem_rabbet_stern

from strakeplan.core.lines.marks import Mark, places
from strakeplan.objects import make
from strakeplan.objects.line import line_of
from strakeplan.objects.planked_surface import surface_of


@pytest.fixture
def boat(document):
    return Boat(document)


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
    assert 59.9 < min(off(boat.taut, q) for q in inner(boat, boat.parallel)) < 60.0 + SHOWN


def test_parallel_to_the_sheer(boat):
    line = make.make_parallel_line(boat.surface, 80)
    sheer = sheer_stem_rabbet_stern(boat)[0]
    chords = [sheer.distToShape(Part.Vertex(*q))[0] for q in inner(boat, line)]
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
        for q in inner(boat, boat.drawn):
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
        abs(a.z + (q[0] - a.x) * (b.z - a.z) / (b.x - a.x) - q[2]) for q in inner(boat, drawn)
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
