# SPDX-License-Identifier: LGPL-2.1-or-later
"""The search itself: spread points, then the simplex from the best of them.

The worst margin is the least of many smooth figures: it has edges and no useful gradient.
Every kind of line-off is searched for by points spread evenly over the ranges, with the
number of strakes that its widths ask for, and then by the simplex method from the best.

References
----------
J. A. Nelder and R. Mead, *A simplex method for function minimization*, Computer Journal 7
(1965). Spread points: M. Roberts' additive recurrence from the plastic number (from memory).
"""

from dataclasses import dataclass, replace
from typing import Tuple

import numpy as np
from scipy.optimize import minimize

from .judge import IMPOSSIBLE, Judge, Outcome

__all__ = ["Found", "search"]

_SPREAD = 14  # points spread over each kind's ranges
_FROM_BEST = 2  # of them that the simplex starts from
_SIMPLEX = 30  # tries of one simplex
_SIDE = 0.12  # of the ranges: its first edges
_STEPS = 4  # changes of the number of strakes tried one after another


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
    about = len(kinds) * (_SPREAD + _FROM_BEST * _SIMPLEX + 2 * _STEPS)
    best, faults = {}, []
    stopped = False

    def outcome(design):
        if stop is not None and stop():
            raise _Stopped
        found = judge.outcome(design)
        if found.plan is None:
            faults.append(found.reason)
        old = best.get(design.kind)
        if found.plan is not None and (old is None or found.margin > old.margin):
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
    size = 3 if kind.eased else 2
    low, high = space.counts
    count = (low + high) // 2
    tried = []
    for point in _spread(_SPREAD, size, seed):
        found = outcome(space.design(hull, kind, point, count))
        if found.plan is not None:
            better = _count_for(found, low, high)
            if better != count:
                count = better
                found = outcome(replace(found.design, count=count))
        tried.append((found.margin, tuple(point), found.design.count))
    tried.sort(key=lambda one: -one[0])
    best = tried[0]
    for margin, point, count in tried[:_FROM_BEST]:
        if margin <= IMPOSSIBLE:
            continue
        best = max(best, _simplex(hull, space, kind, point, count, outcome, _SIMPLEX), key=lambda one: one[0])
    # one strake more or less, as long as it helps
    for step in (1, -1):
        for _ in range(_STEPS):
            margin, point, count = best
            if margin <= IMPOSSIBLE or not low <= count + step <= high:
                break
            found = outcome(space.design(hull, kind, point, count + step))
            if found.margin <= margin:
                break
            best = (found.margin, point, count + step)
    if best[0] > IMPOSSIBLE:
        _simplex(hull, space, kind, best[1], best[2], outcome, _SIMPLEX // 2, 0.4 * _SIDE)


def _simplex(hull, space, kind, point, count, outcome, tries, side=_SIDE):
    """Climb from a point with a given number of strakes: (margin, point, count)."""
    point = np.clip(point, 0.0, 1.0)
    best = [-np.inf, tuple(point), count]

    def cost(x):
        inside = np.clip(x, 0.0, 1.0)
        found = outcome(space.design(hull, kind, inside, count))
        if found.margin > best[0]:
            best[:2] = found.margin, tuple(inside)
        # points outside the ranges are worse than their nearest neighbour inside
        return -found.margin + float(np.sum(np.abs(x - inside)))

    corners = np.vstack([point, point + np.diag(np.where(point > 0.5, -side, side))])
    minimize(
        cost, point, method="Nelder-Mead",
        options={"initial_simplex": corners, "maxfev": tries, "xatol": 1e-3, "fatol": 1e-4},
    )  # fmt: skip
    return tuple(best)


def _spread(n, size, seed):
    """Points (n, size) spread over the unit cube: R. Roberts' recurrence, shifted by a seed."""
    root = 1.0
    for _ in range(60):  # the positive root of x^(size + 1) = x + 1
        root = (1.0 + root) ** (1.0 / (size + 1))
    steps = root ** -np.arange(1.0, size + 1.0)
    return (0.5 + seed * 0.381966 + np.arange(1, n + 1)[:, None] * steps) % 1.0


def _count_for(found, low, high):
    """The number of equal strakes whose widths leave the most margin, by proportion.

    Widths go with one over the number; the limits of width are the first that count.
    """
    samples, limits = found.checks.strakes, found.checks.limits
    mine = np.array([rule == "equal" for rule in samples.rule])
    if not mine.any():
        return found.design.count
    width = samples.width[mine]
    wide, ends = np.nanmax(width), np.nanmin(width[:, [0, -1]])
    least = np.nanmin(width)
    now = found.design.count
    counts = np.arange(low, high + 1)
    margin = np.full(len(counts), np.inf)
    for limit, value, smallest in (
        (limits.widest, wide, False), (limits.narrowest, least, True), (limits.hood_end, ends, True),
    ):  # fmt: skip
        if limit is not None:
            scaled = value * now / counts
            margin = np.minimum(margin, (scaled - limit) / limit if smallest else (limit - scaled) / limit)
    return int(counts[np.argmax(margin)]) if np.isfinite(margin).any() else now
