# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every reading judged: its difference, what the others let expect, and what may be wrong."""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from .blend import fair_blend
from .fields import place_of
from .readings import Reading
from .slips import Slip, slips_of
from .trend import TrendSettings, follow_trend

__all__ = ["JudgedReading", "judge"]

_HALF = 0.6  # of what is allowed, from which the commonest slips are looked for
_COMMONEST = ("digits swapped", "feet and inches swapped", "slip of 100 mm", "slip of an inch", "slip of a foot")


@dataclass(frozen=True)
class JudgedReading:
    """One reading beside the drawing and beside its neighbours.

    Attributes
    ----------
    reading : Reading
    drawn : float
        mm.
    difference : float
        Measured less drawn, mm.
    expected : float or None
        Difference that the other readings of the mark let expect, mm; None where there is
        no other.
    doubt : str
        What is suspicious; empty where nothing is.
    slips : tuple of Slip
        Slips that would explain it, the likeliest first.
    """

    reading: Reading
    drawn: float
    difference: float
    expected: Optional[float]
    doubt: str = ""
    slips: Tuple[Slip, ...] = ()

    @property
    def used(self):
        """Whether it changes marks; only the user sets a reading aside."""
        return not self.reading.aside


def judge(drawn, readings, settings=TrendSettings()):
    """Judge all readings, those set aside too.

    Parameters
    ----------
    drawn : DrawnMarks
    readings : sequence of Reading
    settings : TrendSettings

    Returns
    -------
    judged : tuple of JudgedReading
        As many as readings, in their order.
    notes : tuple of str
    """
    placed = [(drawn.row_of(r.station), drawn.column_of(r.mark)) for r in readings]
    out, notes = [None] * len(readings), []
    trends = {}
    for column in sorted({c for _, c in placed}):
        mine = [j for j, (_, c) in enumerate(placed) if c == column]
        trends[column] = _Column(drawn, column, [(j, placed[j][0], readings[j]) for j in mine], settings)
        if trends[column].uneven:
            notes.append(
                f"The differences to {drawn.names[column]} follow no smooth trend; "
                "measure again, beginning with the readings doubted."
            )
    for j, (r, (k, column)) in enumerate(zip(readings, placed)):
        out[j] = trends[column].judged(r, k, trends)
    return tuple(out), tuple(notes)


class _Column:
    """Readings of one mark over the stations."""

    def __init__(self, drawn, column, entries, settings):
        self.drawn, self.column, self.settings = drawn, column, settings
        rows = sorted({k for _, k, r in entries if not r.aside}, key=self._key)
        self.rows = rows
        self.plain = {k: drawn.readings(drawn.table.rows[k])[column] for _, k, _ in entries}
        mean = {k: np.mean([r.mm for _, j, r in entries if j == k and not r.aside]) for k in rows}
        self.mean = mean
        x = np.array([self._x(k) for k in rows])
        d = np.array([mean[k] - self.plain[k] for k in rows])
        # a girth along the stem or the stern is of another kind than one round a station
        self.stations = [i for i, k in enumerate(rows) if drawn.table.rows[k].position is not None]
        s = self.stations
        girth = np.array([self.plain[k] for k in rows])
        self.trend = follow_trend(x[s], d[s], girth[s], settings) if s else None
        self.uneven = bool(self.trend and self.trend.uneven)
        self.scatter = self.trend.scatter if self.trend else settings.scatter
        good = [i for i, bad in zip(s, self.trend.doubted if s else ()) if not bad] or s
        self.blend = fair_blend(x[good], d[good]) if good else None

    def _x(self, k):
        return place_of(self.drawn, k, self.column)

    def _key(self, k):
        return (self._x(k), k)

    def expected_girth(self, k):
        """Girth that the trusted readings let expect at row k, mm; nan where there is no mark."""
        plain = self.drawn.readings(self.drawn.table.rows[k])[self.column]
        return plain if self.blend is None else plain + float(self.blend(self._x(k)))

    def judged(self, reading, k, trends):
        plain = self.plain[k]
        difference = reading.mm - plain
        place = self.rows.index(k) if k in self.rows else None
        at_station = self.drawn.table.rows[k].position is not None
        few = max(self.settings.few_least, self.settings.few_share * plain)
        if at_station and place in self.stations:
            i = self.stations.index(place)
            expected, allowed = float(self.trend.expected[i]), float(self.trend.allowed[i])
            alone = len(self.stations) < 3
            # where the mean of repeated readings is trusted, each is still looked at
            off = abs(difference - expected) > allowed
            if not self.trend.doubted[i] and abs(self.mean[k] - reading.mm) < 1e-9:
                off = False
        else:
            alone = self.blend is None or not at_station
            expected = 0.0 if alone else float(self.blend(self._x(k)))
            allowed = few if alone else max(self.settings.least, self.settings.times * 1.5 * self.scatter)
            off = abs(difference - expected) > allowed
        doubt, slips = "", ()
        gap = abs(difference - expected)
        if off:
            slips = self._slips(reading, k, plain + expected, min(0.5 * allowed, gap / 3.0), trends)
        elif gap > max(self.settings.least, _HALF * allowed):
            # not so far off by itself, but one of the commonest slips would mend it wholly
            found = self._slips(reading, k, plain + expected, gap / 4.0, trends)
            slips = tuple(s for s in found if s.kind.startswith(_COMMONEST))
        if off or slips:
            beside = "the drawing" if alone else "the trend of the other stations"
            doubt = f"{gap:.0f} mm {'more' if difference > expected else 'less'} than {beside}"
            doubt += f"; {slips[0].text}" if slips else "; measure again"
        return JudgedReading(reading, plain, difference, None if alone else expected, doubt, slips)

    def _slips(self, reading, k, girth, within, trends):
        return slips_of(reading.tape, girth, within, self._elsewhere(k, trends))

    def _elsewhere(self, k, trends):
        """Places that the tape may have been at instead: neighbours, and other marks here."""
        rows = self.drawn.table.rows
        out = []
        for j in (k - 1, k + 1):
            if 0 <= j < len(rows) and rows[j].position is not None:
                out.append((f"station {rows[j].name}", self.expected_girth(j)))
        for c in sorted({*trends, *self.drawn.boundaries, len(self.drawn.names) - 1} - {self.column}):
            plain = self.drawn.readings(rows[k])[c]
            girth = trends[c].expected_girth(k) if c in trends else plain
            out.append((self.drawn.names[c], girth))
        return [(name, girth) for name, girth in out if np.isfinite(girth)]
