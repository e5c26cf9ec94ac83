# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks and bevels as spreadsheets of the document."""

from ..core.errors import PlanError
from ..core.tables.bevels import bevel_table
from ..core.tables.marks import marks_table
from ..core.tables.nibs import nib_table
from ..host.sheets import fill_sheet
from ..host.tables import bevels_layout, marks_layout, nibs_layout
from .base import HIDDEN, PlanObject, Property, kind_of, linked
from .line_off import LineOffObject, lineoff_of, surface_object_of
from .members import add_member, members_of, remove_members
from .planked_surface import stations_of
from .planks import LAYERS, PlanksObject

__all__ = ["MarksSheetObject", "tables_of"]


class MarksSheetObject(PlanObject):
    """Proxy of the sheets of marks and bevels."""

    KIND = "MarksAndBevels"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Tables", "Line-off that is measured"),
        Property("App::PropertyLink", "Planks", "Tables",
                 "Planks whose inner face the bevels are taken from; none: the modelled surface"),
        Property("App::PropertyLinkListHidden", "Members", "Tables", "The sheets", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        there, tables = members_of(obj), tables_of(obj)
        remove_members(obj, [key for key in there if key not in tables])
        for key, table in tables.items():
            sheet = there.get(key) or add_member(obj, "Spreadsheet::Sheet", key, key, key)
            fill_sheet(sheet, table.header, table.rows, table.units)


def tables_of(obj):
    """The tables of a document object.

    Returns
    -------
    dict of str -> Table
        "Marks" and "Bevels"; "Nibs" where strakes end in some.
    """
    source = linked(obj, "LineOff", LineOffObject.KIND, "line-off")
    lineoff = lineoff_of(source).value
    stations = stations_of(surface_object_of(source))
    bevels = bevel_table(lineoff, stations, _inner_face(obj, source))
    tables = {
        "Marks": marks_layout(marks_table(lineoff, stations)),
        "Bevels": bevels_layout(bevels, stations),
    }
    nibs = nib_table(lineoff)
    if nibs:
        tables["Nibs"] = nibs_layout(nibs)
    return tables


def _inner_face(obj, source):
    """Distance along the outward normal from the modelled surface to the planks' inner face."""
    planks = obj.Planks
    if planks is None:
        return 0.0
    if kind_of(planks) != PlanksObject.KIND or planks.LineOff is not source:
        raise PlanError(
            f"{obj.Label}: {planks.Label} are not planks of {source.Label}",
            remedy="Set its property Planks to planks of the same line-off, or to none",
        )
    return 0.0 if LAYERS[planks.Layer] == "outside" else -planks.Thickness.Value
