# SPDX-License-Identifier: LGPL-2.1-or-later
"""A trial plank from its command, as a user comes to it."""

import FreeCADGui
from acting import document_lined_off, fill, ok, only, open_form, run, until
from gui_session import errors, picture, settle


def to_3d_view(document):
    gui = FreeCADGui.getDocument(document.Name)
    FreeCADGui.getMainWindow().setActiveWindow(gui.mdiViewsOfType("Gui::View3DInventor")[0])
    settle(0.3)
    gui.activeView().viewRear()  # on to the side that is modelled
    gui.activeView().fitAll()
    settle(0.5)


def test_trial_on_a_strake():
    from PySide import QtGui

    document = document_lined_off()
    before = len(document.Objects)
    run("Strakeplan_TrialPlank")
    form = open_form()
    strake, position = (form.findChild(QtGui.QWidget, name) for name in ("Strake", "Position"))
    # nothing was selected: the line-off made last is taken, and its strake is asked for
    assert form.findChild(QtGui.QComboBox, "On").currentText() == "Line-off" and strake.isVisible()
    assert not position.isVisible()
    picture("panel-trial-plank")
    fill(form, On="Sheer of Planked surface")
    settle()
    assert not strake.isVisible()
    fill(form, On="Line-off", Strake=4, PlacedBy="At a position", Position=5500.0, Width=100.0)
    settle()
    assert position.isVisible() and strake.isVisible()
    for name in ("WoodSection", "Limits:springing"):
        form.findChild(QtGui.QToolButton, name).click()
    settle()
    picture("panel-trial-plank-springing")
    # the first digits of a figure are in sight, however narrow the panel is
    assert form.findChild(QtGui.QWidget, "FrameSpacing").findChild(QtGui.QLineEdit).cursorPosition() == 0
    ok()
    assert errors() == []
    obj = only(document, "TrialPlank")
    print(obj.Verdict, obj.MiddleAt)
    assert obj.Strake == 4 and abs(obj.MiddleAt.Value - 5500.0) < 0.1 and obj.Width.Value == 100.0
    settle(0.5)
    picture("trial-plank-report")
    to_3d_view(document)
    taken = picture("trial-plank-3d")
    if taken:
        FreeCADGui.getDocument(document.Name).activeView().saveImage(taken.replace(".png", "-view.png"), 1400, 700, "White")
    assert obj.ViewObject.Proxy.doubleClicked(obj.ViewObject)
    until(lambda: open_form().isVisible(), "the panel")
    fill(open_form(), Strake=99)
    ok()
    said = open_form().findChild(QtGui.QLabel, "Message").text()
    told = errors()  # the host's report view has it too
    print(said, told)
    picture("panel-trial-plank-refused")
    assert "no strake 99" in said and any("no strake 99" in line for line in told)
    fill(open_form(), Strake=5)
    ok()
    assert errors() == [] and obj.Strake == 5
    document.undo()
    document.undo()
    assert errors() == [] and len(document.Objects) == before


def test_trial_on_what_is_selected():
    from PySide import QtGui

    from strakeplan.objects import make

    document = document_lined_off()
    make.make_strake_checks(only(document, "LineOff"), Thickness=24, Wood="teak", LimitForce="800 N")
    FreeCADGui.Selection.clearSelection()
    FreeCADGui.Selection.addSelection(only(document, "TautLine"))
    settle()
    run("Strakeplan_TrialPlank")
    form = open_form()
    assert form.findChild(QtGui.QComboBox, "On").currentText() == "Taut line"
    ok()
    assert errors() == []
    obj = only(document, "TrialPlank")
    # wood, thickness and limits are those that the strakes were checked with
    print(obj.Wood, obj.Thickness, obj.LimitForce, obj.EdgeSet)
    assert obj.On.Label == "Taut line" and obj.Wood == "teak" and obj.Thickness.Value == 24.0
    assert obj.LimitForce.getValueAs("N").Value == 800.0 and obj.EdgeSet.Value < 1e-3 and obj.Steamed is False
