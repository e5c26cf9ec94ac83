# SPDX-License-Identifier: LGPL-2.1-or-later
"""The command that searches for a better line-off."""

from ...core.errors import PlanError
from ...objects.base import kind_of
from .. import wanted
from .base import QT_TRANSLATE_NOOP, Command

__all__ = ["BetterLineOffCommand"]


class BetterLineOffCommand(Command):
    KIND = "BetterLineOff"
    MENU = QT_TRANSLATE_NOOP("Strakeplan_BetterLineOff", "Better line-off")
    TIP = QT_TRANSLATE_NOOP(
        "Strakeplan_BetterLineOff", "Search for the line-offs that leave the worst strake the most margin within strake checks"
    )

    def run(self, document):
        from ..panels.search import show

        if not any(kind_of(o) == "StrakeChecks" for o in document.Objects):
            raise PlanError(
                "There are no strake checks in this document, which say what a line-off has to keep to",
                remedy="Line off once, as well as you can, and make strake checks of it",
            )
        return show(wanted.one(document, "StrakeChecks", "strake checks"))
