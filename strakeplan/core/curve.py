# SPDX-License-Identifier: LGPL-2.1-or-later
"""A curve on a patch, held as polynomials (u, v) on pieces."""

from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre

from .curvetable import pieces_table
from .knotlines import knot_line_crossings
from .roots import bracketed_roots
from .spline.lobatto import lobatto
from .spline.patch import geometry_of

__all__ = ["CurvePoints", "Curvatures", "SurfaceCurve", "curvatures", "curve_through"]

_GAUSS_EXTRA = 6
_NUDGE = 1e-8  # share of the way to a piece's middle at which its knot span is read


class CurvePoints(NamedTuple):
    """Places along a curve, n of them, with what bends there.

    ``n`` is the patch's unit normal su x sv, ``t`` the unit tangent in the curve's own
    direction, b = n x t. Curvature vector = kappa_g b + kappa_n n; tau_g is the second
    fundamental form on (t, b), the geodesic torsion. Lengths in mm, curvatures in 1/mm.
    """

    s: np.ndarray
    uv: np.ndarray
    p: np.ndarray
    t: np.ndarray
    n: np.ndarray
    kappa_g: np.ndarray
    kappa_n: np.ndarray
    tau_g: np.ndarray

    @property
    def b(self):
        """n x t, (n, 3): the direction across the curve."""
        return np.cross(self.n, self.t)


class Curvatures(NamedTuple):
    """See `curvatures`."""

    t: np.ndarray
    b: np.ndarray
    speed: np.ndarray
    kappa_g: np.ndarray
    kappa_n: np.ndarray
    tau_g: np.ndarray


def curvatures(jet, geometry, d1, d2):
    """What bends along curves that pass places of a patch.

    Parameters
    ----------
    jet : Jet of second order, n places
    geometry : SurfaceGeometry of it
    d1, d2 : (n, 2) first and second derivatives of (u, v) by the curves' parameter

    Returns
    -------
    Curvatures
        Unit tangents t and b = n x t (n, 3), speeds |c'|, and the curvatures of `CurvePoints`.
    """
    g = geometry
    u1, v1, u2, v2 = d1[:, :1], d1[:, 1:], d2[:, :1], d2[:, 1:]
    c1 = jet.su * u1 + jet.sv * v1
    c2 = jet.suu * (u1 * u1) + jet.suv * (2.0 * u1 * v1) + jet.svv * (v1 * v1) + jet.su * u2 + jet.sv * v2
    dot = lambda a, c: np.einsum("ij,ij->i", a, c)  # noqa: E731
    square = dot(c1, c1)
    speed = np.sqrt(square)
    t = c1 / speed[:, None]
    # b = n x t in the basis (su, sv): n x su and n x sv are known from E, F, G
    area = np.sqrt(g.E * g.G - g.F * g.F)
    tu, tv = d1[:, 0] / speed, d1[:, 1] / speed
    bu, bv = -(g.F * tu + g.G * tv) / area, (g.E * tu + g.F * tv) / area
    b = jet.su * bu[:, None] + jet.sv * bv[:, None]
    tau = tu * (g.L * bu + g.M * bv) + tv * (g.M * bu + g.N * bv)
    return Curvatures(t, b, speed, dot(c2, b) / square, dot(c2, g.n) / square, tau)


class SurfaceCurve:
    """Piecewise polynomial parameter curve; the surface is exact under it.

    Parameters
    ----------
    patch : SplinePatch
    nodes : (pieces, degree + 1, 2) array
        (u, v) at the Gauss-Lobatto nodes of every piece; neighbours share their end node.

    Notes
    -----
    Pieces should break where the curve crosses knot lines of the patch: inside a piece
    everything is then analytic and all figures converge at the polynomial's full order.
    """

    def __init__(self, patch, nodes):
        self.patch = patch
        self.nodes = np.array(nodes, float)
        self.nodes.setflags(write=False)

    @property
    def pieces(self):
        """Number of polynomial pieces."""
        return self.nodes.shape[0]

    @property
    def degree(self):
        """Degree of every piece in u and in v."""
        return self.nodes.shape[1] - 1

    @cached_property
    def _middles(self):
        """(u, v) at the pieces' middles (pieces, 2)."""
        return lobatto(self.degree).values(np.zeros(1))[0] @ self.nodes

    def _spans_at(self, piece, uv):
        """Knot spans of points; a piece that ends on a knot line reads its own side of it."""
        own = uv + _NUDGE * (self._middles[piece] - uv)
        return self.patch._table_u.locate(own[:, 0]), self.patch._table_v.locate(own[:, 1])

    def uv_local(self, piece, x, order=0):
        """(u, v) or a derivative with respect to the local parameter.

        Parameters
        ----------
        piece : (n,) int
        x : (n,) local parameters in [-1, 1]

        Returns
        -------
        (n, 2)
        """
        basis = lobatto(self.degree).values(x, order)
        return np.einsum("nj,njc->nc", basis, self.nodes[piece])

    def _jets(self, piece, x, order):
        uv = self.uv_local(piece, x)
        su, sv = self._spans_at(piece, uv)
        return uv, self.patch.jets(uv[:, 0], uv[:, 1], order, su, sv)

    @cached_property
    def _arc(self):
        """Per piece: Legendre coefficients of s(x), counted from the piece's start."""
        m = self.degree + _GAUSS_EXTRA
        gx, gw = legendre.leggauss(m)
        e = np.repeat(np.arange(self.pieces), m)
        x = np.tile(gx, self.pieces)
        d = self.uv_local(e, x, 1)
        _, jet = self._jets(e, x, 1)
        speed = np.linalg.norm(jet.su * d[:, :1] + jet.sv * d[:, 1:], axis=1)
        speed = speed.reshape(self.pieces, m)
        # Legendre coefficients of the speed by Gauss quadrature, then the antiderivative
        vander = legendre.legvander(gx, m - 1)
        coef = (speed * gw) @ vander * (np.arange(m) + 0.5)
        out = legendre.legint(coef.T, lbnd=-1.0).T
        return out

    @cached_property
    def table(self):
        """The curve as a `CurveTable` of its own: for many places in little time."""
        return pieces_table(self.patch, self.nodes, np.array([0, self.pieces]))

    @cached_property
    def piece_lengths(self):
        """(pieces,) mm."""
        return self._arc.sum(axis=1)  # every Legendre polynomial is 1 at x = 1

    @cached_property
    def s_breaks(self):
        """Arc lengths (pieces + 1,) where the pieces meet, mm."""
        return np.concatenate([[0.0], np.cumsum(self.piece_lengths)])

    @cached_property
    def length(self):
        """Length of the curve, mm."""
        return float(self.s_breaks[-1])

    def locate(self, s):
        """Piece and local parameter of arc lengths (n,), clamped to the curve."""
        s = np.clip(np.atleast_1d(np.asarray(s, float)), 0.0, self.s_breaks[-1])
        piece = np.clip(np.searchsorted(self.s_breaks, s, side="right") - 1, 0, self.pieces - 1)
        target = s - self.s_breaks[piece]
        total = self.piece_lengths[piece]
        coef = self._arc[piece].T  # (m + 1, n)
        slope = legendre.legder(coef)
        x = 2.0 * target / np.where(total > 0.0, total, 1.0) - 1.0
        for _ in range(30):
            f = legendre.legval(x, coef, tensor=False) - target
            step = f / legendre.legval(x, slope, tensor=False)
            x = np.clip(x - step, -1.0, 1.0)
            if np.max(np.abs(step), initial=0.0) < 1e-7:  # Newton: the next would be nothing
                break
        return piece, x

    def arc_length(self, piece, x):
        """Arc length (n,) from the start at local parameters."""
        return self.s_breaks[piece] + legendre.legval(x, self._arc[piece].T, tensor=False)

    def at_local(self, piece, x):
        """CurvePoints at local parameters."""
        piece = np.atleast_1d(piece)
        x = np.atleast_1d(np.asarray(x, float))
        uv, jet = self._jets(piece, x, 2)
        d1 = self.uv_local(piece, x, 1)
        d2 = self.uv_local(piece, x, 2)
        g = geometry_of(jet)
        c = curvatures(jet, g, d1, d2)
        return CurvePoints(self.arc_length(piece, x), uv, g.p, c.t, g.n, c.kappa_g, c.kappa_n, c.tau_g)

    def at(self, s):
        """CurvePoints at arc lengths s (n,), mm from the start; clamped to the curve."""
        return self.at_local(*self.locate(s))

    def sample(self, n):
        """CurvePoints at n equally spaced arc lengths, the ends included."""
        return self.at(np.linspace(0.0, self.length, n))

    def uv(self, s):
        """(u, v) (n, 2) at arc lengths."""
        return self.uv_local(*self.locate(s))

    def points(self, s):
        """Points (n, 3) at arc lengths."""
        piece, x = self.locate(s)
        return self._jets(piece, x, 0)[1].p

    def crossings(self, function, per_piece=12):
        """Arc lengths where a function of place changes sign.

        Parameters
        ----------
        function : callable
            (uv (n, 2), p (n, 3)) -> (n,) values; smooth on every piece.

        Returns
        -------
        (k,) increasing arc lengths, mm. A zero touched without a change of sign is not
        one of them.
        """
        piece, x = self.local_crossings(function, per_piece)
        return self.arc_length(piece, x)

    def local_crossings(self, function, per_piece=12):
        """Pieces (k,) and local parameters (k,) where a function changes sign."""
        grid = np.linspace(-1.0, 1.0, per_piece + 1)
        e = np.repeat(np.arange(self.pieces), per_piece + 1)
        x = np.tile(grid, self.pieces)

        def value(piece, x):
            uv, jet = self._jets(piece, x, 0)
            return function(uv, jet.p)

        f = value(e, x).reshape(self.pieces, per_piece + 1)
        # pieces meet in one point: rounding must leave no gap for a root to slip through
        f[1:, 0] = f[:-1, -1]
        sign = np.where(f >= 0.0, 1, -1)
        row, col = np.nonzero(sign[:, :-1] != sign[:, 1:])
        lo, hi = grid[col], grid[col + 1]
        flo, fhi = f[row, col], f[row, col + 1]
        if not len(row):
            return row, lo
        root = bracketed_roots(lambda t: value(row, t), lo, hi, flo, fhi)
        return row, root

    def knot_crossings(self):
        """Where the curve crosses inner knot lines of the patch.

        Returns
        -------
        s : (k,) arc lengths, mm, increasing
        way : (k,) int, 0 for a line of constant u and 1 for one of constant v
        line : (k,) int, index of the distinct knot
        """
        piece, x, way, line = knot_line_crossings(self.patch, self.nodes)
        s = self.arc_length(piece, x) if len(piece) else x
        order = np.argsort(s)
        return s[order], way[order], line[order]

    def reversed(self):
        """The same curve run the other way."""
        return SurfaceCurve(self.patch, self.nodes[::-1, ::-1])

    def between(self, s0, s1):
        """The part from arc length s0 to s1 (s0 < s1), exactly the same polynomials."""
        return _Stretch(self, s0, s1)

    def _cut(self, s0, s1):
        """Nodes of the pieces from arc length s0 to s1."""
        (p0, p1), (x0, x1) = self.locate([s0, s1])
        if x1 <= -1.0 + 1e-13 and p1 > p0:
            p1, x1 = p1 - 1, 1.0
        if x0 >= 1.0 - 1e-13 and p0 < p1:
            p0, x0 = p0 + 1, -1.0
        nodes = self.nodes[p0 : p1 + 1].copy()
        xi = lobatto(self.degree).nodes

        def cut(k, lo, hi):
            x = 0.5 * (lo + hi) + 0.5 * (hi - lo) * xi
            return self.uv_local(np.full(x.shape, k), x)

        if p0 == p1:
            nodes[0] = cut(p0, x0, x1)
        else:
            nodes[0] = cut(p0, x0, 1.0)
            nodes[-1] = cut(p1, -1.0, x1)
        return nodes

    @staticmethod
    def joined(curves):
        """One curve from several that follow one another on the same patch and degree."""
        return SurfaceCurve(curves[0].patch, np.concatenate([c.nodes for c in curves]))


class _Stretch(SurfaceCurve):
    """Part of another curve, cut when its nodes are first looked at.

    A line-off cuts the boundary into hundreds of ends, most of which nobody asks for more than
    their length.
    """

    def __init__(self, whole, s0, s1, turned=False):
        self.patch = whole.patch
        self._of = whole, float(s0), float(s1), turned

    @cached_property
    def nodes(self):
        """See `SurfaceCurve`."""
        whole, s0, s1, turned = self._of
        nodes = whole._cut(s0, s1)
        nodes = np.array(nodes[::-1, ::-1] if turned else nodes)
        nodes.setflags(write=False)
        return nodes

    @property
    def degree(self):
        """Degree of every piece in u and in v."""
        return self._of[0].degree

    @cached_property
    def length(self):
        """Length of the curve, mm."""
        whole, s0, s1, _ = self._of
        return min(s1, whole.length) - max(s0, 0.0)

    @cached_property
    def _scale(self):
        """Own arc length by that on the whole: 1 but for the quadrature's error on cut pieces.

        Without it the end of the stretch would not be the place at its length.
        """
        return self.s_breaks[-1] / self.length if self.length > 0.0 else 1.0

    def locate(self, s):
        """See `SurfaceCurve.locate`."""
        return super().locate(np.asarray(s, float) * self._scale)

    def arc_length(self, piece, x):
        """See `SurfaceCurve.arc_length`."""
        return super().arc_length(piece, x) / self._scale

    def reversed(self):
        """The same curve run the other way."""
        whole, s0, s1, turned = self._of
        return _Stretch(whole, s0, s1, not turned)


def curve_through(patch, uv_of, breaks, degree=8):
    """Interpolate a parameter curve at the Gauss-Lobatto nodes of given pieces.

    Parameters
    ----------
    patch : SplinePatch
    uv_of : callable
        (n,) parameters -> (n, 2) array of u, v.
    breaks : (k,) increasing parameters at which the pieces end
    degree : int

    Returns
    -------
    SurfaceCurve with k - 1 pieces.
    """
    breaks = np.asarray(breaks, float)
    xi = lobatto(degree).nodes
    half = 0.5 * np.diff(breaks)[:, None]
    tau = 0.5 * (breaks[1:] + breaks[:-1])[:, None] + half * xi
    uv = np.asarray(uv_of(tau.ravel())).reshape(tau.shape + (2,))
    return SurfaceCurve(patch, uv)
