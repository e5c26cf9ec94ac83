# SPDX-License-Identifier: LGPL-2.1-or-later
"""B-spline curves for the rails of planks: interpolation, segments, common knots."""

import numpy as np
from scipy.interpolate import make_interp_spline

from ..spline.knots import insert_knots

__all__ = [
    "greville",
    "interpolate",
    "merged_knots",
    "on_knots",
    "segment",
    "uniform_knots",
]

_SAME = 1e-9  # knots nearer than this share of the range are one knot


def uniform_knots(spans, degree):
    """Clamped knots of `spans` equal spans on [0, 1]."""
    inner = np.linspace(0.0, 1.0, spans + 1)
    return np.concatenate([np.zeros(degree), inner, np.ones(degree)])


def greville(knots, degree):
    """Greville abscissae (n,): where splines on these knots are interpolated well."""
    n = len(knots) - degree - 1
    out = np.array([np.mean(knots[i + 1 : i + degree + 1]) for i in range(n)])
    out[0], out[-1] = knots[0], knots[-1]
    return out


def interpolate(knots, degree, values):
    """Poles (n, ...) of the spline through values (n, ...) at the Greville abscissae."""
    return make_interp_spline(greville(knots, degree), values, degree, t=knots).c


def segment(knots, degree, poles, a, b):
    """The part of a spline curve from a to b, its knots mapped to [0, 1]."""
    if b - a <= 0.0:
        raise ValueError("the segment is empty")
    lo, hi = knots[0], knots[-1]
    for t in (a, b):
        if lo < t < hi:
            near = knots[np.argmin(np.abs(knots - t))]
            if abs(near - t) < _SAME * (hi - lo):
                t = near
            have = int(np.sum(knots == t))
            knots, poles = insert_knots(knots, degree, poles, [t] * (degree - have))
    ia = degree if a <= lo + _SAME * (hi - lo) else int(np.searchsorted(knots, a - _SAME, "left")) + degree - 1
    first = ia - degree
    if b >= hi - _SAME * (hi - lo):
        last = len(knots) - degree - 1
    else:
        last = int(np.searchsorted(knots, b - _SAME, "left"))
    new_poles = poles[first:last]
    inner = knots[first + degree + 1 : last]
    start, end = knots[first + degree], knots[last]
    new_knots = np.concatenate([[start] * (degree + 1), inner, [end] * (degree + 1)])
    return (new_knots - start) / (end - start), new_poles


def merged_knots(first, second, degree):
    """Smallest clamped knot vector on [0, 1] that holds both."""
    inner = []
    for knots in (first, second):
        values, counts = _distinct(knots[degree + 1 : -degree - 1])
        inner.append(list(zip(values, counts)))
    merged = []
    for value, count in sorted(inner[0] + inner[1]):
        if merged and value - merged[-1][0] < _SAME:
            merged[-1][1] = max(merged[-1][1], count)
        else:
            merged.append([value, count])
    middle = [v for v, c in merged for _ in range(c)]
    return np.concatenate([np.zeros(degree + 1), middle, np.ones(degree + 1)])


def _distinct(knots):
    values, counts = [], []
    for t in knots:
        if values and t - values[-1] < _SAME:
            counts[-1] += 1
        else:
            values.append(float(t))
            counts.append(1)
    return values, counts


def on_knots(knots, degree, poles, target):
    """The same curve with all the knots of `target` (which holds its own)."""
    have = _distinct(knots[degree + 1 : -degree - 1])
    want = _distinct(target[degree + 1 : -degree - 1])
    new = []
    for value, count in zip(*want):
        there = sum(c for v, c in zip(*have) if abs(v - value) < _SAME)
        new += [value] * (count - there)
    if not new:
        return poles
    return insert_knots(knots, degree, poles, new)[1]
