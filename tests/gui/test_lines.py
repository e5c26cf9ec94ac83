# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every kind of line as a user makes it: panel, picked points, undo, and what is refused."""

import FreeCAD
import FreeCADGui
from acting import cancel, document_with_hull, fill, kinds_in, ok, open_form, run, until
from FreeCAD import Vector
from gui_session import errors, picture, settle

#: mm; the host hands on a picked point in single precision: 10 m to 2^-24, three coordinates
FLOAT = 3**0.5 * 10000.0 * 2.0**-24


def boat():
    """The demonstration hull with its planked surface, nothing selected."""
    from strakeplan.objects import make

    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = document_with_hull()
    surface = make.make_planked_surface(document.getObject("Hull"), HalfSiding=37.5, StationSpacing=1000)
    document.clearUndos()
    FreeCADGui.Selection.clearSelection()
    settle()
    return document, surface


def taut(surface, **values):
    """A taut line made beforehand."""
    from strakeplan.objects import make

    line = make.make_taut_line(surface, **{"BowGirth": 1050, "SternGirth": 950, **values})
    line.Document.clearUndos()
    return line


def made(document, kind):
    """The object of a kind made last."""
    from strakeplan.objects.base import kind_of

    return [o for o in document.Objects if kind_of(o) == kind][-1]


def message(form):
    """What the panel says is wrong."""
    from PySide import QtGui

    label = form.findChild(QtGui.QLabel, "Message")
    assert label.isVisible()
    return label.text()


def press_in(form, name, within=None):
    """Press a button of the panel, or of one of its rows."""
    from PySide import QtGui

    place = form if within is None else form.findChild(QtGui.QWidget, within)
    place.findChild(QtGui.QPushButton, name).click()
    settle()


def click(document, obj, sub, point=(0.0, 0.0, 0.0)):
    """What the 3D view does when something in it is clicked."""
    FreeCADGui.Selection.addSelection(document.Name, obj.Name, sub, *point)
    settle()


def hull_point(surface, share, station):
    """A point on the hull, in the document's coordinates, at a share of the girth."""
    from strakeplan.core.lines.marks import Mark, places
    from strakeplan.objects.planked_surface import surface_of

    hull = surface_of(surface).value
    place = places(hull, [Mark(station=station, share=share)])[0]
    return tuple(float(v) for v in hull.frame.points_to_model(place.p[None])[0])


def passed_at(line, point):
    """How far a line passes from a point, mm: of the line itself, not of the spline shown."""
    import numpy as np

    from strakeplan.objects.line import line_of
    from strakeplan.objects.planked_surface import surface_of

    curve = line_of(line).value.curve
    frame = surface_of(line.Surface).value.frame
    p = frame.points_to_ship(np.array([point], float))[0]
    s = np.linspace(0.0, curve.length, 4001)
    for _ in range(6):
        near = int(np.argmin(np.linalg.norm(curve.points(s) - p, axis=1)))
        s = np.linspace(s[max(near - 1, 0)], s[min(near + 1, len(s) - 1)], 101)
    return float(np.min(np.linalg.norm(curve.points(s) - p, axis=1)))


def nothing_cut_off(form):
    """No label, choice or heading of the open panel is narrower than its text."""
    from PySide import QtGui

    for table in form.findChildren(QtGui.QTableWidget):
        for column in range(table.columnCount()):
            text = table.horizontalHeaderItem(column).text()
            need, has = table.fontMetrics().boundingRect(text).width(), table.columnWidth(column)
            assert need <= has, f"{text!r} needs {need} pixels and has {has}"
    for label in form.findChildren(QtGui.QLabel):
        if label.isVisible() and not label.wordWrap():
            need, has = label.sizeHint().width(), label.width()
            assert need <= has, f"{label.text()!r} needs {need} pixels and has {has}"
    for box in form.findChildren(QtGui.QComboBox):
        if box.isVisible():
            need, has = box.fontMetrics().boundingRect(box.currentText()).width(), box.width()
            assert need <= has, f"{box.currentText()!r} needs {need} pixels and has {has}"


def accept_and_undo(document, kind, title, before):
    """OK, look at what was made, undo it and do it again."""
    ok()
    found = errors()
    assert found == [], found
    assert kinds_in(document) == [*before, kind]
    assert list(document.UndoNames)[0] == title
    obj = made(document, kind)
    assert obj.State == ["Up-to-date"], (obj.Label, obj.State)
    document.undo()
    assert kinds_in(document) == before
    document.redo()
    assert kinds_in(document) == [*before, kind]
    return made(document, kind)


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


def drawing(document, surface):
    """A straight line drawn in profile, abreast of the hull, from stem to stern."""
    import Part
    from strakeplan.core.lines.marks import Mark, places
    from strakeplan.objects.planked_surface import surface_of

    hull = surface_of(surface).value
    ends = places(hull, [Mark.end("stem", 1050.0), Mark.end("stern", 950.0)])
    a, b = (Vector(p[0], 4000.0, p[2]) for p in (hull.frame.points_to_model(e.p[None])[0] for e in ends))
    out = document.addObject("Part::Feature", "Drawing")
    out.Shape = Part.makeLine(a + (a - b) * 0.1, b + (b - a) * 0.1)
    document.recompute()
    document.clearUndos()
    return out


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
    until(lambda: document.getObject("LineOff"), "the line-off")
    FreeCAD.closeDocument(document.Name)
