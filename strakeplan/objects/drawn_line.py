# SPDX-License-Identifier: LGPL-2.1-or-later
"""The drawn line: an edge, a wire or a sketch laid on to the hull."""

import numpy as np

from ..core.errors import PlanError
from ..core.lines.drawn import drawn_line
from ..host.cache import Keyed, Results, digest
from ..host.drawn import pieces_of_object
from .base import READ_ONLY, Property, set_value
from .line import READ_OUTS, SURFACE, LineObject
from .planked_surface import surface_of

__all__ = ["ALONG", "DrawnLineObject", "WAYS"]

ALONG = "Along a direction"

#: what the user chooses -> what the core calls it
WAYS = {
    "Along the hull's normal": "normal",
    "As seen in profile": "profile",
    "As seen in half-breadth": "half-breadth",
    "As seen in the body plan": "body plan",
    ALONG: None,
}

_PLACES = 33  # of every smooth stretch of a drawn edge, by which one drawing is told from another
_lines = Results()


class DrawnLineObject(LineObject):
    """Proxy of a drawn line."""

    KIND = "DrawnLine"
    CHOICES = ("Way",)
    PROPERTIES = (
        SURFACE,
        Property("App::PropertyLinkSubGlobal", "Drawn", "Line",
                 "Edge, wire or sketch that is laid on to the hull, or some edges of an object"),
        Property("App::PropertyEnumeration", "Way", "Line", "How it is laid on", list(WAYS)),
        Property("App::PropertyVector", "Direction", "Line", "Direction along which it is laid on"),
        *READ_OUTS,
        Property("App::PropertyLength", "GreatestMove", "Found",
                 "Greatest distance between the line as drawn and on the hull", None, READ_ONLY),
    )  # fmt: skip

    def find(self, obj):
        hull = surface_of(self.surface(obj))
        if obj.Drawn is None or obj.Drawn[0] is None:
            raise PlanError(
                f"{obj.Label} has no drawn line",
                remedy="Set its property Drawn to an edge, a wire or a sketch",
            )
        pieces = pieces_of_object(obj.Drawn[0], obj.Drawn[1])
        way = WAYS[obj.Way] or tuple(obj.Direction)
        key = digest(hull.key, "drawn", [_traits(piece) for piece in pieces], way)
        return Keyed(_lines.get(key, lambda: drawn_line(hull.value, pieces, way)), key)

    def needless(self, obj):
        return () if obj.Way == ALONG else ("Direction",)

    def tell(self, obj, line):
        set_value(obj, "GreatestMove", line.moved)


def _traits(piece):
    """What tells one drawn edge from another: its breaks and places along it."""
    breaks = np.array(piece.breaks, float)
    t = np.concatenate([np.linspace(a, b, _PLACES) for a, b in zip(breaks[:-1], breaks[1:])])
    return piece.name, breaks, piece.points_of(t)
