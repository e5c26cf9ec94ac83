# SPDX-License-Identifier: LGPL-2.1-or-later
"""The program itself starts with a window, and what it reports is seen by these tests."""

import FreeCAD
import FreeCADGui
from gui_session import errors


def test_window_opens():
    window = FreeCADGui.getMainWindow()
    print("FreeCAD", ".".join(FreeCAD.Version()[:3]), "window", window.width(), "x", window.height())
    assert window.isVisible()
    assert window.width() > 200


def test_reported_error_is_seen():
    FreeCAD.Console.PrintError("the plank is too short\n")
    assert errors() == ["the plank is too short"]
    assert errors() == []


def test_fault_in_execute_is_seen():
    class Faulty:
        def __init__(self, obj):
            obj.Proxy = self

        def execute(self, obj):
            raise ValueError("no sheer found")

    doc = FreeCAD.newDocument()
    Faulty(doc.addObject("App::FeaturePython", "Faulty"))
    doc.recompute()
    found = "\n".join(errors())
    print(found)
    assert "no sheer found" in found
