# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels of line-off and planks."""

from ...objects.line import is_line
from ...objects.planks import LAYERS
from .rows import links_to, row

__all__ = ["PANELS"]


def _line_off(document, obj):
    return [
        row("Line", "Line", "object", "Line that the equal strakes end at", links_to(document, obj, is_line)),
        row("Strakes", "Equal strakes", "integer", "Between the sheer and the line"),
        row("ParallelBelt", "Parallel strakes below", "switch", "Down to the rabbet"),
        row("ParallelWidth", "Their width", "length",
            "0: the width of the equal strakes amidships", (), lambda v: v["ParallelBelt"]),
    ]  # fmt: skip


def _planks(document, obj):
    return [
        row("Thickness", "Thickness", "length"),
        row("Layer", "Planks lie", "choice", "Side of the modelled surface", tuple(LAYERS)),
        row("BothSides", "Both sides of the ship", "switch"),
    ]


PANELS = {
    "LineOff": (
        "Line-off",
        "Equal strakes from the sheer to the line, and below it strakes that run parallel to it.",
        _line_off,
    ),
    "Planks": ("Planks", "A solid for every plank.", _planks),
}
