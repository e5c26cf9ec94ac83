# SPDX-License-Identifier: LGPL-2.1-or-later
"""Transverse sections of the planked surface and girths along them.

A section is the curve in which the surface meets a station plane. All sections asked for
are traced in one go: their pieces end on the knot lines they cross, and on every piece the
lengthwise parameter is solved at Gauss-Lobatto nodes of v, so girths are exact to rounding
whatever the knots' multiplicity.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .curve import SurfaceCurve
from .curvetable import pieces_table
from .errors import PlanError
from .roots import bracketed_roots
from .spline.lobatto import lobatto
from .xtable import u_guess

__all__ = ["CrossCurves", "plane_crossings", "sections_at", "trace"]

DEGREE = 8
_PER_SPAN = 4  # samples per v span that find where a cross curve passes knot lines
_LOOKS = 6  # of Newton's method, at most, for a girth in the table
_EDGE = 1e-9  # share of the parameter range below which a piece has no length
_EXACT, _NEAR = 1e-14, 1e-4  # share of u's range: a Newton step after which u is right, or nearly


@dataclass(frozen=True, eq=False)
class CrossCurves:
    """Cross curves from the sheer down, m of them.

    Attributes
    ----------
    x : (m,) ship positions, mm (the parameter of the family)
    curve : SurfaceCurve
        All pieces, one cross curve after another.
    first : (m + 1,) int
        Pieces first[k] to first[k + 1] belong to cross curve k.
    girth : (m,) length of every cross curve, mm
    exact : bool
        False for a first look: lengths and places are read from `table` then.
    """

    x: np.ndarray
    curve: SurfaceCurve
    first: np.ndarray
    exact: bool = True

    @property
    def offset(self):
        """Arc length (m,) at which every cross curve starts in the joined curve."""
        return self.curve.s_breaks[self.first[:-1]]

    @property
    def girth(self):
        """(m,) mm."""
        return np.diff(self.curve.s_breaks[self.first]) if self.exact else self.table.length

    def at_girth(self, k, girth):
        """CurvePoints at girths (n,) below the start of cross curves k (n,)."""
        k = np.asarray(k)
        # stay inside the cross curve's own pieces where a girth is its very end
        inside = np.clip(girth, 0.0, self.girth[k])
        piece, x = self.curve.locate(self.offset[k] + inside)
        low, high = self.first[k], self.first[k + 1] - 1
        x = np.where(piece < low, -1.0, np.where(piece > high, 1.0, x))
        return self.curve.at_local(np.clip(piece, low, high), x)

    @cached_property
    def table(self):
        """The same cross curves as a `CurveTable`."""
        return pieces_table(self.curve.patch, self.curve.nodes, self.first)

    def uv_at_girth(self, k, girth):
        """(u, v) (n, 2) at girths (n,) below the start of cross curves k (n,)."""
        return self.at_girth(k, girth).uv if self.exact else self.table.parameters(k, girth, 0)[0]

    def girth_at_v(self, k, v):
        """Girth (n,) from the start down to the parameter v (n,) on cross curves k (n,)."""
        k = np.asarray(k)
        v = np.asarray(v, float)
        if not self.exact:
            return self._near_girth_at_v(k, v)
        # every cross curve's v grows from piece to piece: all are looked up in one sorted row
        ends = self.curve.nodes[:, -1, 1]
        lift = 2.0 * (np.max(ends) - np.min(self.curve.nodes[:, 0, 1])) + 1.0
        owner = np.repeat(np.arange(len(self.x)), np.diff(self.first))
        piece = np.searchsorted(ends + lift * owner, v + lift * k)
        piece = np.clip(piece, self.first[k], self.first[k + 1] - 1)
        v0, v1 = self.curve.nodes[piece, 0, 1], self.curve.nodes[piece, -1, 1]
        x = np.clip(2.0 * (v - v0) / (v1 - v0) - 1.0, -1.0, 1.0)
        return self.curve.arc_length(piece, x) - self.offset[k]

    def _near_girth_at_v(self, k, v):
        table = self.table
        at = table.coefficients[0, 1]
        lift = 2.0 * np.ptp(at) + np.max(v) - np.min(v) + 1.0
        owner = np.repeat(np.arange(len(self.x)), np.diff(table.first))
        i = np.searchsorted(at + lift * owner, v + lift * k, side="right") - 1
        i = np.clip(i, table.first[k], table.first[k + 1] - 1)
        s = table.start[i] - table.offset[k]
        for _ in range(_LOOKS):
            uv, slope = table.parameters(k, s, 1)
            step = (v - uv[:, 1]) / slope[:, 1]
            s = np.clip(s + step, 0.0, table.length[k])
            if np.max(np.abs(step), initial=0.0) < 1e-4 * np.max(table.length):
                break
        return s

    def single(self, k):
        """Cross curve k as a SurfaceCurve from the sheer down."""
        lo, hi = self.first[k], self.first[k + 1]
        return SurfaceCurve(self.curve.patch, self.curve.nodes[lo:hi])


def plane_crossings(curve, values, axis=0, per_piece=12):
    """Where a curve passes planes p[axis] = value.

    Parameters
    ----------
    curve : SurfaceCurve
    values : (m,) mm

    Returns
    -------
    k : (n,) int, which plane
    piece : (n,) int
    x : (n,) local parameters; in the order of the planes, then along the curve
    """
    values = np.asarray(values, float)
    grid = np.linspace(-1.0, 1.0, per_piece + 1)
    e = np.repeat(np.arange(curve.pieces), per_piece + 1)
    g = np.tile(grid, curve.pieces)

    def height(piece, x):
        return curve._jets(piece, x, 0)[1].p[:, axis]

    f = height(e, g).reshape(curve.pieces, per_piece + 1)
    # pieces meet in one point: rounding must leave no gap for a plane to slip through
    f[1:, 0] = f[:-1, -1]
    lo, hi = f[:, :-1].ravel(), f[:, 1:].ravel()
    below = values[:, None] > np.minimum(lo, hi)
    # a plane through a sample belongs to the interval that ends there, the first to the first
    first = (np.arange(len(lo)) == 0) & (values[:, None] == lo[0])
    hit = (below & (values[:, None] <= np.maximum(lo, hi))) | first
    k, cell = np.nonzero(hit)
    piece, col = np.divmod(cell, per_piece)
    a, b = grid[col].copy(), grid[col + 1].copy()
    fa, fb = lo[cell] - values[k], hi[cell] - values[k]
    x = bracketed_roots(lambda t: height(piece, t) - values[k], a, b, fa, fb)
    return k, piece, x


def trace(patch, x, level, v_start, v_end, u_near, pieces=None, degree=DEGREE):
    """Trace the curves on which the ship's x equals a level that may vary with v.

    Parameters
    ----------
    patch : SplinePatch
        Canonical: x grows with u.
    x : (m,) parameter of the family, kept for the record
    level : callable
        (k (n,), v (n,)) -> x wanted (n,) on curve k at v, mm. Smooth in v.
    v_start, v_end : (m,) ends of every curve
    u_near : callable
        (k (n,), v (n,)) -> first guess of u (n,).
    pieces : int, optional
        So many pieces for every curve, wherever knot lines lie, and places near enough for a
        first look (about 1e-6 mm). Default: pieces end on the knot lines, places are exact.
    degree : int
        Of the pieces.

    Returns
    -------
    CrossCurves

    Raises
    ------
    PlanError
        Where the surface does not run on lengthwise, so that a section cannot be followed.
    """
    m = len(x)
    if pieces is not None:
        return _evenly_traced(patch, x, level, v_start, v_end, u_near, pieces, degree)
    inner_v = patch.breaks_v[1:-1]
    # samples that show which u knot lines are crossed
    fine = np.unique(
        np.concatenate(
            [
                np.linspace(lo, hi, _PER_SPAN + 1)
                for lo, hi in zip(patch.breaks_v[:-1], patch.breaks_v[1:])
            ]
        )
    )
    share = (fine - fine[0]) / (fine[-1] - fine[0])
    v = v_start[:, None] + (v_end - v_start)[:, None] * share
    k = np.repeat(np.arange(m), len(fine))
    u = _solve_u(patch, k, v.ravel(), level, u_near(k, v.ravel())).reshape(v.shape)
    cuts = [[a, b] for a, b in zip(v_start, v_end)]
    for knot in inner_v:
        for row in np.flatnonzero((v_start < knot) & (knot < v_end)):
            cuts[row].append(knot)
    for knot in patch.breaks_u[1:-1]:
        d = u - knot
        row, col = np.nonzero((d[:, :-1] >= 0.0) != (d[:, 1:] >= 0.0))
        if not len(row):
            continue

        def along(t, knot=knot, row=row):
            return patch.points(np.full(len(t), knot), t)[:, 0] - level(row, t)

        a, b = v[row, col], v[row, col + 1]
        fa, fb = along(a), along(b)
        good = (fa >= 0.0) != (fb >= 0.0)
        root = 0.5 * (a + b)
        if good.any():
            row_good = row[good]

            def along_good(t, knot=knot, row=row_good):
                return patch.points(np.full(len(t), knot), t)[:, 0] - level(row, t)

            root[good] = bracketed_roots(along_good, a[good], b[good], fa[good], fb[good])
        for r, t in zip(row[good], root[good]):
            cuts[r].append(t)
    least = _EDGE * (patch.v_range[1] - patch.v_range[0])
    owner, lo, hi, first = [], [], [], [0]
    for row, values in enumerate(cuts):
        values = np.sort(values)
        keep = np.concatenate([[True], np.diff(values) > least])
        values = values[keep]
        if len(values) == 1:
            values = np.array([values[0], values[0]])
        else:
            values[-1] = v_end[row]
        owner += [row] * (len(values) - 1)
        lo.append(values[:-1])
        hi.append(values[1:])
        first.append(first[-1] + len(values) - 1)
    owner, lo, hi = np.array(owner), np.concatenate(lo), np.concatenate(hi)
    xi = lobatto(degree).nodes
    vn = 0.5 * (lo + hi)[:, None] + 0.5 * (hi - lo)[:, None] * xi
    kn = np.repeat(owner, len(xi))
    guess = np.empty(vn.shape)
    for row in range(m):
        mine = slice(first[row], first[row + 1])
        guess[mine] = np.interp(vn[mine], v[row], u[row])
    # every piece keeps to one knot span, that of its middle
    mid_u = guess[:, (degree + 1) // 2]
    span_u = np.repeat(patch._table_u.locate(mid_u), len(xi))
    span_v = np.repeat(patch._table_v.locate(0.5 * (lo + hi)), len(xi))
    un = _solve_u(patch, kn, vn.ravel(), level, guess.ravel(), span_u, span_v)
    nodes = np.stack([un.reshape(vn.shape), vn], axis=2)
    return CrossCurves(np.asarray(x, float), SurfaceCurve(patch, nodes), np.array(first))


def _evenly_traced(patch, x, level, v_start, v_end, u_near, pieces, degree):
    m = len(x)
    share = np.linspace(0.0, 1.0, pieces + 1)
    xi = lobatto(degree).nodes
    at = 0.5 * (share[1:] + share[:-1])[:, None] + 0.5 / pieces * xi  # (pieces, degree + 1)
    vn = v_start[:, None, None] + (v_end - v_start)[:, None, None] * at
    kn = np.repeat(np.arange(m), at.size)
    un = _solve_u(patch, kn, vn.ravel(), level, u_near(kn, vn.ravel()), done=_NEAR)
    nodes = np.stack([un.reshape(vn.shape), vn], axis=3).reshape(m * pieces, degree + 1, 2)
    return CrossCurves(np.asarray(x, float), SurfaceCurve(patch, nodes), pieces * np.arange(m + 1), False)


def _solve_u(patch, k, v, level, u, span_u=None, span_v=None, done=_EXACT):
    """Newton's method for x(u, v) = level, from u."""
    lo, hi = patch.u_range
    target = level(k, v)
    reach = 0.25 * (hi - lo)
    for _ in range(40):
        jet = patch.jets(u, v, 1, span_u, span_v)
        slope = jet.su[:, 0]
        if np.any(slope <= 0.0):
            break
        step = np.clip((target - jet.p[:, 0]) / slope, -reach, reach)
        u = u + step
        if np.max(np.abs(step), initial=0.0) < done * (hi - lo):
            return u
    else:
        if np.max(np.abs(step)) < 1e-11 * (hi - lo):
            return u
    worst = int(np.argmin(slope)) if np.any(slope <= 0.0) else int(np.argmax(np.abs(step)))
    raise PlanError(
        "a transverse section cannot be followed round the hull",
        f"at x = {float(target[worst]):.0f} mm from the bow, near u = {float(u[worst]):.4g}, "
        f"v = {float(v[worst]):.4g} of the surface",
        "the surface must run on from bow to stern there: look for folded or crossing poles",
    )


def sections_at(hull, x):
    """Sections of the planked surface in the planes ship x (m,), mm.

    Every section runs from the sheer, or from the end of the hull where it lies outside
    the sheer, down to where it first leaves the planked surface.

    Parameters
    ----------
    hull : PlankedSurface
    x : (m,) ship positions, mm

    Returns
    -------
    CrossCurves

    Raises
    ------
    PlanError
        A plane that does not meet the hull.
    """
    x = np.atleast_1d(np.asarray(x, float))
    patch = hull.patch
    m = len(x)
    v_start = np.full(m, np.nan)
    v_end = np.full(m, np.nan)
    k, piece, t = plane_crossings(hull.sheer, x)
    v_start[k] = hull.sheer.uv_local(piece, t)[:, 1]
    k, piece, t = plane_crossings(hull.boundary, x)
    v = hull.boundary.uv_local(piece, t)[:, 1]
    for row in range(m):
        mine = np.unique(v[k == row])
        if np.isnan(v_start[row]) and len(mine):
            v_start[row], mine = mine[0], mine[1:]
        mine = mine[mine > v_start[row] + _EDGE * (patch.v_range[1] - patch.v_range[0])]
        if len(mine):
            v_end[row] = mine[0]
    missing = np.flatnonzero(np.isnan(v_start) | np.isnan(v_end))
    if len(missing):
        x0, x1 = hull.x_range
        raise PlanError(
            f"{hull.name}: the plane at {hull.frame.station_label(x[missing[0]])} does not meet "
            "the planked surface",
            f"the hull runs from {hull.frame.station_label(x0)} to {hull.frame.station_label(x1)}",
            "choose a station between its ends",
        )
    guess = u_guess(patch)
    return trace(
        patch, x, lambda k, v: x[k], v_start, v_end, lambda k, v: guess(x[k], v)
    )
