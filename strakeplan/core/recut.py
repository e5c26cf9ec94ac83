# SPDX-License-Identifier: LGPL-2.1-or-later
"""Cut a curve's pieces where it crosses knot lines at which the surface is not smooth.

Across a knot of full multiplicity (where rational arcs join) the surface's parametrisation
may kink although the hull is smooth. A polynomial piece that straddles such a line would
lose its order; cut there and made again from true points it keeps it.
"""

import numpy as np

from .curve import SurfaceCurve
from .knotlines import knot_line_crossings
from .spline.lobatto import lobatto

__all__ = ["broken_lines", "recut"]

_ROUNDS = 4
_SAME = 1e-7  # share of the parameter's range nearer than which two cuts are one


def broken_lines(patch):
    """Indices of the distinct inner u and v knots at which smoothness is not granted.

    Returns
    -------
    (list of int, list of int) : knots of multiplicity >= degree
    """
    return tuple(
        [k for k in range(1, len(mult) - 1) if mult[k] >= degree]
        for mult, degree in ((patch.mult_u, patch.degree_u), (patch.mult_v, patch.degree_v))
    )


def recut(curve, breaks, places):
    """The same curve with pieces that end on the broken knot lines.

    Parameters
    ----------
    curve : SurfaceCurve
        Pieces made from true points at the Gauss-Lobatto nodes between `breaks`.
    breaks : (pieces + 1,) increasing parameters
    places : callable
        (n,) parameters -> (n, 2) true (u, v) of the curve.

    Returns
    -------
    SurfaceCurve
        The given one where it crosses no such line.
    """
    lines = broken_lines(curve.patch)
    if not any(lines):
        return curve
    breaks = np.asarray(breaks, float)
    least = _SAME * (breaks[-1] - breaks[0])
    known = {
        (a, b): nodes for a, b, nodes in zip(breaks[:-1], breaks[1:], curve.nodes)
    }
    current, cuts = breaks, np.empty(0)
    xi = lobatto(curve.degree).nodes
    for _ in range(_ROUNDS):
        piece, x, way, line = knot_line_crossings(curve.patch, curve.nodes)
        wanted = np.array([ln in lines[w] for w, ln in zip(way, line)], bool)
        piece, x = piece[wanted], x[wanted]
        at = current[piece] + 0.5 * (x + 1.0) * (current[piece + 1] - current[piece])
        at = np.array([t for t in np.sort(at) if np.min(np.abs(breaks - t)) > least])
        if len(at):
            at = at[np.concatenate([[True], np.diff(at) > least])]
        if len(at) == len(cuts) and np.all(np.abs(at - cuts) < least):
            break
        cuts = at
        current = np.sort(np.concatenate([breaks, cuts]))
        spans = list(zip(current[:-1], current[1:]))
        new = [k for k, span in enumerate(spans) if span not in known]
        if new:
            a, b = (np.array([spans[k][i] for k in new]) for i in (0, 1))
            t = 0.5 * (a + b)[:, None] + 0.5 * (b - a)[:, None] * xi
            uv = places(t.ravel()).reshape(*t.shape, 2)
            for k, nodes in zip(new, uv):
                known[spans[k]] = nodes
        curve = SurfaceCurve(curve.patch, np.array([known[span] for span in spans]))
    return curve
