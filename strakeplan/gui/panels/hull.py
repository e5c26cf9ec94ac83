# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panel of the planked surface."""

from .rows import row

__all__ = ["PANELS"]


def _surface(document, obj):
    def own(v):
        return v["SeparateSidings"]

    return [
        row("HalfSiding", "Half siding", "length",
            "Half the width of stem, keel and sternpost", (), lambda v: not own(v)),
        row("SeparateSidings", "Separate half sidings", "switch",
            "Stem, keel and sternpost have half sidings of their own"),
        row("HalfSidingStem", "Half siding, stem", "length", "", (), own),
        row("HalfSidingKeel", "Half siding, keel", "length", "", (), own),
        row("HalfSidingPost", "Half siding, post", "length", "", (), own),
        row("StationSpacing", "Station spacing", "length",
            "Distance between stations; 0: a tenth of the length"),
        row("StationPositions", "Station positions", "lengths",
            "Coordinates along the ship, parted by semicolons; they go before the spacing"),
        row("HalfStations", "Half stations too", "switch"),
    ]  # fmt: skip


PANELS = {
    "PlankedSurface": (
        "Planked surface",
        "One side of the hull, from the sheer down to where stem, keel and sternpost are as wide as their siding.",
        _surface,
    ),
}
