# SPDX-License-Identifier: LGPL-2.1-or-later
"""How far the built hull departs from the drawn one, everywhere along the ship.

Two things are known of a hull at a station where the tape was hung: the whole girth, down to
the rabbet, and perhaps the girth down to marks that are already there, such as the line that the
equal strakes end on. The rule:

- A difference is put where it was measured. Between two measured marks it is spread over the
  strakes between them by their own rule.
- Where only the whole girth is known, the line under a belt of shares goes down by the same share
  as the whole girth, and a belt of widths keeps its breadth; the garboard takes the rest.
- Where the whole girth is known at no station at all, everything below the lowest measured mark
  keeps its drawn width.
- Between stations relative differences run fair (`fair_blend`): that of the whole girth, and
  on top of it what each measured mark departs from where the rule would put it.
- At a hood end that was not measured the difference is nothing, or keeps the value of the
  nearest station ("held").
"""

from dataclasses import dataclass

import numpy as np

from ..errors import PlanError
from .blend import fair_blend
from .redivide import redivided

__all__ = ["Field", "corrected_row", "difference_fields"]


@dataclass(frozen=True, eq=False)
class Field:
    """Relative difference of one mark along the ship.

    Attributes
    ----------
    column : int
        The mark; the last is the rabbet.
    x : (k,) places where it is known, growing aft, mm
    values : (k,) shares of the drawn girth: of the rabbet the whole difference, of other marks
        what is left when the marks below and the rule have been followed
    """

    column: int
    x: np.ndarray
    values: np.ndarray

    def at(self, x):
        """Share of the drawn girth at a place."""
        return float(fair_blend(self.x, self.values)(x))


def difference_fields(drawn, measured, ends="drawn"):
    """Fields of every mark that was measured somewhere.

    Parameters
    ----------
    drawn : DrawnMarks
    measured : dict of (row, column) -> float
        Girths, mm.
    ends : 'drawn' or 'held'

    Returns
    -------
    tuple of Field
        In the order in which `corrected_row` uses them.

    Raises
    ------
    PlanError
        Measured marks that cross.
    """
    rabbet = len(drawn.names) - 1
    columns = sorted({c for _, c in measured} - {rabbet})
    lines = [c for c in columns if c in drawn.boundaries]
    order = [rabbet] * any(c == rabbet for _, c in measured) + lines + [c for c in columns if c not in lines]
    fields = []
    for column in order:
        x, values = [], []
        for (k, c), girth in sorted(measured.items()):
            if c != column:
                continue
            row = drawn.table.rows[k]
            plain = drawn.readings(row)[column]
            base = corrected_row(drawn, row, tuple(fields), k)[0][column] if column != rabbet else plain
            x.append(place_of(drawn, k, column))
            # a mark that the rule has put below the rabbet has no place of its own there
            values.append((girth - (plain if np.isnan(base) else base)) / plain)
        fields.append(_with_ends(drawn, column, x, values, ends))
    return tuple(fields)


def _with_ends(drawn, column, x, values, ends):
    order = np.argsort(x)
    x, values = np.array(x)[order], np.array(values)[order]
    if ends == "drawn":
        fore, aft = (drawn.sense * e for e in drawn.ends[column])
        # a station may stand before the place where a raked end's line begins
        if fore < x[0]:
            x, values = np.concatenate([[fore], x]), np.concatenate([[0.0], values])
        if aft > x[-1]:
            x, values = np.concatenate([x, [aft]]), np.concatenate([values, [0.0]])
    return Field(column, x, values)


def place_of(drawn, k, column):
    """Where a mark of row k stands along the ship, growing aft, mm."""
    row = drawn.table.rows[k]
    if row.position is not None:
        return drawn.sense * row.position
    return drawn.sense * drawn.ends[column][0 if k == 0 else 1]


def corrected_row(drawn, row, fields, k):
    """Marks of one row of the built hull.

    Parameters
    ----------
    drawn : DrawnMarks
    row : MarkRow
    fields : sequence of Field
    k : int
        The row's number; 0 is the stem.

    Returns
    -------
    girths : (m + 1,) mm, nan where there is no mark
    lost : tuple of int
        Columns of marks that have come below the rabbet.
    fixed : dict of int -> float
        The marks between which the others were divided.
    """
    plain = drawn.readings(row)
    rabbet = len(plain) - 1
    if not fields:
        return plain, (), {}
    by_column = {f.column: f for f in fields}
    whole = by_column.get(rabbet)
    share = whole.at(place_of(drawn, k, rabbet)) if whole is not None else 0.0
    fixed = {rabbet: plain[rabbet] * (1.0 + share)}
    above_drawn = above = 0.0
    for c in drawn.boundaries:
        if np.isfinite(plain[c]):
            own = by_column[c].at(place_of(drawn, k, c)) if c in by_column else 0.0
            # a belt that keeps its widths keeps its breadth; a line under shares goes with the whole girth
            base = above + plain[c] - above_drawn if drawn.keeps_width[c] else plain[c] * (1.0 + share)
            fixed[c] = base + plain[c] * own
            above_drawn, above = plain[c], fixed[c]
    where = f"at {'station ' if row.position is not None else ''}{row.name}"

    def carried():
        """The rabbet, where no whole girth was measured anywhere: drawn widths go on down."""
        lowest = max((c for c in fixed if c != rabbet and c in by_column), default=None)
        if whole is None and lowest is not None:
            fixed[rabbet] = plain[rabbet] + fixed[lowest] - plain[lowest]

    carried()
    for f in fields:
        c = f.column
        if c in fixed or np.isnan(plain[c]):
            continue
        base = redivided(plain, drawn.keeps_width, fixed, where)[0][c]
        base = plain[c] if np.isnan(base) else base
        fixed[c] = base + plain[c] * f.at(place_of(drawn, k, c))
        carried()
    girths, lost = redivided(plain, drawn.keeps_width, fixed, where)
    if not np.all(np.diff(girths[np.isfinite(girths)]) > 0.0):
        raise PlanError(
            "the marks of the built hull cross", where, "check the readings there, and set aside the one that is wrong"
        )
    return girths, lost, fixed
