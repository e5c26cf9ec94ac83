# SPDX-License-Identifier: LGPL-2.1-or-later
"""Names of the commands, and how they are grouped in toolbars and in the menu."""

import FreeCADGui

from .belts import BeltCommand, ComparisonCommand, LineOffCommand
from .boat import AsBuiltCommand, HalfModelCommand
from .checks import StrakeChecksCommand, TrialPlankCommand, WoodTableCommand
from .hull import PlankedSurfaceCommand
from .lines import (
    BattenLineCommand,
    DrawnLineCommand,
    EasedLineCommand,
    LineReportCommand,
    ParallelLineCommand,
    TautLineCommand,
    TuckLineCommand,
)
from .planking import MarksAndBevelsCommand, PlanksCommand, StrakeSketchesCommand
from .search import BetterLineOffCommand

__all__ = ["HULL_AND_LINES", "NAMES", "PLANKING", "register"]

_COMMANDS = {
    f"Strakeplan_{command.KIND}": command
    for command in (
        PlankedSurfaceCommand,
        TautLineCommand,
        EasedLineCommand,
        BattenLineCommand,
        ParallelLineCommand,
        DrawnLineCommand,
        TuckLineCommand,
        LineReportCommand,
        BeltCommand,
        LineOffCommand,
        ComparisonCommand,
        StrakeChecksCommand,
        BetterLineOffCommand,
        TrialPlankCommand,
        WoodTableCommand,
        StrakeSketchesCommand,
        PlanksCommand,
        MarksAndBevelsCommand,
        AsBuiltCommand,
        HalfModelCommand,
    )
}

NAMES = list(_COMMANDS)

#: toolbars, and parts of the menu; as the host wants it, a "Separator" parts groups
HULL_AND_LINES = [
    "Strakeplan_PlankedSurface",
    "Separator",
    "Strakeplan_TautLine",
    "Strakeplan_EasedLine",
    "Strakeplan_BattenLine",
    "Strakeplan_ParallelLine",
    "Strakeplan_DrawnLine",
    "Separator",
    "Strakeplan_TuckLine",
    "Strakeplan_LineReport",
]
PLANKING = [
    "Strakeplan_Belt",
    "Strakeplan_LineOff",
    "Strakeplan_Comparison",
    "Separator",
    "Strakeplan_StrakeChecks",
    "Strakeplan_BetterLineOff",
    "Strakeplan_TrialPlank",
    "Strakeplan_WoodTable",
    "Separator",
    "Strakeplan_StrakeSketches",
    "Strakeplan_Planks",
    "Strakeplan_MarksAndBevels",
    "Separator",
    "Strakeplan_AsBuilt",
    "Strakeplan_HalfModel",
]


def register():
    """Make the commands known to the program, once."""
    there = set(FreeCADGui.listCommands())
    for name, command in _COMMANDS.items():
        if name not in there:
            FreeCADGui.addCommand(name, command())
