# SPDX-License-Identifier: LGPL-2.1-or-later
"""The workbench as a user meets it: from a selected face to planks and tables."""

import os
import sys
import tempfile
import zipfile

import FreeCAD
import FreeCADGui
from acting import cancel, document_with_hull, fill, kinds_in, ok, open_form, run, until
from gui_session import answer_dialogs, errors, picture, settle

COMMANDS = (
    "Strakeplan_PlankedSurface",
    "Strakeplan_TautLine",
    "Strakeplan_EasedLine",
    "Strakeplan_BattenLine",
    "Strakeplan_ParallelLine",
    "Strakeplan_DrawnLine",
    "Strakeplan_TuckLine",
    "Strakeplan_LineReport",
    "Strakeplan_Belt",
    "Strakeplan_LineOff",
    "Strakeplan_Comparison",
    "Strakeplan_StrakeChecks",
    "Strakeplan_TrialPlank",
    "Strakeplan_BetterLineOff",
    "Strakeplan_WoodTable",
    "Strakeplan_StrakeSketches",
    "Strakeplan_Planks",
    "Strakeplan_MarksAndBevels",
    "Strakeplan_AsBuilt",
    "Strakeplan_HalfModel",
)


def test_start_up_is_light():
    """Nothing of numpy, scipy or the core is loaded by the add-on itself at start-up."""
    loaded = [m for m in sys.modules if m.startswith("strakeplan.")]
    print("modules of the add-on at start-up:", loaded)
    assert not [m for m in loaded if m.startswith(("strakeplan.core", "strakeplan.gui"))]


def test_workbench_opens():
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    settle(0.5)
    workbench = FreeCADGui.activeWorkbench()
    print("workbench:", workbench.name(), workbench.MenuText, workbench.Icon)
    assert workbench.name() == "StrakeplanWorkbench"
    assert os.path.isfile(workbench.Icon)
    there = FreeCADGui.listCommands()
    for name in COMMANDS:
        assert name in there
        resources = FreeCADGui.Command.get(name).getInfo()
        print(name, "|", resources["menuText"], "|", resources["toolTip"])
        assert os.path.isfile(resources["pixmap"])
        assert resources["menuText"] and resources["toolTip"]
    assert errors() == []


def test_from_face_to_tables():
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = document_with_hull()
    run("Strakeplan_PlankedSurface")
    fill(open_form(), SeparateSidings=True, HalfSidingStem=30, HalfSidingKeel=37.5,
          HalfSidingPost=37.5, StationSpacing=1000)  # fmt: skip
    picture("panel-planked-surface")
    ok()
    assert errors() == []
    run("Strakeplan_TautLine")
    fill(open_form(), BowGirth=1050, SternGirth=950)
    ok()
    run("Strakeplan_LineOff")
    fill(open_form(), Strakes=22)
    picture("panel-line-off")
    ok()
    run("Strakeplan_StrakeSketches")
    run("Strakeplan_Planks")
    fill(open_form(), Thickness=32)
    ok()
    run("Strakeplan_MarksAndBevels")
    found = errors()
    print("\n".join(found))
    assert found == []
    kinds = kinds_in(document)
    print("objects:", kinds, "and", len(document.Objects) - len(kinds), "others")
    assert kinds == [
        "PlankedSurface", "TautLine", "LineOff", "StrakeSketches", "Planks", "MarksAndBevels",
    ]  # fmt: skip
    assert [o.Label for o in document.Objects if o.State != ["Up-to-date"]] == []
    planks = document.getObject("Planks")
    children = planks.ViewObject.Proxy.claimChildren()
    print(planks.PlankCount, "planks, the first:", children[0].Label)
    assert len(children) == planks.PlankCount > 0
    assert all(c.Shape.isValid() and c.Shape.ShapeType == "Solid" for c in children)
    FreeCADGui.Selection.clearSelection()
    document.getObject("Hull").ViewObject.Visibility = False
    FreeCADGui.activeDocument().activeView().viewAxonometric()
    FreeCADGui.SendMsgToActiveView("ViewFit")
    settle(1.0)
    taken = picture("planks")
    if taken:  # the 3D view is not in a picture of the window
        view = FreeCADGui.activeDocument().activeView()
        view.saveImage(taken.replace(".png", "-view.png"), 1400, 900, "White")
    undo = list(document.UndoNames)
    print("undo steps:", undo)
    assert undo == [
        "Marks and bevels", "Planks", "Strake sketches", "Line-off", "Taut line", "Planked surface",
    ]  # fmt: skip
    before = len(document.Objects)
    document.undo()
    assert kinds_in(document)[-1] == "Planks" and len(document.Objects) == before - 3
    document.undo()
    assert kinds_in(document)[-1] == "StrakeSketches"
    document.redo()
    document.redo()
    assert len(document.Objects) == before
    FreeCAD.closeDocument(document.Name)


def test_wrong_figures_keep_the_panel_and_leave_nothing():
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = document_with_hull()
    run("Strakeplan_PlankedSurface")
    ok()
    run("Strakeplan_TautLine")
    form = open_form()
    fill(form, BowGirth=50000)
    ok()
    from PySide import QtGui

    message = form.findChild(QtGui.QLabel, "Message")
    print("the panel says:", message.text())
    assert message.isVisible() and "50000" in message.text() and "stem" in message.text()
    assert kinds_in(document) == ["PlankedSurface"]
    assert list(document.UndoNames) == ["Planked surface"]
    errors()  # the report view has the same message
    fill(form, BowGirth=1000)
    ok()
    assert kinds_in(document) == ["PlankedSurface", "TautLine"]
    assert errors() == []
    FreeCAD.closeDocument(document.Name)


def test_cancel_makes_nothing():
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = document_with_hull()
    run("Strakeplan_PlankedSurface")
    cancel()
    assert kinds_in(document) == [] and list(document.UndoNames) == []
    assert errors() == []
    FreeCAD.closeDocument(document.Name)


def test_double_click_changes_in_one_step():
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = document_with_hull()
    run("Strakeplan_PlankedSurface")
    ok()
    run("Strakeplan_TautLine")
    fill(open_form(), BowGirth=1000, SternGirth=900)
    ok()
    line = document.getObject("TautLine")
    length = line.LineLength.Value
    line.ViewObject.Proxy.doubleClicked(line.ViewObject)
    settle()
    fill(open_form(), BowGirth=700)
    ok()
    print("length", length, "->", line.LineLength.Value)
    assert line.BowGirth.Value == 700 and line.LineLength.Value != length
    document.undo()
    print("after undo", line.LineLength.Value)
    assert line.BowGirth.Value == 1000 and abs(line.LineLength.Value - length) < 1e-9
    assert errors() == []
    FreeCAD.closeDocument(document.Name)


def test_command_without_its_object_says_so():
    from PySide import QtGui

    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = FreeCAD.newDocument("Empty")
    settle()
    run("Strakeplan_Planks")

    def find():
        return FreeCADGui.getMainWindow().findChildren(QtGui.QMessageBox, "StrakeplanMessage")

    boxes = until(find, "the message")
    text = boxes[0].text()
    print("the box says:", text)
    for box in boxes:
        box.close()
    assert "line-off" in text and "Make" in text
    assert len(errors()) == 1
    FreeCAD.closeDocument(document.Name)


def test_deleting_takes_the_members_along():
    from PySide import QtGui

    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    from strakeplan.objects import make

    document = document_with_hull()
    surface = make.make_planked_surface(document.getObject("Hull"), HalfSiding=37.5)
    line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
    line_off = make.make_line_off(line, Strakes=6, ParallelBelt=False)
    sketches = make.make_strake_sketches(line_off)
    assert len(document.Objects) == 8
    FreeCADGui.Selection.clearSelection()
    FreeCADGui.Selection.addSelection(document.Name, sketches.Name)
    asked = answer_dialogs(QtGui.QMessageBox.Yes)
    run("Std_Delete")
    settle(0.5)
    print("asked:", asked)
    print("left:", [o.Label for o in document.Objects])
    assert len(document.Objects) == 4
    document.undo()
    assert len(document.Objects) == 8
    assert errors() == []
    FreeCAD.closeDocument(document.Name)


def test_document_made_without_a_window_gets_its_views():
    """What the batch runner saves has no views in it: they come when it is opened."""
    from strakeplan.gui.views import PlanView
    from strakeplan.objects import make
    from strakeplan.objects.base import kind_of

    document = document_with_hull()
    surface = make.make_planked_surface(document.getObject("Hull"), HalfSiding=37.5)
    line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
    line_off = make.make_line_off(line, Strakes=6, ParallelBelt=False)
    make.make_strake_sketches(line_off)
    make.make_planks(line_off, Thickness=30)
    folder = tempfile.mkdtemp(prefix="strakeplan-")
    whole, bare = os.path.join(folder, "whole.FCStd"), os.path.join(folder, "bare.FCStd")
    document.saveAs(whole)
    FreeCAD.closeDocument(document.Name)
    with zipfile.ZipFile(whole) as source, zipfile.ZipFile(bare, "w") as target:
        for name in source.namelist():
            if not name.startswith(("GuiDocument", "thumbnails")):
                target.writestr(name, source.read(name))
    for path in (bare, whole):
        again = FreeCAD.openDocument(path)
        settle(0.5)
        ours = [o for o in again.Objects if kind_of(o)]
        print(os.path.basename(path), [o.Label for o in ours])
        assert len(ours) == 5
        for obj in ours:
            assert isinstance(obj.ViewObject.Proxy, PlanView), obj.Label
            assert os.path.isfile(obj.ViewObject.Proxy.getIcon())
        planks = again.getObject("Planks")
        members = planks.ViewObject.Proxy.claimChildren()
        colours = {tuple(round(c, 2) for c in m.ViewObject.ShapeColor[:3]) for m in members}
        print(len(members), "planks in colours", colours)
        assert len(colours) == 3
        planks.ViewObject.Visibility = False
        assert not any(m.ViewObject.Visibility for m in members)
        planks.ViewObject.Visibility = True
        assert all(m.ViewObject.Visibility for m in members)
        taken = picture(f"reopened-{os.path.basename(path)[:4]}")
        if taken:
            view = FreeCADGui.activeDocument().activeView()
            view.viewIsometric()
            view.fitAll()
            settle(0.5)
            view.saveImage(taken.replace(".png", "-view.png"), 1400, 900, "White")
        FreeCAD.closeDocument(again.Name)
    assert errors() == []
