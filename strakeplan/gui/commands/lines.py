# SPDX-License-Identifier: LGPL-2.1-or-later
"""The commands that run a line round the hull, and those that look at lines."""

import FreeCADGui

from ...core.errors import PlanError
from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = [
    "TautLineCommand",
    "EasedLineCommand",
    "BattenLineCommand",
    "ParallelLineCommand",
    "DrawnLineCommand",
    "TuckLineCommand",
    "LineReportCommand",
]


class _MarkedLineCommand(Command):
    """A line given by marks: points selected in the 3D view are marks already."""

    def run(self, document):
        from ...objects.planked_surface import surface_of
        from .. import panels
        from ..picking import selected_picks

        surface = wanted.surface(document)
        hull = surface_of(surface).value
        return panels.show(
            self.KIND,
            document,
            lambda **values: self.make(surface, values),
            self.defaults(hull, selected_picks(document)),
        )


class TautLineCommand(_MarkedLineCommand):
    KIND = "TautLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_TautLine", "Taut line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_TautLine",
        "Stretch a string round the hull: between its ends, through aim marks, or by a heading",
    )

    def defaults(self, hull, picks):
        from .. import defaults

        return defaults.taut(hull, picks)

    def make(self, surface, values):
        from ...objects import make

        return make.make_taut_line(surface, **values)


class EasedLineCommand(_MarkedLineCommand):
    KIND = "EasedLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_EasedLine", "Eased line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_EasedLine", "Let a heavy string sag towards the sheer, by its slack or by a girth to pass"
    )

    def defaults(self, hull, picks):
        from .. import defaults

        return defaults.eased(hull, picks)

    def make(self, surface, values):
        from ...objects import make

        return make.make_eased_line(surface, **values)


class BattenLineCommand(_MarkedLineCommand):
    KIND = "BattenLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_BattenLine", "Batten line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_BattenLine", "Bend a batten fair round the hull through any number of marks"
    )

    def defaults(self, hull, picks):
        from .. import defaults

        return defaults.batten(hull, picks)

    def make(self, surface, values):
        from ...objects import make

        return make.make_batten_line(surface, **values)


class ParallelLineCommand(Command):
    KIND = "ParallelLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_ParallelLine", "Parallel line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_ParallelLine", "Run a line at a constant distance square to another line, or to the sheer"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.base import kind_of
        from .. import panels

        selected = [
            o for o in FreeCADGui.Selection.getSelection(document.Name) if kind_of(o) == "PlankedSurface"
        ]
        lines = wanted.lines(document)
        if selected:
            line = selected[0]
        else:
            line = wanted.line(document) if lines else wanted.surface(document)
        return panels.show(
            self.KIND,
            document,
            lambda **values: make.make_parallel_line(values["Line"] or line, values["Distance"]),
            {"Line": line, "Distance": 100.0},
        )


class DrawnLineCommand(Command):
    KIND = "DrawnLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_DrawnLine", "Drawn line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_DrawnLine", "Lay an edge, a wire or a sketch on to the hull, along its normal or as seen in a view"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.drawn_line import WAYS
        from .. import panels
        from ..linkfields import selected_drawing

        surface = wanted.surface(document)

        def make_it(Drawn, **values):
            return make.make_drawn_line(surface, *Drawn, **values)

        return panels.show(
            self.KIND,
            document,
            make_it,
            {"Drawn": selected_drawing(document), "Way": next(iter(WAYS)), "Direction": (0.0, 1.0, 0.0)},
        )


class TuckLineCommand(Command):
    KIND = "TuckLine"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_TuckLine", "Tuck line")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_TuckLine", "Find where the sections turn hardest aft, and at what angle strakes cross it"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.base import kind_of
        from ...objects.tuck_line import TURNS
        from .. import panels

        surface = wanted.surface(document)
        return panels.show(
            self.KIND,
            document,
            lambda **values: make.make_tuck_line(surface, **values),
            {
                "Turn": next(iter(TURNS)), "TurnOver": 150.0, "Limits": [],
                "Lines": [o for o in document.Objects if kind_of(o) == "LineOff"],
            },
        )  # fmt: skip


class LineReportCommand(Command):
    KIND = "LineReport"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_LineReport", "Line report")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_LineReport", "Girths, bends, twist and edge set along lines, as a sheet"
    )

    def run(self, document):
        from ...objects import make
        from ...objects.line import is_line
        from .. import panels

        wanted.line(document)  # without any there is nothing to report on
        selected = [o for o in FreeCADGui.Selection.getSelection(document.Name) if is_line(o)]

        def make_it(Lines, **values):
            if not Lines:
                raise PlanError("No line is chosen", remedy="Tick the lines that are to be reported on")
            return make.make_line_report(Lines, **values)

        return panels.show(
            self.KIND,
            document,
            make_it,
            {"Lines": selected or wanted.lines(document), "CompareWith": None, "PlankLength": 5000.0},
        )
