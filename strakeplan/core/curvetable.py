# SPDX-License-Identifier: LGPL-2.1-or-later
"""Many curves of one patch at once, by arc length.

The surface is read once, at the Gauss-Lobatto nodes of all pieces of all curves. Between
neighbouring nodes parameters and points are quintic polynomials of the arc length that
keep place, tangent and curvature at both nodes (error of order h^6: below 1e-6 mm for
pieces of half a metre and degree 8 on a hull), so that thousands of places are found
without the surface. Lengths are right to a few thousandths of a mm where pieces pass knot
lines within.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from .spline.lobatto import lobatto

__all__ = ["CurveTable", "curve_table", "pieces_table"]

_NUDGE = 1e-8  # share of the way to a piece's middle at which its knot span is read


@dataclass(frozen=True, eq=False)
class CurveTable:
    """Quintic intervals of many curves, one curve after another.

    Attributes
    ----------
    patch : SplinePatch
    first : (k + 1,) int
        Intervals first[i] to first[i + 1] belong to curve i.
    length : (k,) mm
    start : (j,) arc length at which every interval starts, plus its curve's offset
    width : (j,) mm
    offset : (k,) of every curve in `start`, mm
    coefficients : (6, 5, j)
        Powers of the share of the interval; u, v, x, y, z.
    """

    patch: object
    first: np.ndarray
    length: np.ndarray
    start: np.ndarray
    width: np.ndarray
    offset: np.ndarray
    coefficients: np.ndarray

    def _find(self, k, s):
        """Interval and share of it; clipped to the curve, with what was clipped off."""
        inside = np.minimum(np.maximum(s, 0.0), self.length[k])
        at = inside + self.offset[k]
        i = np.searchsorted(self.start, at, side="right") - 1
        i = np.minimum(np.maximum(i, self.first[k]), self.first[k + 1] - 1)
        return i, (at - self.start[i]) / self.width[i], s - inside

    def points(self, k, s, order=1):
        """Points and derivatives by arc length; past an end straight on.

        Parameters
        ----------
        k : (...) int, which curve
        s : (...) arc lengths, mm
        order : 0 or 1

        Returns
        -------
        tuple of (..., 3): points, mm, and with order 1 tangents
        """
        p, d = (np.moveaxis(a, 0, -1) for a in self.rows(k, s))
        return (p, d) if order else (p,)

    def rows(self, k, s):
        """Points (3, ...) and tangents (3, ...): as `points`, coordinates first."""
        i, x, past = self._find(k, s)
        p, d, _ = _value(self.coefficients[:, 2:].take(i, axis=2), x, 1)
        d /= self.width[i]
        if past.any():
            p += past * d
        return p, d

    def parameters(self, k, s, order=2):
        """(u, v) and derivatives by arc length; the curves' ends are kept to.

        Returns
        -------
        tuple of `order` + 1 arrays (..., 2)
        """
        i, x, _ = self._find(k, s)
        h = self.width[i]
        p, d, dd = _value(self.coefficients[:, :2].take(i, axis=2), x, order)
        out = (p, None if d is None else d / h, None if dd is None else dd / (h * h))
        return tuple(np.moveaxis(a, 0, -1) for a in out[: order + 1])


def _value(c, x, order):
    """Value and derivatives (m, ...) of polynomials with powers c (6, m, ...) at x (...)."""
    p, d, dd = c[5], None, None
    if order > 0:
        d = p.copy()
    p = p * x
    p += c[4]
    for power in (3, 2, 1, 0):
        if order > 1:
            if dd is None:
                dd = d.copy()
            else:
                dd *= x
                dd += d
        if order > 0:
            d *= x
            d += p
        p *= x
        p += c[power]
    return p, d, None if dd is None else 2.0 * dd


def curve_table(patch, curves):
    """Read curves of one patch into a table.

    Parameters
    ----------
    patch : SplinePatch
    curves : sequence of SurfaceCurve

    Returns
    -------
    CurveTable
    """
    by_degree = {}
    for which, curve in enumerate(curves):
        by_degree.setdefault(curve.degree, []).append(which)
    blocks = []
    for members in by_degree.values():
        nodes = np.concatenate([curves[k].nodes for k in members])
        owner = np.repeat(members, [curves[k].pieces for k in members])
        blocks.append(_intervals(patch, nodes, owner))
    return _joined(patch, blocks, len(curves))


def pieces_table(patch, nodes, first):
    """The table of curves whose pieces follow one another.

    Parameters
    ----------
    patch : SplinePatch
    nodes : (e, p + 1, 2)
        (u, v) at the Gauss-Lobatto nodes of every piece.
    first : (k + 1,) int
        Pieces first[i] to first[i + 1] belong to curve i.

    Returns
    -------
    CurveTable
    """
    owner = np.repeat(np.arange(len(first) - 1), np.diff(first))
    return _joined(patch, [_intervals(patch, nodes, owner)], len(first) - 1)


def _joined(patch, blocks, count):
    owner, lengths, coefficients = (np.concatenate(parts, axis=-1) for parts in zip(*blocks))
    if len(blocks) > 1:
        order = np.argsort(owner, kind="stable")
        owner, lengths, coefficients = owner[order], lengths[order], coefficients[:, :, order]
    first = np.searchsorted(owner, np.arange(count + 1))
    ends = np.concatenate([[0.0], np.cumsum(lengths)])
    return CurveTable(
        patch, first, ends[first[1:]] - ends[first[:-1]], ends[:-1], lengths, ends[first[:-1]], coefficients
    )


def _intervals(patch, nodes, owner):
    """Owner (j,), width (j,) and coefficients (6, 5, j) of the intervals between nodes."""
    element = lobatto(nodes.shape[1] - 1)
    d1 = np.matmul(element.derivative, nodes)
    d2 = np.matmul(element.derivative, d1)
    middle = element.values(np.zeros(1))[0] @ nodes
    own = nodes + _NUDGE * (middle[:, None] - nodes)
    shape = nodes.shape[:2]
    jet = patch.jets(
        nodes[..., 0].ravel(), nodes[..., 1].ravel(), 2,
        patch._table_u.locate(own[..., 0].ravel()), patch._table_v.locate(own[..., 1].ravel()),
    )  # fmt: skip
    u1, v1 = d1[..., 0].reshape(-1, 1), d1[..., 1].reshape(-1, 1)
    u2, v2 = d2[..., 0].reshape(-1, 1), d2[..., 1].reshape(-1, 1)
    c1 = jet.su * u1 + jet.sv * v1
    c2 = jet.suu * (u1 * u1) + jet.suv * (2.0 * u1 * v1) + jet.svv * (v1 * v1) + jet.su * u2 + jet.sv * v2
    square = np.einsum("ij,ij->i", c1, c1)
    speed = np.sqrt(square)
    change = np.einsum("ij,ij->i", c1, c2) / speed
    s = speed.reshape(shape) @ _integration(element.degree).T
    h = np.diff(s, axis=1)
    value, slope, bend = np.empty((3, 5, *shape))
    for c, (f, f1, f2) in enumerate(
        ((nodes[..., 0], u1[:, 0], u2[:, 0]), (nodes[..., 1], v1[:, 0], v2[:, 0]),
         *((jet.p[:, i], c1[:, i], c2[:, i]) for i in range(3)))
    ):  # fmt: skip
        # by arc length: f_s = f_x / speed, f_ss = (f_xx - f_s speed_x) / speed^2
        value[c] = f.reshape(shape)
        by_s = f1 / speed
        slope[c] = by_s.reshape(shape)
        bend[c] = ((f2 - by_s * change) / square).reshape(shape)
    f0, g0, b0 = value[..., :-1], slope[..., :-1] * h, bend[..., :-1] * (h * h)
    f1, g1, b1 = value[..., 1:], slope[..., 1:] * h, bend[..., 1:] * (h * h)
    r, q, w = f1 - f0 - g0 - 0.5 * b0, g1 - g0 - b0, b1 - b0
    out = np.empty((6, *f0.shape))
    out[0], out[1], out[2] = f0, g0, 0.5 * b0
    out[3] = 10.0 * r - 4.0 * q + 0.5 * w
    out[4] = -15.0 * r + 7.0 * q - w
    out[5] = 6.0 * r - 3.0 * q + 0.5 * w
    return np.repeat(owner, shape[1] - 1), h.ravel(), out.reshape(6, 5, -1)


@lru_cache(maxsize=None)
def _integration(degree):
    """Matrix that takes values at the nodes to integrals from the first node to each."""
    element = lobatto(degree)
    coefficients = legendre.legint(element.to_legendre[0], lbnd=-1.0, axis=0)
    return legendre.legval(element.nodes, coefficients).T
