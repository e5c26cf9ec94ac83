# SPDX-License-Identifier: LGPL-2.1-or-later
"""The parallel line: at a constant distance square to another line."""

from ..core.errors import PlanError
from ..core.lines.parallel import parallel_line
from ..host.cache import Keyed, Results, digest
from .base import Property
from .line import READ_OUTS, LineObject, line_or_sheer_of, surface_object_of_line
from .planked_surface import surface_of

__all__ = ["ParallelLineObject"]

_lines = Results()


class ParallelLineObject(LineObject):
    """Proxy of a parallel line."""

    KIND = "ParallelLine"
    PROPERTIES = (
        Property("App::PropertyLink", "Line", "Line",
                 "Line that it runs parallel to; a planked surface stands for its sheer"),
        Property("App::PropertyDistance", "Distance", "Line",
                 "Distance square to that line on the hull; positive towards the keel, negative towards the sheer"),
        *READ_OUTS,
    )  # fmt: skip

    def surface(self, obj):
        if obj.Line is None:
            raise PlanError(
                f"{obj.Label} has no line to run parallel to",
                remedy="Set its property Line to a line, or to a planked surface for its sheer",
            )
        return surface_object_of_line(obj.Line)

    def find(self, obj):
        hull = surface_of(self.surface(obj))
        line, distance = line_or_sheer_of(obj.Line), obj.Distance.Value
        key = digest(line.key, "parallel", distance)
        return Keyed(_lines.get(key, lambda: parallel_line(hull.value, line.value, distance)), key)
