# SPDX-License-Identifier: LGPL-2.1-or-later
"""A batten as polynomial elements between its marks."""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from ..curve import SurfaceCurve
from ..knotlines import knot_line_crossings
from ..recut import broken_lines
from ..spline.lobatto import lobatto

__all__ = [
    "Batten", "at_marks", "chained", "frame_angle", "frame_turns", "gauss_matrices",
    "laid_again", "raised", "shifted",
]  # fmt: skip

_GAP = 1e-6  # of the length: crossings nearer than this to an element's end need none


@dataclass(frozen=True)
class Batten:
    """Elements of a batten, not yet or already settled.

    Attributes
    ----------
    state : (e, p + 1, 5)
        u, v, theta, kappa_g scale, kappa_g' scale^2 at every element's Gauss-Lobatto nodes.
    stretch : (e,) int, which stretch between marks an element belongs to
    ends : (e, 2) where it lies in its stretch, as shares of the stretch
    spans : (e, 2) int, its knot spans
    length : (stretches,) mm
    scale : float, mm
    """

    patch: object
    state: np.ndarray
    stretch: np.ndarray
    ends: np.ndarray
    spans: np.ndarray
    length: np.ndarray
    scale: float

    @property
    def last(self):
        """(e,) bool: elements that end a stretch."""
        return np.append(self.stretch[1:] != self.stretch[:-1], True)

    def curve(self):
        """The batten as a curve."""
        return SurfaceCurve(self.patch, self.state[..., :2])

    def bending(self):
        """Integral of kappa_g^2, 1/mm."""
        w = gauss_matrices(self.state.shape[1] - 1)[2]
        kappa = np.einsum("gk,ek->eg", gauss_matrices(self.state.shape[1] - 1)[0], self.state[..., 3])
        width = 0.5 * (self.ends[:, 1] - self.ends[:, 0]) * self.length[self.stretch]
        return float(np.sum(width[:, None] * w * (kappa / self.scale) ** 2))

    def pulls(self):
        """(stretches + 1,) what every mark holds the batten with: the jump of kappa_g', 1/mm^2.

        Positive where the mark pushes it towards n x t.
        """
        first = np.append(True, self.last[:-1])
        start, end = self.state[first, 0, 4], self.state[self.last, -1, 4]
        return (np.append(start, 0.0) - np.append(0.0, end)) / self.scale**2


@lru_cache(maxsize=None)
def gauss_matrices(degree):
    """Node values to values and slopes at the Gauss points, and the points' weights."""
    x, w = legendre.leggauss(degree)
    basis = lobatto(degree)
    return basis.values(x), basis.values(x, 1), w


def frame_angle(patch, uv, spans, t):
    """Angle theta (n,) from S_u of given knot spans to directions t (n, 3)."""
    jet = patch.jets(uv[:, 0], uv[:, 1], 1, spans[:, 0], spans[:, 1])
    n = np.cross(jet.su, jet.sv)
    n = n / np.linalg.norm(n, axis=1)[:, None]
    return np.arctan2(
        np.einsum("ij,ij->i", t, np.cross(n, jet.su)), np.einsum("ij,ij->i", t, jet.su)
    )


def frame_turns(batten):
    """(e - 1,) angle of the next element's frame in an element's own, where they meet."""
    before, after = batten.spans[:-1], batten.spans[1:]
    out = np.zeros(len(before))
    if not any(broken_lines(batten.patch)):
        return out  # S_u is continuous
    rows = np.flatnonzero(np.any(before != after, axis=1))
    if len(rows):
        uv = batten.state[rows + 1, 0, :2]
        su = batten.patch.jets(uv[:, 0], uv[:, 1], 1, after[rows, 0], after[rows, 1]).su
        out[rows] = frame_angle(batten.patch, uv, before[rows], su)
    return out


def _spans(patch, uv):
    return np.stack([patch._table_u.locate(uv[:, 0]), patch._table_v.locate(uv[:, 1])], axis=1)


def _sampled(batten, stretch, ends, degree):
    """The same batten on other elements."""
    xi = lobatto(degree).nodes
    share = 0.5 * (ends[:, :1] + ends[:, 1:]) + 0.5 * np.diff(ends, axis=1) * xi
    # every place is read in its own stretch, however short the element it lies in
    own = batten.stretch + batten.ends[:, 0]
    old = np.searchsorted(own, (stretch[:, None] + share).ravel(), side="right") - 1
    of = np.repeat(stretch, len(xi))
    first, after = (np.searchsorted(batten.stretch, of, side=k) for k in ("left", "right"))
    old = np.clip(old, first, after - 1)
    lo, hi = batten.ends[old].T
    x = np.clip((2.0 * share.ravel() - lo - hi) / (hi - lo), -1.0, 1.0)
    basis = lobatto(batten.state.shape[1] - 1).values(x)
    state = np.einsum("nk,nkc->nc", basis, batten.state[old]).reshape(*share.shape, 5)
    uv = lobatto(degree).values(np.zeros(1))[0] @ state[..., :2]
    return replace(batten, state=state, stretch=stretch, ends=ends, spans=_spans(batten.patch, uv))


def _crossings(batten):
    """Where elements cross knot lines: element, local place, the knot's multiplicity, each (k,)."""
    patch = batten.patch
    row, x, way, line = knot_line_crossings(patch, batten.state[..., :2])
    mult = np.where(
        way == 0, patch.mult_u[np.where(way == 0, line, 0)], patch.mult_v[np.where(way == 1, line, 0)]
    )
    return row, x, mult


def laid_again(batten, longest, degree):
    """The same batten on elements that end where it crosses knot lines now.

    Parameters
    ----------
    batten : Batten
    longest : float
        Longest element, mm.
    degree : int

    Returns
    -------
    Batten
    moved : float
        Greatest distance from a crossing to an end of the former elements, mm.
    """
    piece, x, mult = _crossings(batten)
    at = batten.ends[piece, 0] + 0.5 * (x + 1.0) * (batten.ends[piece, 1] - batten.ends[piece, 0])
    total = float(batten.length.sum())
    moved = 0.0
    stretch, ends = [], []
    for k, length in enumerate(batten.length):
        mine = np.flatnonzero(batten.stretch[piece] == k)
        kept = [0.0, 1.0]
        for i in mine[np.argsort(-mult[mine], kind="stable")]:
            if min(abs(at[i] - x) for x in kept) * length > _GAP * total:
                kept.append(float(at[i]))
        former = batten.ends[batten.stretch == k].ravel()
        for x in kept:
            moved = max(moved, float(np.min(np.abs(former - x))) * length)
        kept = np.sort(kept)
        for lo, hi in zip(kept[:-1], kept[1:]):
            n = max(1, int(np.ceil((hi - lo) * length / longest - 1e-9)))
            cut = np.linspace(lo, hi, n + 1)
            stretch += [k] * n
            ends += list(zip(cut[:-1], cut[1:]))
    return _sampled(batten, np.array(stretch), np.array(ends), degree), moved


def raised(batten, degree):
    """The same batten on the same elements, of another degree."""
    return _sampled(batten, batten.stretch, batten.ends, degree)


def shifted(batten, from_marks, to_marks):
    """A first guess after marks have moved a little: the stretches follow them linearly."""
    d = (np.asarray(to_marks) - from_marks)
    xi = 0.5 * (lobatto(batten.state.shape[1] - 1).nodes + 1.0)
    share = batten.ends[:, :1] + np.diff(batten.ends, axis=1) * xi
    a, b = d[batten.stretch][:, None], d[batten.stretch + 1][:, None]
    state = batten.state.copy()
    state[..., :2] += a + share[..., None] * (b - a)
    return replace(batten, state=state)


def at_marks(batten):
    """Unit tangents (marks, 3) and directions n x t (marks, 3) of the batten at its marks."""
    first = np.append(True, batten.last[:-1])
    state = np.vstack([batten.state[first, 0], batten.state[-1:, -1]])
    spans = np.vstack([batten.spans[first], batten.spans[-1:]])
    jet = batten.patch.jets(state[:, 0], state[:, 1], 1, spans[:, 0], spans[:, 1])
    n = np.cross(jet.su, jet.sv)
    n = n / np.linalg.norm(n, axis=1)[:, None]
    e1 = jet.su / np.linalg.norm(jet.su, axis=1)[:, None]
    e2 = np.cross(n, e1)
    c, s = np.cos(state[:, 2:3]), np.sin(state[:, 2:3])
    return c * e1 + s * e2, c * e2 - s * e1


def chained(patch, strings):
    """Taut strings from mark to mark as a batten that still has corners at the marks.

    Parameters
    ----------
    strings : list of SurfaceCurve, all of one degree

    Returns
    -------
    Batten
    corners : (stretches - 1,) how far the direction jumps at the inner marks, radians
    """
    uv = np.concatenate([c.nodes for c in strings])
    stretch = np.repeat(np.arange(len(strings)), [c.pieces for c in strings])
    ends = np.concatenate([np.stack([c.s_breaks[:-1], c.s_breaks[1:]], axis=1) / c.length for c in strings])
    length = np.array([c.length for c in strings])
    e, m, _ = uv.shape
    basis = lobatto(m - 1)
    spans = _spans(patch, basis.values(np.zeros(1))[0] @ uv)
    slope = np.einsum("gk,ekc->egc", basis.values(basis.nodes, 1), uv).reshape(-1, 2)
    at, own = uv.reshape(-1, 2), np.repeat(spans, m, axis=0)
    jet = patch.jets(at[:, 0], at[:, 1], 1, own[:, 0], own[:, 1])
    t = jet.su * slope[:, :1] + jet.sv * slope[:, 1:]
    theta = np.unwrap(frame_angle(patch, at, own, t))
    state = np.concatenate([at, theta[:, None], np.zeros((e * m, 2))], axis=1).reshape(e, m, 5)
    batten = Batten(patch, state, stretch, ends, spans, length, float(length.sum()))
    at = np.flatnonzero(batten.last)[:-1]
    turn = np.append(frame_turns(batten), 0.0)[at]
    return batten, state[at + 1, 0, 2] - state[at, -1, 2] + turn
