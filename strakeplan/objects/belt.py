# SPDX-License-Identifier: LGPL-2.1-or-later
"""Belts: parts of the hull's side between two lines, each lined off by its own rule."""

import numpy as np

from ..core.errors import PlanError
from ..core.lineoff.belts import EqualBelt, GradedBelt, ParallelBelt, StationBelt
from ..host.cache import Keyed, digest
from .base import PlanObject, Property, kind_of
from .line import line_of

__all__ = [
    "ALONG_LOWER", "ALONG_UPPER", "BY_GREATEST", "BY_WIDTHS", "EQUAL", "GRADED", "PARALLEL", "RULES", "BeltObject",
    "belt_of", "is_belt",
]  # fmt: skip

EQUAL, BY_GREATEST, GRADED = "Equal", "By greatest width", "Graded"
BY_WIDTHS, PARALLEL = "By widths at stations", "Parallel"
#: what the user chooses
RULES = (EQUAL, BY_GREATEST, GRADED, BY_WIDTHS, PARALLEL)
ALONG_UPPER, ALONG_LOWER = "Upper line", "Lower line"

#: rule -> the properties that say something under it
_OWN = {
    EQUAL: ("Strakes",),
    BY_GREATEST: ("GreatestWidth",),
    GRADED: ("Weights",),
    BY_WIDTHS: ("StationPositions", "Widths", "StemWidths", "SternWidths"),
    PARALLEL: ("Width", "ToRabbet"),
}
_NO_MATTER = {name for names in _OWN.values() for name in names} | {"RunsParallelTo", "GarboardLeast", "Strakes"}


class BeltObject(PlanObject):
    """Proxy of a belt."""

    KIND = "Belt"
    CHOICES = ("Rule", "ToRabbet", "RunsParallelTo")
    PROPERTIES = (
        Property("App::PropertyEnumeration", "Rule", "Belt", "How its strakes are lined off", list(RULES)),
        Property("App::PropertyLink", "Line", "Belt",
                 "Line that the belt ends at below; none where the next belt is parallel to its own lower line"),
        Property("App::PropertyInteger", "Strakes", "Belt", "Number of strakes", 12),
        Property("App::PropertyLength", "GreatestWidth", "Belt",
                 "As few strakes as keep below this width by the tape", 100.0),
        Property("App::PropertyFloatList", "Weights", "Belt",
                 "Widths in proportion to one another, one for every strake from above down", [1.0, 1.0]),
        Property("App::PropertyFloatList", "StationPositions", "Belt",
                 "Coordinates along the ship of the stations at which widths are given"),
        Property("App::PropertyFloatList", "Widths", "Belt",
                 "Widths at those stations, mm: those of the first station from above down, then of the next"),
        Property("App::PropertyFloatList", "StemWidths", "Belt",
                 "Widths at the stem, from above down; none: as at the nearest station"),
        Property("App::PropertyFloatList", "SternWidths", "Belt", "The same at the stern"),
        Property("App::PropertyLength", "Width", "Belt",
                 "Width of its strakes, square to the line; 0: that of the strakes above it amidships"),
        Property("App::PropertyBool", "ToRabbet", "Belt", "As many strakes as go down to the rabbet", True),
        Property("App::PropertyEnumeration", "RunsParallelTo", "Belt",
                 "Which of its lines its strakes run parallel to", [ALONG_UPPER, ALONG_LOWER]),
        Property("App::PropertyFloat", "GarboardLeast", "Belt",
                 "Least share of the width that the garboard must have at its widest; less is added to the "
                 "strake above", 0.5),
    )  # fmt: skip

    def needless(self, obj):
        hidden = _NO_MATTER - set(_OWN[obj.Rule])
        if obj.Rule == PARALLEL:
            if obj.ToRabbet:
                hidden = hidden - {"GarboardLeast"} | {"Line"}
            else:
                hidden -= {"Strakes", "RunsParallelTo"}
                if obj.RunsParallelTo == ALONG_UPPER:
                    hidden |= {"Line"}
        return hidden

    def build(self, obj):
        belt_of(obj)


def is_belt(obj):
    """Whether a document object is a belt."""
    return kind_of(obj) == BeltObject.KIND


def line_object_of(obj):
    """The line's document object that bounds a belt below, or None."""
    return None if "Line" in obj.Proxy.needless(obj) else obj.Line


def belt_of(obj):
    """The core's belt of a document object.

    Parameters
    ----------
    obj : document object with a BeltObject

    Returns
    -------
    Keyed of EqualBelt, GradedBelt, StationBelt or ParallelBelt

    Raises
    ------
    PlanError
    """
    if not is_belt(obj):
        raise PlanError(f"{getattr(obj, 'Label', 'Nothing')} is no belt", remedy="Choose a belt")
    target = line_object_of(obj)
    line = None if target is None else line_of(target)
    own = [_plain(getattr(obj, name)) for name in sorted(_NO_MATTER)]
    key = digest(obj.Rule, own, line and line.key)
    return Keyed(_made(obj, None if line is None else line.value), key)


def _plain(value):
    value = getattr(value, "Value", value)
    return list(value) if isinstance(value, (list, tuple)) else value


def _made(obj, line):
    rule = obj.Rule
    if rule == EQUAL:
        return EqualBelt(obj.Strakes, line)
    if rule == BY_GREATEST:
        return EqualBelt(None, line, obj.GreatestWidth.Value)
    if rule == GRADED:
        return GradedBelt(tuple(obj.Weights), line)
    if rule == BY_WIDTHS:
        return _by_widths(obj, line)
    width = obj.Width.Value or None
    if obj.ToRabbet:
        return ParallelBelt(width, obj.GarboardLeast)
    if obj.RunsParallelTo == ALONG_LOWER and line is None:
        raise PlanError(
            f"{obj.Label} has no lower line to run parallel to",
            remedy="Set its property Line, or let it run parallel to its upper line",
        )
    return ParallelBelt(width, obj.GarboardLeast, obj.Strakes, line)


def _by_widths(obj, line):
    positions, widths = list(obj.StationPositions), list(obj.Widths)
    if not positions or not widths or len(widths) % len(positions):
        raise PlanError(
            f"{obj.Label} has {len(widths)} widths for {len(positions)} stations",
            remedy="Give one width for every strake at every station",
        )
    rows = np.reshape(widths, (len(positions), -1))
    stem, stern = (tuple(values) or None for values in (obj.StemWidths, obj.SternWidths))
    return StationBelt(tuple(positions), tuple(map(tuple, rows.tolist())), line, stem, stern)
