# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line: the line a string takes when it is stretched round the hull."""

from ..core.lines.taut import taut_between_ends, taut_through_marks
from ..host import shapes
from ..host.cache import Keyed, Results, digest
from .base import HIDDEN, READ_ONLY, PlanObject, Property, linked, set_value
from .planked_surface import PlankedSurfaceObject, surface_of

__all__ = ["TautLineObject", "line_of", "BETWEEN_ENDS", "THROUGH_MARKS"]

BETWEEN_ENDS = "Between ends"
THROUGH_MARKS = "Through aim marks"

_lines = Results()

_ENDS = ("BowGirth", "SternGirth")
_MARKS = ("MarkPosition1", "MarkGirth1", "MarkPosition2", "MarkGirth2")


class TautLineObject(PlanObject):
    """Proxy of a taut line."""

    KIND = "TautLine"
    PROPERTIES = (
        Property("App::PropertyLink", "Surface", "Line", "Planked surface that the line lies on"),
        Property("App::PropertyEnumeration", "Marks", "Line",
                 "What the line is aimed by: its two ends, or two marks between which it is stretched and run on",
                 [BETWEEN_ENDS, THROUGH_MARKS]),
        Property("App::PropertyLength", "BowGirth", "Ends", "Girth below the sheer along the stem"),
        Property("App::PropertyLength", "SternGirth", "Ends", "Girth below the sheer along the stern"),
        Property("App::PropertyDistance", "MarkPosition1", "Aim marks",
                 "Coordinate of the first mark along the ship"),
        Property("App::PropertyLength", "MarkGirth1", "Aim marks",
                 "Girth of the first mark below the sheer"),
        Property("App::PropertyDistance", "MarkPosition2", "Aim marks",
                 "Coordinate of the second mark along the ship"),
        Property("App::PropertyLength", "MarkGirth2", "Aim marks",
                 "Girth of the second mark below the sheer"),
        Property("App::PropertyLength", "LineLength", "Found", "Length of the line", None, READ_ONLY),
        Property("App::PropertyLength", "ErrorPosition", "Found",
                 "Bound of the numerical error of its position", None, READ_ONLY),
        Property("App::PropertyStringList", "Notes", "Found", "What was found and assumed", [], READ_ONLY),
    )  # fmt: skip

    def build(self, obj):
        line = line_of(obj).value
        frame = surface_of(obj.Surface).value.frame
        obj.Shape = shapes.wire_of(shapes.fit_curve(line.curve, frame))
        set_value(obj, "LineLength", line.curve.length)
        set_value(obj, "ErrorPosition", line.error_position)
        set_value(obj, "Notes", list(line.notes))

    def complete(self, obj):
        super().complete(obj)
        self._show(obj)

    def onChanged(self, obj, name):
        """Show only the figures that the chosen kind of marks asks for."""
        if name == "Marks":
            self._show(obj)

    def _show(self, obj):
        by_ends = obj.Marks == BETWEEN_ENDS
        for names, shown in ((_ENDS, by_ends), (_MARKS, not by_ends)):
            for name in names:
                if hasattr(obj, name):
                    obj.setEditorMode(name, 0 if shown else HIDDEN)


def line_of(obj):
    """The core's line of a document object.

    Parameters
    ----------
    obj : document object with a TautLineObject

    Returns
    -------
    Keyed of HullLine

    Raises
    ------
    PlanError
    """
    hull = surface_of(linked(obj, "Surface", PlankedSurfaceObject.KIND, "planked surface"))
    if obj.Marks == BETWEEN_ENDS:
        make, figures = taut_between_ends, (obj.BowGirth.Value, obj.SternGirth.Value)
    else:
        make = taut_through_marks
        figures = (
            (obj.MarkPosition1.Value, obj.MarkGirth1.Value),
            (obj.MarkPosition2.Value, obj.MarkGirth2.Value),
        )
    key = digest(hull.key, obj.Marks, figures)
    return Keyed(_lines.get(key, lambda: make(hull.value, *figures)), key)
