# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines by picked points, what is refused in a panel, what a double click shows, and how lines look."""

import FreeCAD
import FreeCADGui
from acting import cancel, fill, kinds_in, ok, open_form, run
from FreeCAD import Vector
from gui_session import errors, picture, settle
from lines_at_hand import (
    FLOAT,
    accept_and_undo,
    boat,
    click,
    drawing,
    hull_point,
    message,
    nothing_cut_off,
    passed_at,
    press_in,
    taut,
)


def test_points_selected_beforehand_are_marks():
    import Part

    document, surface = boat()
    points = [hull_point(surface, share, x) for share, x in ((0.6, 7000.0), (0.58, 4000.0))]
    marks = []
    for k, point in enumerate(points):
        mark = document.addObject("Part::Feature", f"Mark{k}")
        mark.Shape = Part.Vertex(*point)
        marks.append(mark)
    document.recompute()
    document.clearUndos()
    click(document, marks[0], "Vertex1", points[0])
    click(document, document.getObject("Hull"), "Face1", points[1])
    run("Strakeplan_TautLine")
    picture("panel-taut-picked")
    nothing_cut_off(open_form())
    line = accept_and_undo(document, "TautLine", "Taut line", ["PlankedSurface"])
    print(line.Marks, line.MarkGivenBy1, line.MarkPoint1, line.MarkVertex2)
    assert line.Marks == "Through aim marks" and line.MarkGivenBy1 == line.MarkGivenBy2 == "Picked point"
    assert line.MarkVertex1 is None and (line.MarkPoint1 - Vector(*points[1])).Length < FLOAT
    assert line.MarkVertex2[0] is marks[0]
    for point in points:
        off = passed_at(line, point)
        print(f"the line passes a mark at {off:.1e} mm")
        assert off < FLOAT
    # the line follows the vertex it was picked on
    moved = hull_point(surface, 0.5, 7000.0)
    marks[0].Shape = Part.Vertex(*moved)
    document.recompute()
    off = passed_at(line, moved)
    print(f"moved: {off:.1e} mm")
    assert off < 1e-4
    FreeCAD.closeDocument(document.Name)


def test_points_picked_while_the_panel_is_open():
    document, surface = boat()
    hull = document.getObject("Hull")
    run("Strakeplan_TautLine")
    form = open_form()
    fill(form, Marks="Through a mark by a heading", MarkGivenBy1="Picked point")
    first, point = hull_point(surface, 0.3, 3000.0), hull_point(surface, 0.55, 5000.0)
    for place in (first, point):  # the same face twice
        press_in(form, "Pick", "MarkPoint1")
        click(document, hull, "Face1", place)
        assert FreeCADGui.Selection.getSelection(document.Name) == []
    picture("panel-taut-pick")
    line = accept_and_undo(document, "TautLine", "Taut line", ["PlankedSurface"])
    off = passed_at(line, point)
    print(f"picked {point}, the line passes it at {off:.1e} mm")
    assert (line.MarkPoint1 - Vector(*point)).Length < FLOAT and off < FLOAT
    # with the panel closed clicks are only clicks again
    click(document, hull, "Face1", point)
    assert FreeCADGui.Selection.getSelection(document.Name) == [hull]
    FreeCAD.closeDocument(document.Name)


def test_batten_through_many_picks():
    document, surface = boat()
    hull = document.getObject("Hull")
    run("Strakeplan_BattenLine")
    form = open_form()
    from PySide import QtGui

    table = form.findChild(QtGui.QTableWidget, "Marks")
    table.selectAll()
    press_in(form, "RemoveMark", "MarksGivenBy")
    assert table.rowCount() == 0
    press_in(form, "Pick", "MarkPoints")
    points = [hull_point(surface, share, x) for share, x in ((0.6, 3000.0), (0.58, 5000.0), (0.6, 7500.0))]
    for point in points:
        click(document, hull, "Face1", point)
    press_in(form, "Pick", "MarkPoints")
    picture("panel-batten-picks")
    batten = accept_and_undo(document, "BattenLine", "Batten line", ["PlankedSurface"])
    assert len(batten.MarkPoints) == 3 and list(batten.MarkPositions) == []
    for point in points:
        off = passed_at(batten, point)
        print(f"passed at {off:.1e} mm")
        assert off < FLOAT
    FreeCAD.closeDocument(document.Name)


#: command, what is typed, what the message must name
WRONG = (
    ("TautLine", {"Marks": "Through aim marks", "MarkPosition1": 99999}, "does not meet"),
    ("TautLine", {"Marks": "Through a mark by a heading", "Heading": 80}, "sheer|rabbet|heading"),
    ("TautLine", {"Marks": "Through a mark by a heading", "MarkGivenBy1": "Picked point", "MarkPoint1": "1; 2"}, "point"),
    ("TautLine", {"BowGivenBy": "Picked point", "BowPoint": "5000; 9000; 0"}, "off the planked surface"),
    ("EasedLine", {"Slack": 9000}, "eased"),
    ("EasedLine", {"EasedBy": "Girth to pass", "PassPosition": 5500, "PassGirth": 9000}, "girth"),
    ("BattenLine", {"BowGirth": 9000}, "9000"),
    ("ParallelLine", {"Distance": 5000}, "smaller distance"),
    ("DrawnLine", {"Way": "Along a direction", "Direction": "0; 1"}, "direction"),
    ("TuckLine", {"Limits": "3000"}, "limits"),
    ("LineReport", {"Lines": []}, "No line is chosen"),
    ("LineReport", {"PlankLength": 0}, "plank"),
)  # fmt: skip


def test_wrong_figures_are_refused_in_the_panel():
    document, surface = boat()
    taut(surface)
    drawn = drawing(document, surface)
    before = kinds_in(document)
    for command, values, word in WRONG:
        if command == "DrawnLine":
            FreeCADGui.Selection.addSelection(document.Name, drawn.Name)
        run(f"Strakeplan_{command}")
        form = open_form()
        for name, value in values.items():
            fill(form, **{name: value})
        ok()
        text = message(form)
        print(f"{command}: {text}")
        assert any(part in text for part in word.split("|")), text
        nothing_cut_off(form)
        if command == "EasedLine" and "Slack" in values:
            picture("panel-refused")
        assert kinds_in(document) == before and list(document.UndoNames) == []
        cancel()
        assert kinds_in(document) == before
        FreeCADGui.Selection.clearSelection()
        errors()  # the report view has what the panel says
    FreeCAD.closeDocument(document.Name)


def plain(value):
    """A property's value so that two can be compared."""
    if hasattr(value, "Value"):
        return value.Value
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    return tuple(value) if isinstance(value, Vector) else value


def test_double_click_on_every_kind_shows_what_it_is_and_changes_it():
    from strakeplan.objects import make
    from strakeplan.objects.base import kind_of

    document, surface = boat()
    drawn = drawing(document, surface)
    line = taut(surface, BowGirth=1050.123456, MarkPosition1=4000.0 + 1 / 3)
    eased = make.make_eased_line(surface, BowGivenBy="Share of the girth", BowShare=2 / 3, SternGirth=950, Slack=5)
    batten = make.make_batten_line(
        surface, BowGirth=1050, SternGirth=950, MarkPositions=[5500.0], MarkGirths=[1150.0],
        MarkPoints=[Vector(*hull_point(surface, 0.6, 7500.0))],
    )  # fmt: skip
    parallel = make.make_parallel_line(line, -100)
    laid = make.make_drawn_line(surface, drawn, Way="As seen in profile")
    tuck = make.make_tuck_line(surface, Turn="Round, of the bilge", Lines=[line])
    report = make.make_line_report([line, parallel])
    line_off = make.make_line_off(eased, Strakes=4, ParallelBelt=False)
    changes = {
        line: {"SternGirth": 900}, eased: {"Slack": 8}, batten: {"Tolerance": 3}, parallel: {"Distance": -120},
        laid: {"Way": "As seen in profile"}, tuck: {"TurnOver": 200}, report: {"PlankLength": 3000},
        line_off: {"Line": "Batten line"},
    }  # fmt: skip
    for obj, values in changes.items():
        names = [p.name for p in obj.Proxy.PROPERTIES if p.name != "Members"]
        before = {n: plain(getattr(obj, n)) for n in names}
        assert obj.ViewObject.Proxy.doubleClicked(obj.ViewObject)
        settle()
        nothing_cut_off(open_form())
        ok()
        assert errors() == []
        after = {n: plain(getattr(obj, n)) for n in names}
        assert after == before, [(n, before[n], after[n]) for n in names if before[n] != after[n]]
        obj.ViewObject.Proxy.doubleClicked(obj.ViewObject)
        settle()
        fill(open_form(), **values)
        ok()
        assert errors() == []
        assert list(document.UndoNames)[0] == f"Change {obj.Label}"
        for name, value in values.items():
            now = plain(getattr(obj, name))
            print(f"{kind_of(obj)}: {name} {before[name]} -> {now}")
            assert (now.Label if hasattr(now, "Label") else now) == value
        assert [o.Label for o in document.Objects if o.State != ["Up-to-date"]] == []
    document.undo()
    assert line_off.Line is eased
    FreeCAD.closeDocument(document.Name)


def test_lines_can_be_told_apart():
    """Pictures of all kinds of lines on a light and on a dark background."""
    from strakeplan.gui.views import LINES
    from strakeplan.objects import make
    from strakeplan.objects.base import kind_of

    document, surface = boat()
    line = taut(surface)
    make.make_eased_line(surface, BowGirth=1050, SternGirth=950, Slack=25)
    make.make_batten_line(surface, BowGirth=1250, SternGirth=1150, MarkPositions=[5500.0], MarkGirths=[1500.0])
    make.make_parallel_line(line, -300)
    make.make_drawn_line(surface, drawing(document, surface), Way="As seen in profile")
    make.make_tuck_line(surface, Turn="Round, of the bilge")
    make.make_line_off(line, Strakes=6)
    for obj in document.Objects:
        if kind_of(obj):
            colour = tuple(round(c, 2) for c in obj.ViewObject.LineColor[:3])
            print(obj.Label, colour, obj.ViewObject.DrawStyle)
            assert colour == tuple(round(c, 2) for c in LINES[kind_of(obj)][0])
    view = FreeCADGui.activeDocument().activeView()
    document.getObject("Hull").ViewObject.Visibility = False
    document.getObject("Drawing").ViewObject.Visibility = False
    view.viewFront()
    view.setCameraType("Orthographic")
    view.fitAll()
    settle(1.0)
    taken = picture("lines")
    if taken:
        for background in ("White", "#1e1e1e"):
            name = "light" if background == "White" else "dark"
            view.saveImage(taken.replace(".png", f"-{name}.png"), 1400, 700, background)
    FreeCAD.closeDocument(document.Name)
