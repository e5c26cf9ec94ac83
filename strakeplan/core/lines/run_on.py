# SPDX-License-Identifier: LGPL-2.1-or-later
"""Running a line on, straight over the surface, to the stem or the stern."""

from typing import NamedTuple

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from .line import LEAVES, edge_left, nearest_on_boundary
from .march import march
from .geodesic import geodesic_between
from .relax import DEGREE, end_pull, relax

__all__ = ["Words", "run_on"]

_LONGEST = 20  # tenths of the hull's size within which a line must reach an end
_ROUNDS = 6  # of sliding a free end and laying the elements again
_STRAIGHT = 1e-7  # radians: corner at the start that is none


class Words(NamedTuple):
    """What messages call a line that is run on, and what steers it.

    Attributes
    ----------
    line : str
        For instance 'the taut line through ...'.
    lower, higher : str
        What to do where it leaves over the sheer, and under the rabbet.
    other : str
        What to do where it does not settle or does not reach the end.
    """

    line: str
    lower: str
    higher: str
    other: str



def run_on(hull, start, pull, edge, words, elements=8, guess=None, degree=DEGREE):
    """The geodesic from a point in a direction, as far as the stem or stern edge.

    The far end slides along the edge until the string leaves in the direction wanted: a
    root in one unknown, each trial being a relaxed string.

    Parameters
    ----------
    hull : PlankedSurface
    start : (2,) (u, v)
    pull : (3,) direction in ship coordinates
    edge : 'stem' or 'stern'
    words : Words
        What messages say.
    elements : int
    guess : (SurfaceCurve, float), optional
        An earlier result nearby.
    degree : int
        Of the elements.

    Returns
    -------
    curve : SurfaceCurve
        From the start on.
    s : float
        Arc length on the boundary where it ends, mm.

    Raises
    ------
    PlanError
        A line that leaves the planked surface elsewhere, or never.
    """
    patch = hull.patch
    jet = patch.jets(start[0], start[1], 1)
    n = np.cross(jet.su[0], jet.sv[0])
    n /= np.linalg.norm(n)
    pull = pull - (pull @ n) * n
    pull = pull / np.linalg.norm(pull)
    across = np.cross(n, pull)
    path, s = guess or _first_reach(hull, start, pull, edge, words)

    limit = hull.boundary.length
    end = hull.boundary.at([s]).uv[0]
    curve = geodesic_between(patch, start, end, guess=path, elements=elements, degree=degree)
    for _ in range(_ROUNDS):
        before = s
        s, curve, corner = _straighten(hull, curve, s, across)
        # the far end has moved: lay the elements on the knot lines again
        curve = geodesic_between(
            patch, start, curve.nodes[-1, -1], guess=curve, elements=elements, degree=degree
        )
        if abs(s - before) < 1e-11 * patch.size:
            break
    else:
        raise _unsettled(hull, words, curve, edge)
    if abs(corner) > _STRAIGHT:
        # pushed up to the sheer, and still bent
        raise _leaves(hull, words, "sheer", curve, edge) if s in (0.0, limit) else _unsettled(hull, words, curve, edge)
    low, high = {"stem": (0.0, hull.s_stem_end), "stern": (hull.s_stern_start, limit)}[edge]
    if not low <= s <= high:
        raise _leaves(hull, words, "rabbet", curve, edge)
    return curve, s


def _straighten(hull, curve, s, across):
    """Slide the far end along the boundary, on the same elements, until there is no corner.

    Secant steps on the pull's part across the line at the mark. Returns the arc length, the
    curve and the corner left, radians.
    """
    patch, limit = hull.patch, hull.boundary.length
    widths = curve.piece_lengths

    def corner(s, nodes):
        nodes = nodes.copy()
        nodes[-1, -1] = hull.boundary.at([s]).uv[0]
        nodes, _ = relax(patch, nodes, widths)
        curve = SurfaceCurve(patch, nodes)
        return float(end_pull(curve, 0) @ across), curve

    f0, curve = corner(s, curve.nodes)
    step = f0 * curve.length
    s1 = s - step if 0.0 <= s - step <= limit else s + step
    for _ in range(12):
        if s1 == s:
            f1 = f0
            break
        f1, curve = corner(s1, curve.nodes)
        if abs(s1 - s) < 1e-12 * patch.size or f1 == f0:
            break
        s, f0, s1 = s1, f1, float(np.clip(s1 - f1 * (s1 - s) / (f1 - f0), 0.0, limit))
    return s1, curve, f1


def _unsettled(hull, words, curve, edge):
    return PlanError(
        f"{hull.name}: {words.line} does not settle on the {edge} edge",
        f"near {hull.frame.station_label(float(curve.points([curve.length])[0, 0]))}", words.other,
    )  # fmt: skip


def _leaves(hull, words, what, curve, edge):
    return PlanError(
        f"{hull.name}: {words.line} {LEAVES[what]} before it reaches the {edge}",
        f"at {hull.frame.station_label(curve.at([curve.length]).p[0, 0])}",
        words.lower if what == "sheer" else words.higher,
    )


def _first_reach(hull, start, direction, edge, words):
    """Follow the geodesic coarsely to the boundary: the path and the arc length there."""
    patch = hull.patch
    step = patch.size / 25.0
    uv, t = start[None], direction[None]
    for _ in range(_LONGEST):
        run = march(patch, uv[-1:], t[-1:], step * np.arange(1, 4), step, rough=True)
        uv, t = np.vstack([uv, run.uv[:, 0]]), np.vstack([t, run.t[:, 0]])
        k = _first_outside(hull, uv)
        if k is not None:
            break
    else:
        raise PlanError(
            f"{hull.name}: {words.line} does not reach the {edge}",
            f"at {hull.frame.station_label(float(patch.points(*uv[-1:].T)[0, 0]))} it has not got there",
            words.other,
        )  # fmt: skip
    # the last step again, finely, then straight to the edge
    uv, t = uv[:k], t[:k]
    run = march(patch, uv[-1:], t[-1:], step / 20.0 * np.arange(1, 21), step)
    fine = np.vstack([uv[-1:], run.uv[:, 0]])
    k = _first_outside(hull, fine) or 20
    if not np.isfinite(fine[k]).all():  # over the surface's continuation it runs wild at once
        fine[k] = fine[k - 1] + (fine[k - 1] - fine[k - 2] if k > 1 else uv[-1] - uv[-2])
    lo, hi = 0.0, 1.0
    for _ in range(50):
        mid = 0.5 * (lo + hi)
        trial = fine[k - 1] + mid * (fine[k] - fine[k - 1])
        lo, hi = (mid, hi) if hull.inside(trial[:1], trial[1:])[0] >= 0.0 else (lo, mid)
    end = fine[k - 1] + hi * (fine[k] - fine[k - 1])
    left = edge_left(hull, fine[k - 1] + min(1.0, hi + 1e-6) * (fine[k] - fine[k - 1]))
    path = _polyline(patch, np.vstack([uv, fine[1:k], end]))
    if left != edge:
        raise _leaves(hull, words, left, path, edge)
    return path, nearest_on_boundary(hull, end)


def _first_outside(hull, uv):
    """Index of the first place after the start that is off the planked surface, or None."""
    bad = ~np.isfinite(uv).all(axis=1)
    outside = np.flatnonzero(bad | (hull.inside(uv[:, 0], uv[:, 1]) < 0.0))
    outside = outside[outside > 0]
    return int(outside[0]) if len(outside) else None


def _polyline(patch, uv):
    """Straight pieces in the parameter plane as a curve of degree 1."""
    return SurfaceCurve(patch, np.stack([uv[:-1], uv[1:]], axis=1))
