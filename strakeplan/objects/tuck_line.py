# SPDX-License-Identifier: LGPL-2.1-or-later
"""The tuck line: where the sections turn hardest aft; it advises and divides nothing."""

import math

import Part

from ..core.errors import PlanError
from ..core.lines.tuck import crossing_angles, tuck_line
from ..host import shapes
from ..host.cache import Keyed, Results, digest
from .base import READ_ONLY, PlanObject, Property, kind_of, linked, set_value
from .line import READ_OUTS, SURFACE, is_line, line_of
from .planked_surface import PlankedSurfaceObject, surface_of

__all__ = ["TURNS", "TuckLineObject", "crossings_of", "tuck_of"]

#: what the user chooses -> what the core calls it
TURNS = {"Hollow, into the sternpost": "hollow", "Round, of the bilge": "round"}

_tucks = Results()


class TuckLineObject(PlanObject):
    """Proxy of a tuck line."""

    KIND = "TuckLine"
    PROPERTIES = (
        SURFACE,
        Property("App::PropertyEnumeration", "Turn", "Line", "Which turn of the sections is meant", list(TURNS)),
        Property("App::PropertyLength", "TurnOver", "Line",
                 "Girth over which a turn is taken, about a plank's width; 0: at a point", 150.0),
        Property("App::PropertyFloatList", "Limits", "Line",
                 "Two coordinates along the ship between which it is looked for, mm; "
                 "empty: from the greatest half-breadth aft"),
        Property("App::PropertyLinkList", "Lines", "Line",
                 "Lines and line-offs whose angle with the tuck is told"),
        *READ_OUTS,
        Property("App::PropertyLength", "HardestRadius", "Found",
                 "Least radius of the turn along it", None, READ_ONLY),
        Property("App::PropertyStringList", "Crossings", "Found",
                 "Where the lines cross the tuck, and at what angle", [], READ_ONLY),
    )  # fmt: skip

    def build(self, obj):
        surface = linked(obj, "Surface", PlankedSurfaceObject.KIND, "planked surface")
        hull, tuck = surface_of(surface).value, tuck_of(obj).value
        found = tuck.curve is not None
        obj.Shape = (
            shapes.wire_of(shapes.fit_curve(tuck.curve, hull.frame)) if found else Part.Compound([])
        )
        set_value(obj, "LineLength", tuck.curve.length if found else 0.0)
        set_value(obj, "ErrorPosition", tuck.error_position if found else 0.0)
        set_value(obj, "HardestRadius", float(min(tuck.radius)) if found else 0.0)
        set_value(obj, "Notes", list(tuck.notes))
        set_value(obj, "Crossings", [
            f"{c.name}: {math.degrees(c.angle):.1f} degrees at "
            f"{hull.frame.station_label(float(hull.frame.to_ship_station(c.station)))}"
            for c in crossings_of(obj)
        ])  # fmt: skip


def crossings_of(obj):
    """Where the lines and seams of a document object's list cross its tuck.

    Returns
    -------
    tuple of TuckCrossing
    """
    hull = surface_of(linked(obj, "Surface", PlankedSurfaceObject.KIND, "planked surface")).value
    lines = [pair for line in obj.Lines for pair in _named(line)]
    return crossing_angles(hull, tuck_of(obj).value, lines)


def _named(obj):
    """(name, core line) of a line, or of the seams of a line-off."""
    if is_line(obj):
        return [(obj.Label, line_of(obj).value)]
    if kind_of(obj) == "LineOff":
        from .line_off import lineoff_of

        return [(seam.name, seam) for seam in lineoff_of(obj).value.seams]
    raise PlanError(f"{obj.Label} is no line and no line-off", remedy="Take it out of the list Lines")


def tuck_of(obj):
    """The core's tuck line of a document object.

    Returns
    -------
    Keyed of TuckLine
    """
    hull = surface_of(linked(obj, "Surface", PlankedSurfaceObject.KIND, "planked surface"))
    which, over, limits = TURNS[obj.Turn], obj.TurnOver.Value, list(obj.Limits)
    if len(limits) not in (0, 2):
        raise PlanError(
            f"{len(limits)} limits are given", remedy="Give two coordinates along the ship, or none"
        )
    key = digest(hull.key, "tuck", which, over, limits)
    return Keyed(_tucks.get(key, lambda: tuck_line(hull.value, which, over, *limits)), key)
