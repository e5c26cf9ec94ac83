# SPDX-License-Identifier: LGPL-2.1-or-later
"""A better line-off from its command: begin, stop, choose, OK, undo; and what ends it early."""

import os

import FreeCAD
import FreeCADGui
from acting import cancel, document_with_hull, fill, ok, open_form, run, until
from gui_session import errors, picture, settle

KINDS = ("TautLine", "EasedLine", "LineOff", "StrakeChecks")


def checked():
    """A document with strake checks of a line-off with few strakes."""
    from strakeplan.objects import make

    document = document_with_hull()
    surface = make.make_planked_surface(document.getObject("Hull"), HalfSiding=37.5, StationSpacing=1000)
    line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
    line_off = make.make_line_off(line, Strakes=12)
    make.make_strake_checks(line_off)
    document.clearUndos()
    FreeCADGui.Selection.clearSelection()
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    FreeCADGui.activeDocument().activeView().viewIsometric()
    FreeCADGui.SendMsgToActiveView("ViewFit")
    settle()
    return document


def counted(document):
    from strakeplan.objects.base import kind_of

    kinds = [kind_of(o) for o in document.Objects]
    return [kinds.count(kind) for kind in KINDS]


def widget(form, kind, name):
    from PySide import QtGui

    return form.findChild(getattr(QtGui, kind), name)


def begin(form):
    widget(form, "QPushButton", "Begin").click()
    settle(0.1)


def ended(form):
    def is_over():
        return widget(form, "QPushButton", "Begin").isEnabled()

    for _ in range(3):  # `until` waits for ten seconds
        try:
            return until(is_over, "the end of the search")
        except AssertionError:
            pass
    return until(is_over, "the end of the search")


def seams_shown():
    """How many sets of places lie in the 3D view beside those of the document."""
    from pivy import coin

    found = coin.SoSearchAction()
    found.setType(coin.SoCoordinate3.getClassTypeId())
    found.setInterest(coin.SoSearchAction.ALL)
    root = FreeCADGui.activeDocument().activeView().getSceneGraph()
    return sum(
        1 for k in range(root.getNumChildren()) for child in [root.getChild(k)]
        if isinstance(child, coin.SoSeparator)
        and [type(child.getChild(i)).__name__ for i in range(child.getNumChildren())][-1:] == ["SoLineSet"]
    )  # fmt: skip


def test_begin_choose_ok_undo():
    document = checked()
    before, names = counted(document), {o.Name for o in document.Objects}
    run("Strakeplan_BetterLineOff")
    form = open_form()
    ok()  # nothing has been searched for
    said = widget(form, "QLabel", "Message").text()
    print(said)
    assert "Nothing has been searched for" in said
    picture("panel-better-line-off")
    fill(form, Fewest=14, Most=15, Tries="Few", Easing=False)
    begin(form)
    assert not widget(form, "QPushButton", "Begin").isEnabled()
    ok()
    print(widget(form, "QLabel", "Message").text())
    assert "still running" in widget(form, "QLabel", "Message").text()
    until(lambda: "best margin" in widget(form, "QLabel", "BestSoFar").text(), "a first margin")
    picture("panel-better-line-off-running")
    ended(form)
    table = widget(form, "QTableWidget", "FoundLineOffs")
    rows = {table.verticalHeaderItem(k).text(): k for k in range(table.rowCount())}
    cells = [[table.item(k, c).text() for c in range(table.columnCount())] for k in range(table.rowCount())]
    print(widget(form, "QLabel", "Verdict").text(), *cells, sep="\n")
    assert table.columnCount() == 3 and cells[0][0] == "Present line-off" and "spiled" in cells[0][1]
    assert cells[rows["Equal"]][0] == "12" and cells[rows["Equal"]][1] in ("14", "15")
    margins = [float(text) for text in cells[rows["Margin, %"]]]
    assert margins[1] > margins[0] and margins[1] > margins[2]
    assert seams_shown() == 1
    picture("panel-better-line-off-found")
    folder = os.environ.get("STRAKEPLAN_GUI_PICTURES")
    if folder:  # a picture of the window has no 3D view in it
        target = os.path.join(folder, f"{'.'.join(FreeCAD.Version()[:2])}-better-line-off-seams.png")
        FreeCADGui.activeDocument().activeView().saveImage(target, 900, 500, "White")
    table.selectColumn(0)
    ok()
    assert "No line-off that was found is chosen" in widget(form, "QLabel", "Message").text()
    table.selectColumn(1)
    ok()
    assert errors() == [] and not FreeCADGui.Control.activeDialog() and seams_shown() == 0
    made = [o for o in document.Objects if o.Name not in names]
    checks = next(o for o in made if o.Name.startswith("StrakeChecks"))
    print("made:", [o.Label for o in made], checks.Margin, document.UndoNames)
    assert [a + b for a, b in zip(before, (1, 0, 1, 1))] == counted(document)
    assert round(100.0 * checks.Margin, 1) == margins[1] and document.UndoNames[0] == "Better line-off"
    settle(0.5)
    picture("better-line-off-made")
    document.undo()
    assert {o.Name for o in document.Objects} == names
    print("after one undo:", document.UndoCount, errors())


def test_stop_keeps_what_there_is():
    document = checked()
    run("Strakeplan_BetterLineOff")
    form = open_form()
    fill(form, Fewest=8, Most=30, Spiling=False)
    begin(form)
    until(lambda: "best margin" in widget(form, "QLabel", "BestSoFar").text(), "a first margin")
    widget(form, "QPushButton", "Stop").click()
    ended(form)
    told = widget(form, "QLabel", "BestSoFar").text()
    table = widget(form, "QTableWidget", "FoundLineOffs")
    print(told, widget(form, "QLabel", "Verdict").text(), sep="\n")
    assert "stopped before the end" in told and table.columnCount() >= 2
    assert "keeps all limits" in widget(form, "QLabel", "Verdict").text()
    # what it was taken from is changed meanwhile: the figures would not hold
    checks = next(o for o in document.Objects if o.Name == "StrakeChecks")
    checks.Thickness = 30.0
    document.recompute()
    ok()
    said = widget(form, "QLabel", "Message").text()
    print(said)
    assert "changed since the search" in said
    cancel()
    assert counted(document) == [1, 0, 1, 1] and errors() == [] and seams_shown() == 0


def test_closed_while_it_runs():
    import threading

    def at_work():
        return [t for t in threading.enumerate() if t.name == "strakeplan"]

    document = checked()
    run("Strakeplan_BetterLineOff")
    begin(open_form())
    assert at_work()
    cancel()
    until(lambda: not at_work(), "the end of the thread")
    assert counted(document) == [1, 0, 1, 1]
    run("Strakeplan_BetterLineOff")
    begin(open_form())
    FreeCAD.closeDocument(document.Name)
    until(lambda: not at_work() and not FreeCADGui.Control.activeDialog(), "the end of the panel")
    print("errors:", errors())


def test_without_strake_checks():
    from gui_session import answer_dialogs

    document_with_hull()
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    answer_dialogs()
    run("Strakeplan_BetterLineOff")
    told = errors()
    print(told)
    assert len(told) == 1 and "no strake checks" in told[0]
    from PySide import QtGui

    for box in FreeCADGui.getMainWindow().findChildren(QtGui.QMessageBox, "StrakeplanMessage"):
        box.close()
