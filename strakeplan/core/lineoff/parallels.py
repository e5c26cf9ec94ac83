# SPDX-License-Identifier: LGPL-2.1-or-later
"""Parallel seams from a line down to the garboard."""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..lines.clip import clip_curves
from ..lines.march import direction_uv, march
from ..lines.parallel import clipped_parallels
from ..lines.sweep import Sweep
from ..roots import bracketed_roots
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of
from .belts import MOST_STRAKES
from .resolution import EXACT
from .seams import SeamPart

__all__ = ["depth_below", "parallel_seams"]

_SHORTEST = 20.0  # mm; a line that touches the planking for less is none
_DEPTH = 1e-5  # of the depth: a hundredth of a mm
_DEEPEST = 2.0  # of the hull's size: no line's sheaf goes farther
_OVERRUNS = (0.01, 0.03, 0.08)  # of the hull's size: how far lines are run on, in turn
_LEFT = 0.0125  # of the size: a geodesic farther off the planking than that, and than at its start, has left it


def parallel_seams(hull, base, width, garboard_least, resolution=EXACT):
    """Parts of every parallel seam below a line, down to the garboard.

    Parameters
    ----------
    hull : PlankedSurface
    base : SurfaceCurve
    width : float
        mm, square to the line.
    garboard_least : float
        See `ParallelBelt`.
    resolution : Resolution

    Returns
    -------
    parts : list of tuples of SeamPart
    notes : list of str
    """
    sheaf = None
    if resolution.march_steps is not None:
        sheaf = _Sheaf(hull, base, resolution, _OVERRUNS[0])
        sheaf = sheaf if sheaf.sound else None
    depth = depth_below(hull, base) if sheaf is None else sheaf.depth
    count = int(np.floor(depth / width + 1e-9))
    if count > MOST_STRAKES:
        raise PlanError(
            f"{count} strakes of {width:.1f} mm would go below the line", "",
            "give a greater width for the parallel strakes",
        )  # fmt: skip
    notes = []
    rest = depth - count * width
    if count and rest < garboard_least * width:
        count -= 1
        notes.append(
            f"The last {rest:.0f} mm above the rabbet would make too narrow a garboard; "
            f"it is {rest + width:.0f} mm wide at its widest."
        )
    if not count:
        return [], notes
    distances = width * np.arange(1, count + 1)
    found = None
    if sheaf is not None:
        found = sheaf.clipped(distances)
        for overrun in _OVERRUNS[1:]:
            if found is None:
                found = _Sheaf(hull, base, resolution, overrun).clipped(distances)
    if found is None:
        found = clipped_parallels(hull, base, distances)
    parts = []
    for one in found:
        if not one:
            break
        parts.append(tuple(SeamPart(*part) for part in one))
    return parts, notes


class _Sheaf:
    """Geodesics below a line at the nodes of elements along it, for a first look.

    Attributes
    ----------
    sound : bool
        Every geodesic is found and leaves the planking.
    depth : float
        Greatest distance from the line to the rabbet, mm.
    """

    def __init__(self, hull, base, resolution, overrun):
        self.hull, self.degree = hull, resolution.degree
        patch = hull.patch
        step = patch.size / resolution.march_steps
        n = resolution.parallel_elements
        length = base.length
        longest = length / n
        overrun = overrun * patch.size
        # the line is run on by an element at both ends, where parallels near raked ends start
        table = base.table
        nodes = np.linspace(0.0, length, n + 1)[:-1, None] + longest * 0.5 * (lobatto(self.degree).nodes[:-1] + 1.0)
        s = np.concatenate([nodes.ravel(), [length]])
        k = np.zeros(len(s), int)
        uv = table.parameters(k, s, 0)[0]
        t = table.points(k, s)[1]
        far = 0.5 * overrun * (lobatto(self.degree).nodes[1:] + 1.0)
        fore, aft = (self._run_on(uv[end], sign * t[end], far) for end, sign in ((0, -1.0), (-1, 1.0)))
        self.s = np.concatenate([-far[::-1], s, length + far])  # of the geodesics' starts
        uv = np.concatenate([fore[0][::-1], uv, aft[0]])
        t = np.concatenate([-fore[1][::-1], t, aft[1]])
        normal = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2)).n
        self.sweep = sweep = Sweep(patch, uv, np.cross(normal, t), step)
        inner = slice(self.degree, len(uv) - self.degree)
        self.sound, self.depth = False, 0.0
        self._lost_at = np.full(len(uv), np.inf)  # distance at which each has left for good
        # a geodesic that far outside, or farther than it began, is followed no more
        start = hull.inside(*uv.T)
        self._out = np.minimum(start, 0.0) - _LEFT * patch.size
        look = [start[inner] > -1e-6]
        while True:
            inside = self._go_on()[inner]
            if not np.isfinite(sweep.states[-1]).all() or sweep.distance > _DEEPEST * patch.size:
                return
            look.append(inside > 0.0)
            if not np.logical_and.reduce(look).any():
                break
        self.sound = True
        self.depth = self._depth(np.array(look), inner)

    def _go_on(self):
        """One step more for those that have not left; how far (n,) they are inside the planking."""
        sweep = self.sweep
        sweep.go_on(self._lost_at < np.inf)
        inside = self.hull.inside(*sweep.states[-1][:, :2].T)
        gone = inside < self._out
        self._lost_at[gone] = np.minimum(self._lost_at, sweep.reach[-1])[gone]
        return inside

    def _run_on(self, uv, t, far):
        """Places (k, 2) and directions (k, 3) straight on, off the planking."""
        patch = self.hull.patch
        jet = patch.jets(uv[:1], uv[1:], 2)
        d = direction_uv(jet, t[None])
        du, dv = d[:, :1], d[:, 1:]
        bend = -direction_uv(jet, jet.suu * (du * du) + jet.suv * (2.0 * du * dv) + jet.svv * (dv * dv))
        s = far[:, None]
        places, velocity = uv + s * (d + 0.5 * s * bend), d + s * bend
        there = patch.jets(places[:, 0], places[:, 1], 1)
        c = there.su * velocity[:, :1] + there.sv * velocity[:, 1:]
        return places, c / np.linalg.norm(c, axis=1)[:, None]

    def _depth(self, look, inner):
        """Where the last geodesic leaves the planking for the first time, mm."""
        gone = np.argmin(look, axis=0)  # first step at which each is off
        gone[0] = max(gone[0], 1)
        last = np.flatnonzero(gone == gone.max())
        which = last + inner.start
        lo, hi = (np.full(len(which), self.sweep.step * g) for g in (gone.max() - 1.0, float(gone.max())))

        def inside(d):
            return self.hull.inside(*self.sweep.uv(d, which).T)

        fa, fb = inside(lo), inside(hi)
        return float(np.max(bracketed_roots(inside, lo, hi, np.maximum(fa, 1e-9), fb, done=_DEPTH)))

    def clipped(self, distances):
        """Parts of the parallels at distances (k,); None where a first look does not do."""
        hull, degree = self.hull, self.degree
        while self.sweep.distance < distances[-1]:
            self._go_on()
        uv = self.sweep.uv(distances)  # (k, n, 2)
        inside = hull.inside(*uv.reshape(-1, 2).T).reshape(uv.shape[:2])
        # one that goes on over the surface's continuation, and perhaps comes back, is no part of a parallel
        gone = np.logical_or.accumulate(~(inside >= self._out), axis=0) | (self._lost_at <= distances[:, None])
        held = (inside > 0.0) & ~gone
        if np.any(held[:, [0, -1]]) or self._crossing(uv[:, ::degree], held[:, ::degree]):
            return None
        nodes, on = self._elements(uv, held, gone)
        if nodes is None:
            return None
        count = int(np.argmin(on.any(axis=1))) if not on.any(axis=1).all() else len(on)
        # a run of elements begins and ends off the planking
        edge = np.diff(on[:count].astype(int), axis=1, prepend=0, append=0)
        ends = np.concatenate([nodes[:count, :, 0][edge[:, :-1] > 0], nodes[:count, :, -1][edge[:, 1:] < 0]])
        if np.any(hull.inside(*ends.T) > 0.0):
            return None
        curves = [SurfaceCurve(hull.patch, one[own]) for one, own in zip(nodes[:count], on)]
        return clip_curves(hull, curves, _SHORTEST, exact=False)

    def _elements(self, uv, held, gone):
        """Nodes (k, e, degree + 1, 2) of the elements of parallels (k, n, 2), and whether they hold
        any of the planking (k, e).

        Where some of an element's geodesics have left the planking for good, it ends at the last
        one that has not, and its polynomial is that through the nearest of these, of this element
        and the next; None where there are too few of them.
        """
        degree = self.degree
        first = np.arange(len(self.s) // degree) * degree
        index = first[:, None] + np.arange(degree + 1)
        nodes, bad, on = uv[:, index], gone[:, index], held[:, index].any(axis=2)
        k, e = np.nonzero(bad.any(axis=2) & on)
        if not len(k):
            return nodes, on
        good = ~bad[k, e]
        # the good ones lie at the element's after end or at its fore end
        aft = good[:, -1]
        count = good.sum(axis=1)
        runs = np.where(aft, np.argmin(good[:, ::-1], axis=1), np.argmin(good, axis=1))
        start = np.where(aft, first[e] + degree + 1 - count, first[e] + count - 1 - degree)
        if np.any(runs != count) or np.any(start < 0) or np.any(start + degree >= len(self.s)):
            return None, on
        own = start[:, None] + np.arange(degree + 1)
        if gone[k[:, None], own].any():
            return None, on
        fore = np.where(aft, first[e] + degree + 1 - count, first[e])
        ends = self.s[np.stack([fore, np.where(aft, first[e] + degree, first[e] + count - 1)])]
        at = ends[0, :, None] + (ends[1] - ends[0])[:, None] * 0.5 * (lobatto(degree).nodes + 1.0)
        nodes[k, e] = np.matmul(_lagrange(self.s[own], at), uv[k[:, None], own])
        return nodes, on

    def _crossing(self, uv, held):
        """Whether neighbouring geodesics (k, m, 2) come near each other where held on the planking (k, m)."""
        patch = self.hull.patch
        start = self.sweep.states[0][:: self.degree, :2]
        every = np.concatenate([start[None], uv])
        p = patch.points(*every.reshape(-1, 2).T).reshape(*every.shape[:2], 3)
        d = np.diff(p, axis=1)
        ahead = np.einsum("kmi,mi->km", d[1:], d[0]) / np.einsum("mi,mi->m", d[0], d[0])
        return bool(np.any(held[:, :-1] & (ahead < 0.1)))


def _lagrange(s, at):
    """Matrices (m, a, n) that take values at places s (m, n) to those of their polynomial at (m, a)."""
    n = s.shape[1]
    apart = s[:, :, None] - s[:, None, :] + np.eye(n)
    off = np.repeat((at[:, :, None] - s[:, None, :])[:, :, None, :], n, axis=2)
    off[:, :, np.arange(n), np.arange(n)] = 1.0
    return off.prod(axis=3) / apart.prod(axis=2)[:, None, :]


def depth_below(hull, base):
    """Greatest distance from a line down to the rabbet, square to the line, mm.

    Found by bisection on the distance at which the last point of a parallel leaves the
    planking; to a tenth of a millimetre.
    """
    s = np.linspace(0.0, base.length, 81)[1:-1]
    c = base.at(s)
    step = hull.patch.size / 100.0
    distances = step * np.arange(1, 100)
    lo = 0.0
    uv, t = c.uv, c.b
    for distance in distances:
        run = march(hull.patch, uv, t, [step], step, rough=True)
        uv, t = run.uv[0], run.t[0]
        still = hull.inside(uv[:, 0], uv[:, 1]) > 0.0
        if not still.any():
            break
        uv, t = uv[still], t[still]
        lo, start = distance, (uv, t)
    if lo == 0.0:
        start = (c.uv, c.b)
    a, b = 0.0, step
    while b - a > 0.1:
        mid = 0.5 * (a + b)
        run = march(hull.patch, *start, [mid], step, rough=True)
        if (hull.inside(run.uv[0][:, 0], run.uv[0][:, 1]) > 0.0).any():
            a = mid
        else:
            b = mid
    return lo + a
