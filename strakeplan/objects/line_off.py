# SPDX-License-Identifier: LGPL-2.1-or-later
"""The line-off: seams and strakes from the sheer down to the rabbet."""

import Part

from ..core.errors import PlanError
from ..core.lineoff.belts import EqualBelt, ParallelBelt
from ..core.lineoff.lineoff import line_off
from ..host import shapes
from ..host.cache import Keyed, Results, digest
from .base import READ_ONLY, PlanObject, Property, set_value
from .line import line_of, surface_object_of_line
from .planked_surface import surface_of

__all__ = ["LineOffObject", "lineoff_of", "surface_object_of", "seam_splines"]

_lineoffs = Results(8)
_splines = Results(8)


class LineOffObject(PlanObject):
    """Proxy of a line-off."""

    KIND = "LineOff"
    PROPERTIES = (
        Property("App::PropertyLink", "Line", "Belts",
                 "Line between the equal strakes and what lies below"),
        Property("App::PropertyInteger", "Strakes", "Belts",
                 "Number of equal strakes between the sheer and the line", 12),
        Property("App::PropertyBool", "ParallelBelt", "Belts",
                 "Below the line, strakes of one width parallel to it down to the rabbet", True),
        Property("App::PropertyLength", "ParallelWidth", "Belts",
                 "Width of the strakes below the line; 0: that of the equal strakes amidships"),
        Property("App::PropertyInteger", "StrakeCount", "Found",
                 "Number of strakes, from the sheer to the garboard", 0, READ_ONLY),
        Property("App::PropertyLength", "FoundParallelWidth", "Found",
                 "Width of the strakes below the line, square to it", None, READ_ONLY),
        Property("App::PropertyStringList", "Notes", "Found",
                 "What was found and assumed, and what to look at", [], READ_ONLY),
    )  # fmt: skip

    def build(self, obj):
        splines = seam_splines(obj)
        obj.Shape = Part.Compound([shapes.wire_of(piece) for piece in splines.value])
        lineoff = lineoff_of(obj).value
        set_value(obj, "StrakeCount", len(lineoff.strakes))
        set_value(obj, "FoundParallelWidth", lineoff.parallel_width or 0.0)
        set_value(obj, "Notes", list(lineoff.notes))


def surface_object_of(obj):
    """The planked surface's document object that a line-off lies on."""
    return surface_object_of_line(_line(obj))


def _line(obj):
    """The line's document object that bounds the equal strakes."""
    if obj.Line is None:
        raise PlanError(
            f"{obj.Label} has no line",
            remedy="Set its property Line to a line from stem to stern, such as a taut line",
        )
    return obj.Line


def lineoff_of(obj):
    """The core's line-off of a document object.

    Parameters
    ----------
    obj : document object with a LineOffObject

    Returns
    -------
    Keyed of LineOff

    Raises
    ------
    PlanError
    """
    line = line_of(_line(obj))
    hull = surface_of(surface_object_of(obj))
    width = obj.ParallelWidth.Value or None
    key = digest(line.key, obj.Strakes, obj.ParallelBelt, width)

    def make():
        belts = [EqualBelt(obj.Strakes, lower=line.value)]
        if obj.ParallelBelt:
            belts.append(ParallelBelt(width))
        return line_off(hull.value, belts)

    return Keyed(_lineoffs.get(key, make), key)


def seam_splines(obj):
    """Splines of all seams, in model coordinates: one list for each part of a seam.

    Returns
    -------
    Keyed of list of list of SplineCurve
    """
    lineoff = lineoff_of(obj)
    frame = lineoff.value.hull.frame
    key = digest(lineoff.key, "seams")

    def make():
        return [
            shapes.fit_curve(part.curve, frame)
            for seam in lineoff.value.seams
            for part in seam.parts
        ]

    return Keyed(_splines.get(key, make), key)
