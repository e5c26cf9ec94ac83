# SPDX-License-Identifier: LGPL-2.1-or-later
"""The workbench's entry.  Nothing heavy is loaded before the workbench is opened."""

import FreeCADGui


class StrakeplanWorkbench(FreeCADGui.Workbench):
    """Lining off and getting out the planking of a modelled hull."""

    def __init__(self):
        import os

        import strakeplan

        folder = os.path.dirname(os.path.dirname(os.path.abspath(strakeplan.__file__)))
        cls = self.__class__
        cls.Icon = os.path.join(folder, "resources", "icons", "strakeplan.svg")
        cls.MenuText = "Strakeplan"
        cls.ToolTip = "Line off, mark and get out the planking of a modelled hull"

    def Initialize(self):
        """Called when the workbench is opened for the first time."""
        from strakeplan.gui import commands

        commands.register()
        self.appendToolbar("Hull and lines", commands.HULL_AND_LINES)
        self.appendToolbar("Planking", commands.PLANKING)
        self.appendMenu("&Planking", [*commands.HULL_AND_LINES, "Separator", *commands.PLANKING])

    def GetClassName(self):
        return "Gui::PythonWorkbench"


FreeCADGui.addWorkbench(StrakeplanWorkbench())
