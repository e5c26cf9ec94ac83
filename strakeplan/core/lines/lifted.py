# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where a stretched string lifts off a surface: a chain of nodes pulled tight outside it.

A node either touches, and slides on the surface, or is free in space. A touching node that
its neighbours pull away from the surface is released; a free node that would go under it is
caught. What is left satisfies the conditions of an obstacle: gap >= 0, force >= 0 and one of
them nothing. It shows which stretches lift and roughly where; `bridging` makes that exact.

References
----------
M. Hintermueller, K. Ito and K. Kunisch, "The primal-dual active set strategy as a semismooth
Newton method", *SIAM J. Optim.* 13 (2003).
R. L. Graham, "An efficient algorithm for determining the convex hull of a finite planar set",
*Inf. Process. Lett.* 1 (1972): the scan in `profile_runs`, here along a curve.
"""

from typing import NamedTuple

import numpy as np
from scipy.linalg import LinAlgError, solve_banded

from ..spline.patch import geometry_of
from .closest import closest_on_patch

__all__ = ["LEAST_GAP", "Settled", "pull_tight", "profile_runs", "signed_gap"]

LEAST_GAP = 1e-7  # of the string's length: a shallower hollow is none (1e-3 mm in 10 m)
_TURN = 1e-9  # radians per node: a smaller pull off the surface is rounding
_DEEP = 1e-11  # of the patch's size: a smaller depth under the surface is rounding


def profile_runs(curve, outward, least=None, n=1200):
    """Stretches of a laid geodesic over which a string would lift, to a first guess.

    The normal curvature alone is rolled out into a plane curve; a string stretched over that
    touches where the scan of a convex hull keeps points. On cylinders this is exact.

    Parameters
    ----------
    curve : SurfaceCurve
        A geodesic.
    outward : 1 or -1
        Side of the patch's normal su x sv on which the string is.
    least : float, optional
        Gap below which a hollow is none, mm; default LEAST_GAP of the curve's length.
    n : int
        Points looked at.

    Returns
    -------
    list of (s0, s1, gap), mm along the curve and greatest gap, mm
    """
    least = LEAST_GAP * curve.length if least is None else least
    s = np.linspace(0.0, curve.length, n + 1)
    ds = s[1]
    bend = outward * curve.at(0.5 * (s[1:] + s[:-1])).kappa_n
    after = np.cumsum(bend * ds)
    theta = after - 0.5 * bend * ds
    plane = np.zeros((n + 1, 2))
    plane[1:] = np.cumsum(np.stack([np.cos(theta), np.sin(theta)], axis=1) * ds, axis=0)
    x, y = plane.T.tolist()
    kept = [0]
    for i in range(1, n + 1):
        while len(kept) > 1:
            a, b = kept[-2], kept[-1]
            if (x[b] - x[a]) * (y[i] - y[b]) - (y[b] - y[a]) * (x[i] - x[b]) <= 0.0:
                break
            kept.pop()  # the string turns outward there: it does not touch
        kept.append(i)
    runs = []
    for a, b in zip(kept[:-1], kept[1:]):
        if b - a > 1:
            chord = plane[b] - plane[a]
            off = plane[a:b] - plane[a]
            depth = (chord[1] * off[:, 0] - chord[0] * off[:, 1]) / np.hypot(*chord)
            gap = float(depth.max())
            if gap > least:
                runs.append((float(s[a]), float(s[b]), gap))
    return runs


def signed_gap(patch, points, outward, start):
    """Feet (n, 2) of points (n, 3) and their distances (n,) off the surface, outward positive."""
    uv, _ = closest_on_patch(patch, points, start=start)
    g = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2))
    return uv, outward * np.einsum("ij,ij->i", points - g.p, g.n)


class Settled(NamedTuple):
    """A chain of nodes: feet ``uv`` (n, 2), places ``p`` (n, 3), gaps (n,) mm, ``free`` (n,) bool.

    ``near`` tells whether it came to rest, but for a node at the edge of a free stretch that
    still goes back and forth.
    """

    uv: np.ndarray
    p: np.ndarray
    gap: np.ndarray
    free: np.ndarray
    near: bool

    def blocks(self):
        """(first, last) node of every free stretch that is a hollow worth the name."""
        edge = np.diff(np.concatenate([[0], self.free.astype(int), [0]]))
        first, last = np.flatnonzero(edge > 0), np.flatnonzero(edge < 0) - 1
        length = np.sum(np.linalg.norm(np.diff(self.p, axis=0), axis=1))
        return [
            (int(a), int(b)) for a, b in zip(first, last)
            if self.gap[a : b + 1].max() > LEAST_GAP * length
        ]  # fmt: skip


def pull_tight(patch, uv, free, outward, iterations=80):
    """Pull a chain of nodes tight over a surface that it may leave outward.

    Parameters
    ----------
    patch : SplinePatch
    uv : (n, 2) feet of the nodes, about equally spaced; the ends stay
    free : (n,) bool, first guess of the nodes that do not touch
    outward : 1 or -1
    iterations : int

    Returns
    -------
    Settled
    """
    uv, free = np.array(uv, float), np.array(free, bool)
    free[[0, -1]] = False
    n = len(uv)
    p = patch.points(uv[:, 0], uv[:, 1])
    gap = np.zeros(n)
    length = float(np.sum(np.linalg.norm(np.diff(p, axis=0), axis=1)))
    spacing = length / (n - 1)
    for _ in range(iterations):
        step = _newton(patch, uv, p, free, length)
        on = ~free
        uv[on] += step[on, :2]
        p[free] += step[free]
        jet = patch.jets(uv[:, 0], uv[:, 1], 1)
        p[on] = jet.p[on]
        moved = np.where(
            free[:, None], step, jet.su * step[:, :1] + jet.sv * step[:, 1:2]
        )  # in mm
        gap = np.zeros(n)
        if free.any():
            uv[free], gap[free] = signed_gap(patch, p[free], outward, uv[free])
        normal = np.cross(jet.su, jet.sv)
        normal *= outward / np.linalg.norm(normal, axis=1)[:, None]
        pull = np.zeros(n)
        pull[1:-1] = np.einsum("ij,ij->i", p[:-2] + p[2:] - 2.0 * p[1:-1], normal[1:-1])
        caught = free & (gap < -_DEEP * patch.size)
        released = on & (pull > _TURN * spacing)
        free = (free & ~caught) | released
        p[caught] = patch.points(uv[caught, 0], uv[caught, 1])
        largest = float(np.max(np.linalg.norm(moved, axis=1)))
        if largest < 1e-6 * spacing and not caught.any() and not released.any():
            break
    return Settled(uv, p, np.where(free, gap, 0.0), free, largest < 0.1 * spacing)


def _newton(patch, uv, p, free, length):
    """Newton step of the chain's energy: (n, 3), in (u, v, -) where touching, in mm where free."""
    n = len(uv)
    jet = patch.jets(uv[:, 0], uv[:, 1], 2)
    basis = np.zeros((n, 3, 3))  # rows: what a unit of each unknown does in space
    basis[free] = np.eye(3)
    on = ~free
    basis[on, 0], basis[on, 1] = jet.su[on], jet.sv[on]
    inner = basis[1:-1]
    force = 2.0 * p[1:-1] - p[:-2] - p[2:]
    gradient = np.einsum("nck,nk->nc", inner, force)
    gauss = 2.0 * np.matmul(inner, np.swapaxes(inner, 1, 2))
    touching = np.flatnonzero(on[1:-1])
    gauss[touching, 2, 2] = 1.0  # the unknown that a touching node does not have
    exact = gauss.copy()
    second = [np.einsum("nk,nk->n", force, d[1:-1])[touching] for d in (jet.suu, jet.suv, jet.svv)]
    exact[touching, 0, 0] += second[0]
    exact[touching, 0, 1] += second[1]
    exact[touching, 1, 0] += second[1]
    exact[touching, 1, 1] += second[2]
    beside = -np.matmul(inner[:-1], np.swapaxes(inner[1:], 1, 2))
    for diagonal in (exact, gauss):
        try:
            x = solve_banded((5, 5), _banded(diagonal, beside), -gradient.ravel())
        except (LinAlgError, ValueError):
            continue
        if np.isfinite(x).all() and x @ gradient.ravel() <= 0.0:
            break
    step = np.zeros((n, 3))
    step[1:-1] = x.reshape(-1, 3)
    along = np.einsum("nc,nck->nk", step, basis)
    far = np.max(np.linalg.norm(along, axis=1))
    return step * min(1.0, 0.2 * length / far) if far > 0.0 else step


def _banded(diagonal, beside):
    """Symmetric block tridiagonal matrix of 3 x 3 blocks in solve_banded's form."""
    m = len(diagonal)
    ab = np.zeros((11, 3 * m))
    at = 3 * np.arange(m)
    for i in range(3):
        for j in range(3):
            ab[5 + i - j, at + j] = diagonal[:, i, j]
            ab[5 + i - j - 3, at[1:] + j] = beside[:, i, j]
            ab[5 + j + 3 - i, at[:-1] + i] = beside[:, i, j]
    return ab
