# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels of belts, of the line-off they make, and of numbers of strakes side by side."""

from ...objects import belt as rules
from ...objects.belt import is_belt
from ...objects.line import is_line
from ...objects.nibs import NIB_NAMES
from .rows import heading, links_to, row

__all__ = ["PANELS"]


def _belt(document, obj):
    def rule(*chosen):
        return lambda v: v["Rule"] in chosen

    def counted(v):
        return v["Rule"] == rules.PARALLEL and not v["ToRabbet"]

    def bounded(v):
        return v["Rule"] != rules.PARALLEL or (counted(v) and v["RunsParallelTo"] == rules.ALONG_LOWER)

    lines = links_to(document, obj, is_line)
    return [
        row("Rule", "Strakes are", "choice", "How the strakes of the belt are lined off", rules.RULES),
        row("Strakes", "Number of strakes", "integer", "", (), lambda v: v["Rule"] == rules.EQUAL or counted(v)),
        row("GreatestWidth", "Greatest width", "length",
            "As few strakes as keep below this width by the tape", (), rule(rules.BY_GREATEST)),
        row("Weights", "Proportions", "numbers",
            "One for every strake from above down, parted by semicolons: 1.2; 1; 1 has the uppermost a fifth wider",
            (), rule(rules.GRADED)),
        row("StationPositions", "Widths at stations", "widths",
            "A coordinate along the ship, or stem or stern; and the widths there, parted by semicolons",
            (), rule(rules.BY_WIDTHS), ("Widths", "StemWidths", "SternWidths")),
        row("Width", "Width", "length", "0: that of the strakes above them amidships", (), rule(rules.PARALLEL)),
        row("ToRabbet", "Down to the rabbet", "switch",
            "As many strakes as go down to the rabbet; the last one is the garboard", (), rule(rules.PARALLEL)),
        row("RunsParallelTo", "Parallel to", "choice", "Which of the belt's lines its strakes run parallel to",
            (rules.ALONG_UPPER, rules.ALONG_LOWER), counted),
        row("Line", "Ends at", "object",
            "Line that the belt ends at below; none where the next belt is parallel to its own lower line",
            (None, *lines), bounded),
    ]  # fmt: skip


def _line_off(document, obj):
    def plain(v):
        return not v.get("Belts")

    belts = links_to(document, obj, is_belt)
    rows = []
    if belts:
        rows.append(row("Belts", "Belts, from the sheer down", "ordered",
                        "Tick the belts and put them in order; none: equal strakes to a line", belts))  # fmt: skip
    return [
        *rows,
        row("Line", "Line", "object", "Line that the equal strakes end at", links_to(document, obj, is_line), plain),
        row("Strakes", "Equal strakes", "integer", "Between the sheer and the line", (), plain),
        row("ParallelBelt", "Parallel strakes below", "switch", "Down to the rabbet", (), plain),
        row("ParallelWidth", "Their width", "length",
            "0: the width of the equal strakes amidships", (), lambda v: plain(v) and v["ParallelBelt"]),
        heading("NibsHeading", "Stealers and nibs"),
        row("NarrowestStrake", "Narrowest strake", "length",
            "Strakes that would be narrower end in nibs at a station, and one plank takes over from two; 0: none"),
        row(NIB_NAMES[0], "Nibs set by hand", "nibs",
            "Strakes that end before the hull does. Station: a coordinate, or such as station 3; empty below the "
            "divided belts where the depth says it. Depth: empty for what the fair seams leave",
            (), None, NIB_NAMES[1:]),
    ]  # fmt: skip


def _comparison(document, obj):
    return [
        row("Counts", "Numbers of equal strakes", "whole numbers",
            "Such as 17; 19; 20 or 17-20; empty: from three fewer to three more"),
        row("PlankLength", "Plank length", "length", "Length of plank over which the edge set is taken"),
        row("NarrowestStrake", "Narrowest strake", "length",
            "Narrower strakes are counted; 0: the narrowest of the line-off"),
    ]  # fmt: skip


PANELS = {
    "Belt": (
        "Belt",
        "A part of the hull's side with a rule of its own. The line-off puts its belts in order, from the sheer down.",
        _belt,
    ),
    "LineOff": (
        "Line-off",
        "Strakes from the sheer down to the rabbet: equal to a line and parallel below it, or belt by belt.",
        _line_off,
    ),
    "Comparison": (
        "Numbers of strakes",
        "What several numbers of equal strakes come to, side by side in a sheet. Nibs are left out.",
        _comparison,
    ),
}
