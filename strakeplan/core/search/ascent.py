# SPDX-License-Identifier: LGPL-2.1-or-later
"""Raise the least of many smooth figures: a linear programme in a trust region, again and again.

The worst margin of a line-off is the least of the margins of all strakes and seams. It has
edges, where another strake becomes the worst one; the margins themselves are smooth. So all of
them are followed: by slopes from differences, kept up to date by Broyden's formula, and the
step that raises the least of the straightened margins most is that of a linear programme.

References
----------
K. Madsen, "An algorithm for minimax solution of overdetermined systems of non-linear
equations", *J. Inst. Maths Applics* 16 (1975); C. G. Broyden, "A class of methods for solving
nonlinear simultaneous equations", *Math. Comp.* 19 (1965). Both from memory.
"""

import numpy as np
from scipy.optimize import linprog

__all__ = ["ascend"]

_DIFFERENCE = 0.02  # of the ranges, over which slopes are taken
_FIRST = 0.15  # of the ranges: the first step's bound
_WIDEST = 0.4
_LEAST = 0.01  # smaller steps end the ascent
_GAIN = 1e-3  # of the margin: less is not worth a try
_RELEVANT = 1.5  # margins farther above the least are left out


def ascend(look, x, found, tries):
    """Raise the score from a point of the unit cube.

    Parameters
    ----------
    look : callable
        Point (n,) -> outcome with `score` and `each`, the figures (m,) the least of which counts,
        None for a point at which there are none.
    x : (n,) where to begin
    found : outcome there
    tries : int
        Looks at most.

    Returns
    -------
    x, outcome of the best point found
    """
    reach, slope, fresh = _FIRST, None, False
    last = [tries]

    def tried(y):
        last[0] -= 1
        return look(y)

    while last[0] > 0 and reach >= _LEAST:
        if slope is None:
            slope, fresh = _slopes(tried, x, found), True
        step, promised = _step(found.each, slope, x, reach)
        if promised < _GAIN:
            if fresh:
                break
            slope = None
            continue
        out = tried(x + step)
        if out.each is not None:
            m = min(len(out.each), len(slope))
            slope = slope[:m] + np.outer(out.each[:m] - found.each[:m] - slope[:m] @ step, step) / (step @ step)
        if out.score > found.score:
            reach = min(2.0 * reach, _WIDEST) if out.score - found.score > 0.5 * promised else reach
            x, found, fresh = x + step, out, False
        elif fresh or out.each is None:
            reach *= 0.35
        else:
            slope = None
    return x, found


def _slopes(tried, x, found):
    """Slopes (m, n) of the figures; of as many as all the points have."""
    columns = []
    for k in range(len(x)):
        # inwards first: towards the farther end of the range
        for side in (1.0, -1.0) if x[k] < 0.5 else (-1.0, 1.0):
            there = x.copy()
            there[k] += side * _DIFFERENCE
            out = tried(there)
            if out.each is not None:
                m = min(len(out.each), len(found.each))
                columns.append((out.each[:m] - found.each[:m]) / (side * _DIFFERENCE))
                break
        else:
            columns.append(np.zeros(len(found.each)))  # hemmed in on both sides
    m = min(len(c) for c in columns)
    return np.stack([c[:m] for c in columns], axis=1)


def _step(each, slope, x, reach):
    """The step (n,) within reach and range that raises the least figure most, and what it promises."""
    each = each[: len(slope)]
    now = float(np.min(each))
    rows = np.flatnonzero(each < now + _RELEVANT)
    n = len(x)
    found = linprog(
        np.append(np.zeros(n), -1.0),
        A_ub=np.column_stack([-slope[rows], np.ones(len(rows))]), b_ub=each[rows],
        bounds=[(max(-reach, -v), min(reach, 1.0 - v)) for v in x] + [(None, None)], method="highs",
    )  # fmt: skip
    if found.x is None:
        return np.zeros(n), 0.0
    return found.x[:n], float(found.x[n] - now)
