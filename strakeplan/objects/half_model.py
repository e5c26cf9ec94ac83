# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks for a half model, as spreadsheets."""

import numpy as np

from ..core.halfmodel import HalfModel, half_model_marks, read_scale
from ..host.cache import Keyed, Results, digest
from ..host.measured import half_model_layouts
from ..host.sheets import fill_sheet
from .base import HIDDEN, READ_ONLY, PlanObject, Property, linked, set_value
from .line_off import LineOffObject, lineoff_of, surface_object_of
from .members import add_member, members_of
from .planked_surface import stations_of

__all__ = ["SIDES", "HalfModelObject", "half_model_of", "half_model_tables_of"]

#: what a user chooses -> the core's name
SIDES = {"On its skin": "outside", "On the body under it": "inside"}

_models = Results(8)


class HalfModelObject(PlanObject):
    """Proxy of a half model's marks."""

    KIND = "HalfModel"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Half model", "Line-off whose marks are taken to the model"),
        Property("App::PropertyString", "Scale", "Half model", "Such as 1:12, 12, or 1 in = 1 ft", "1:12"),
        Property("App::PropertyLength", "Skin", "Half model",
                 "Thickness of the model's own skin, measured on the model; 0: the body is the moulded surface"),
        Property("App::PropertyEnumeration", "Ticked", "Half model",
                 "Where the marks are ticked on a model with a skin", list(SIDES)),
        Property("App::PropertyLength", "GreatestAllowance", "Found",
                 "The most that the skin makes to any mark, on the model", None, READ_ONLY),
        Property("App::PropertyStringList", "Notes", "Found", "What was found and assumed", [], READ_ONLY),
        Property("App::PropertyLinkListHidden", "Members", "Half model", "The sheets", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        marks = half_model_of(obj).value
        there = members_of(obj)
        for key, table in half_model_layouts(marks).items():
            name = "".join(word.capitalize() for word in key.split())
            sheet = there.get(key) or add_member(obj, "Spreadsheet::Sheet", key, name, key)
            fill_sheet(sheet, table.header, table.rows, table.units)
        set_value(obj, "GreatestAllowance", float(np.nanmax(np.abs(marks.allowance), initial=0.0)))
        set_value(obj, "Notes", list(marks.notes))


def half_model_of(obj):
    """What the core found for a document object.

    Returns
    -------
    Keyed of HalfModelMarks
    """
    line_off = linked(obj, "LineOff", LineOffObject.KIND, "line-off")
    lineoff = lineoff_of(line_off)
    stations = stations_of(surface_object_of(line_off))
    model = HalfModel(read_scale(obj.Scale), obj.Skin.Value, SIDES[obj.Ticked])
    key = digest(lineoff.key, [(s.name, s.x) for s in stations], model)
    return Keyed(_models.get(key, lambda: half_model_marks(lineoff.value, stations, model)), key)


def half_model_tables_of(obj):
    """Tables of a document object by name."""
    return half_model_layouts(half_model_of(obj).value)
