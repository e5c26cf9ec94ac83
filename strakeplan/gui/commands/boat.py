# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands for what is measured on the boat, and for a half model."""

import FreeCAD
import FreeCADGui

from ...core.errors import PlanError
from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["AsBuiltCommand", "HalfModelCommand"]


class AsBuiltCommand(Command):
    KIND = "AsBuilt"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_AsBuilt", "As built")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_AsBuilt", "Divide the marks anew for girths measured on the boat, and look for slips of the tape"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.as_built import ENDS, UNITS
        from .. import panels
        from ..panels.boat import FROM_FILE, FROM_SHEET, NEW_SHEET, sheets

        source = wanted.one(document, "LineOff", "line-off")
        selected = [o for o in FreeCADGui.Selection.getSelection(document.Name) if o in sheets(document)]

        def make_it(Source, File, Readings, **values):
            if Source == FROM_SHEET and Readings is None:
                raise PlanError("No sheet is chosen", remedy="Choose the sheet that holds the readings")
            if Source == FROM_FILE and not File:
                raise PlanError("No file is chosen", remedy="Choose the file that holds the readings")
            obj = make.make_as_built(
                source,
                Readings if Source == FROM_SHEET else None,
                File if Source == FROM_FILE else None,
                **values,
            )
            for doubt in obj.Doubts:
                FreeCAD.Console.PrintWarning(f"{obj.Label}: {doubt}\n")
            if Source == NEW_SHEET:
                obj.Readings.ViewObject.doubleClicked()  # it waits to be filled in
            elif obj.Doubts:
                next(m for m in obj.Members if m.FilledAs == "Readings").ViewObject.doubleClicked()
            return obj

        return panels.show(
            self.KIND,
            document,
            make_it,
            {
                "Source": FROM_SHEET if selected else NEW_SHEET, "File": "",
                "Readings": selected[0] if selected else None,
                "Unit": next(iter(UNITS)), "UnmeasuredEnds": next(iter(ENDS)),
            },
        )  # fmt: skip


class HalfModelCommand(Command):
    KIND = "HalfModel"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_HalfModel", "Half model")
    TIP = QT_TRANSLATE_NOOP("Strakeplan_HalfModel", "The marks at a half model's scale, its skin allowed for, as sheets")

    def run(self, document):
        from ...objects import make
        from ...objects.half_model import SIDES
        from .. import panels

        source = wanted.one(document, "LineOff", "line-off")
        return panels.show(
            self.KIND,
            document,
            lambda **values: make.make_half_model(source, **values),
            {"Scale": "1:12", "Skin": 0.0, "Ticked": next(iter(SIDES))},
        )
