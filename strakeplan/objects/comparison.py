# SPDX-License-Identifier: LGPL-2.1-or-later
"""Numbers of strakes side by side, as a spreadsheet."""

from ..core.lineoff.belts import EqualBelt
from ..core.lineoff.compare import compare_counts, compared_belt, counts_around
from ..host.cache import Keyed, Results, digest
from ..host.sheets import fill_sheet
from ..host.tables import counts_layout
from .base import HIDDEN, PlanObject, Property, linked
from .line_off import LineOffObject, belts_of, lineoff_of, surface_object_of
from .members import add_member, members_of
from .planked_surface import surface_of

__all__ = ["ComparisonObject", "compared_counts"]

_compared = Results()


class ComparisonObject(PlanObject):
    """Proxy of a sheet that has a column for each of several numbers of strakes."""

    KIND = "Comparison"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Numbers",
                 "Line-off whose number of equal strakes is varied; its nibs are left out"),
        Property("App::PropertyIntegerList", "Counts", "Numbers",
                 "Numbers of equal strakes; none: from three fewer to three more than there are"),
        Property("App::PropertyLength", "PlankLength", "Numbers",
                 "Length of plank over which the edge set is taken", 5000.0),
        Property("App::PropertyLength", "NarrowestStrake", "Numbers",
                 "Breadth below which strakes are counted as too narrow; 0: that of the line-off"),
        Property("App::PropertyLinkListHidden", "Members", "Numbers", "The sheet", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        table = counts_layout(compared_counts(obj).value, obj.PlankLength.Value)
        sheet = members_of(obj).get("Numbers") or add_member(
            obj, "Spreadsheet::Sheet", "Numbers", "Numbers", "Strakes compared"
        )
        fill_sheet(sheet, table.header, table.rows, table.units, table.row_units)


def compared_counts(obj):
    """The core's figures of a document object.

    Returns
    -------
    Keyed of tuple of CountFigures
    """
    source = linked(obj, "LineOff", LineOffObject.KIND, "line-off")
    belts, hull = belts_of(source), surface_of(surface_object_of(source))
    counts = tuple(obj.Counts)
    if not counts:
        belt = belts.value[compared_belt(belts.value)]
        counts = counts_around(belt.count if belt.count is not None else _found_count(source))
    narrowest = obj.NarrowestStrake.Value or source.NarrowestStrake.Value or None
    key = digest(hull.key, belts.key, counts, obj.PlankLength.Value, narrowest)

    def make():
        return compare_counts(hull.value, belts.value, counts, obj.PlankLength.Value, narrowest)

    return Keyed(_compared.get(key, make), key)


def _found_count(source):
    """Strakes of the belt whose number follows from a greatest width."""
    return int(next(b.count for b in lineoff_of(source).value.belts if isinstance(b, EqualBelt)))
