# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line: the line a string takes when it is stretched round the hull."""

import math
from dataclasses import replace

import Part
from FreeCAD import Vector

from ..core.lines.bridging import bridging_line
from ..core.lines.taut import taut_line
from ..host.cache import Keyed, Results, digest
from .base import READ_ONLY, Property, set_value
from .line import READ_OUTS, SURFACE, LineObject, line_of
from .marked import BOW, MARK_1, MARK_2, STERN
from .planked_surface import surface_of

__all__ = [
    "BETWEEN_ENDS", "END_AND_MARK", "HEADING", "STEM", "STERN_END", "THROUGH_MARKS",
    "TautLineObject", "bridged_of", "line_of",
]  # fmt: skip

BETWEEN_ENDS = "Between ends"
THROUGH_MARKS = "Through aim marks"
END_AND_MARK = "From an end through a mark"
HEADING = "Through a mark by a heading"

STEM, STERN_END = "Stem", "Stern"

_lines = Results()
_bridged = Results()


class TautLineObject(LineObject):
    """Proxy of a taut line."""

    KIND = "TautLine"
    CHOICES = ("Marks", "End", "Bridge", *(m.name("GivenBy") for m in (BOW, STERN, MARK_1, MARK_2)))
    PROPERTIES = (
        SURFACE,
        Property("App::PropertyEnumeration", "Marks", "Line",
                 "What the line is aimed by: its two ends, two marks between which it is stretched and run on, "
                 "an end and a mark, or a mark and a heading",
                 [BETWEEN_ENDS, THROUGH_MARKS, END_AND_MARK, HEADING]),
        Property("App::PropertyBool", "Bridge", "Line",
                 "String over hollows: where the hull falls away the string lifts off, as a real one does", False),
        *BOW.properties,
        *STERN.properties,
        Property("App::PropertyEnumeration", "End", "Ends", "End that the line starts from", [STEM, STERN_END]),
        *MARK_1.properties,
        *MARK_2.properties,
        Property("App::PropertyAngle", "Heading", "Aim marks",
                 "Angle by which the line, going aft through the mark, falls below square to the station"),
        *READ_OUTS,
        Property("App::PropertyLength", "GreatestGap", "Found",
                 "Greatest distance of the string off the hull", None, READ_ONLY),
    )  # fmt: skip

    def find(self, obj):
        laid = _laid(obj)
        if not obj.Bridge:
            return laid
        return Keyed(_told(obj, bridged_of(obj).value), digest(laid.key, "foot"))

    def needless(self, obj):
        kind = obj.Marks
        marks = [mark for mark, used in _used(obj) if used]
        hidden = [n for mark, used in _used(obj) if not used for n in mark.names]
        hidden += [n for mark in marks for n in mark.needless(obj)]
        if kind != END_AND_MARK:
            hidden.append("End")
        if kind != HEADING:
            hidden.append("Heading")
        return hidden

    def shape(self, obj, line):
        """The line laid on the hull and, where it bridges, the string's free runs."""
        wire = super().shape(obj, line)
        runs = bridged_of(obj).value.free_runs if obj.Bridge else ()
        if not runs:
            return wire
        free = [Part.Wire([Part.makeLine(*(Vector(*p) for p in run.ends))]) for run in runs]
        return Part.Compound([wire, *free])

    def tell(self, obj, line):
        set_value(obj, "GreatestGap", bridged_of(obj).value.greatest_gap if obj.Bridge else 0.0)


def _used(obj):
    """Marks, and whether the chosen kind of line takes them."""
    kind = obj.Marks
    start = kind == END_AND_MARK
    return (
        (BOW, kind == BETWEEN_ENDS or (start and obj.End == STEM)),
        (STERN, kind == BETWEEN_ENDS or (start and obj.End == STERN_END)),
        (MARK_1, kind != BETWEEN_ENDS),
        (MARK_2, kind == THROUGH_MARKS),
    )


def _laid(obj):
    """The taut line laid on the hull, hollow or not."""
    hull = surface_of(obj.Proxy.surface(obj))
    marks = [mark.mark(obj) for mark, used in _used(obj) if used]
    heading = math.radians(obj.Heading.Value) if obj.Marks == HEADING else None
    key = digest(hull.key, "taut", marks, heading)
    # The other strings are always looked for (some 50 ms): the same marks give the same line.
    return Keyed(_lines.get(key, lambda: taut_line(hull.value, marks, heading)), key)


def bridged_of(obj):
    """The string that bridges the hollows of the hull between a taut line's ends.

    Returns
    -------
    Keyed of BridgedLine
    """
    hull, laid = surface_of(obj.Proxy.surface(obj)), _laid(obj)
    key = digest(laid.key, "bridged")
    return Keyed(_bridged.get(key, lambda: bridging_line(hull.value, laid.value)), key)


def _told(obj, bridged):
    """The foot of a bridging string, with what the user has to know in its notes."""
    if not bridged.free_runs:
        note = "There is no hollow along it: the string touches the hull everywhere."
    else:
        frame = bridged.frame
        place = frame.station_label(float(frame.to_ship_station(bridged.off_laid_station)))
        note = (
            f"The string is {bridged.length:.1f} mm long; its foot on the hull lies up to "
            f"{bridged.off_laid:.1f} mm from the line laid on the hull, {place}."
        )
    return replace(bridged.line, notes=(*bridged.line.notes, note))
