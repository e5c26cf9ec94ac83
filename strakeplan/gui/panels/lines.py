# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels of all kinds of lines, of the tuck and of line reports."""

from ...objects.base import kind_of
from ...objects.drawn_line import ALONG, WAYS
from ...objects.eased_line import BY_GIRTH, BY_SLACK
from ...objects.line import is_line
from ...objects.marked import BOW, GIRTH, MARK_1, MARK_2, SHARE, STERN
from ...objects.taut_line import BETWEEN_ENDS, END_AND_MARK, HEADING, STEM, STERN_END, THROUGH_MARKS
from ...objects.tuck_line import TURNS
from .rows import heading, links_to, mark_rows, row

__all__ = ["PANELS"]

_STEM_MARK, _STERN_MARK = "Mark on the stem", "Mark on the stern"


def _taut(document, obj):
    def kind(*kinds):
        return lambda v: v["Marks"] in kinds

    def end(edge):
        return lambda v: v["Marks"] == BETWEEN_ENDS or (v["Marks"] == END_AND_MARK and v["End"] == edge)

    return [
        row("Marks", "Stretched", "choice", "", (BETWEEN_ENDS, THROUGH_MARKS, END_AND_MARK, HEADING)),
        row("End", "Starts from", "choice", "", (STEM, STERN_END), kind(END_AND_MARK)),
        *mark_rows(BOW, _STEM_MARK, end(STEM)),
        *mark_rows(STERN, _STERN_MARK, end(STERN_END)),
        *mark_rows(MARK_1, "Aim mark", kind(THROUGH_MARKS, END_AND_MARK, HEADING)),
        *mark_rows(MARK_2, "Second aim mark", kind(THROUGH_MARKS)),
        row("Heading", "Heading", "angle",
            "Angle by which the line, going aft through the mark, falls below square to the station",
            (), kind(HEADING)),
        row("Bridge", "String over hollows", "switch",
            "Where the hull falls away the string lifts off, as a real one does; its foot on the hull is the line"),
    ]  # fmt: skip


def _eased(document, obj):
    def passing(*given):
        return lambda v: v["EasedBy"] == BY_GIRTH and v["PassGivenBy"] in given

    return [
        *mark_rows(BOW, _STEM_MARK),
        *mark_rows(STERN, _STERN_MARK),
        heading("EasedHeading", "Easing"),
        row("EasedBy", "Eased by", "choice", "", (BY_SLACK, BY_GIRTH)),
        row("Slack", "Slack", "length",
            "Length more than the taut line's; positive eases towards the sheer, negative away from it",
            (), lambda v: v["EasedBy"] == BY_SLACK),
        row("PassPosition", "Along the ship", "length", "Coordinate where the line has to pass",
            (), passing(GIRTH, SHARE)),
        row("PassGivenBy", "Given by", "choice", "", (GIRTH, SHARE), lambda v: v["EasedBy"] == BY_GIRTH),
        row("PassGirth", "Girth", "length", "From the sheer down", (), passing(GIRTH)),
        row("PassShare", "Share", "share", "Of the whole girth there", (), passing(SHARE)),
    ]  # fmt: skip


def _batten(document, obj):
    def on(name):
        return lambda v: v[name]

    return [
        row("MarksGivenBy", "Marks at stations", "marks",
            "Coordinates along the ship, and the girth from the sheer down or its share",
            (), None, ("MarkPositions", "MarkGirths", "MarkShares")),
        row("MarkPoints", "Picked marks", "points", "Further marks: points and vertices picked in the 3D view",
            (), None, ("MarkVertices",)),
        row("Tolerance", "Tolerance", "length",
            "How far the batten may pass from every mark; 0: through the marks exactly"),
        row("BowEnd", "Starts from the stem", "switch",
            "From a mark there; otherwise the batten runs on straight from its first mark"),
        *mark_rows(BOW, _STEM_MARK, on("BowEnd")),
        row("SternEnd", "Ends at the stern", "switch",
            "At a mark there; otherwise the batten runs on straight from its last mark"),
        *mark_rows(STERN, _STERN_MARK, on("SternEnd")),
        row("BowHeld", "Held at its fore end", "switch", "At an angle off the string to the next mark"),
        row("BowAngle", "Angle", "angle", "Positive towards the keel", (), on("BowHeld")),
        row("SternHeld", "Held at its after end", "switch", "At an angle off the string to the next mark"),
        row("SternAngle", "Angle", "angle", "Positive towards the keel", (), on("SternHeld")),
    ]  # fmt: skip


def _parallel(document, obj):
    lines = links_to(document, obj, lambda o: is_line(o) or kind_of(o) == "PlankedSurface")
    return [
        row("Line", "Parallel to", "object", "Line, or the sheer of a planked surface", lines),
        row("Distance", "Distance", "length",
            "Square to that line on the hull; positive towards the keel, negative towards the sheer"),
    ]  # fmt: skip


def _drawn(document, obj):
    return [
        row("Drawn", "Drawn line", "drawing", "Edge, wire or sketch that is laid on to the hull"),
        row("Way", "Laid on", "choice", "", tuple(WAYS)),
        row("Direction", "Direction", "direction", "x; y; z", (), lambda v: v["Way"] == ALONG),
    ]


def _tuck(document, obj):
    crossing = links_to(document, obj, lambda o: is_line(o) or kind_of(o) == "LineOff")
    return [
        row("Turn", "Turn", "choice", "Which turn of the sections is meant", tuple(TURNS)),
        row("TurnOver", "Taken over", "length",
            "Girth over which a turn is taken, about a plank's width; 0: at a point"),
        row("Limits", "Between", "lengths",
            "Two coordinates along the ship, parted by a semicolon; empty: from the greatest half-breadth aft"),
        row("Lines", "Lines that cross it", "objects", "Their angle with the tuck is told", crossing),
    ]  # fmt: skip


def _report(document, obj):
    lines = links_to(document, obj, is_line)
    others = links_to(document, obj, lambda o: is_line(o) or kind_of(o) in ("TuckLine", "PlankedSurface"))
    return [
        row("Lines", "Lines", "objects", "Lines that are reported on", lines),
        row("CompareWith", "Distance from", "object",
            "Line whose distance from each is told: the tuck line, or any other", (None, *others)),
        row("PlankLength", "Plank length", "length", "Length of plank over which the edge set is taken"),
    ]  # fmt: skip


PANELS = {
    "TautLine": (
        "Taut line",
        "The line a string takes when it is stretched round the hull. Girths are measured from the sheer down.",
        _taut,
    ),
    "EasedLine": (
        "Eased line",
        "A heavy string with some slack: between its ends it sags towards the sheer, "
        "as on a half model turned upside down.",
        _eased,
    ),
    "BattenLine": (
        "Batten line",
        "A stiff batten bent round the hull through its marks, with the least edgewise bending.",
        _batten,
    ),
    "ParallelLine": (
        "Parallel line",
        "A line everywhere at one distance square to another: positive towards the keel, negative towards the sheer.",
        _parallel,
    ),
    "DrawnLine": ("Drawn line", "A line as it was drawn, laid on to the hull.", _drawn),
    "TuckLine": (
        "Tuck line",
        "Where the sections turn hardest aft. It divides nothing; it tells where planks must twist and bend most.",
        _tuck,
    ),
    "LineReport": (
        "Line report",
        "What each line asks of a plank that follows it, as a sheet: girths, bends, twist and edge set.",
        _report,
    ),
}
