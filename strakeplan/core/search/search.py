# SPDX-License-Identifier: LGPL-2.1-or-later
"""The search itself: spread points, shrinking boxes about the best, then the simplex.

The worst margin is the least of many figures: it has edges, and no useful gradient. Every
kind of line-off is searched for by points spread evenly over the ranges, by points in
shrinking boxes about the best of them, and in the end by the simplex method. Where one strake
binds whatever is chosen, the mean margin of all of them decides between equals.

References
----------
J. A. Nelder and R. Mead, *A simplex method for function minimization*, Computer Journal 7
(1965). Spread points: M. Roberts' additive recurrence from the plastic number (from memory).
"""

from dataclasses import dataclass
from typing import Tuple

import numpy as np
from scipy.optimize import minimize

from .judge import IMPOSSIBLE, Judge, Outcome

__all__ = ["Found", "search"]

_SPREAD = 56  # points spread over each kind's ranges and numbers
_LOCAL = 96  # points about the best ones, in boxes that shrink
_ELITE = 6  # the best ones that are kept
_BOX = 0.5, 0.02  # sides of the first and the last box, of the ranges
_SIMPLEX = 28  # tries of the simplex at the end


class _Stopped(Exception):
    """The user has seen enough."""


@dataclass(frozen=True, eq=False)
class Found:
    """What a search has found.

    Attributes
    ----------
    best : tuple of Outcome
        The best of every kind that could be lined off at all, the greatest margin first;
        worked out to the end.
    tried : int
        Designs tried.
    stopped : bool
        Whether it was stopped before its end.
    reason : str
        Why nothing at all could be lined off; empty otherwise.
    """

    best: Tuple[Outcome, ...]
    tried: int
    stopped: bool
    reason: str = ""

    @property
    def satisfies(self):
        """Whether the best keeps all limits."""
        return bool(self.best) and self.best[0].margin >= 0.0


def search(hull, job, limits, space, seed=0, tell=None, stop=None):
    """Search for the line-offs that leave their worst strake the most margin.

    Parameters
    ----------
    hull : PlankedSurface
    job : Job
        Wood, thickness, lengths of planks, spacing of frames.
    limits : Limits
    space : Space
    seed : int
        The same seed tries the same designs in the same order.
    tell : callable, optional
        (tried, about how many in all, best Outcome so far or None) after every try.
    stop : callable, optional
        () -> whether to stop; what was found so far is kept.

    Returns
    -------
    Found
    """
    judge = Judge(hull, job, limits, space)
    kinds = space.kinds
    about = len(kinds) * (_SPREAD + _LOCAL + _SIMPLEX)
    best, faults = {}, []
    stopped = False

    def outcome(design):
        if stop is not None and stop():
            raise _Stopped
        found = judge.outcome(design)
        if found.plan is None:
            faults.append(found.reason)
        old = best.get(design.kind)
        if found.plan is not None and (old is None or found.score > old.score):
            best[design.kind] = found
        if tell is not None:
            top = max(best.values(), key=lambda o: o.margin, default=None)
            tell(judge.tried, about, top)
        return found

    try:
        for kind in kinds:
            _search_kind(hull, space, kind, seed, outcome)
    except _Stopped:
        stopped = True
    # to the end: the figures shown are those of the plan that would be built
    ended = [judge.outcome(found.design, exact=True) for found in best.values()]
    ended = sorted((o for o in ended if o.plan is not None), key=lambda o: -o.margin)
    reason = max(set(faults), key=faults.count) if faults and not ended else ""
    return Found(tuple(ended), judge.tried, stopped, reason)


def _search_kind(hull, space, kind, seed, outcome):
    """Search one kind of line-off."""
    size = 4 if kind.eased else 3  # bow, stern, number, and how far it is eased
    low, high = space.counts
    elite = []

    def tried(point):
        point = np.clip(point, 0.0, 1.0)
        count = min(low + int(point[2] * (high - low + 1)), high)
        found = outcome(space.design(hull, kind, np.delete(point, 2), count))
        elite.append((found.score, tuple(point)))
        elite.sort(reverse=True)
        del elite[_ELITE:]
        return found.score

    for point in _spread(_SPREAD, size, seed):
        # a little beyond the ranges and back: their edges are tried as well
        tried(1.2 * point - 0.1)
    one = 1.0 / (high - low + 1)  # the number of strakes in the same measure
    for turn, step in enumerate(_spread(_LOCAL, size, seed + 1)):
        side = _BOX[0] * (_BOX[1] / _BOX[0]) ** (turn / (_LOCAL - 1))
        sides = np.full(size, side)
        sides[2] = max(side, 3.0 * one)
        # the best one twice as often as the others
        rank = (turn // 2) % len(elite) if turn % 2 else 0
        tried(np.array(elite[rank][1]) + sides * (step - 0.5))
    if elite[0][0] <= IMPOSSIBLE:
        return
    best = np.array(elite[0][1])
    free = np.delete(np.arange(size), 2)

    def cost(x):
        point = best.copy()
        point[free] = x
        # points outside the ranges are worse than their nearest neighbour inside
        return -tried(point) + float(np.sum(np.abs(x - np.clip(x, 0.0, 1.0))))

    side = 2.0 * _BOX[1]
    corners = np.vstack([best[free], best[free] + np.diag(np.where(best[free] > 0.5, -side, side))])
    minimize(
        cost, best[free], method="Nelder-Mead",
        options={"initial_simplex": corners, "maxfev": _SIMPLEX, "xatol": 1e-4, "fatol": 1e-5},
    )  # fmt: skip


def _spread(n, size, seed):
    """Points (n, size) spread over the unit cube: R. Roberts' recurrence, shifted by a seed."""
    root = 1.0
    for _ in range(60):  # the positive root of x^(size + 1) = x + 1
        root = (1.0 + root) ** (1.0 / (size + 1))
    steps = root ** -np.arange(1.0, size + 1.0)
    return (0.5 + seed * 0.381966 + np.arange(1, n + 1)[:, None] * steps) % 1.0
