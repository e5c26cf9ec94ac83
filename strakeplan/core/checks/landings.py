# SPDX-License-Identifier: LGPL-2.1-or-later
"""Seams beside given lines: a wale, a knuckle, a rail, and the tuck.

A seam may run *on* a wale's edge or a knuckle, or well clear of it; what is bad is a seam that
lands a little beside it, or creeps across it, where neither can be fastened or caulked.
"""

from dataclasses import dataclass
from typing import Optional

import numpy as np
from scipy.spatial import cKDTree

from .places import least

__all__ = ["GivenLine", "Landings", "TuckAngles", "check_landings", "check_tuck", "given_line", "tuck_angles"]

#: mm: a seam so near a line runs on it. Common practice, no source
ON = 2.0
#: mm: beyond that a line is not looked at
REACH = 500.0


@dataclass(frozen=True, eq=False)
class GivenLine:
    """A line that seams should keep clear of, or run on.

    Attributes
    ----------
    name : str
    point : (p, 3)
        Ship coordinates, mm, near enough to one another that chords serve.
    clear : float, optional
        Distance to keep, mm; the limit for all lines by default.
    """

    name: str
    point: np.ndarray
    clear: Optional[float] = None


@dataclass(frozen=True, eq=False)
class Landings:
    """Distances of k seams from j lines.

    Attributes
    ----------
    name : tuple of j str
    distance : (j, k, n) mm
        From every place of every seam to each line's chords; nan where the seam runs beyond
        the line's end, or farther from it than 500 mm.
    off : list of j Along
        The least distance of every seam among places that do not lie on the line.
    on : (j, k)
        Share of the seam's places beside the line that lie on it, 0 to 1.
    clear : (j,) mm
        Distance to keep; nan where none was given.
    """

    name: tuple
    distance: np.ndarray
    off: tuple
    on: np.ndarray
    clear: np.ndarray


@dataclass(frozen=True, eq=False)
class TuckAngles:
    """Angles between k seams and the tuck.

    Attributes
    ----------
    angle : (k,) radians
        The greatest at which each seam crosses it, 0 along it; nan where it does not.
    x : (k,)
        Ship position of that crossing, mm.
    """

    angle: np.ndarray
    x: np.ndarray


def given_line(name, curve, spacing=50.0, clear=None):
    """A given line from a curve on the hull.

    Parameters
    ----------
    name : str
    curve : SurfaceCurve, or anything with a `curve`
    spacing : float
        Of the places kept, mm; chords stray from the curve by spacing^2 / 8 R.
    clear : float, optional
        mm.

    Returns
    -------
    GivenLine
    """
    curve = getattr(curve, "curve", curve)
    n = max(2, int(np.ceil(curve.length / spacing)) + 1)
    return GivenLine(name, curve.sample(n).p, clear)


def check_landings(seams, lines, clear=None):
    """How near seams come to given lines.

    Parameters
    ----------
    seams : SeamSamples
    lines : sequence of GivenLine
    clear : float, optional
        Distance to keep where a line has none of its own, mm.

    Returns
    -------
    Landings
    """
    p = seams.point.reshape(-1, 3)
    shape = seams.s.shape
    distance = np.empty((len(lines), *shape))
    for row, line in enumerate(lines):
        distance[row] = _to_chords(p, np.asarray(line.point, float)).reshape(shape)
    with np.errstate(invalid="ignore"):
        beside = np.isfinite(distance)
        on = beside & (distance <= ON)
    share = on.sum(axis=-1) / np.maximum(beside.sum(axis=-1), 1)
    off = tuple(least(d, b & ~o) for d, b, o in zip(distance, beside, on))
    keep = [np.nan if c is None else c for c in (clear if one.clear is None else one.clear for one in lines)]
    return Landings(tuple(line.name for line in lines), distance, off, share, np.array(keep, float))


def _to_chords(p, q):
    """Distances of points (n, 3) from a polyline (k, 3); nan beyond its ends and its reach."""
    out = np.full(len(p), np.nan)
    longest = np.sqrt(np.max(np.sum(np.diff(q, axis=0) ** 2, axis=1)))
    _, near = cKDTree(q).query(p, distance_upper_bound=REACH + 0.5 * longest)
    rows = np.flatnonzero(near < len(q))
    p, near = p[rows], near[rows]
    best, inner = np.full(len(p), np.inf), np.zeros(len(p), bool)
    for i in (np.clip(near - 1, 0, len(q) - 2), np.clip(near, 0, len(q) - 2)):
        a, d = q[i], q[i + 1] - q[i]
        gap = p - a
        share = np.einsum("ij,ij->i", gap, d) / np.einsum("ij,ij->i", d, d)
        foot = gap - np.clip(share, 0.0, 1.0)[:, None] * d
        far = np.sqrt(np.einsum("ij,ij->i", foot, foot))
        # beyond the first chord's start or the last one's end there is no line beside
        within = ((share >= -1e-9) | (i > 0)) & ((share <= 1.0 + 1e-9) | (i < len(q) - 2))
        nearer = far < best
        best, inner = np.where(nearer, far, best), np.where(nearer, within, inner)
    out[rows] = np.where(inner & (best <= REACH), best, np.nan)
    return out


def check_tuck(seams, crossings):
    """The greatest angle at which seams cross the tuck.

    Parameters
    ----------
    seams : SeamSamples
    crossings : sequence of TuckCrossing
        Of `core.lines.tuck.crossing_angles` for lines called by the seams' names.

    Returns
    -------
    TuckAngles
    """
    angle, x = np.full(len(seams.number), np.nan), np.full(len(seams.number), np.nan)
    rows = {}
    for row, name in enumerate(seams.name):
        rows.setdefault(name, []).append(row)
    for crossing in crossings:
        at = float(seams.frame.to_ship_station(crossing.station))
        for row in rows.get(crossing.name, ()):
            inside = seams.x[row, 0] - 1.0 <= at <= seams.x[row, -1] + 1.0
            if inside and not crossing.angle <= angle[row]:
                angle[row], x[row] = crossing.angle, at
    return TuckAngles(angle, x)


def tuck_angles(seams, tuck):
    """The same from samples alone: quick, for plans that are only looked at.

    On every transverse section the seam lies on one side of the tuck or the other; between two
    places where it changes sides it crosses. Place and angle are interpolated.

    Parameters
    ----------
    seams : SeamSamples
    tuck : (p, 3)
        Places along the tuck, ship coordinates, mm; it passes every section once.

    Returns
    -------
    TuckAngles
    """
    tuck = np.asarray(tuck, float)
    tuck = tuck[np.argsort(tuck[:, 0])]
    x = seams.x
    beside = (x >= tuck[0, 0]) & (x <= tuck[-1, 0])
    y, z = (np.interp(x, tuck[:, 0], tuck[:, k]) for k in (1, 2))
    dy, dz = seams.point[..., 1] - y, seams.point[..., 2] - z
    a = (slice(None), slice(None, -1))
    b = (slice(None), slice(1, None))
    far = np.hypot(dy, dz)
    # the way across turns about at a crossing, and both places are as near as one step brings them
    step = seams.s[:, 1:] - seams.s[:, :-1]
    crosses = (dy[a] * dy[b] + dz[a] * dz[b] <= 0.0) & beside[a] & beside[b] & (far[a] + far[b] < 2.0 * step)
    share = far[a] / np.where(crosses, np.maximum(far[a] + far[b], 1e-12), 1.0)
    along = np.gradient(seams.point, axis=1)
    along = along[a] + share[..., None] * (along[b] - along[a])
    at = x[a] + share * (x[b] - x[a])
    slope = np.gradient(tuck[:, 1:], tuck[:, 0], axis=0)
    line = np.stack([np.ones(at.shape), *(np.interp(at, tuck[:, 0], slope[:, k]) for k in (0, 1))], axis=-1)
    across = np.linalg.norm(np.cross(along, line), axis=-1)
    angle = np.where(crosses, np.arctan2(across, np.abs(np.einsum("ijk,ijk->ij", along, line))), -np.inf)
    k = np.argmax(angle, axis=1)
    rows = np.arange(len(k))
    met = crosses[rows, k]
    return TuckAngles(np.where(met, angle[rows, k], np.nan), np.where(met, at[rows, k], np.nan))
