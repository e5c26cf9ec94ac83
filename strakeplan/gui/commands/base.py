# SPDX-License-Identifier: LGPL-2.1-or-later
"""What all commands share."""

import FreeCAD
import FreeCADGui
from PySide import QtGui

from ...core.errors import PlanError
from ...host import compat
from ..icons import icon

__all__ = ["QT_TRANSLATE_NOOP", "Command", "tell"]

QT_TRANSLATE_NOOP = FreeCAD.Qt.QT_TRANSLATE_NOOP


class Command:
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
