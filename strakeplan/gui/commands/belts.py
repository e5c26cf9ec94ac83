# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands for belts, the line-off they make, and numbers of strakes side by side."""

import FreeCADGui

from ...core.errors import PlanError
from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["BeltCommand", "ComparisonCommand", "LineOffCommand"]


class BeltCommand(Command):
    KIND = "Belt"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_Belt", "Belt")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_Belt", "A part of the hull's side with a rule of its own: equal, graded, by widths or parallel strakes"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.belt import ALONG_UPPER, EQUAL
        from .. import panels

        return panels.show(
            self.KIND,
            document,
            lambda **values: make.make_belt(document, **values),
            {
                "Rule": EQUAL, "Strakes": 6, "GreatestWidth": 100.0, "Weights": [1.2, 1.0, 1.0, 1.0],
                "StationPositions": [], "Width": 0.0, "ToRabbet": True, "RunsParallelTo": ALONG_UPPER,
                "Line": wanted.line(document),
            },
        )  # fmt: skip


class LineOffCommand(Command):
    KIND = "LineOff"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_LineOff", "Line-off")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_LineOff", "Divide the hull into strakes, from the sheer down to the rabbet"
    )

    def run(self, document):
        from ...objects import make
        from .. import panels

        line = wanted.line(document)

        def make_it(Line, Belts=(), **values):
            return make.make_line_off(Line or line, Belts, **values)

        return panels.show(
            self.KIND,
            document,
            make_it,
            {
                "Belts": _free_belts(document), "Line": line, "Strakes": 12, "ParallelBelt": True,
                "ParallelWidth": 0.0, "NarrowestStrake": 0.0,
            },
        )  # fmt: skip


def _free_belts(document):
    """Belts that are selected, or else those that no line-off has yet."""
    from ...objects.base import kind_of

    belts = [o for o in document.Objects if kind_of(o) == "Belt"]
    selected = [o for o in FreeCADGui.Selection.getSelection(document.Name) if o in belts]
    taken = [b for o in document.Objects if kind_of(o) == "LineOff" for b in o.Belts]
    return selected or [b for b in belts if b not in taken]


class ComparisonCommand(Command):
    KIND = "Comparison"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_Comparison", "Compare numbers of strakes")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_Comparison", "Widths, edge set and garboard for several numbers of equal strakes, as a sheet"
    )

    def run(self, document):
        from ...core.lineoff.compare import compared_belt, counts_around
        from ...objects import make
        from ...objects.line_off import lineoff_of
        from .. import panels

        source = wanted.one(document, "LineOff", "line-off")
        belts = lineoff_of(source).value.belts
        counts = counts_around(int(belts[compared_belt(belts)].count))

        def make_it(**values):
            if len(set(values["Counts"])) != len(values["Counts"]):
                raise PlanError("A number stands twice", remedy="Give each number once")
            obj = make.make_comparison(source, **values)
            obj.Members[0].ViewObject.doubleClicked()  # it is to be looked at
            return obj

        return panels.show(
            self.KIND,
            document,
            make_it,
            {"Counts": list(counts), "PlankLength": 5000.0, "NarrowestStrake": source.NarrowestStrake.Value},
        )
