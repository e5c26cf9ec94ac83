# SPDX-License-Identifier: LGPL-2.1-or-later
"""From one edge of a plank square across to the other."""

import numpy as np

__all__ = ["square_across"]

_SAMPLES = 600


def square_across(curves, p, t):
    """Where the planes through p, square to t, meet the opposite edge.

    Parameters
    ----------
    curves : sequence of SurfaceCurve
        The opposite edge, in one or several stretches.
    p : (n, 3) points, mm
    t : (n, 3) unit directions

    Returns
    -------
    which : (n,) int
        Index of the stretch met, -1 where the plane passes the edge's ends.
    s : (n,) arc length on it, mm
    """
    p, t = np.atleast_2d(p), np.atleast_2d(t)
    n = len(p)
    which, at, best = np.full(n, -1), np.zeros(n), np.full(n, np.inf)
    for index, curve in enumerate(curves):
        grid = np.linspace(0.0, curve.length, _SAMPLES)
        q = curve.points(grid)
        d = np.einsum("nij,nj->ni", q[None] - p[:, None], t)
        row, col = np.nonzero((d[:, :-1] >= 0.0) != (d[:, 1:] >= 0.0))
        if not len(row):
            continue
        gap = np.linalg.norm(q[col] - p[row], axis=1)
        # of several meetings the nearest is across the plank
        order = np.argsort(gap)[::-1]
        row, col, gap = row[order], col[order], gap[order]
        s = grid[col] + 0.5 * (grid[1] - grid[0])
        for _ in range(8):
            c = curve.at(s)
            f = np.einsum("ij,ij->i", c.p - p[row], t[row])
            s = np.clip(s - f / np.einsum("ij,ij->i", c.t, t[row]), grid[col], grid[col + 1])
        for r, value, g in zip(row, s, gap):
            if g < best[r]:
                which[r], at[r], best[r] = index, value, g
    return which, at
