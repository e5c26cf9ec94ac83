# SPDX-License-Identifier: LGPL-2.1-or-later
"""The stiff batten's equation on a surface, solved by collocation.

Between its marks a batten of least integral of kappa_g^2 obeys, by arc length s,

    kappa_g'' + kappa_g^3 / 2 + K kappa_g = 0,

with place, direction and kappa_g continuous at every mark; a free end has kappa_g = 0, a
held end a given direction. As a system of the first order its unknowns are u, v, the angle
theta from S_u to the tangent, kappa_g and kappa_g', and the length of every stretch between
two marks. They are polynomials on elements, made to obey the system at the Gauss points;
elements end on the marks and on the knot lines crossed, so that each is analytic inside and
the values at its ends converge with order 2p.

References
----------
J. Langer, D. A. Singer, "The total squared curvature of closed curves", *J. Differential
Geom.* 20 (1984) (the equation on a surface, without a tension term where the length is free).
U. M. Ascher, R. M. M. Mattheij, R. D. Russell, *Numerical Solution of Boundary Value Problems
for Ordinary Differential Equations*, SIAM 1995, sections 5.4 and 5.6 (Gauss collocation,
condensation of the inner unknowns).
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Optional

import numpy as np
from numpy.polynomial import legendre
from scipy.linalg import LinAlgError, solve_banded

from ..curve import SurfaceCurve
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of

__all__ = [
    "Batten", "Ends", "at_marks", "chained", "frame_angle", "laid_again", "newton", "raised",
    "settle", "shifted",
]  # fmt: skip

_TURN = 1e-6  # share of the parameter's range for derivatives along u and v
_DONE = 1e-8  # of the length: Newton's step after which the next would be nothing
_NEWTON = 14
_PASSES = 8
_ALIGNED = 1e-9  # of the length: elements count as ending on the knot lines
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
        w = _matrices(self.state.shape[1] - 1)[2]
        kappa = np.einsum("gk,ek->eg", _matrices(self.state.shape[1] - 1)[0], self.state[..., 3])
        width = 0.5 * (self.ends[:, 1] - self.ends[:, 0]) * self.length[self.stretch]
        return float(np.sum(width[:, None] * w * (kappa / self.scale) ** 2))

    def pulls(self):
        """(stretches + 1,) what every mark holds the batten with: the jump of kappa_g', 1/mm^2.

        Positive where the mark pushes it towards n x t.
        """
        first = np.append(True, self.last[:-1])
        start, end = self.state[first, 0, 4], self.state[self.last, -1, 4]
        return (np.append(start, 0.0) - np.append(0.0, end)) / self.scale**2


@dataclass(frozen=True)
class Ends:
    """What holds a batten.

    Attributes
    ----------
    marks : (stretches + 1, 2) places (u, v); the last is not used with `wall`
    corners : (stretches - 1,) how far theta still jumps at the inner marks
    head, tail : float or None
        Angle theta of a held end; None is a free end.
    wall : (2, 2) or None
        For a straight batten (kappa_g = 0) that runs on from `head`: a point and a normal of
        the line in the parameter plane where it ends.
    """

    marks: np.ndarray
    corners: np.ndarray
    head: Optional[float] = None
    tail: Optional[float] = None
    wall: Optional[np.ndarray] = None

    def rows(self):
        """Linear conditions at the start, then at the end: matrix (r, 5) and values (r,) of each."""
        unit = np.eye(5)
        start, values = [unit[0], unit[1]], list(self.marks[0])
        if self.head is None or self.wall is not None:
            start.append(unit[3]), values.append(0.0)
        if self.head is not None:
            start.append(unit[2]), values.append(self.head)
        if self.wall is not None:
            start.append(unit[4]), values.append(0.0)
            point, normal = self.wall
            end = [np.concatenate([normal, np.zeros(3)])]
            return np.array(start), np.array(values), np.array(end), np.array([normal @ point])
        end = [unit[0], unit[1], unit[3] if self.tail is None else unit[2]]
        far = [*self.marks[-1], 0.0 if self.tail is None else self.tail]
        return np.array(start), np.array(values), np.array(end), np.array(far)


@lru_cache(maxsize=None)
def _matrices(degree):
    """Node values to values and slopes at the Gauss points, and the points' weights."""
    x, w = legendre.leggauss(degree)
    basis = lobatto(degree)
    return basis.values(x), basis.values(x, 1), w


# --- the system ---------------------------------------------------------------------------
def _fields(patch, uv, spans):
    """What the system needs of the surface at points (n, 2): (6, n).

    1/|S_u|, and with S_v = f e1 + h e2 in the frame e1 = S_u/|S_u|, e2 = n x e1: 1/h and
    f / (|S_u| h); the turning of the frame along u and v; Gauss curvature.
    """
    jet = patch.jets(uv[:, 0], uv[:, 1], 2, spans[:, 0], spans[:, 1])
    g = geometry_of(jet)
    a = np.sqrt(g.E)
    e2 = np.cross(g.n, jet.su / a[:, None])
    h = np.einsum("ij,ij->i", jet.sv, e2)
    along_u = np.einsum("ij,ij->i", jet.suu, e2) / a
    along_v = np.einsum("ij,ij->i", jet.suv, e2) / a
    return np.stack([1.0 / a, 1.0 / h, g.F / (a * a * h), along_u, along_v, g.K])


def _rates(field, state, scale):
    """d/ds of the state (n, 5)."""
    ia, ih, skew, du_turn, dv_turn, K = field
    _, _, theta, kappa, rate = state.T
    c, s = np.cos(theta), np.sin(theta)
    dv = s * ih
    du = c * ia - s * skew
    return np.stack([
        du, dv, kappa / scale - du_turn * du - dv_turn * dv, rate / scale,
        -0.5 * kappa**3 / scale - K * scale * kappa,
    ], axis=1)  # fmt: skip


def _linearised(batten):
    """Rates (n, 5) at the Gauss points and their derivatives (n, 5, 5)."""
    patch, scale = batten.patch, batten.scale
    values = _matrices(batten.state.shape[1] - 1)[0]
    state = np.einsum("gk,ekc->egc", values, batten.state)
    spans = np.repeat(batten.spans, state.shape[1], axis=0)
    state = state.reshape(-1, 5)
    n = len(state)
    steps = _TURN * np.array([np.diff(patch.u_range)[0], np.diff(patch.v_range)[0]])
    uv = np.concatenate([state[:, :2], state[:, :2] + [steps[0], 0.0], state[:, :2] + [0.0, steps[1]]])
    field = _fields(patch, uv, np.tile(spans, (3, 1)))
    here = field[:, :n]
    f = _rates(here, state, scale)
    J = np.zeros((n, 5, 5))
    for way in (0, 1):
        J[:, :, way] = (_rates(field[:, (way + 1) * n : (way + 2) * n], state, scale) - f) / steps[way]
    ia, ih, skew, du_turn, dv_turn, K = here
    c, s = np.cos(state[:, 2]), np.sin(state[:, 2])
    J[:, 0, 2] = -s * ia - c * skew
    J[:, 1, 2] = c * ih
    J[:, 2, 2] = -du_turn * J[:, 0, 2] - dv_turn * J[:, 1, 2]
    J[:, 2, 3] = J[:, 3, 4] = 1.0 / scale
    J[:, 4, 3] = -1.5 * state[:, 3] ** 2 / scale - K * scale
    return f, J, here


def frame_angle(patch, uv, spans, t):
    """Angle theta (n,) from S_u of given knot spans to directions t (n, 3)."""
    jet = patch.jets(uv[:, 0], uv[:, 1], 1, spans[:, 0], spans[:, 1])
    n = np.cross(jet.su, jet.sv)
    n = n / np.linalg.norm(n, axis=1)[:, None]
    return np.arctan2(
        np.einsum("ij,ij->i", t, np.cross(n, jet.su)), np.einsum("ij,ij->i", t, jet.su)
    )


def _frame_turns(batten):
    """(e - 1,) angle of the next element's frame in an element's own, where they meet."""
    before, after = batten.spans[:-1], batten.spans[1:]
    out = np.zeros(len(before))
    rows = np.flatnonzero(np.any(before != after, axis=1))
    if len(rows):
        uv = batten.state[rows + 1, 0, :2]
        su = batten.patch.jets(uv[:, 0], uv[:, 1], 1, after[rows, 0], after[rows, 1]).su
        out[rows] = frame_angle(batten.patch, uv, before[rows], su)
    return out


class _Step:
    """Newton's linear system at a batten, factored down to the ends of the elements."""

    def __init__(self, batten, ends):
        self.batten, self.ends = batten, ends
        e, m, _ = batten.state.shape
        p = m - 1
        values, slopes, _ = _matrices(p)
        f, J, field = _linearised(batten)
        self.field = field
        share = 0.5 * (batten.ends[:, 1] - batten.ends[:, 0])
        half = share * batten.length[batten.stretch]
        f = f.reshape(e, p, 5)
        J = J.reshape(e, p, 5, 5) * half[:, None, None, None]
        block = np.einsum("gk,ij->gikj", slopes, np.eye(5)) - np.einsum("egij,gk->egikj", J, values)
        block = block.reshape(e, 5 * p, 5 * m)
        miss = half[:, None, None] * f - np.einsum("gk,ekc->egc", slopes, batten.state)
        right = np.concatenate([
            -block[:, :, :5],
            (share[:, None, None] * f).reshape(e, -1, 1),
            miss.reshape(e, -1, 1),
        ], axis=2)  # fmt: skip
        # inner nodes and the far end by the near end's five, the length, and the miss
        self.inner = np.linalg.solve(block[:, :, 5:], right).reshape(e, p, 5, 7)
        self._assemble()

    def _assemble(self):
        b, ends = self.batten, self.ends
        e = len(b.state)
        self.near = np.arange(e) + b.stretch  # state at an element's near end; +1 its far end
        count = e + len(b.length)
        far = self.inner[:, -1]
        joints = np.zeros((count - 1, 6, 12))
        miss = np.zeros((count - 1, 6))
        turn = np.append(_frame_turns(b), 0.0)
        own = b.state[:, -1].copy()
        inside = np.flatnonzero(~b.last)
        own[inside, 2] -= turn[inside]
        nxt = b.state[:, -1].copy()
        nxt[inside] = b.state[inside + 1, 0]
        joints[self.near, :5, :6] = -far[..., :6]
        joints[self.near, :5, 6:11] = np.eye(5)
        joints[self.near, 5, 5], joints[self.near, 5, 11] = -1.0, 1.0
        miss[self.near, :5] = far[..., 6] + own - nxt
        at = np.flatnonzero(b.last)[:-1]
        rows = self.near[at] + 1  # the joint from a stretch's end to the next one's start
        self.mark_rows = rows
        a, c = b.state[at, -1], b.state[at + 1, 0]
        for k, (way, side) in enumerate(((0, 0), (1, 0), (0, 6), (1, 6))):
            joints[rows, k, way + side] = 1.0
            miss[rows, k] = ends.marks[1:-1, way] - (a, c)[side // 6][:, way]
        for k, way in ((4, 2), (5, 3)):
            joints[rows, k, way], joints[rows, k, 6 + way] = -1.0, 1.0
            miss[rows, k] = a[:, way] - c[:, way]
        miss[rows, 4] += ends.corners - turn[at]
        C0, d0, C1, d1 = ends.rows()
        r = len(d0)
        self.r, self.bands = r, (r + 5, 11 - r)
        size = 6 * count
        ab = np.zeros((sum(self.bands) + 1, size))
        i = r + 6 * np.arange(count - 1)[:, None, None] + np.arange(6)[:, None]
        j = 6 * np.arange(count - 1)[:, None, None] + np.arange(12)
        ab[self.bands[1] + i - j, np.broadcast_to(j, np.broadcast_shapes(i.shape, j.shape))] = joints
        for C, row, col in ((C0, 0, 0), (C1, size - len(d1), size - 6)):
            i = row + np.arange(len(C))[:, None]
            j = col + np.arange(5)
            ab[self.bands[1] + i - j, np.broadcast_to(j, C.shape)] = C
        self.ab = ab
        self.right = np.concatenate([d0 - C0 @ b.state[0, 0], miss.ravel(), d1 - C1 @ b.state[-1, -1]])

    def solve(self, right):
        """Changes of the states at the ends of the elements (count, 6, k)."""
        x = solve_banded(self.bands, self.ab, right, check_finite=False)
        return x.reshape(len(x) // 6, 6, -1)

    def taken(self):
        """The batten after the step, and the step's size in mm (and rad times scale)."""
        b = self.batten
        x = self.solve(self.right)[..., 0]
        near = x[self.near]
        change = np.empty_like(b.state)
        change[:, 0] = near[:, :5]
        change[:, 1:] = np.einsum("ekcj,ej->ekc", self.inner[..., :6], near) + self.inner[..., 6]
        length = b.length + x[self.near[b.last], 5]
        values = _matrices(b.state.shape[1] - 1)[0]
        moved = np.einsum("gk,ekc->egc", values, change).reshape(-1, 5)
        ia, ih, skew = self.field[:3]
        with np.errstate(over="ignore", invalid="ignore"):
            along = (moved[:, 0] + moved[:, 1] * skew / ih) / ia
            size = np.sqrt(np.max(along**2 + (moved[:, 1] / ih) ** 2))
        return replace(b, state=b.state + change, length=length), float(size)

    def pulls_by(self, moves):
        """How the pulls change when marks move.

        Parameters
        ----------
        moves : (marks, 2)
            A way (du, dv) for each mark.

        Returns
        -------
        (marks, marks) change of pull i by a unit of way j, 1/mm^2
        """
        b = self.batten
        m = len(moves)
        right = np.zeros((len(self.right), m))
        right[:2, 0] = moves[0]
        right[len(right) - (6 - self.r) :, m - 1][:2] = moves[-1]
        for k, row in enumerate(self.mark_rows, start=1):
            at = self.r + 6 * row
            right[at : at + 4, k] = np.tile(moves[k], 2)
        x = self.solve(right)[:, 4]
        first = self.near[np.append(True, b.last[:-1])]
        end = self.near[b.last] + 1
        none = np.zeros((1, m))
        return (np.vstack([x[first], none]) - np.vstack([none, x[end]])) / b.scale**2


# --- elements -------------------------------------------------------------------------------
def _spans(patch, uv):
    return np.stack([patch._table_u.locate(uv[:, 0]), patch._table_v.locate(uv[:, 1])], axis=1)


def _sampled(batten, stretch, ends, degree):
    """The same batten on other elements."""
    xi = lobatto(degree).nodes
    share = 0.5 * (ends[:, :1] + ends[:, 1:]) + 0.5 * np.diff(ends, axis=1) * xi
    own = batten.stretch + batten.ends[:, 0]
    middle = stretch[:, None] + 0.5 * (ends[:, :1] + ends[:, 1:])
    # read towards the middle: an end on an old element's end belongs to the right stretch
    look = stretch[:, None] + share + 1e-12 * (middle - stretch[:, None] - share)
    old = np.clip(np.searchsorted(own, look.ravel(), side="right") - 1, 0, len(own) - 1)
    lo, hi = batten.ends[old].T
    x = np.clip((2.0 * share.ravel() - lo - hi) / (hi - lo), -1.0, 1.0)
    basis = lobatto(batten.state.shape[1] - 1).values(x)
    state = np.einsum("nk,nkc->nc", basis, batten.state[old]).reshape(*share.shape, 5)
    uv = lobatto(degree).values(np.zeros(1))[0] @ state[..., :2]
    return replace(batten, state=state, stretch=stretch, ends=ends, spans=_spans(batten.patch, uv))


def _crossings(batten):
    """Where elements cross knot lines: element, local place, the knot's multiplicity, each (k,)."""
    patch, degree = batten.patch, batten.state.shape[1] - 1
    grid = np.linspace(-1.0, 1.0, 2 * degree + 1)
    found = []
    for way, table, mult in ((0, patch._table_u, patch.mult_u), (1, patch._table_v, patch.mult_v)):
        value = np.einsum("gk,ek->eg", _grid_values(degree), batten.state[..., way])
        span = table.locate(value.ravel()).reshape(value.shape)
        lo, hi = span[:, :-1], span[:, 1:]
        for row, col in zip(*np.nonzero(lo != hi)):
            for line in range(min(lo[row, col], hi[row, col]) + 1, max(lo[row, col], hi[row, col]) + 1):
                v0, v1 = value[row, col : col + 2]
                x = grid[col] + (grid[col + 1] - grid[col]) * (table.breaks[line] - v0) / (v1 - v0)
                found.append((row, way, x, table.breaks[line], mult[line], grid[col], grid[col + 1]))
    if not found:
        return np.empty(0, int), np.empty(0), np.empty(0)
    row, way, x, knot, mult, lo, hi = (np.array(part) for part in zip(*found))
    coef = lobatto(degree).to_legendre[0] @ batten.state[row, :, way].T
    slope = legendre.legder(coef)
    for _ in range(8):
        off = legendre.legval(x, coef, tensor=False) - knot
        rate = legendre.legval(x, slope, tensor=False)
        new = np.clip(x - np.where(rate != 0.0, off / np.where(rate != 0.0, rate, 1.0), 0.0), lo, hi)
        done = np.max(np.abs(new - x)) < 1e-13
        x = new
        if done:
            break
    return row, x, mult


@lru_cache(maxsize=None)
def _grid_values(degree):
    return lobatto(degree).values(np.linspace(-1.0, 1.0, 2 * degree + 1))


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


# --- solving --------------------------------------------------------------------------------
def newton(batten, ends):
    """Newton's method on fixed elements.

    Returns
    -------
    Batten or None where it does not settle
    _Step at the last place but one, for derivatives
    """
    before = np.inf
    total = float(batten.length.sum())
    for k in range(_NEWTON):
        try:
            step = _Step(batten, ends)
            batten, size = step.taken()
        except (LinAlgError, ValueError):
            return None, None
        if not np.isfinite(size) or size > total or np.any(batten.length <= 0.0):
            return None, None
        if size < _DONE * total:
            return batten, step
        if k > 2 and size > 0.7 * before:
            return None, None
        before = size
    return None, None


def settle(batten, ends, longest, degree):
    """Newton's method, the elements being laid again until they end on the knot lines.

    Returns
    -------
    Batten or None, _Step
    """
    out = None
    for _ in range(_PASSES):
        batten, step = newton(batten, ends)
        if batten is None:
            break
        out = batten, step
        batten, moved = laid_again(batten, longest, degree)
        if moved < _ALIGNED * float(batten.length.sum()):
            break
    return out or (None, None)


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
    turn = np.append(_frame_turns(batten), 0.0)[at]
    return batten, state[at + 1, 0, 2] - state[at, -1, 2] + turn
