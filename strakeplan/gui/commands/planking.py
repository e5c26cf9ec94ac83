# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands from the sketches to the tables."""

from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["StrakeSketchesCommand", "PlanksCommand", "MarksAndBevelsCommand"]


class StrakeSketchesCommand(Command):
    KIND = "StrakeSketches"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_StrakeSketches", "Strake sketches")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_StrakeSketches", "Draw the strakes as sketches in profile, half-breadth and body plan"
    )

    def run(self, document):
        from ...objects import make

        return make.make_strake_sketches(wanted.one(document, "LineOff", "line-off"))


class PlanksCommand(Command):
    KIND = "Planks"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_Planks", "Planks")
    TIP = QT_TRANSLATE_NOOP("Strakeplan_Planks", "Make a solid for every plank")

    def run(self, document):
        from ...objects import make
        from ...objects.planks import LAYERS
        from .. import panels

        source = wanted.one(document, "LineOff", "line-off")
        return panels.show(
            self.KIND,
            document,
            lambda **values: make.make_planks(source, **values),
            {"Thickness": 25.0, "Layer": next(iter(LAYERS)), "BothSides": True},
        )


class MarksAndBevelsCommand(Command):
    KIND = "MarksAndBevels"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_MarksAndBevels", "Marks and bevels")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_MarksAndBevels", "Tape readings at every station and bevels of every plank, as sheets"
    )

    def run(self, document):
        from ...objects import make

        source = wanted.one(document, "LineOff", "line-off")
        return make.make_marks_and_bevels(source, Planks=wanted.planks_of(source))
