# SPDX-License-Identifier: LGPL-2.1-or-later
"""B-spline derivatives in extended precision, by another route than the core's.

Derivatives by differences of poles, values by de Boor's algorithm (Piegl and Tiller, *The NURBS
Book*, eq. 3.3 and section 5.4), in numpy's long double: 64 bits of mantissa on x86, 113 on ARM.
Slow, one point at a time.
"""

import numpy as np

__all__ = ["curve_derivative", "surface_derivatives"]

LONG = np.longdouble


def curve_derivative(knots, poles, degree, t, order):
    """Derivative of a curve; poles (n, c) long double; answers (c,) long double."""
    knots, poles, t = np.asarray(knots, LONG), np.asarray(poles, LONG), LONG(t)
    for _ in range(order):
        width = knots[degree + 1 : -1] - knots[1 : len(knots) - degree - 1]
        factor = np.where(width > 0, degree / np.where(width > 0, width, 1), 0)
        poles = factor[:, None] * np.diff(poles, axis=0)
        knots, degree = knots[1:-1], degree - 1
    if degree < 0 or len(poles) == 0:
        return np.zeros(poles.shape[1], LONG)
    span = min(int(np.searchsorted(knots, t, side="right")) - 1, len(poles) - 1)
    d = [poles[span - degree + i] for i in range(degree + 1)]
    for level in range(1, degree + 1):
        for i in range(degree, level - 1, -1):
            lo, hi = knots[i + span - degree], knots[i + 1 + span - level]
            a = (t - lo) / (hi - lo)
            d[i] = (1 - a) * d[i - 1] + a * d[i]
    return d[degree]


def surface_derivatives(patch, u, v, along, across):
    """Derivative `along` times by u and `across` times by v at one point, (3,) long double.

    Only where the weights do not change along a direction that is derived: then the derivative
    of the quotient is the quotient of the derivative, and no quotient rule is needed.
    """
    weights = np.ones(patch.poles.shape[:2]) if patch.weights is None else patch.weights
    if along and np.ptp(weights, axis=0).max() > 0 or across and np.ptp(weights, axis=1).max() > 0:
        raise ValueError("the weights change along the direction that is derived")
    grid = np.concatenate([patch.poles * weights[..., None].astype(LONG), weights[..., None]], axis=2)
    lines = np.array([curve_derivative(patch.knots_u, grid[:, j, :3], patch.degree_u, u, along)
                      for j in range(grid.shape[1])])
    top = curve_derivative(patch.knots_v, lines, patch.degree_v, v, across)
    low = np.array([curve_derivative(patch.knots_u, grid[:, j, 3:], patch.degree_u, u, 0)
                    for j in range(grid.shape[1])])
    return top / curve_derivative(patch.knots_v, low, patch.degree_v, v, 0)
