# SPDX-License-Identifier: LGPL-2.1-or-later
"""The workbench is registered, loads nothing heavy at start-up, and can be activated."""

import sys

import FreeCAD
import FreeCADGui
from gui_session import errors, picture, settle

WORKBENCH = "StrakeplanWorkbench"
PREFIX = "Strakeplan_"


def test_start_is_free_of_errors():
    found = errors()
    print("errors at start:", found)
    assert found == []


def test_start_loads_no_geometry():
    loaded = sorted(m for m in sys.modules if m.startswith(("scipy", "strakeplan.core.", "strakeplan.objects.")))
    assert loaded == [], loaded


def test_workbench_is_registered_and_activated():
    assert WORKBENCH in FreeCADGui.listWorkbenches()
    FreeCADGui.activateWorkbench(WORKBENCH)
    settle(0.5)
    assert FreeCADGui.activeWorkbench().name() == WORKBENCH
    own = FreeCADGui.listWorkbenches()[WORKBENCH]
    print("menu text:", own.MenuText, "· tooltip:", own.ToolTip)
    assert own.MenuText and own.ToolTip and own.Icon
    picture("workbench")


def test_every_tool_on_its_bars_is_a_command():
    FreeCADGui.activateWorkbench(WORKBENCH)
    settle(0.5)
    bench = FreeCADGui.activeWorkbench()
    known = set(FreeCADGui.listCommands())
    shown = {tool for tools in bench.getToolbarItems().values() for tool in tools if tool.startswith(PREFIX)}
    print("tools:", sorted(shown))
    assert shown
    assert shown <= known, shown - known
    for name in sorted(shown):
        info = FreeCADGui.Command.get(name).getInfo()
        print(name, "·", info["menuText"], "·", info["pixmap"])
        assert info["menuText"] and info["toolTip"] and info["pixmap"], name


def test_workbench_can_be_left_and_taken_up_again():
    doc = FreeCAD.newDocument()
    for name in (WORKBENCH, "PartWorkbench", WORKBENCH):
        FreeCADGui.activateWorkbench(name)
        settle(0.3)
    assert FreeCADGui.activeWorkbench().name() == WORKBENCH
    assert FreeCAD.ActiveDocument is doc
