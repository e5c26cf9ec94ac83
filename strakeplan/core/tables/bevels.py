# SPDX-License-Identifier: LGPL-2.1-or-later
"""Bevels: the angle between a plank's edge and square to its flat, at every station.

The flat is the chord of the plank's inner face from edge to edge, in the plane square to
the edge. The edge lies along the hull's normal, so that both neighbours share the angle
between them. Positive is a standing bevel: inner face and edge make an obtuse angle in the
wood; negative is an under bevel. No caulking bevel is in these figures.
"""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..planks.across import square_across
from .crossings import station_crossings

__all__ = ["BevelRow", "bevel_table"]


@dataclass(frozen=True)
class BevelRow:
    """Bevels of one edge of one plank.

    Attributes
    ----------
    strake, part : int
    edge : 'upper' or 'lower'
    bevels : tuple of float or None
        Degrees at the stations; None where the edge does not come to the station, or the
        plank is not whole there.
    """

    strake: int
    part: int
    edge: str
    bevels: Tuple[Optional[float], ...]


def bevel_table(lineoff, stations, offset=0.0):
    """Bevels of all planks.

    Parameters
    ----------
    lineoff : LineOff
    stations : sequence of Station
    offset : float
        Signed distance along the outward normal from the modelled surface to the planks'
        inner face, mm: 0 for planking outside the surface, minus the thickness inside.

    Returns
    -------
    tuple of BevelRow, from the sheer down
    """
    hull = lineoff.hull
    x = hull.frame.to_ship_station(np.array([s.x for s in stations], float))
    rows = []
    for strake in lineoff.strakes:
        for outline in strake.planks:
            upper = [outline.upper.curve]
            lower = [piece.curve for piece in outline.lower]
            for edge, own, other in (("upper", upper, lower), ("lower", lower, upper)):
                values = np.full(len(x), np.nan)
                for curve in own:
                    k, piece, t = station_crossings(curve, x)
                    if len(k):
                        values[k] = _bevels(curve.at_local(piece, t), other, offset)
                plain = tuple(None if np.isnan(b) else float(b) for b in values)
                rows.append(BevelRow(strake.number, outline.part, edge, plain))
    return tuple(rows)


def _bevels(c, other, offset):
    """Degrees (n,) at places of one edge."""
    which, s = square_across(other, c.p, c.t)
    far = np.full(c.p.shape, np.nan)
    for index, curve in enumerate(other):
        mine = np.flatnonzero(which == index)
        if len(mine):
            d = curve.at(s[mine])
            far[mine] = d.p + offset * d.n
    chord = far - (c.p + offset * c.n)
    chord = chord - np.einsum("ij,ij->i", chord, c.t)[:, None] * c.t
    chord = chord / np.linalg.norm(chord, axis=1)[:, None]
    angle = np.arccos(np.clip(np.einsum("ij,ij->i", chord, c.n), -1.0, 1.0))
    return np.degrees(angle) - 90.0
