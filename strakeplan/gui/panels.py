# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels in which an object's figures are given, for a new object or an old one."""

import FreeCADGui

from ..core.errors import PlanError
from ..objects import make
from ..objects.base import kind_of
from ..objects.planked_surface import PlankedSurfaceObject
from ..objects.planks import LAYERS, PlanksObject
from ..objects.line_off import LineOffObject
from ..objects.taut_line import BETWEEN_ENDS, THROUGH_MARKS, TautLineObject
from .form import Form, Row, translate

__all__ = ["show", "edit", "rows_of"]

#: kind -> (title, sentence above the rows)
_TEXTS = {
    PlankedSurfaceObject.KIND: (
        "Planked surface",
        "One side of the hull, from the sheer down to where stem, keel and sternpost are as wide as their siding.",
    ),
    TautLineObject.KIND: (
        "Taut line",
        "The line a string takes when it is stretched round the hull. Girths are measured from the sheer down.",
    ),
    LineOffObject.KIND: (
        "Line-off",
        "Equal strakes from the sheer to the line, and below it strakes that run parallel to it.",
    ),
    PlanksObject.KIND: ("Planks", "A solid for every plank."),
}


def rows_of(kind, values):
    """The rows of a kind of object.

    Parameters
    ----------
    kind : str
    values : dict
        Property name -> first value.
    """

    def row(name, label, how, tip="", choices=(), shown=None):
        return Row(name, translate(label), how, values[name], translate(tip), choices, shown)

    def own(v):
        return v["SeparateSidings"]

    if kind == PlankedSurfaceObject.KIND:
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
    if kind == TautLineObject.KIND:
        def ends(v):
            return v["Marks"] == BETWEEN_ENDS

        def aimed(v):
            return v["Marks"] == THROUGH_MARKS

        return [
            row("Marks", "Stretched", "choice", "", (BETWEEN_ENDS, THROUGH_MARKS)),
            row("BowGirth", "Girth at the stem", "length", "From the sheer down the stem", (), ends),
            row("SternGirth", "Girth at the stern", "length", "From the sheer down the stern", (), ends),
            row("MarkPosition1", "First mark at", "length", "Coordinate along the ship", (), aimed),
            row("MarkGirth1", "Its girth", "length", "From the sheer down", (), aimed),
            row("MarkPosition2", "Second mark at", "length", "Coordinate along the ship", (), aimed),
            row("MarkGirth2", "Its girth", "length", "From the sheer down", (), aimed),
        ]  # fmt: skip
    if kind == LineOffObject.KIND:
        return [
            row("Strakes", "Equal strakes", "integer", "Between the sheer and the line"),
            row("ParallelBelt", "Parallel strakes below", "switch", "Down to the rabbet"),
            row("ParallelWidth", "Their width", "length",
                "0: the width of the equal strakes amidships", (), lambda v: v["ParallelBelt"]),
        ]  # fmt: skip
    return [
        row("Thickness", "Thickness", "length"),
        row("Layer", "Planks lie", "choice",
            "Side of the modelled surface", tuple(LAYERS)),
        row("BothSides", "Both sides of the ship", "switch"),
    ]  # fmt: skip


def show(kind, make_it, defaults):
    """Open the panel of a new object, which is made when OK is pressed.

    Parameters
    ----------
    kind : str
    make_it : callable
        (**values) -> document object; may raise PlanError.
    defaults : dict
        Property name -> first value.

    Returns
    -------
    Form
    """
    return _open(kind, defaults, lambda values: make_it(**values))


def edit(obj):
    """Open the panel of an object that is there: whether there is one."""
    kind = kind_of(obj)
    if kind not in _TEXTS or FreeCADGui.Control.activeDialog():
        return False
    values = {name: _shown(getattr(obj, name)) for name in _names(kind)}
    title = translate("Change {}").format(obj.Label)
    _open(kind, values, lambda new: make.change(obj, title, **new))
    return True


def _open(kind, values, accept):
    if FreeCADGui.Control.activeDialog():
        raise PlanError("Another task is open", remedy="Close it first")
    title, intro = _TEXTS[kind]
    form = Form(translate(title), translate(intro), rows_of(kind, values), accept)
    FreeCADGui.Control.showDialog(form)
    return form


def _names(kind):
    """Properties that the panel of a kind shows."""

    class Anything(dict):
        def __missing__(self, key):
            return None

    return [row.name for row in rows_of(kind, Anything())]


def _shown(value):
    """A property's value as a row takes it."""
    if hasattr(value, "Value"):
        return value.Value
    return list(value) if isinstance(value, (list, tuple)) else value
