# SPDX-License-Identifier: LGPL-2.1-or-later
"""The checks' figures at stations: a row for each strake at each station that crosses it."""

from typing import NamedTuple

import numpy as np

__all__ = ["FIGURES", "StationRow", "rows_at_stations"]


class StationRow(NamedTuple):
    """Figures of a strake at a station.

    ``strake``, ``part`` (0 or 1, 2, ..), ``station`` its name, ``x`` model coordinate, mm, and
    ``figures`` in the order of FIGURES; nan where there is none.
    """

    strake: int
    part: int
    station: str
    x: float
    figures: tuple


#: what is told at every station: (title, unit, digits)
FIGURES = (
    ("width square", "mm", 1), ("width girthwise", "mm", 1), ("edge set", "mm", 1), ("force to spring", "N", 0),
    ("share of breaking strain, sprung", "%", 1), ("share of breaking strain, spiled", "%", 1),
    ("hold-down force", "N", 0), ("bend, R/t", "", 0), ("force to bend and twist home", "N", 0),
    ("twist", "degrees/m", 2), ("twist over a plank", "degrees", 1), ("hollow", "mm", 1),
    ("strain of double curvature", "%", 3),
)  # fmt: skip


def rows_at_stations(checks, stations):
    """Figures of all strakes at stations, straight between the places that were looked at.

    These lie 100 mm apart or less, so that a width is off by less than 0.1 mm where it
    changes its taper by 50 mm/m in a metre.

    Parameters
    ----------
    checks : Checks
    stations : sequence of Station

    Returns
    -------
    list of StationRow
        Strakes from the sheer down, stations in their order.
    """
    strakes = checks.strakes
    at = strakes.frame.to_ship_station(np.array([s.x for s in stations], float))
    values = _values(checks)
    out = []
    for row in range(len(strakes.number)):
        x = strakes.x[row]
        inside = np.flatnonzero((at >= x[0]) & (at <= x[-1]))
        columns = [np.interp(at[inside], x, value[row]) for value in values]
        # the radius is infinite where a strake is straight: its inverse is what is straight between
        columns[7] = 1.0 / np.maximum(columns[7], 1e-9)
        for k, figures in zip(inside, np.stack(columns, axis=1) if len(inside) else ()):
            station = stations[k]
            out.append(
                StationRow(
                    int(strakes.number[row]), int(strakes.part[row]), station.name, float(station.x),
                    tuple(float(v) for v in figures),
                )
            )  # fmt: skip
    return out


def _values(checks):
    """Arrays (m, n) in the order of FIGURES, in the units told."""
    s, b = checks.springing, checks.bending
    degrees = np.degrees(1.0)
    values = [
        checks.strakes.width, checks.strakes.girth_width, s.edge_set.value, s.force.value, 100.0 * s.share.value,
        100.0 * s.share_spiled.value, s.hold_down.value, 1.0 / b.over_thickness.value, b.frame_force.value,
        1000.0 * degrees * b.rate.value, degrees * b.in_all.value, checks.hollows.hollow.value,
        100.0 * s.compound.value,
    ]  # fmt: skip
    shape = checks.strakes.s.shape
    return [np.broadcast_to(v, shape) for v in values]
