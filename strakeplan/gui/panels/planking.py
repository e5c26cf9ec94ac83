# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panel of planks."""

from ...objects.planks import LAYERS
from .rows import row

__all__ = ["PANELS"]


def _planks(document, obj):
    return [
        row("Thickness", "Thickness", "length"),
        row("Layer", "Planks lie", "choice", "Side of the modelled surface", tuple(LAYERS)),
        row("BothSides", "Both sides of the ship", "switch"),
    ]


PANELS = {
    "Planks": ("Planks", "A solid for every plank.", _planks),
}
