# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines in a document: what is refused, saving and opening, and the line-off and report that follow them."""

import FreeCAD
import numpy as np
import pytest
from FreeCAD import Vector
from line_boat import SHOWN, Boat, inner, off

from strakeplan.core.errors import PlanError
from strakeplan.objects import make


@pytest.fixture
def boat(document):
    return Boat(document)


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


@pytest.mark.parametrize("kind", ["eased", "batten", "parallel", "drawn"])
def test_line_off_by_any_line_and_what_follows(boat, kind):
    boat.every_kind()
    line = getattr(boat, kind)
    line_off = make.make_line_off(line, Strakes=3, ParallelBelt=False)
    before = max(off(line_off, q) for q in inner(boat, line))
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
    assert max(off(line_off, q) for q in inner(boat, line)) < SHOWN
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
