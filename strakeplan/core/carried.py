# SPDX-License-Identifier: LGPL-2.1-or-later
"""Girths on a surface that lies at a distance from the hull, points carried along the normal.

The surface Q = P + d n is never fitted: its sections in station planes are followed on the
hull's own parameters, so girths are exact to rounding. Where a seam of the hull is carried out,
it passes a station plane at another place of the seam than the hull's own does.
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from .errors import PlanError
from .roots import bracketed_roots
from .spline.patch import geometry_of
from .xtable import u_guess

__all__ = ["Carried", "carried_girths", "carried_length"]

_PER_PIECE = 12  # samples per piece of a curve that find where it passes a plane
_PER_SPAN = 4  # samples per v span that find where a section passes knot lines
_POINTS = (8, 12)  # Gauss points per piece, coarse and fine: their difference is the error


@dataclass(frozen=True, eq=False)
class Carried:
    """The surface at a distance from a hull.

    Attributes
    ----------
    hull : PlankedSurface
    distance : float
        mm, outboard positive.
    """

    hull: object
    distance: float

    def stations(self, curve, piece, x):
        """Ship x (n,) of points of a curve of the hull, carried out, at its local parameters."""
        _, jet = curve._jets(piece, x, 1)
        cross = np.cross(jet.su, jet.sv)
        return jet.p[:, 0] + self.distance * cross[:, 0] / np.linalg.norm(cross, axis=1)

    def crossings(self, curve, values):
        """Where a curve of the hull, carried out, passes the planes ship x = values (m,).

        Returns
        -------
        k : (n,) int, which plane
        v : (n,) parameter of the hull there
        """
        values = np.asarray(values, float)
        grid = np.linspace(-1.0, 1.0, _PER_PIECE + 1)
        piece = np.repeat(np.arange(curve.pieces), _PER_PIECE + 1)
        f = self.stations(curve, piece, np.tile(grid, curve.pieces)).reshape(curve.pieces, -1)
        f[1:, 0] = f[:-1, -1]  # pieces meet in one point
        lo, hi = f[:, :-1].ravel(), f[:, 1:].ravel()
        first = (np.arange(len(lo)) == 0) & (values[:, None] == lo[0])
        hit = (values[:, None] > np.minimum(lo, hi)) & (values[:, None] <= np.maximum(lo, hi)) | first
        k, cell = np.nonzero(hit)
        piece, column = np.divmod(cell, _PER_PIECE)
        x = bracketed_roots(
            lambda t: self.stations(curve, piece, t) - values[k],
            grid[column], grid[column + 1], lo[cell] - values[k], hi[cell] - values[k],
        )  # fmt: skip
        return k, curve.uv_local(piece, x)[:, 1]

    def at(self, u, v):
        """Points and first derivatives of the carried surface.

        Returns
        -------
        q, qu, qv : (n, 3)

        Raises
        ------
        PlanError
            The surface folds: the distance is more than a radius of curvature.
        """
        d, patch = self.distance, self.hull.patch
        g = geometry_of(patch.jets(u, v, 2))
        # principal curvatures k of the normal su x sv: lengths along them change by 1 - d k
        fold = (1.0 - 2.0 * g.H * d + g.K * d * d <= 0.0) | (1.0 - g.H * d <= 0.0)
        if fold.any():
            j = int(np.argmax(fold))
            raise PlanError(
                f"{self.hull.name}: a surface {abs(d):.1f} mm {'outside' if d > 0 else 'inside'} the hull folds over itself",
                self.hull.frame.place(g.p[j]), "give a smaller thickness: the hull turns more sharply there",
            )  # fmt: skip
        square = (g.E * g.G - g.F * g.F)[:, None]
        # Weingarten's equations
        E, F, G, L, M, N = (a[:, None] for a in (g.E, g.F, g.G, g.L, g.M, g.N))
        nu = ((M * F - L * G) * g.su + (L * F - M * E) * g.sv) / square
        nv = ((N * F - M * G) * g.su + (M * F - N * E) * g.sv) / square
        return g.p + d * g.n, g.su + d * nu, g.sv + d * nv

    def solved(self, x, v, u):
        """u (n,) at which the carried surface passes ship x (n,) at v (n,), from a guess."""
        lo, hi = self.hull.patch.u_range
        reach = 0.25 * (hi - lo)
        for _ in range(40):
            q, qu, _ = self.at(u, v)
            if np.any(qu[:, 0] <= 0.0):
                break
            step = np.clip((x - q[:, 0]) / qu[:, 0], -reach, reach)
            u = u + step
            if np.max(np.abs(step), initial=0.0) < 1e-13 * (hi - lo):
                return u
        else:
            if np.max(np.abs(step)) < 1e-10 * (hi - lo):
                return u
        j = int(np.argmin(qu[:, 0]))
        raise PlanError(
            f"{self.hull.name}: a section {abs(self.distance):.1f} mm from the hull cannot be followed",
            f"at {self.hull.frame.station_label(float(x[j]))}", "leave that station out, or give a smaller thickness",
        )  # fmt: skip


def carried_girths(hull, x, curves, distance):
    """Girths of the carried surface at stations, from the carried sheer down to carried curves.

    Parameters
    ----------
    hull : PlankedSurface
    x : (m,) ship positions of the planes, mm
    curves : sequence of sequences of SurfaceCurve
        The parts of every seam.
    distance : float
        mm, outboard positive.

    Returns
    -------
    girths : (m, len(curves) + 1) mm, the last to the carried rabbet; nan where a seam does not
        come to the plane
    error : float
        Difference that four more Gauss points a piece make, mm.

    Raises
    ------
    PlanError
        A plane that the carried surface does not meet, or a surface that folds.
    """
    x = np.atleast_1d(np.asarray(x, float))
    surface = Carried(hull, float(distance))
    least = 1e-9 * (hull.patch.v_range[1] - hull.patch.v_range[0])
    start, end = _ends(surface, x, least)
    wanted = np.full((len(x), len(curves) + 1), np.nan)
    for column, parts in enumerate(curves):
        for part in parts:
            k, v = surface.crossings(part, x)
            wanted[k, column] = v
    wanted[:, -1] = end
    inside = (wanted >= start[:, None] - least) & (wanted <= end[:, None] + least)
    wanted = np.where(inside, np.clip(wanted, start[:, None], end[:, None]), np.nan)
    k, lo, hi = _pieces(surface, x, start, end, wanted, least)
    totals = []
    guess = u_guess(hull.patch)
    for points in _POINTS:
        gx, gw = legendre.leggauss(points)
        v = (0.5 * (lo + hi)[:, None] + 0.5 * (hi - lo)[:, None] * gx).ravel()
        at = np.repeat(x[k], points)
        u = surface.solved(at, v, guess(at, v))
        _, qu, qv = surface.at(u, v)
        along = qv - qu * (qv[:, :1] / qu[:, :1])  # the section's own direction: x stays
        speed = np.linalg.norm(along, axis=1).reshape(-1, points)
        length = 0.5 * (hi - lo) * (speed @ gw)
        out = np.full(wanted.shape, np.nan)
        for row in range(len(x)):
            mine = k == row
            ends = np.concatenate([[start[row]], hi[mine]])
            girth = np.concatenate([[0.0], np.cumsum(length[mine])])
            here = np.isfinite(wanted[row])
            out[row, here] = girth[np.argmin(np.abs(ends[:, None] - wanted[row, here]), axis=0)]
        totals.append(out)
    error = float(np.nanmax(np.abs(totals[1] - totals[0]), initial=0.0))
    return totals[1], error


def carried_length(curve, s, distance):
    """Lengths of a curve of the hull, carried out, from its start to arc lengths of its own.

    Parameters
    ----------
    curve : SurfaceCurve
    s : (n,) arc lengths on the hull, mm
    distance : float
        mm, along the curve's normal.

    Returns
    -------
    (n,) mm. Exactly |(1 - d kappa_n) t - d tau_g b| summed up: n' = -kappa_n t - tau_g b.
    """
    s = np.asarray(s, float)
    stops = np.unique(np.concatenate([[0.0], curve.s_breaks, s]))
    stops = stops[(stops >= 0.0) & (stops <= curve.length)]
    gx, gw = legendre.leggauss(12)
    lo, hi = stops[:-1], stops[1:]
    at = 0.5 * (lo + hi)[:, None] + 0.5 * (hi - lo)[:, None] * gx
    c = curve.at(at.ravel())
    speed = np.hypot(1.0 - distance * c.kappa_n, distance * c.tau_g).reshape(at.shape)
    length = np.concatenate([[0.0], np.cumsum(0.5 * (hi - lo) * (speed @ gw))])
    return np.interp(s, stops, length)


# --- helpers ------------------------------------------------------------------------------
def _ends(surface, x, least):
    """v (m,) where every section begins, on the sheer or an end, and where it ends."""
    hull = surface.hull
    start, end = np.full(len(x), np.nan), np.full(len(x), np.nan)
    k, v = surface.crossings(hull.sheer, x)
    start[k] = v
    k, v = surface.crossings(hull.boundary, x)
    for row in range(len(x)):
        mine = np.unique(v[k == row])
        if np.isnan(start[row]) and len(mine):
            start[row], mine = mine[0], mine[1:]
        mine = mine[mine > start[row] + least]
        if len(mine):
            end[row] = mine[0]
    missing = np.flatnonzero(np.isnan(start) | np.isnan(end))
    if len(missing):
        raise PlanError(
            f"{hull.name}: the plane at {hull.frame.station_label(x[missing[0]])} does not meet the surface "
            f"{abs(surface.distance):.1f} mm {'outside' if surface.distance > 0 else 'inside'} the hull", "",
            "leave out the station nearest to the end",
        )  # fmt: skip
    return start, end


def _pieces(surface, x, start, end, wanted, least):
    """Pieces of the sections between marks and knot lines: station (n,), v from (n,) and to (n,)."""
    patch = surface.hull.patch
    guess = u_guess(patch)
    share = np.unique(np.concatenate([
        np.linspace(a, b, _PER_SPAN + 1) for a, b in zip(patch.breaks_v, patch.breaks_v[1:])
    ]))  # fmt: skip
    share = (share - share[0]) / (share[-1] - share[0])
    v = start[:, None] + (end - start)[:, None] * share
    row = np.repeat(np.arange(len(x)), len(share))
    u = surface.solved(x[row], v.ravel(), guess(x[row], v.ravel())).reshape(v.shape)
    cuts = [[a, b, *w[np.isfinite(w)]] for a, b, w in zip(start, end, wanted)]
    for knot in patch.breaks_v[1:-1]:
        for r in np.flatnonzero((start < knot) & (knot < end)):
            cuts[r].append(knot)
    for knot in patch.breaks_u[1:-1]:
        d = u - knot
        r, c = np.nonzero((d[:, :-1] >= 0.0) != (d[:, 1:] >= 0.0))
        if not len(r):
            continue

        def off(t, knot=knot, r=r):
            return surface.at(np.full(len(t), knot), t)[0][:, 0] - x[r]

        a, b = v[r, c], v[r, c + 1]
        fa, fb = off(a), off(b)
        root = np.where((fa >= 0.0) != (fb >= 0.0), bracketed_roots(off, a, b, fa, fb), 0.5 * (a + b))
        for one, t in zip(r, root):
            cuts[one].append(t)
    k, lo, hi = [], [], []
    for r, values in enumerate(cuts):
        marks = set(wanted[r][np.isfinite(wanted[r])]) | {start[r], end[r]}
        values = np.unique(values)
        # a knot line next to a mark makes no piece of its own
        keep = [t for t in values if t in marks or min(abs(t - m) for m in marks) > least]
        k += [r] * (len(keep) - 1)
        lo += keep[:-1]
        hi += keep[1:]
    return np.array(k), np.array(lo), np.array(hi)
