# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks: what the tape reads at every station from the sheer down to every seam."""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..sections import sections_at
from .crossings import station_crossings

__all__ = ["MarkRow", "MarksTable", "marks_table"]


@dataclass(frozen=True)
class MarkRow:
    """Tape readings of one station or hood end.

    Attributes
    ----------
    name : str
    position : float or None
        Model coordinate along the ship, mm; None for stem and stern.
    readings : tuple of float or None
        mm below the sheer to seams 1, 2, ...; None where a seam does not come there, as
        beyond the nib of the strake below it.
    rabbet : float or None
        Reading at the rabbet (or at the end of the section), mm.
    divided : bool
        Whether the equal belt is equally divided here.
    begins : 'sheer', 'stem' or 'stern'
        Where the tape begins: a section wholly below the sheer's end begins on an edge.
    """

    name: str
    position: Optional[float]
    readings: Tuple[Optional[float], ...]
    rabbet: Optional[float]
    divided: bool
    begins: str = "sheer"


@dataclass(frozen=True)
class MarksTable:
    """Rows from the bow aft; `seams` names the columns (the sheer, always 0, is left out)."""

    seams: Tuple[str, ...]
    rows: Tuple[MarkRow, ...]


def marks_table(lineoff, stations):
    """Tape readings at the stem, at every station and at the stern.

    Parameters
    ----------
    lineoff : LineOff
    stations : sequence of Station

    Returns
    -------
    MarksTable

    Raises
    ------
    PlanError
        A station whose plane does not meet the hull.
    """
    hull = lineoff.hull
    seams = lineoff.seams[1:]
    rows = []
    x = hull.frame.to_ship_station(np.array([s.x for s in stations], float))
    if len(x):
        sections = sections_at(hull, x)
        table = np.full((len(x), len(seams)), np.nan)
        for column, seam in enumerate(seams):
            for part in seam.parts:
                k, piece, t = station_crossings(part.curve, x)
                v = part.curve.uv_local(piece, t)[:, 1]
                # a seam's two parts never stand at one station
                table[k, column] = sections.girth_at_v(k, v)
        start = hull.patch.v_range[0]
        for k, station in enumerate(stations):
            exact = lineoff.exact_range
            begins = "sheer"
            first = sections.curve.nodes[sections.first[k], 0]
            if first[1] > start + 1e-9:
                begins = "stem" if x[k] < np.mean(hull.x_range) else "stern"
            rows.append(
                MarkRow(
                    station.name, station.x, _plain(table[k]), float(sections.girth[k]),
                    bool(exact and exact[0] <= x[k] <= exact[1]), begins,
                )
            )  # fmt: skip
    length = hull.boundary.length
    fore, aft = [], []
    for seam in seams:
        first, last = seam.parts[0], seam.parts[-1]
        fore.append(None if first.fore else _end_reading(first.s_fore, hull.s_stem_end))
        aft.append(None if last.aft else _end_reading(length - last.s_aft, length - hull.s_stern_start))
    stem = MarkRow("Stem", None, tuple(fore), hull.s_stem_end, True)
    stern = MarkRow("Stern", None, tuple(aft), length - hull.s_stern_start, True)
    order = np.argsort(x, kind="stable") if len(x) else []
    return MarksTable(tuple(s.name for s in seams), (stem, *(rows[k] for k in order), stern))


def _plain(values):
    return tuple(None if np.isnan(v) else float(v) for v in values)


def _end_reading(girth, edge):
    """Reading along the stem or stern; None where the seam ends on the rabbet of the keel."""
    return float(girth) if girth <= edge + 1e-6 else None
