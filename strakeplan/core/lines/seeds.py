# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where a drawn line first finds the hull: starting places of its image."""

import numpy as np

from .closest import closest_on_patch

__all__ = ["seeds"]

_PLACES = 33  # of the drawn line that are looked at
_PER_SPAN = 8  # samples of a knot span among which a ray's hits are looked for


def seeds(hull, projection):
    """Places of the image on the planked surface, the one to start from first.

    Parameters
    ----------
    hull : PlankedSurface
    projection : Projection

    Returns
    -------
    list of (order, uv (2,), piece, t)
        Sorted: places near the middle of the drawn line first, and there the nearest to it.
    """
    piece, t, share = _spread(projection)
    drawn = projection.drawn(piece, t)
    if projection.direction is None:
        uv, _ = closest_on_patch(hull.patch, drawn)
        row = np.arange(len(t))
    else:
        uv, row = _hits(hull.patch, projection, drawn)
    if not len(row):
        return []
    uv, _, error = projection.at(uv, piece[row], t[row])
    inside = hull.inside(uv[:, 0], uv[:, 1])
    good = (error < 1e-9) & (inside > 0.0)
    far = np.linalg.norm(hull.patch.points(uv[:, 0], uv[:, 1]) - drawn[row], axis=1)
    # eighths of the line from its middle, then nearness
    order = np.floor(np.abs(share[row] - 0.5) * 8.0)
    picked = sorted(np.flatnonzero(good), key=lambda k: (order[k], far[k]))
    return [(order[k], uv[k], int(piece[row[k]]), float(t[row[k]])) for k in picked]


def _spread(projection):
    """Pieces, parameters and shares of the whole length of places spread along the line."""
    n = len(projection.curves)
    at = np.linspace(0.0, 1.0, 9)
    k, local = (a.ravel() for a in np.meshgrid(np.arange(n), at, indexing="ij"))
    p = projection.drawn(k, k + local)
    gone = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(p, axis=0), axis=1))])
    share = (np.arange(_PLACES) + 0.5) / _PLACES
    place = np.interp(share * gone[-1], gone, k + local)
    piece = np.clip(np.floor(place).astype(int), 0, n - 1)
    return piece, place, share


def _hits(patch, projection, drawn):
    """Rays against the triangles of a sampling: (u, v) (m, 2) and the ray's row (m,)."""
    us, vs = (
        np.unique(np.concatenate([np.linspace(a, b, _PER_SPAN + 1) for a, b in zip(k, k[1:])]))
        for k in (patch.breaks_u, patch.breaks_v)
    )
    uu, vv = np.meshgrid(us, vs, indexing="ij")
    grid = np.stack([uu, vv], axis=2)
    plane = (patch.points(uu.ravel(), vv.ravel()) @ projection.across.T).reshape(*uu.shape, 2)
    corners = [(0, 0), (1, 0), (0, 1), (1, 1)]
    view = lambda a, i, j: a[i : a.shape[0] - 1 + i, j : a.shape[1] - 1 + j].reshape(-1, 2)  # noqa: E731
    places = [view(plane, i, j) for i, j in corners]
    params = [view(grid, i, j) for i, j in corners]
    rays = drawn @ projection.across.T
    found, row = [], []
    for a, b, c in ((0, 1, 2), (3, 2, 1)):
        o, e, f = places[a], places[b] - places[a], places[c] - places[a]
        det = e[:, 0] * f[:, 1] - e[:, 1] * f[:, 0]
        det = np.where(det == 0.0, np.nan, det)
        for k, ray in enumerate(rays):
            r = ray - o
            s = (r[:, 0] * f[:, 1] - r[:, 1] * f[:, 0]) / det
            q = (e[:, 0] * r[:, 1] - e[:, 1] * r[:, 0]) / det
            with np.errstate(invalid="ignore"):
                hit = np.flatnonzero((s >= -1e-9) & (q >= -1e-9) & (s + q <= 1.0 + 1e-9))
            found.append(
                params[a][hit] + s[hit, None] * (params[b] - params[a])[hit] + q[hit, None] * (params[c] - params[a])[hit]
            )
            row += [k] * len(hit)
    return np.concatenate(found), np.array(row, int)
