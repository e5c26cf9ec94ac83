# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every kind of line as a user makes it: panel, OK, undo."""

import FreeCAD
import FreeCADGui
from acting import fill, kinds_in, ok, open_form, run, until
from FreeCAD import Vector
from gui_session import picture, settle
from lines_at_hand import accept_and_undo, boat, drawing, hull_point, message, nothing_cut_off, passed_at, press_in, taut


TAUT_WAYS = (
    ("Between ends", {"BowGirth": 1050, "SternGivenBy": "Share of the girth", "SternShare": 60}),
    ("Through aim marks", {
        "MarkPosition1": 4000, "MarkGirth1": 1300,
        "MarkPosition2": 7000, "MarkGivenBy2": "Share of the girth", "MarkShare2": 55,
    }),
    ("From an end through a mark", {"End": "Stern", "SternGirth": 950, "MarkPosition1": 5000, "MarkGirth1": 1000}),
    ("Through a mark by a heading", {"MarkPosition1": 5500, "MarkGirth1": 1000, "Heading": 2}),
)  # fmt: skip


def test_taut_line_in_every_way():
    document, surface = boat()
    for number, (way, values) in enumerate(TAUT_WAYS, 1):
        run("Strakeplan_TautLine")
        form = open_form()
        fill(form, Marks=way)
        fill(form, **values)
        settle()
        nothing_cut_off(form)
        picture(f"panel-taut-{number}")
        line = accept_and_undo(document, "TautLine", "Taut line", ["PlankedSurface"])
        print(f"{way}: {line.LineLength.Value:.3f} mm, good to {line.ErrorPosition.Value:.1e} mm")
        assert line.Marks == way and line.LineLength.Value > 10000 and line.ErrorPosition.Value < 1e-3
        if "SternShare" in values:
            assert line.SternShare == 0.6
        document.undo()
        document.clearUndos()
    FreeCAD.closeDocument(document.Name)


def test_string_over_hollows():
    document, surface = boat()
    run("Strakeplan_TautLine")
    fill(open_form(), Bridge=True)
    line = accept_and_undo(document, "TautLine", "Taut line", ["PlankedSurface"])
    print(line.Notes, "greatest gap", line.GreatestGap.Value)
    assert line.Bridge and any("string" in note for note in line.Notes)
    FreeCAD.closeDocument(document.Name)


def test_eased_line():
    from strakeplan.objects.planked_surface import surface_of

    document, surface = boat()
    straight = taut(surface)
    for values, name in (
        ({"Slack": 12}, "panel-eased-slack"),
        ({"EasedBy": "Girth to pass", "PassPosition": 5500, "PassGirth": 900}, "panel-eased-girth"),
    ):
        run("Strakeplan_EasedLine")
        form = open_form()
        fill(form, BowGirth=1050, SternGirth=950)
        fill(form, **values)
        settle()
        nothing_cut_off(form)
        picture(name)
        eased = accept_and_undo(document, "EasedLine", "Eased line", ["PlankedSurface", "TautLine"])
        more = eased.LineLength.Value - straight.LineLength.Value
        print(f"{values}: {more:.6f} mm longer than the taut line")
        if "Slack" in values:
            assert abs(more - 12.0) < 1e-4  # the slack is a length; the line itself is good to 1e-5 mm
        else:
            hull = surface_of(surface).value
            x = float(hull.frame.to_ship_station(5500.0))
            off = passed_at(eased, hull_point(surface, 900.0 / _girth(hull, x), 5500.0))
            print(f"it passes its mark at {off:.1e} mm")
            assert off < 1e-3
        document.undo()
        document.clearUndos()
    FreeCAD.closeDocument(document.Name)


def _girth(hull, x):
    from strakeplan.core.sections import sections_at

    return float(sections_at(hull, [x]).girth[0])


def test_batten_line_with_its_table():
    from PySide import QtGui

    document, surface = boat()
    run("Strakeplan_BattenLine")
    form = open_form()
    table = form.findChild(QtGui.QTableWidget, "Marks")
    rows = table.rowCount()
    print(rows, "marks to begin with")
    assert rows == 3
    press_in(form, "AddMark", "MarksGivenBy")
    for column, text in ((0, "6.5 m"), (1, "1200")):
        table.setItem(3, column, QtGui.QTableWidgetItem(text))
    table.selectRow(0)
    press_in(form, "RemoveMark", "MarksGivenBy")
    fill(form, Tolerance=5)
    settle()
    nothing_cut_off(form)
    picture("panel-batten")
    batten = accept_and_undo(document, "BattenLine", "Batten line", ["PlankedSurface"])
    print("marks at", list(batten.MarkPositions), list(batten.MarkGirths), "passed by", list(batten.MarkOffsets))
    assert len(batten.MarkPositions) == len(batten.MarkGirths) == 3
    assert list(batten.MarkPositions)[-1] == 6500.0 and list(batten.MarkGirths)[-1] == 1200.0
    assert len(batten.MarkOffsets) == 5 and max(abs(v) for v in batten.MarkOffsets) < 5.0 + 1e-6
    FreeCAD.closeDocument(document.Name)


def test_batten_marks_by_share():
    from PySide import QtGui

    document, surface = boat()
    run("Strakeplan_BattenLine")
    form = open_form()
    fill(form.findChild(QtGui.QWidget, "MarksGivenBy"), GivenBy="Share of the girth")
    table = form.findChild(QtGui.QTableWidget, "Marks")
    for row, text in enumerate(("60", "58 %", "60")):
        table.setItem(row, 1, QtGui.QTableWidgetItem(text))
    fill(form, BowEnd=False, SternHeld=True, SternAngle=0.5)
    settle()
    picture("panel-batten-share")
    batten = accept_and_undo(document, "BattenLine", "Batten line", ["PlankedSurface"])
    print("shares", list(batten.MarkShares))
    assert batten.MarksGivenBy == "Share of the girth"
    assert [round(v, 12) for v in batten.MarkShares] == [0.6, 0.58, 0.6]
    assert not batten.BowEnd and batten.SternHeld and batten.SternAngle.Value == 0.5
    FreeCAD.closeDocument(document.Name)


def test_parallel_line_of_a_line_and_of_the_sheer():
    document, surface = boat()
    line = taut(surface)
    before = ["PlankedSurface", "TautLine"]
    for chosen, distance in (("Taut line", -150), ("Sheer of Planked surface", 100)):
        run("Strakeplan_ParallelLine")
        form = open_form()
        fill(form, Line=chosen, Distance=distance)
        nothing_cut_off(form)
        picture(f"panel-parallel-{abs(distance)}")
        parallel = accept_and_undo(document, "ParallelLine", "Parallel line", before)
        print(chosen, distance, parallel.LineLength.Value)
        assert parallel.Line is (line if chosen == "Taut line" else surface)
        assert parallel.Distance.Value == distance
        document.undo()
        document.clearUndos()
    FreeCAD.closeDocument(document.Name)


def test_drawn_line():
    document, surface = boat()
    drawn = drawing(document, surface)
    FreeCADGui.Selection.addSelection(document.Name, drawn.Name)
    run("Strakeplan_DrawnLine")
    form = open_form()
    fill(form, Way="As seen in profile")
    settle()
    nothing_cut_off(form)
    picture("panel-drawn")
    line = accept_and_undo(document, "DrawnLine", "Drawn line", ["PlankedSurface"])
    print("moved by up to", line.GreatestMove.Value, "mm;", line.Notes)
    assert line.Drawn[0] is drawn and line.GreatestMove.Value > 1000
    FreeCAD.closeDocument(document.Name)


def test_drawn_line_along_the_view():
    document, surface = boat()
    drawn = drawing(document, surface)
    run("Strakeplan_DrawnLine")
    form = open_form()
    ok()
    print("the panel says:", message(form))
    assert "nothing is chosen" in message(form) and kinds_in(document) == ["PlankedSurface"]
    FreeCADGui.Selection.addSelection(document.Name, drawn.Name, "Edge1")
    press_in(form, "TakeSelection")
    fill(form, Way="Along a direction")
    view = FreeCADGui.activeDocument().activeView()
    view.viewFront()
    until(lambda: (Vector(view.getViewDirection()) - Vector(0, 1, 0)).Length < 1e-6, "the front view")
    press_in(form, "FromView")
    picture("panel-drawn-direction")
    line = accept_and_undo(document, "DrawnLine", "Drawn line", ["PlankedSurface"])
    print("direction", line.Direction)
    assert (line.Direction - Vector(0, 1, 0)).Length < 1e-6
    FreeCAD.closeDocument(document.Name)


def test_tuck_line_and_what_crosses_it():
    document, surface = boat()
    line = taut(surface)
    run("Strakeplan_TuckLine")
    form = open_form()
    fill(form, Turn="Round, of the bilge", Lines=[line.Label])
    settle()
    nothing_cut_off(form)
    picture("panel-tuck")
    tuck = accept_and_undo(document, "TuckLine", "Tuck line", ["PlankedSurface", "TautLine"])
    print(tuck.Notes, tuck.Crossings, tuck.HardestRadius.Value)
    assert tuck.LineLength.Value > 0 and tuck.HardestRadius.Value > 0
    assert tuck.Lines == [line]
    FreeCAD.closeDocument(document.Name)


def test_line_report():
    from strakeplan.objects import make

    document, surface = boat()
    line = taut(surface)
    other = make.make_parallel_line(line, -100)
    document.clearUndos()
    run("Strakeplan_LineReport")
    form = open_form()
    fill(form, CompareWith=line.Label, PlankLength=4000)
    settle()
    nothing_cut_off(form)
    picture("panel-report")
    report = accept_and_undo(document, "LineReport", "Line report", ["PlankedSurface", "TautLine", "ParallelLine"])
    assert report.Lines == [line, other] and report.CompareWith is line
    sheet = report.ViewObject.Proxy.claimChildren()[0]
    print([[sheet.get(f"{column}{row}") for column in "ABC"] for row in (2, 3)])
    assert sheet.get("B1") == "Taut line" and sheet.get("C1") == "Parallel line"
    assert abs(float(sheet.get("B3")) - line.LineLength.Value) < 0.006  # two decimals are shown
    sheet.ViewObject.doubleClicked()
    settle(0.5)
    picture("line-report-sheet")
    FreeCAD.closeDocument(document.Name)


def test_line_off_by_a_batten():
    from strakeplan.objects import make

    document, surface = boat()
    taut(surface)
    batten = make.make_batten_line(surface, BowGirth=1050, SternGirth=950, MarkPositions=[5500.0], MarkGirths=[1150.0])
    document.clearUndos()
    run("Strakeplan_LineOff")
    form = open_form()
    from PySide import QtGui

    assert form.findChild(QtGui.QComboBox, "Line").currentText() == "Batten line"  # made last
    fill(form, Strakes=5, ParallelBelt=False)
    picture("panel-line-off-batten")
    found = accept_and_undo(
        document, "LineOff", "Line-off", ["PlankedSurface", "TautLine", "BattenLine"]
    )
    print(found.StrakeCount, "strakes by", found.Line.Label)
    assert found.Line is batten
    FreeCAD.closeDocument(document.Name)
