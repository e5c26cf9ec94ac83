# SPDX-License-Identifier: LGPL-2.1-or-later
"""The sheaf of geodesics that leave a line squarely, to one side.

Their ends at equal lengths lie on a curve that they meet squarely again (Gauss's lemma): one
sheaf gives all the line's parallels. It is held as elements along the line, halved until the
polynomials through their nodes pass through what lies between.
"""

from typing import NamedTuple

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..recut import recut
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of
from .march import march, reach

__all__ = ["Sheaf"]

DEGREE = 8
_ELEMENT = 1.0 / 36.0  # of the line's length: longest element of a parallel
_LEFT = 1.0 / 80.0  # of the line's length: farther off the planking a geodesic has left it
_BETWEEN = np.array([-0.79, 0.18, 0.79])  # local places between nodes, where elements are checked
_AIM = 3e-9  # of the patch's size: an element off by more is halved
_HALVINGS = 10
_FOLLOWED = 3e-9  # of the patch's size: thirty steps of the error that a march allows to each
_AWAY = 3.0  # times as far off the hull as its start a geodesic may go before it is lost


class _Element(NamedTuple):
    """What the geodesics of one element have reached, for k distances; nan where they are lost."""

    uv: np.ndarray  # (k, DEGREE + 1, 2) at the nodes
    p: np.ndarray  # (k, 2, 3) at both ends
    t: np.ndarray  # (k, 2, 3) the geodesics' directions there
    off: np.ndarray  # (k,) mm by which the polynomial misses what lies between


class Sheaf:
    """Geodesics square to a line.

    Parameters
    ----------
    hull : PlankedSurface
    base : SurfaceCurve
        From the bow aft.
    distances : (k,) increasing, mm
    side : 1.0 or -1.0
        Towards the keel or towards the sheer.
    """

    def __init__(self, hull, base, distances, side):
        self.hull, self.base, self.side = hull, base, side
        self.distances = np.asarray(distances, float)
        self._known = {}
        n = int(np.ceil(1.0 / _ELEMENT - 1e-9))
        self.breaks = np.linspace(0.0, base.length, n + 1)

    def run_on(self, overrun):
        """Run the line on past both its ends, straight, by so much at least, mm.

        It runs over the surface's own continuation, so that parallels near raked ends have
        somewhere to start from.
        """
        length, longest = self.base.length, self.base.length * _ELEMENT
        n = int(np.ceil(overrun / longest - 1e-9))
        over = longest * np.arange(1, n + 1)
        fore, aft = over[over > -self.breaks[0] + 1e-9], over[over > self.breaks[-1] - length + 1e-9]
        self.breaks = np.concatenate([-fore[::-1], self.breaks, length + aft])
        self._send()

    def reaches_out(self):
        """Whether every parallel begins and ends off the planking.

        Elements in which it does so are halved until their geodesics are not lost.
        """
        for _ in range(_HALVINGS):
            spans, bad = self._spans(), set()
            for k in range(len(self.distances)):
                uv = self._nodes(k)
                for first, last in self._runs(k):
                    within = self._inside(uv[[first, last - 1], [0, -1]])
                    if within[0] and first > 0:
                        bad.add(first - 1)
                    if within[1] and last < len(spans):
                        bad.add(last)
            if not bad:
                break
            self._halve(bad)
        for k in range(len(self.distances)):
            uv = self._nodes(k)
            if any(self._inside(uv[[a, b - 1], [0, -1]]).any() for a, b in self._runs(k)):
                return False
        return True

    def refine(self):
        """Halve the elements of the planking that are off between their nodes."""
        for _ in range(_HALVINGS):
            bad = {
                i for k in range(len(self.distances)) for i in self._of_planking(k)
                if not self._known[self._spans()[i]].off[k] <= _AIM * self.hull.patch.size
            }  # fmt: skip
            if not bad:
                break
            self._halve(bad)

    def curves(self, k):
        """The parallel at distance k, before it is cut at the edges of the planking.

        Returns
        -------
        list of SurfaceCurve, from the bow aft
            More than one where its middle is off the planking.

        Raises
        ------
        PlanError
            Where neighbouring geodesics have crossed (a focal point), or nothing is left of them.
        """
        self._require_apart(k)
        out = []
        for first, last in self._runs(k):
            nodes = self._nodes(k)[first:last]
            nodes[1:, 0] = nodes[:-1, -1]

            def places(s):
                uv, across = self._starts(s)
                return march(self.hull.patch, uv, across, self.distances[k : k + 1]).uv[0]

            out.append(recut(SurfaceCurve(self.hull.patch, nodes), self.breaks[first : last + 1], places))
        return out

    def error(self, k):
        """Bound of the error of the parallel at distance k, mm: of its elements, and of the steps
        by which the geodesics are followed, each of which keeps to a given error."""
        mine = [self._spans()[i] for i in self._of_planking(k)]
        return _FOLLOWED * self.hull.patch.size + float(np.max([self._known[span].off[k] for span in mine], initial=0.0))

    # --- sending geodesics off --------------------------------------------------------------
    def _spans(self):
        return list(zip(self.breaks[:-1].tolist(), self.breaks[1:].tolist()))

    def _send(self):
        """Follow the geodesics of all elements that are new."""
        new = [span for span in self._spans() if span not in self._known]
        if not new:
            return
        patch, at = self.hull.patch, np.concatenate([lobatto(DEGREE).nodes, _BETWEEN])
        a, b = np.array(new).T
        s = 0.5 * (a + b)[:, None] + 0.5 * (b - a)[:, None] * at
        uv, p, t = (x.reshape(len(x), *s.shape, -1) for x in self._followed(s.ravel()))
        k, m = len(self.distances), DEGREE + 1
        flat = np.einsum("gj,kejc->kegc", lobatto(DEGREE).values(_BETWEEN), uv[:, :, :m]).reshape(-1, 2)
        with np.errstate(invalid="ignore"):
            there = patch.points(flat[:, 0], flat[:, 1]).reshape(k, len(new), len(_BETWEEN), 3)
        # along the parallel a difference means nothing
        off = np.abs(np.einsum("kegc,kegc->keg", there - p[:, :, m:], t[:, :, m:])).max(axis=2)
        for e, span in enumerate(new):
            self._known[span] = _Element(
                uv[:, e, :m], p[:, e][:, [0, DEGREE]], t[:, e][:, [0, DEGREE]], off[:, e]
            )

    def _followed(self, s):
        """Where geodesics from arc lengths s (n,) of the line are at all distances.

        One that has been on the planking and has left it by a while is lost, and so is one that
        begins past the line's ends and goes away from the hull: it would run on far over the
        surface's continuation, where that runs wild, and perhaps come back elsewhere.

        Returns
        -------
        uv (k, n, 2), p (k, n, 3), t (k, n, 3); nan for those that are lost
        """
        inside, left = self.hull.inside, self.base.length * _LEFT
        uv, across = self._starts(s)
        been = inside(*uv.T) > 0.0
        leave = left + _AWAY * np.maximum(0.0, np.maximum(-s, s - self.base.length))

        def lost(rows, uv):
            with np.errstate(invalid="ignore"):
                depth = inside(*uv.T)
            been[rows] |= depth > 0.0
            return depth < np.where(been[rows], -left, -leave[rows])

        with np.errstate(invalid="ignore"):
            run = march(self.hull.patch, uv, across, self.distances, watch=lost)
        return run.uv, run.p, run.t

    def _starts(self, s):
        """Places (n, 2) on the line and its run-on, and directions (n, 3) square to it."""
        base, patch = self.base, self.hull.patch
        c = base.at(s)
        uv, t = c.uv.copy(), c.t.copy()
        for at, past in ((0.0, -s), (base.length, s - base.length)):
            rows = np.flatnonzero(past > 0.0)
            if not len(rows):
                continue
            start, sense = base.at([at]), -1.0 if at == 0.0 else 1.0
            m = len(rows)
            uv[rows], _, along = reach(patch, np.repeat(start.uv, m, 0), sense * np.repeat(start.t, m, 0), past[rows])
            t[rows] = sense * along
        n = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2)).n
        return uv, self.side * np.cross(n, t)

    # --- what is part of a parallel -----------------------------------------------------------
    def _nodes(self, k):
        return np.array([self._known[span].uv[k] for span in self._spans()])

    def _inside(self, uv):
        with np.errstate(invalid="ignore"):
            return (self.hull.inside(*uv.reshape(-1, 2).T) > 0.0).reshape(uv.shape[:-1])

    def _of_planking(self, k):
        """Indices of the whole elements that hold any of the planking at distance k."""
        nodes = self._nodes(k)
        good = np.isfinite(nodes).all(axis=(1, 2))
        return np.flatnonzero(good & self._inside(nodes).any(axis=1)).tolist()

    def _halve(self, which):
        spans = self._spans()
        new = [0.5 * sum(spans[i]) for i in which]
        self.breaks = np.sort(np.concatenate([self.breaks, new]))
        self._send()

    def _runs(self, k):
        """First and last + 1 of the unbroken runs of whole elements that hold any of the planking."""
        nodes = self._nodes(k)
        good = np.isfinite(nodes).all(axis=(1, 2))
        held = self._inside(nodes).any(axis=1)
        edge = np.diff(np.concatenate([[0], good.astype(int), [0]]))
        runs = list(zip(np.flatnonzero(edge > 0).tolist(), np.flatnonzero(edge < 0).tolist()))
        return [(a, b) for a, b in runs if held[a:b].any()] or runs

    def _require_apart(self, k):
        """Raise where neighbouring geodesics have met, on the planked surface."""
        # at the elements' ends: nodes inside may lie nearer together than they are known
        elements = [self._known[span] for span in self._spans()]
        p, t = (np.array([getattr(e, name)[k] for e in elements]) for name in ("p", "t"))
        uv = np.array([e.uv[k][[0, -1]] for e in elements])
        with np.errstate(invalid="ignore"):
            n = geometry_of(self.hull.patch.jets(*uv.reshape(-1, 2).T, 2)).n.reshape(t.shape)
            ahead = np.einsum("ij,ij->i", p[:, 1] - p[:, 0], self.side * np.cross(t, n).sum(axis=1))
            bad = (ahead <= 0.0) & self._inside(uv[:, 0])
        if bad.any():
            x = float(p[int(np.argmax(bad)), 0, 0])
            raise PlanError(
                f"{self.hull.name}: lines parallel to the given line cross one another "
                f"{self.distances[k]:.0f} mm " + ("below it" if self.side > 0.0 else "above it"),
                f"at {self.hull.frame.station_label(x)}",
                "choose a smaller distance, or another line to run parallel to",
            )
