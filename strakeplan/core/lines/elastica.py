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
from typing import Optional

import numpy as np
from scipy.linalg import LinAlgError, solve_banded

from ..spline.patch import geometry_of
from .elements import frame_turns, gauss_matrices, laid_again

__all__ = ["Ends", "newton", "settle"]

_TURN = 1e-6  # share of the parameter's range for derivatives along u and v
_DONE = 1e-8  # of the length: Newton's step after which the next would be nothing
_NEWTON = 14
_PASSES = 8
_ALIGNED = 1e-9  # of the length: elements count as ending on the knot lines


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
    values = gauss_matrices(batten.state.shape[1] - 1)[0]
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


class _Step:
    """Newton's linear system at a batten, factored down to the ends of the elements."""

    def __init__(self, batten, ends):
        self.batten, self.ends = batten, ends
        e, m, _ = batten.state.shape
        p = m - 1
        values, slopes, _ = gauss_matrices(p)
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
        turn = np.append(frame_turns(b), 0.0)
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
        values = gauss_matrices(b.state.shape[1] - 1)[0]
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
