# SPDX-License-Identifier: LGPL-2.1-or-later
"""The batten line: a stiff batten bent fair round the hull through any number of marks."""

import math

from ..core.errors import PlanError
from ..core.lines.batten import batten_line
from ..core.lines.marks import Mark, places
from ..host.cache import Keyed, Results, digest
from .base import READ_ONLY, Property, set_value
from .line import READ_OUTS, SURFACE, LineObject
from .marked import BOW, GIRTH, SHARE, STERN, vertex_points
from .planked_surface import surface_of

__all__ = ["BattenLineObject"]

_lines = Results()


class BattenLineObject(LineObject):
    """Proxy of a batten line."""

    KIND = "BattenLine"
    CHOICES = (
        "MarksGivenBy", "BowEnd", "SternEnd", "BowHeld", "SternHeld", BOW.name("GivenBy"), STERN.name("GivenBy"),
    )  # fmt: skip
    PROPERTIES = (
        SURFACE,
        Property("App::PropertyEnumeration", "MarksGivenBy", "Marks",
                 "How the marks at stations are given", [GIRTH, SHARE]),
        Property("App::PropertyFloatList", "MarkPositions", "Marks", "Coordinates of the marks along the ship, mm"),
        Property("App::PropertyFloatList", "MarkGirths", "Marks",
                 "Girths of the marks below the sheer, mm, as many as positions"),
        Property("App::PropertyFloatList", "MarkShares", "Marks",
                 "The same as shares of the whole girth there, 0 to 1"),
        Property("App::PropertyVectorList", "MarkPoints", "Marks", "Further marks: points picked on the hull"),
        Property("App::PropertyLinkSubListGlobal", "MarkVertices", "Marks",
                 "Further marks: vertices; the line follows them"),
        Property("App::PropertyLength", "Tolerance", "Marks",
                 "How far the line may pass from every mark; 0: through the marks exactly"),
        Property("App::PropertyBool", "BowEnd", "Ends",
                 "The batten starts from a mark on the stem; otherwise it runs on straight to it", True),
        *BOW.properties,
        Property("App::PropertyBool", "SternEnd", "Ends",
                 "The batten ends at a mark on the stern; otherwise it runs on straight to it", True),
        *STERN.properties,
        Property("App::PropertyBool", "BowHeld", "Held ends", "The batten is held at its first mark", False),
        Property("App::PropertyAngle", "BowAngle", "Held ends",
                 "Angle at which it is held, off the string to the next mark; positive towards the keel"),
        Property("App::PropertyBool", "SternHeld", "Held ends", "The batten is held at its last mark", False),
        Property("App::PropertyAngle", "SternAngle", "Held ends",
                 "Angle at which it is held, off the string to the next mark; positive towards the keel"),
        *READ_OUTS,
        Property("App::PropertyFloatList", "MarkOffsets", "Found",
                 "How far the line passes from each mark, from the bow aft, mm; positive on the keel's side",
                 None, READ_ONLY),
        Property("App::PropertyStringList", "UnfairMarks", "Found",
                 "Marks that stand out of the fair line of the others", None, READ_ONLY),
    )  # fmt: skip

    def find(self, obj):
        hull = surface_of(self.surface(obj))
        marks = _marks(obj)
        hold = [
            math.radians(angle.Value) if held else None
            for held, angle in ((obj.BowHeld, obj.BowAngle), (obj.SternHeld, obj.SternAngle))
        ]
        tolerance = obj.Tolerance.Value
        key = digest(hull.key, "batten", marks, tolerance, hold)

        def make():
            found = places(hull.value, marks)
            order = sorted(range(len(marks)), key=lambda k: found[k].p[0])
            return batten_line(hull.value, [marks[k] for k in order], tolerance, *hold)

        return Keyed(_lines.get(key, make), key)

    def needless(self, obj):
        hidden = ["MarkShares" if obj.MarksGivenBy == GIRTH else "MarkGirths"]
        for used, mark in ((obj.BowEnd, BOW), (obj.SternEnd, STERN)):
            hidden += mark.needless(obj) if used else mark.names
        for held, name in ((obj.BowHeld, "BowAngle"), (obj.SternHeld, "SternAngle")):
            if not held:
                hidden.append(name)
        return hidden

    def tell(self, obj, line):
        set_value(obj, "MarkOffsets", [bearing.offset for bearing in line.marks])
        set_value(obj, "UnfairMarks", [bearing.label for bearing in line.marks if bearing.unfair])


def _marks(obj):
    """All marks of a batten, in any order."""
    share = obj.MarksGivenBy == SHARE
    positions, name = list(obj.MarkPositions), "MarkShares" if share else "MarkGirths"
    figures = list(getattr(obj, name))
    if len(positions) != len(figures):
        raise PlanError(
            f"{obj.Label} has {len(positions)} positions of marks and {len(figures)} "
            + ("shares" if share else "girths"),
            remedy=f"Give as many in {name} as in MarkPositions",
        )
    kind = "share" if share else "girth"
    marks = [Mark(station=x, **{kind: value}) for x, value in zip(positions, figures)]
    marks += [Mark(point=tuple(p)) for p in obj.MarkPoints]
    marks += [Mark(point=p) for p in vertex_points(obj.MarkVertices, obj, "MarkVertices")]
    if obj.BowEnd:
        marks.insert(0, BOW.mark(obj))
    if obj.SternEnd:
        marks.append(STERN.mark(obj))
    return marks
