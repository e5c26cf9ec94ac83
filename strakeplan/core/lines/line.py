# SPDX-License-Identifier: LGPL-2.1-or-later
"""What every line on the hull tells of itself."""

from contextlib import contextmanager
from dataclasses import dataclass
from typing import Optional

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError

__all__ = [
    "LEAVES",
    "HullLine",
    "edge_left",
    "lateral_distance",
    "named",
    "nearest_on",
    "nearest_on_boundary",
    "require_inside",
]

_HALVINGS = 20  # of the way between two places looked at: where a line leaves is told to the mm

#: what a line does that leaves the planked surface over an edge
LEAVES = {
    "sheer": "climbs over the sheer",
    "rabbet": "runs under the rabbet",
    "stem": "runs past the stem",
    "stern": "runs past the stern",
}


@dataclass(frozen=True, eq=False)
class HullLine:
    """A line on the hull, as a rule from the stem to the stern.

    Attributes
    ----------
    kind : str
        How it was found, in words of the trade.
    curve : SurfaceCurve
        From the bow aft.
    s_bow, s_stern : float or None
        Where it ends on the boundary: arc lengths from the stem head, mm. None where a
        parallel or drawn line ends on the sheer.
    error_position, error_length : float
        Bounds of the numerical error, mm: the change when the elements are halved.
    notes : tuple of str
    """

    kind: str
    curve: SurfaceCurve
    s_bow: Optional[float]
    s_stern: Optional[float]
    error_position: float
    error_length: float
    notes: tuple = ()


@contextmanager
def named(hull, line, place):
    """Errors of the numerical parts below, which know no hull, told with its name, the line's
    and a place."""
    try:
        yield
    except PlanError as error:
        if error.what.startswith(f"{hull.name}: "):
            raise
        where = f"{place}; {error.where}" if error.where else place
        raise PlanError(f"{hull.name}: {line}: {error.what}", where, error.remedy) from error


def lateral_distance(curve, other, n=257):
    """Greatest distance square to `curve` between two runs of the same line, mm.

    At n places: enough for several in every element, for the error is often that of one. Both are compared at equal shares of their length; the part of the difference along the
    line says nothing about where it lies and is left out.
    """
    share = np.linspace(0.0, 1.0, n)
    a = curve.at(share * curve.length)
    d = other.points(share * other.length) - a.p
    d = d - np.einsum("ij,ij->i", d, a.t)[:, None] * a.t
    return float(np.sqrt(np.max(np.einsum("ij,ij->i", d, d))))


def require_inside(hull, curve, make_error, n=400, allowance=1e-6):
    """Raise where a line leaves the planked surface.

    Parameters
    ----------
    hull : PlankedSurface
    curve : SurfaceCurve
    make_error : callable
        (CurvePoints of the first place outside, 'sheer', 'rabbet', 'stem' or 'stern') -> PlanError
    n : int
        Places looked at.
    allowance : float
        How far outside still counts as on the edge, mm.
    """
    # evenly along the pieces: arc lengths are not needed to look
    at = np.linspace(0.0, curve.pieces, n)

    def local(at):
        piece = np.minimum(at.astype(int), curve.pieces - 1)
        return piece, 2.0 * (at - piece) - 1.0

    def outside(at):
        uv = curve.uv_local(*local(at))
        return hull.inside(uv[:, 0], uv[:, 1]) < -allowance

    out = outside(at)
    if out.any():
        k = int(np.argmax(out))
        lo, hi = at[[max(k - 1, 0), k]]
        for _ in range(_HALVINGS if k else 0):
            mid = 0.5 * (lo + hi)
            lo, hi = (lo, mid) if outside(np.array([mid]))[0] else (mid, hi)
        first = curve.at_local(*local(np.array([hi])))
        raise make_error(first, edge_left(hull, first.uv[0]))


def edge_left(hull, uv):
    """Which edge a point outside the planked surface lies beyond."""
    if uv[1] <= hull.patch.v_range[0] + 1e-9 * np.diff(hull.patch.v_range)[0]:
        return "sheer"
    s = nearest_on_boundary(hull, uv)
    if s <= hull.s_stem_end:
        return "stem"
    return "stern" if s >= hull.s_stern_start else "rabbet"


def nearest_on_boundary(hull, uv):
    """Arc length of the boundary's point nearest to a point of the patch, to about a mm."""
    return nearest_on(hull.boundary, uv)


def nearest_on(curve, uv):
    """Arc length of a curve's point nearest to a point of its patch, to about a mm."""
    p = curve.patch.points(uv[0], uv[1])[0]
    s = np.linspace(0.0, curve.length, 2000)
    d = np.linalg.norm(curve.points(s) - p, axis=1)
    k = int(np.argmin(d))
    s = np.linspace(s[max(k - 1, 0)], s[min(k + 1, len(s) - 1)], 41)
    d = np.linalg.norm(curve.points(s) - p, axis=1)
    return float(s[np.argmin(d)])
