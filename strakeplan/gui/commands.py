# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands of the workbench, one for each step from the hull to the tables."""

import FreeCAD
import FreeCADGui
from PySide import QtGui

from ..core.errors import PlanError
from ..host import compat
from . import wanted
from .icons import icon

__all__ = ["NAMES", "register"]

QT_TRANSLATE_NOOP = FreeCAD.Qt.QT_TRANSLATE_NOOP


class _Command:
    """Base: shows what is wrong in a box that does not stop the program."""

    KIND = ""
    MENU = ""
    TIP = ""

    def GetResources(self):
        return {"Pixmap": icon(self.KIND), "MenuText": self.MENU, "ToolTip": self.TIP}

    def IsActive(self):
        return FreeCAD.ActiveDocument is not None and not FreeCADGui.Control.activeDialog()

    def Activated(self, index=0):
        try:
            self.run(FreeCAD.ActiveDocument)
        except PlanError as fault:
            tell(self.MENU, str(fault))

    def run(self, document):
        raise NotImplementedError


class PlankedSurfaceCommand(_Command):
    KIND = "PlankedSurface"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_PlankedSurface", "Planked surface")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_PlankedSurface",
        "Find sheer, stem, rabbet and stern of the selected face of a hull",
    )

    def run(self, document):
        from ..objects import make
        from . import panels

        hull, face = wanted.hull_face(document)
        return panels.show(
            self.KIND,
            lambda **values: make.make_planked_surface(hull, face, **values),
            {
                "HalfSiding": 0.0, "SeparateSidings": False, "HalfSidingStem": 0.0,
                "HalfSidingKeel": 0.0, "HalfSidingPost": 0.0, "StationSpacing": 0.0,
                "StationPositions": [], "HalfStations": False,
            },
        )  # fmt: skip


class TautLineCommand(_Command):
    KIND = "TautLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_TautLine", "Taut line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_TautLine", "Stretch a string round the hull, between its ends or through two marks"
    )

    def run(self, document):
        from ..objects import make
        from ..objects.planked_surface import surface_of
        from . import panels

        surface = wanted.one(document, "PlankedSurface", "planked surface")
        return panels.show(
            self.KIND,
            lambda **values: make.make_taut_line(surface, **values),
            wanted.taut_line_defaults(surface_of(surface).value),
        )


class LineOffCommand(_Command):
    KIND = "LineOff"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_LineOff", "Line-off")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_LineOff", "Divide the hull into strakes, from the sheer down to the rabbet"
    )

    def run(self, document):
        from ..objects import make
        from . import panels

        line = wanted.one(document, "TautLine", "taut line")
        return panels.show(
            self.KIND,
            lambda **values: make.make_line_off(line, **values),
            {"Strakes": 12, "ParallelBelt": True, "ParallelWidth": 0.0},
        )


class StrakeSketchesCommand(_Command):
    KIND = "StrakeSketches"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_StrakeSketches", "Strake sketches")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_StrakeSketches", "Draw the strakes as sketches in profile, half-breadth and body plan"
    )

    def run(self, document):
        from ..objects import make

        return make.make_strake_sketches(wanted.one(document, "LineOff", "line-off"))


class PlanksCommand(_Command):
    KIND = "Planks"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_Planks", "Planks")
    TIP = QT_TRANSLATE_NOOP("Strakeplan_Planks", "Make a solid for every plank")

    def run(self, document):
        from ..objects import make
        from ..objects.planks import LAYERS
        from . import panels

        source = wanted.one(document, "LineOff", "line-off")
        return panels.show(
            self.KIND,
            lambda **values: make.make_planks(source, **values),
            {"Thickness": 25.0, "Layer": next(iter(LAYERS)), "BothSides": True},
        )


class MarksAndBevelsCommand(_Command):
    KIND = "MarksAndBevels"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_MarksAndBevels", "Marks and bevels")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_MarksAndBevels", "Tape readings at every station and bevels of every plank, as sheets"
    )

    def run(self, document):
        from ..objects import make

        source = wanted.one(document, "LineOff", "line-off")
        return make.make_marks_and_bevels(source, Planks=wanted.planks_of(source))


_COMMANDS = {
    "Strakeplan_PlankedSurface": PlankedSurfaceCommand,
    "Strakeplan_TautLine": TautLineCommand,
    "Strakeplan_LineOff": LineOffCommand,
    "Strakeplan_StrakeSketches": StrakeSketchesCommand,
    "Strakeplan_Planks": PlanksCommand,
    "Strakeplan_MarksAndBevels": MarksAndBevelsCommand,
}

NAMES = list(_COMMANDS)


def register():
    """Make the commands known to the program, once."""
    there = set(FreeCADGui.listCommands())
    for name, command in _COMMANDS.items():
        if name not in there:
            FreeCADGui.addCommand(name, command())


def tell(title, text):
    """A message in a box beside which the program goes on."""
    FreeCAD.Console.PrintError(f"{title}: {text}\n")
    if not compat.gui_up():
        return
    box = QtGui.QMessageBox(FreeCADGui.getMainWindow())
    box.setObjectName("StrakeplanMessage")
    box.setIcon(QtGui.QMessageBox.Warning)
    box.setWindowTitle(title)
    box.setText(text)
    box.open()
