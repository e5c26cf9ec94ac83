# SPDX-License-Identifier: LGPL-2.1-or-later
"""What the marks of a plan must tell about themselves before they can be re-divided.

Only a table of marks, the rule of every strake and the places of the hood ends are looked
at, so any way of dividing a belt will do.
"""

import re
from dataclasses import dataclass
from typing import Tuple

import numpy as np

from ..errors import PlanError
from ..tables.marks import MarksTable, marks_table

__all__ = ["RABBET", "DrawnMarks", "drawn_marks"]

RABBET = "Rabbet"

#: rules under which a strake keeps its width; under all others it keeps its share
_KEEP_WIDTH = ("parallel", "garboard", "width")


@dataclass(frozen=True)
class DrawnMarks:
    """Marks as drawn, with what re-division needs.

    Attributes
    ----------
    table : MarksTable
    keeps_width : (m + 1,) tuple of bool
        For each of the m seams and the rabbet: whether the strake above it keeps its width
        (else it keeps its share of the girth between the lines of its belt).
    ends : (m + 1,) tuple of (float, float)
        Positions at stem and at stern, in the coordinate of `MarkRow.position`, mm, of the
        seams and of the planking as a whole.
    """

    table: MarksTable
    keeps_width: Tuple[bool, ...]
    ends: Tuple[Tuple[float, float], ...]

    def __post_init__(self):
        m = len(self.table.seams)
        if len(self.keeps_width) != m + 1 or len(self.ends) != m + 1:
            raise PlanError(
                f"{m} seams and the rabbet are drawn, but there are rules for {len(self.keeps_width)} strakes "
                f"and places of {len(self.ends)} hood ends", "",
                "give one of each for every seam, and one for the rabbet",
            )  # fmt: skip
        twice = sorted({n for n in self.names if [_plain(m) for m in self.names].count(_plain(n)) > 1})
        if twice:
            raise PlanError(f"two marks are called {twice[0]!r}", "", "give every mark a name of its own")

    @property
    def names(self):
        """Names of the marks, the rabbet last."""
        return (*self.table.seams, RABBET)

    @property
    def boundaries(self):
        """Columns of the seams on which a belt of shares meets one of widths: "the line"."""
        keeps = self.keeps_width
        return tuple(c for c in range(len(keeps) - 1) if keeps[c] != keeps[c + 1])

    @property
    def sense(self):
        """+1.0 where positions grow from the bow aft, else -1.0."""
        start, end = self.ends[-1]
        return 1.0 if end > start else -1.0

    def readings(self, row):
        """Drawn girths (m + 1,) of a row, nan where a seam does not come there."""
        values = (*row.readings, row.rabbet)
        return np.array([np.nan if v is None else v for v in values], float)

    def row_of(self, name):
        """Index of the row a builder means by a name, or None."""
        wanted = _plain(re.sub(r"^\s*(station|stn|st|frame|mould)\b\.?", "", str(name), flags=re.IGNORECASE))
        names = [_plain(r.name) for r in self.table.rows]
        return names.index(wanted) if wanted in names else None

    def column_of(self, name):
        """Column of the mark a builder means by a name, or None.

        Names of seams, their numbers, "rabbet" (or "whole"), and "line" for the seam on
        which the equal strakes end.
        """
        wanted = _plain(name)
        names = [_plain(n) for n in self.names]
        if wanted in names:
            return names.index(wanted)
        if wanted in ("rabbet", "whole", "whole girth", "girth"):
            return len(names) - 1
        if wanted == "line" and len(self.boundaries) == 1:
            return self.boundaries[0]
        number = re.fullmatch(r"(?:seam|mark)?\s*0*(\d+)", wanted)
        if number and 1 <= int(number.group(1)) < len(names):
            return int(number.group(1)) - 1
        return None


def _plain(text):
    return " ".join(str(text).casefold().split())


def _with_own_names(table):
    """The table with every seam called by a name of its own: two lines may be of one kind."""
    names = [
        f"{name}, seam {k:02d}" if table.seams.count(name) > 1 else name for k, name in enumerate(table.seams, 1)
    ]
    return MarksTable(tuple(names), table.rows)


def drawn_marks(lineoff, stations):
    """The marks of a line-off, ready to be re-divided.

    Parameters
    ----------
    lineoff : LineOff
    stations : sequence of Station

    Returns
    -------
    DrawnMarks
    """
    hull = lineoff.hull
    table = _with_own_names(marks_table(lineoff, stations))
    rules = {s.number: s.rule for s in lineoff.strakes}
    seams = lineoff.seams[1:]
    # the strake above the rabbet is the last
    wanted = [rules.get(seam.number) for seam in seams] + [lineoff.strakes[-1].rule]
    keeps = tuple(rule in _KEEP_WIDTH for rule in wanted)
    ends = []
    for seam in seams:
        first, last = seam.parts[0].whole, seam.parts[-1].whole
        ends.append((first.points([0.0])[0, 0], last.points([last.length])[0, 0]))
    ends.append(hull.x_range)
    model = [tuple(float(v) for v in hull.frame.to_model_station(np.array(e))) for e in ends]
    return DrawnMarks(table, keeps, tuple(model))
