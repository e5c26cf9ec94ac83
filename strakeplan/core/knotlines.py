# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where piecewise polynomial parameter curves cross the knot lines of a patch."""

import numpy as np
from numpy.polynomial import legendre

from .spline.lobatto import lobatto

__all__ = ["knot_line_crossings"]

_PER_PIECE = 8
_DONE = 1e-8  # local parameter: after a Newton step so short the next would be nothing
_RIDING = 1e-11  # of the knots' range: a curve along a knot line does not cross it by rounding


def knot_line_crossings(patch, nodes):
    """Where pieces cross inner knot lines.

    Parameters
    ----------
    patch : SplinePatch
    nodes : (e, p + 1, 2)
        (u, v) at the Gauss-Lobatto nodes of every piece.

    Returns
    -------
    piece : (k,) int
    x : (k,) local parameters in [-1, 1]
    way : (k,) int, 0 for a line of constant u and 1 for one of constant v
    line : (k,) int, index of the distinct knot
    """
    element = lobatto(nodes.shape[1] - 1)
    grid = np.linspace(-1.0, 1.0, _PER_PIECE + 1)
    uv = np.matmul(element.values(grid), nodes)  # (e, g, 2)
    found = []
    for way, values in enumerate((patch.breaks_u, patch.breaks_v)):
        inner = values[1:-1]
        if not len(inner):
            continue
        span = np.searchsorted(inner, uv[..., way] + _RIDING * (values[-1] - values[0]), side="right")
        for r, c in zip(*np.nonzero(span[:, 1:] != span[:, :-1])):
            a, b = sorted((span[r, c], span[r, c + 1]))
            found += [(r, c, way, line) for line in range(a + 1, b + 1)]
    if not found:
        return np.empty(0, int), np.empty(0), np.empty(0, int), np.empty(0, int)
    row, col, way, line = np.array(found).T
    knot = np.where(
        way == 0,
        patch.breaks_u[np.where(way == 0, line, 0)],
        patch.breaks_v[np.where(way == 1, line, 0)],
    )
    lo, hi = grid[col], grid[col + 1]
    value = nodes[row, :, way]  # (k, p + 1)
    v0, v1 = uv[row, col, way], uv[row, col + 1, way]
    x = np.clip(lo + (hi - lo) * (knot - v0) / (v1 - v0), lo, hi)
    for _ in range(5):  # quadratic convergence from a bracket of an eighth of a piece
        vander = legendre.legvander(x, element.degree)
        f = np.einsum("kj,kj->k", vander @ element.to_legendre[0], value) - knot
        d = np.einsum("kj,kj->k", vander @ element.to_legendre[1], value)
        with np.errstate(divide="ignore", invalid="ignore"):
            new = np.clip(np.where(d != 0.0, x - f / d, x), lo, hi)
        done = np.max(np.abs(new - x)) < _DONE
        x = new
        if done:
            break
    return row, x, way, line
