# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks and bevels as spreadsheets of the document."""

from ..core.tables.bevels import bevel_table
from ..core.tables.marks import marks_table
from ..host.sheets import fill_sheet
from .base import HIDDEN, PlanObject, Property, linked
from .line_off import LineOffObject, lineoff_of, surface_object_of
from .members import add_member, members_of
from .planked_surface import stations_of

__all__ = ["MarksSheetObject", "tables_of"]


class MarksSheetObject(PlanObject):
    """Proxy of the sheets of marks and bevels."""

    KIND = "MarksAndBevels"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Tables", "Line-off that is measured"),
        Property("App::PropertyLinkListHidden", "Members", "Tables", "The sheets", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        there = members_of(obj)
        for key, table in tables_of(obj).items():
            sheet = there.get(key) or add_member(obj, "Spreadsheet::Sheet", key, key, key)
            fill_sheet(sheet, table.header, table.rows, table.units)


def tables_of(obj):
    """The tables of a document object.

    Returns
    -------
    dict of str -> table with header, rows and units
    """
    source = linked(obj, "LineOff", LineOffObject.KIND, "line-off")
    lineoff = lineoff_of(source).value
    stations = stations_of(surface_object_of(source))
    return {
        "Marks": marks_table(lineoff, stations),
        "Bevels": bevel_table(lineoff, stations),
    }
