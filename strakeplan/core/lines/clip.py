# SPDX-License-Identifier: LGPL-2.1-or-later
"""Curves that run off the planking, cut at its edges, all together."""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..roots import bracketed_roots
from ..spline.lobatto import lobatto

__all__ = ["clip_curves"]

_PER_PIECE = 12  # places of every piece at which curves are looked at
# of a piece: as near as crossings are looked for before they are laid on the edge
_NEAR = {True: 1e-6, False: 1e-3}  # exact or not
_ROUNDS = 12
_SETTLED = 1e-13  # of the parameters' range


def clip_curves(hull, curves, shortest, exact=True):
    """The parts of curves that lie on the planked surface.

    Parameters
    ----------
    hull : PlankedSurface
    curves : sequence of SurfaceCurve
        From fore aft, of one degree, both ends outside the planked surface.
    shortest : float
        Parts shorter than this are dropped, mm.
    exact : bool
        False for a first look: the boundary is read from its table.

    Returns
    -------
    list, one for each curve, of lists of (SurfaceCurve, s_fore, s_aft)
        With the arc lengths on the boundary at both ends; None for an end on the sheer.

    Raises
    ------
    PlanError
        If an end of a curve still lies inside.
    """
    curves = list(curves)
    if not curves:
        return []
    _require_outside(hull, curves)
    patch = hull.patch
    first = np.concatenate([[0], np.cumsum([curve.pieces for curve in curves])])
    owner = np.repeat(np.arange(len(curves)), np.diff(first))
    nodes = np.concatenate([curve.nodes for curve in curves])
    piece, x = _crossings(hull, nodes, owner, _NEAR[exact])
    places = SurfaceCurve(patch, nodes)
    at, edge_s = _onto_edges(hull, places, piece, x, exact)
    # every second crossing begins a part; an odd one is left over
    rows = []
    for k in range(len(curves)):
        own = np.flatnonzero(owner[piece] == k)
        rows.append(own[: len(own) // 2 * 2].reshape(-1, 2))
    pairs = np.concatenate(rows)
    p = places._jets(piece, at, 0)[1].p[pairs] if len(pairs) else np.empty((0, 2, 3))
    far = np.linalg.norm(p[:, 1] - p[:, 0], axis=1)
    out = [[] for _ in curves]
    for (i, j), chord, start in zip(pairs, far, p[:, 0]):
        part = SurfaceCurve(patch, _between(nodes, piece[i], at[i], piece[j], at[j]))
        if chord < shortest and part.length < shortest:
            continue
        fore, aft = (None if np.isnan(s) else float(s) for s in edge_s[[i, j]])
        if fore is not None and aft is not None and aft <= fore:
            raise PlanError(
                f"{hull.name}: a parallel line meets the boundary twice on its way",
                f"at {hull.frame.station_label(float(start[0]))}",
                "choose another line to run parallel to",
            )
        out[owner[piece[i]]].append((part, fore, aft))
    return out


def _require_outside(hull, curves):
    ends = np.array([curve.nodes[[0, -1], [0, -1]] for curve in curves])
    inside = hull.inside(ends[..., 0].ravel(), ends[..., 1].ravel()).reshape(-1, 2)
    if np.any(inside > 1e-6):
        k, end = np.argwhere(inside > 1e-6)[0]
        x = float(hull.patch.points(*ends[k, end][:, None])[0, 0])
        raise PlanError(
            f"{hull.name}: a parallel line ends before it reaches the {('bow', 'stern')[end]}",
            f"at {hull.frame.station_label(x)}",
            "give the surface more run there, or choose another line to run parallel to",
        )


def _crossings(hull, nodes, owner, near):
    """Pieces (k,) and local parameters (k,) where curves pass the planking's edge."""
    element = lobatto(nodes.shape[1] - 1)
    grid = np.linspace(-1.0, 1.0, _PER_PIECE + 1)
    uv = np.matmul(element.values(grid), nodes)
    f = hull.inside(uv[..., 0].ravel(), uv[..., 1].ravel()).reshape(uv.shape[:2])
    # pieces meet in one point: rounding must leave no gap for a root to slip through
    same = np.flatnonzero(owner[1:] == owner[:-1])
    f[same + 1, 0] = f[same, -1]
    sign = f >= 0.0
    row, col = np.nonzero(sign[:, :-1] != sign[:, 1:])
    if not len(row):
        return row, np.empty(0)

    def inside(t):
        at = np.einsum("nj,njc->nc", element.values(t), nodes[row])
        return hull.inside(at[:, 0], at[:, 1])

    return row, bracketed_roots(inside, grid[col], grid[col + 1], f[row, col], f[row, col + 1], done=near)


def _onto_edges(hull, places, piece, x, exact):
    """Local parameters (k,) of the crossings, made exact, and arc lengths (k,) on the boundary.

    The curve and the edge meet in the parameter plane: Newton's method on both parameters. An
    end on the sheer is nan. The curves' own nodes are not changed.
    """
    edge_s = np.full(len(piece), np.nan)
    if not len(piece):
        return x, edge_s
    patch, boundary = hull.patch, hull.boundary
    size = np.array([np.ptp(patch.u_range), np.ptp(patch.v_range)])
    x = x.copy()
    uv = places.uv_local(piece, x)
    # the sheer is a parameter line
    v0 = patch.v_range[0]
    sheer = np.abs(uv[:, 1] - v0) < 1e-4 * size[1]
    table = boundary.table
    scale = np.array(hull._scale)
    knots = table.coefficients[0, :2].T
    far = np.linalg.norm((uv[:, None] - knots) * scale, axis=2)
    near = np.argmin(far, axis=1)
    sheer &= far[np.arange(len(uv)), near] > 1e-3 * patch.size
    rows = np.flatnonzero(sheer)
    for _ in range(_ROUNDS if len(rows) else 0):
        at, slope = places.uv_local(piece[rows], x[rows]), places.uv_local(piece[rows], x[rows], 1)
        x[rows] -= (at[:, 1] - v0) / slope[:, 1]
    rows = np.flatnonzero(~sheer)
    if len(rows):
        s = table.start[near[rows]]
        none = np.zeros(len(rows), int)
        for _ in range(_ROUNDS):
            x[rows], s, step = _newton(
                places, piece[rows], x[rows], *table.parameters(none, s, 1), s, size, table.length[0]
            )
            if step < 1e-9:
                break
        edge_s[rows] = s
        if not exact:
            return x, edge_s
        # in the table within its error: now on the boundary's own polynomials
        which, t = boundary.locate(s)
        for _ in range(_ROUNDS):
            edge, slope = boundary.uv_local(which, t), boundary.uv_local(which, t, 1)
            x[rows], t, step = _newton(places, piece[rows], x[rows], edge, slope, t, size, np.inf)
            if step < _SETTLED:
                break
        edge_s[rows] = boundary.arc_length(which, t)
    return x, edge_s


def _newton(places, piece, x, edge, slope, t, size, longest):
    """One step of Newton's method for curve(x) = edge(t) in the parameter plane."""
    at, d = places.uv_local(piece, x), places.uv_local(piece, x, 1)
    gap = edge - at
    det = d[:, 1] * slope[:, 0] - d[:, 0] * slope[:, 1]
    det = np.where(det == 0.0, np.inf, det)
    dx = (gap[:, 1] * slope[:, 0] - gap[:, 0] * slope[:, 1]) / det
    dt = (gap[:, 1] * d[:, 0] - gap[:, 0] * d[:, 1]) / det
    moved = np.max(np.abs(gap / size))
    t = t + dt
    return x + np.clip(dx, -0.5, 0.5), t if longest == np.inf else np.clip(t, 0.0, longest), moved


def _between(nodes, p0, x0, p1, x1):
    """Nodes of the stretch from a place in piece p0 to one in p1, the same polynomials."""
    element = lobatto(nodes.shape[1] - 1)
    out = nodes[p0 : p1 + 1].copy()
    for k, lo, hi in ((0, x0, 1.0 if p1 > p0 else x1), (len(out) - 1, -1.0 if p1 > p0 else x0, x1)):
        at = 0.5 * (lo + hi) + 0.5 * (hi - lo) * element.nodes
        out[k] = element.values(at) @ nodes[p0 if k == 0 else p1]
    return out
