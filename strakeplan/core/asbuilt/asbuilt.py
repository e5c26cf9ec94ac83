# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks re-divided for the hull as it was built."""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..errors import PlanError
from ..tables.marks import MarkRow, MarksTable
from .doubts import JudgedReading, judge
from .drawn import DrawnMarks
from .fields import Field, corrected_row, difference_fields
from .trend import TrendSettings

__all__ = ["ENDS", "AsBuilt", "MarkDifference", "as_built", "corrected_table"]

#: what a hood end does that was not measured
ENDS = ("drawn", "held")


@dataclass(frozen=True)
class MarkDifference:
    """One mark of the built hull beside the drawn one.

    Attributes
    ----------
    station, mark : str
    position : float or None
        As in `MarkRow`.
    drawn : float
        mm.
    built : float or None
        mm; None where the mark does not come to the station any more.
    how : str
        'measured', 're-divided' (at a station that was measured), 'interpolated' or 'drawn'.
    """

    station: str
    mark: str
    position: Optional[float]
    drawn: float
    built: Optional[float]
    how: str

    @property
    def difference(self):
        """Built less drawn, mm; None where the mark is gone."""
        return None if self.built is None else self.built - self.drawn


@dataclass(frozen=True, eq=False)
class AsBuilt:
    """A hull as it was built.

    Attributes
    ----------
    drawn : DrawnMarks
    judged : tuple of JudgedReading
        Every reading that was given; its `used` is False only where the user set it aside.
    fields : tuple of Field
        Differences along the ship.
    table : MarksTable
        New marks, rows and columns as drawn.
    ends : 'drawn' or 'held'
    how : tuple of str
        Of every row: 'measured', 'interpolated', or 'drawn' for a hood end that was not measured.
    differences : tuple of MarkDifference
    notes : tuple of str
    """

    drawn: DrawnMarks
    judged: Tuple[JudgedReading, ...]
    fields: Tuple[Field, ...]
    table: MarksTable
    ends: str
    how: Tuple[str, ...]
    differences: Tuple[MarkDifference, ...]
    notes: Tuple[str, ...]

    @property
    def used(self):
        """Readings that the marks follow."""
        return tuple(j for j in self.judged if j.used)

    @property
    def aside(self):
        """Readings that the user set aside."""
        return tuple(j for j in self.judged if not j.used)

    @property
    def doubts(self):
        """Readings in use that look wrong."""
        return tuple(j for j in self.judged if j.used and j.doubt)


def as_built(drawn, readings, ends="drawn", settings=TrendSettings()):
    """Re-divide the marks for measured girths.

    Parameters
    ----------
    drawn : DrawnMarks
    readings : sequence of Reading
        Several readings of the same mark at the same station count by their mean.
    ends : 'drawn' or 'held'
        At a hood end that was not measured the difference runs out to nothing, or keeps that
        of the nearest station.
    settings : TrendSettings
        When a reading is doubted.

    Returns
    -------
    AsBuilt

    Raises
    ------
    PlanError
        Readings of marks that cross.

    Notes
    -----
    How differences are spread and blended: see `fields`. A doubted reading is used all the
    same: setting it aside is for the user to do.
    """
    if ends not in ENDS:
        raise PlanError(f"hood ends cannot be {ends!r}", "", f"give one of {', '.join(ENDS)}")
    readings = tuple(readings)
    judged, notes = judge(drawn, readings, settings)
    measured = _means(drawn, readings)
    try:
        _require_order(drawn, measured)
        fields = difference_fields(drawn, measured, ends)
        for k in sorted({k for k, _ in measured}):  # a fault is told where the tape was hung
            corrected_row(drawn, drawn.table.rows[k], fields, k)
        table, how, differences, lost = _corrected(drawn, fields, measured, ends)
    except PlanError as fault:
        wrong = [f"{j.reading.place}: {j.doubt}" for j in judged if j.used and j.doubt]
        if not wrong:
            raise
        raise PlanError(fault.what, fault.where, f"{fault.remedy}. Doubted: " + ". ".join(wrong[:4])) from fault
    told = [*_about_readings(judged), *notes, *_about_marks(drawn, fields, ends), *lost]
    return AsBuilt(drawn, judged, fields, table, ends, how, differences, tuple(told))


def corrected_table(built, drawn):
    """Marks of the built hull at other stations, between those measured for instance.

    Parameters
    ----------
    built : AsBuilt
    drawn : DrawnMarks
        The same plan's, with rows for the stations wanted.

    Returns
    -------
    table : MarksTable
    how : tuple of str
        As in `AsBuilt`: 'interpolated' where the tape was not hung.
    differences : tuple of MarkDifference

    Raises
    ------
    PlanError
        Marks of another plan.
    """
    if drawn.names != built.drawn.names or drawn.keeps_width != built.drawn.keeps_width:
        raise PlanError(
            "the marks are of another plan than the readings", "", "take both from the same line-off"
        )
    by_place = {(r.name, r.position): k for k, r in enumerate(drawn.table.rows)}
    measured = {}
    for (k, c), girth in _means(built.drawn, [j.reading for j in built.judged]).items():
        row = built.drawn.table.rows[k]
        if (row.name, row.position) in by_place:
            measured[by_place[row.name, row.position], c] = girth
    table, how, differences, _ = _corrected(drawn, built.fields, measured, built.ends)
    return table, how, differences


# --- helpers ------------------------------------------------------------------------------
def _means(drawn, readings):
    """(row, column) -> mean of the readings in use, mm."""
    all_of = {}
    for r in readings:
        if not r.aside:
            all_of.setdefault((drawn.row_of(r.station), drawn.column_of(r.mark)), []).append(r.mm)
    return {place: float(np.mean(values)) for place, values in all_of.items()}


def _require_order(drawn, measured):
    """Raise where measured girths of one station are not in the order of their marks."""
    for k in sorted({k for k, _ in measured}):
        marks = sorted(c for j, c in measured if j == k)
        for a, b in zip(marks, marks[1:]):
            if not measured[k, a] < measured[k, b]:
                raise PlanError(
                    f"the reading to {drawn.names[b]}, {measured[k, b]:.1f} mm, is not below that to "
                    f"{drawn.names[a]}, {measured[k, a]:.1f} mm",
                    _place(drawn.table.rows[k]), "check both, and set aside the one that is wrong",
                )  # fmt: skip


def _corrected(drawn, fields, measured, ends):
    rows, how, differences, lost_notes = [], [], [], []
    hung = {k for k, _ in measured}
    shares_moved = {
        f.column for f in fields if not drawn.keeps_width[f.column] and f.column not in drawn.boundaries
    } - {len(drawn.names) - 1}
    for k, row in enumerate(drawn.table.rows):
        plain = drawn.readings(row)
        own = "measured" if k in hung else "interpolated"
        if row.position is None and k not in hung and (ends == "drawn" or not fields):
            own = "drawn"
        if not fields:
            own = "drawn"
        girths, lost = plain, ()
        if own != "drawn":
            girths, lost, _ = corrected_row(drawn, row, fields, k)
            for c in range(len(plain)):
                # to the last digit what the tape read
                if (k, c) in measured and c not in lost:
                    girths[c] = measured[k, c]
        if lost:
            gone = ", ".join(drawn.names[c] for c in lost)
            lost_notes.append(f"At {_place(row)[3:]} the built hull ends above {gone}: no mark there any more.")
        how.append(own)
        values = [None if np.isnan(v) else float(v) for v in girths]
        equal = row.divided and not any(np.isfinite(plain[c]) for c in shares_moved)
        rows.append(MarkRow(row.name, row.position, tuple(values[:-1]), values[-1], equal, row.begins))
        for c, name in enumerate(drawn.names):
            if np.isnan(plain[c]):
                continue
            this = "measured" if (k, c) in measured else "re-divided" if own == "measured" else own
            differences.append(MarkDifference(row.name, name, row.position, float(plain[c]), values[c], this))
    return MarksTable(drawn.table.seams, tuple(rows)), tuple(how), tuple(differences), lost_notes


def _about_readings(judged):
    used = [j for j in judged if j.used]
    doubted = sum(bool(j.doubt) for j in used)
    yield (
        f"{len(judged)} readings: {len(used)} in use"
        + (f" ({doubted} of them doubted)" if doubted else "")
        + f", {len(judged) - len(used)} set aside."
    )


def _about_marks(drawn, fields, ends):
    if not fields:
        yield "No reading is in use: the marks are as drawn."
        return
    rabbet = len(drawn.names) - 1
    if not any(f.column == rabbet for f in fields):
        yield "The rabbet was measured nowhere: below the lowest measured mark the drawn widths go on."
    elif not any(f.column in drawn.boundaries for f in fields) and drawn.boundaries:
        names = ", ".join(drawn.names[c] for c in drawn.boundaries)
        yield f"{names} was measured nowhere: it goes down by the same share as the whole girth."
    yield (
        "At hood ends that were not measured the differences run out to nothing."
        if ends == "drawn"
        else "Hood ends that were not measured keep the difference of the nearest station."
    )


def _place(row):
    return f"at {'station ' if row.position is not None else 'the '}{row.name if row.position is not None else row.name.lower()}"
