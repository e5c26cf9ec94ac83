# SPDX-License-Identifier: LGPL-2.1-or-later
"""Belts, nibs, stealers and numbers of strakes side by side, as a user makes them."""

import FreeCAD
import FreeCADGui
from acting import fill, kinds_in, ok, open_form, run
from gui_session import errors, picture, settle
from lines_at_hand import accept_and_undo, boat, made, message, nothing_cut_off, press_in, taut


def child(form, name, within=None):
    """A widget of the panel by its name."""
    from PySide import QtGui

    place = form if within is None else form.findChild(QtGui.QWidget, within)
    return place.findChild(QtGui.QWidget, name)


def type_row(form, within, row, texts):
    """Type texts into a row of a table; None leaves a cell alone."""
    from PySide import QtGui

    table = child(form, "Table", within)
    for column, text in enumerate(texts):
        if text is None:
            continue
        table.setItem(row, column, QtGui.QTableWidgetItem(text))
    settle()


def with_line():
    document, surface = boat()
    line = taut(surface)
    return document, surface, line


def test_belts_of_every_rule():
    document, surface, line = with_line()
    ways = (
        ({"Rule": "Equal", "Strakes": 5}, "Line"),
        ({"Rule": "By greatest width", "GreatestWidth": 120}, "Line"),
        ({"Rule": "Graded", "Weights": "1.2; 1; 1"}, "Line"),
        ({"Rule": "Parallel", "Width": 80}, "ToRabbet"),
        ({"Rule": "Parallel", "Width": 80, "ToRabbet": False, "Strakes": 3, "RunsParallelTo": "Lower line"}, "Line"),
    )
    for number, (values, seen) in enumerate(ways, 1):
        run("Strakeplan_Belt")
        form = open_form()
        for name, value in values.items():
            fill(form, **{name: value})
            settle()
        assert child(form, seen).isVisible()
        assert not child(form, "StationPositions").isVisible()
        nothing_cut_off(form)
        picture(f"panel-belt-{number}")
        belt = accept_and_undo(document, "Belt", "Belt", ["PlankedSurface", "TautLine"])
        print(values, "->", belt.Rule, belt.Strakes, list(belt.Weights), belt.Line and belt.Line.Label)
        assert belt.Rule == values["Rule"] and (belt.Line is line)
        document.undo()
        document.clearUndos()
    FreeCAD.closeDocument(document.Name)


def test_belt_by_widths_at_stations():
    document, surface, line = with_line()
    run("Strakeplan_Belt")
    form = open_form()
    fill(form, Rule="By widths at stations")
    settle()
    press_in(form, "AddRow", "StationPositions")
    type_row(form, "StationPositions", 0, ["3000", "90; 100; 110"])
    type_row(form, "StationPositions", 1, ["7 m", "90; 100"])
    ok()
    print("the panel says:", message(form))
    assert "3 and 2 widths" in message(form)
    type_row(form, "StationPositions", 1, ["7 m", "90; 100; 4 in"])
    press_in(form, "AddRow", "StationPositions")
    type_row(form, "StationPositions", 2, ["stem", "60; 60; 60"])
    nothing_cut_off(form)
    picture("panel-belt-widths")
    belt = accept_and_undo(document, "Belt", "Belt", ["PlankedSurface", "TautLine"])
    assert list(belt.StationPositions) == [3000.0, 7000.0] and list(belt.StemWidths) == [60.0] * 3
    assert all(abs(a - b) < 1e-9 for a, b in zip(belt.Widths, [90, 100, 110, 90, 100, 101.6]))
    belt.ViewObject.Proxy.doubleClicked(belt.ViewObject)
    settle()
    ok()
    assert list(belt.StationPositions) == [3000.0, 7000.0] and list(belt.SternWidths) == []
    assert errors() == []
    FreeCAD.closeDocument(document.Name)


def test_line_off_puts_belts_in_order():
    from PySide import QtGui

    from strakeplan.objects import make

    document, surface, line = with_line()
    below = make.make_belt(document, Rule="Parallel", Width=150)
    above = make.make_belt(document, Rule="Graded", Weights=[1.2, 1, 1, 1], Line=line)
    below.Label, above.Label = "Bottom", "Topsides"
    document.clearUndos()
    run("Strakeplan_LineOff")
    form = open_form()
    assert not child(form, "Strakes").isVisible(), "with belts the simple figures say nothing"
    picture("panel-line-off-belts")
    ok()
    print("the panel says:", message(form))
    assert "Put it last" in message(form)
    assert "LineOff" not in kinds_in(document)
    errors()
    ordered = child(form, "Ordered")
    ordered.setCurrentRow(1)
    press_in(form, "MoveUp")
    assert [ordered.item(k).text() for k in range(2)] == ["Topsides", "Bottom"]
    nothing_cut_off(form)
    line_off = accept_and_undo(document, "LineOff", "Line-off", ["PlankedSurface", "TautLine", "Belt", "Belt"])
    print(*line_off.FoundBelts, sep="\n")
    assert list(line_off.Belts) == [above, below] and line_off.FoundBelts[0].startswith("Strakes 1 to 4: graded")
    # without belts it is a plain line-off again
    line_off.ViewObject.Proxy.doubleClicked(line_off.ViewObject)
    settle()
    form = open_form()
    ordered = child(form, "Ordered")
    from PySide import QtCore

    for k in range(ordered.count()):
        ordered.item(k).setCheckState(QtCore.Qt.Unchecked)
    settle()
    assert child(form, "Strakes").isVisible()
    fill(form, Strakes=5)
    ok()
    assert list(line_off.Belts) == [] and line_off.FoundBelts[0].startswith("Strakes 1 to 5: equal")
    assert errors() == [] and isinstance(form, QtGui.QWidget)
    FreeCAD.closeDocument(document.Name)


def test_nibs_by_hand_from_the_panel_to_the_planks():
    document, surface, line = with_line()
    run("Strakeplan_LineOff")
    form = open_form()
    fill(form, Strakes=6, ParallelWidth=150)
    picture("panel-line-off-plain")
    table = child(form, "Table", "NibStrakes")
    assert not table.isVisible()
    child(form, "ByHand", "NibStrakes").setChecked(True)
    settle()
    assert table.isVisible() and table.rowCount() == 1
    type_row(form, "NibStrakes", 0, ["three", "Bow", "2000"])
    ok()
    print("the panel says:", message(form))
    assert "'three' is no strake" in message(form)
    type_row(form, "NibStrakes", 0, ["3", None, "st 2"])
    press_in(form, "AddRow", "NibStrakes")
    type_row(form, "NibStrakes", 1, ["10", "stern", "", "4 in"])
    nothing_cut_off(form)
    picture("panel-line-off-nibs")
    line_off = accept_and_undo(document, "LineOff", "Line-off", ["PlankedSurface", "TautLine"])
    print(*line_off.FoundNibs, sep="\n")
    assert list(line_off.NibStrakes) == [3, 10] and list(line_off.NibEnds) == ["Bow", "Stern"]
    assert abs(line_off.NibDepths[1] - 101.6) < 1e-9 and len(line_off.FoundNibs) == 2
    run("Strakeplan_StrakeSketches")
    run("Strakeplan_Planks")
    ok()
    run("Strakeplan_MarksAndBevels")
    sheets = made(document, "MarksAndBevels")
    assert [m.FilledAs for m in sheets.Members] == ["Marks", "Bevels", "Nibs"]
    sheets.Members[2].ViewObject.doubleClicked()
    settle(0.5)
    picture("sheet-nibs")
    planks = made(document, "Planks")
    assert all(p.Shape.isValid() and p.Shape.ShapeType == "Solid" for p in planks.Members)
    document.getObject("Hull").ViewObject.Visibility = False
    view = next(iter(FreeCADGui.getDocument(document.Name).mdiViewsOfType("Gui::View3DInventor")))
    FreeCADGui.getMainWindow().setActiveWindow(view)
    view.viewAxonometric()
    view.fitAll()
    settle(0.5)
    taken = picture("planks-nibs")
    if taken:
        view.saveImage(taken.replace(".png", "-view.png"), 1400, 900, "White")
    line_off.ViewObject.Proxy.doubleClicked(line_off.ViewObject)
    settle()
    form = open_form()
    assert child(form, "Table", "NibStrakes").rowCount() == 2
    child(form, "ByHand", "NibStrakes").setChecked(False)
    ok()
    assert line_off.FoundNibs == [] and [m.FilledAs for m in sheets.Members] == ["Marks", "Bevels"]
    document.undo()
    assert len(line_off.FoundNibs) == 2 and [m.FilledAs for m in sheets.Members] == ["Marks", "Bevels", "Nibs"]
    assert errors() == []
    FreeCAD.closeDocument(document.Name)


def test_narrowest_strake():
    document, surface, line = with_line()
    run("Strakeplan_LineOff")
    fill(open_form(), Strakes=6, ParallelWidth=250, NarrowestStrake=170)
    line_off = accept_and_undo(document, "LineOff", "Line-off", ["PlankedSurface", "TautLine"])
    print(*line_off.FoundNibs, f"least breadth {line_off.LeastBreadth.Value:.1f}", sep="\n")
    assert len(line_off.FoundNibs) > 2 and line_off.LeastBreadth.Value > 169.8
    FreeCAD.closeDocument(document.Name)


def test_numbers_of_strakes_side_by_side():
    from strakeplan.objects import make

    document, surface, line = with_line()
    line_off = make.make_line_off(line, Strakes=6)
    document.clearUndos()
    FreeCADGui.Selection.clearSelection()
    run("Strakeplan_Comparison")
    form = open_form()
    picture("panel-comparison")
    assert child(form, "Counts").text() == "3; 4; 5; 6; 7; 8; 9"
    fill(form, Counts="5-7; five")
    ok()
    print("the panel says:", message(form))
    assert "'five' is no whole number" in message(form)
    fill(form, Counts="5-7; 9")
    nothing_cut_off(form)
    ok()
    compared = made(document, "Comparison")
    assert list(compared.Counts) == [5, 6, 7, 9] and list(document.UndoNames) == ["Numbers of strakes"]
    (sheet,) = compared.Members
    assert sheet.get("E1") == "9" and sheet.get("C2") == line_off.StrakeCount
    settle(0.5)
    picture("sheet-comparison")
    document.undo()
    assert kinds_in(document) == ["PlankedSurface", "TautLine", "LineOff"]
    assert errors() == []
    FreeCAD.closeDocument(document.Name)
