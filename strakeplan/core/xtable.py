# SPDX-License-Identifier: LGPL-2.1-or-later
"""First guesses u(x, v) of canonical patches, from a table made once for each patch."""

from functools import lru_cache

import numpy as np

__all__ = ["u_guess"]

_PER_SPAN = 8  # columns of every v span; lengthwise as many to every u span
_ROUNDS = 30


@lru_cache(maxsize=8)
def u_guess(patch):
    """A first guess u(x, v), good to about 1e-5 of the range.

    The table holds u at equal shares of the length between bow and stern on lines of constant
    v; between its places u is a bicubic (Catmull and Rom's).

    Parameters
    ----------
    patch : SplinePatch
        Canonical: x grows with u.

    Returns
    -------
    callable (x (n,), v (n,)) -> u (n,)
    """
    (u0, u1), (v0, v1) = patch.u_range, patch.v_range
    rows = _PER_SPAN * (len(patch.breaks_u) - 1) + 1
    columns = _PER_SPAN * (len(patch.breaks_v) - 1) + 1
    vs = np.linspace(v0, v1, columns)
    us = np.linspace(u0, u1, 2 * rows - 1)
    uu, vv = (a.ravel() for a in np.meshgrid(us, vs, indexing="ij"))
    x = patch.points(uu, vv)[:, 0].reshape(len(us), columns)
    share = np.linspace(0.0, 1.0, rows)
    wanted = x[0] + share[:, None] * (x[-1] - x[0])
    table = np.stack([np.interp(wanted[:, c], x[:, c], us) for c in range(columns)], axis=1)
    # places where x does not grow with u keep what interpolation gave them
    low, high = np.full(table.shape, u0), np.full(table.shape, u1)
    flat_v = np.broadcast_to(vs, table.shape).ravel()
    for _ in range(_ROUNDS):
        jet = patch.jets(table.ravel(), flat_v, 1)
        slope = jet.su[:, 0].reshape(table.shape)
        gap = wanted - jet.p[:, 0].reshape(table.shape)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = np.where(slope > 0.0, gap / slope, 0.0)
        table = np.clip(table + step, low, high)
        if np.max(np.abs(step)) < 1e-12 * (u1 - u0):
            break
    ends = np.stack([x[0], x[-1]], axis=1)  # (columns, 2)

    def guess(x, v):
        column, across = _weights((v - v0) * ((columns - 1) / (v1 - v0)), columns)
        first, last = (np.sum(ends[column, k] * across, axis=-1) for k in (0, 1))
        row, along = _weights((x - first) * ((rows - 1) / (last - first)), rows)
        near = table[row[:, :, None], column[:, None, :]]  # (n, 4, 4)
        return np.einsum("nij,ni,nj->n", near, along, across)

    return guess


def _weights(t, count):
    """Four neighbours (n, 4) of places t in a row of `count`, and their weights (n, 4)."""
    base = np.clip(np.floor(t).astype(int), 0, count - 2)
    f = np.clip(t - base, -0.5, 1.5)
    f2, f3 = f * f, f * f * f
    weights = np.stack(
        [0.5 * (2.0 * f2 - f3 - f), 0.5 * (3.0 * f3 - 5.0 * f2 + 2.0), 0.5 * (4.0 * f2 - 3.0 * f3 + f), 0.5 * (f3 - f2)],
        axis=-1,
    )
    index = base[..., None] + np.arange(-1, 3)
    # beyond the ends a neighbour is the straight continuation of the last two
    low, high = index[..., 0] < 0, index[..., 3] >= count
    for outside, at, to in ((low, 0, (1, 2)), (high, 3, (2, 1))):
        w = np.where(outside, weights[..., at], 0.0)
        weights[..., to[0]] += 2.0 * w
        weights[..., to[1]] -= w
        weights[..., at] -= w
    return np.clip(index, 0, count - 1), weights
