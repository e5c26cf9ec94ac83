# SPDX-License-Identifier: LGPL-2.1-or-later
"""The search itself: points spread over the ranges, then ascents from the best of them.

The worst margin is the least of many figures, and has edges: see `ascent`. Every kind of
line-off is searched for by points spread evenly over the ranges and numbers of strakes; from the
best ones the ends of the line and its easing climb, and then the number of strakes goes up and
down from there, by fewer and fewer at a time. Where one strake binds whatever is chosen, the mean margin
of all of them decides between equals.

Spread points: M. Roberts' additive recurrence from the plastic number (from memory).
"""

from dataclasses import dataclass
from typing import Tuple

import numpy as np

from ..errors import PlanError
from .ascent import ascend
from .beside import Beside
from .judge import IMPOSSIBLE, Judge, Outcome
from .space import Effort

__all__ = ["Found", "search"]

_OTHER = "another string between the same ends is shorter, or leaves the planking"
_APART = 0.25  # of the ranges: starts are at least so far from one another, or differ in number
_WORTH = 0.15  # a number of strakes whose first look is worse by more is not followed up


class _Stopped(Exception):
    """The user has seen enough."""


@dataclass(frozen=True, eq=False)
class Found:
    """What a search has found.

    Attributes
    ----------
    best : tuple of Outcome
        The best of every kind that could be lined off at all, the greatest margin first;
        worked out to the end. Where the search was stopped meanwhile, those that had been.
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


def search(hull, job, limits, space, seed=0, tell=None, stop=None, beside=Beside(), effort=Effort()):
    """Search for the line-offs that leave their worst strake the most margin.

    Parameters
    ----------
    hull : PlankedSurface
    job : Job
        Wood, thickness, lengths of planks, spacing of frames.
    limits : Limits
    space : Space
    seed : int
        0 to 9999. The same seed tries the same designs in the same order.
    tell : callable, optional
        (tried, about how many in all, best Outcome so far or None) after every try.
    stop : callable, optional
        () -> whether to stop, asked before every try; what was found so far is kept. The best
        one is worked out to the end whatever it says, and the best of every other kind as long
        as it says no.
    beside : Beside, optional
        Stations for nibs, given lines, the tuck.
    effort : Effort, optional
        How many line-offs to try.

    Returns
    -------
    Found
    """
    if not (int(seed) == seed and 0 <= seed <= 9999):
        raise PlanError(f"{seed} is no seed", "", "give a whole number from 0 to 9999")
    judge = Judge(hull, job, limits, space, beside)
    kinds = space.kinds
    about = len(kinds) * (effort.spread + effort.climbs * effort.climb + 4 * effort.again + 1)
    best, faults = {}, []
    stopped = False

    def outcome(design):
        if stop is not None and stop():
            raise _Stopped
        found = judge.outcome(design)
        old = best.get(design.kind)
        if found.plan is not None and (old is None or found.score > old.score):
            if judge.borne_out(found):
                best[design.kind] = found
            else:
                found = Outcome(design, IMPOSSIBLE, reason=f"{hull.name}: {_OTHER}")
        if found.plan is None:
            faults.append(found.reason)
        if tell is not None:
            top = max(best.values(), key=lambda o: o.margin, default=None)
            tell(judge.tried, max(about, judge.tried + len(kinds)), top)
        return found

    try:
        for kind in kinds:
            _search_kind(hull, space, kind, seed, effort, outcome)
    except _Stopped:
        stopped = True
    # to the end: the figures shown are those of the plan that would be built
    ended = []
    left = sorted(best.values(), key=lambda o: -o.score)
    while left:
        if ended and stop is not None and stop():
            stopped = True
            break
        exact = judge.outcome(left.pop(0).design, exact=True)
        if exact.plan is not None:
            ended.append(exact)
        else:
            faults.append(exact.reason)
        if tell is not None:
            tell(judge.tried, judge.tried + len(left), max(ended, key=lambda o: o.margin, default=None))
    ended = sorted(ended, key=lambda o: -o.margin)
    reason = max(set(faults), key=faults.count) if faults and not ended else ""
    return Found(tuple(ended), judge.tried, stopped, reason)


def _search_kind(hull, space, kind, seed, effort, outcome):
    """Search one kind of line-off."""
    size = 3 if kind.eased else 2  # bow, stern, and how far it is eased
    low, high = space.counts

    def look(x, count):
        return outcome(space.design(hull, kind, np.clip(x, 0.0, 1.0), count))

    tried = []
    for point in _spread(effort.spread, size + 1, seed):
        # a little beyond the ranges and back: their edges are tried as well
        x, count = np.clip(1.2 * point[:-1] - 0.1, 0.0, 1.0), min(low + int(point[-1] * (high - low + 1)), high)
        found = look(x, count)
        if found.each is not None:
            tried.append((x, count, found))
    top = []
    for x, count, found in sorted(tried, key=lambda t: -t[2].score):
        near = [t for t in top if abs(t[1] - count) < 2 and np.max(np.abs(t[0] - x)) < _APART]
        if not near and len(top) < effort.climbs:
            top.append((x, count, found))
    climbed = []
    for x, count, found in top:
        climbed.append((count, *ascend(lambda y, n=count: look(y, n), x, found, effort.climb)))
    if not climbed:
        return
    count, x, found = max(climbed, key=lambda c: c[2].score)
    step = max((high - low) // 4, 1)
    while step:
        for number in (count + step, count - step):
            if not low <= number <= high:
                continue
            # the hood ends stay as broad, or the line stays where it is
            starts = [(y, look(y, number)) for y in (space.moved(x, number / count), x)]
            y, other = max(starts, key=lambda start: start[1].score)
            if other.each is None or other.score < found.score - _WORTH:
                continue
            y, other = ascend(lambda z, n=number: look(z, n), y, other, effort.again)
            if other.score > found.score:
                count, x, found = number, y, other
                break
        else:
            step //= 2


def _spread(n, size, seed):
    """Points (n, size) spread over the unit cube: R. Roberts' recurrence, shifted by a seed."""
    root = 1.0
    for _ in range(60):  # the positive root of x^(size + 1) = x + 1
        root = (1.0 + root) ** (1.0 / (size + 1))
    steps = root ** -np.arange(1.0, size + 1.0)
    return (0.5 + seed * 0.381966 + np.arange(1, n + 1)[:, None] * steps) % 1.0
