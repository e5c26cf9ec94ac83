# SPDX-License-Identifier: LGPL-2.1-or-later
"""Knot insertion.

References
----------
W. Boehm, "Inserting new knots into B-spline curves", *Computer-Aided Design* 12(4), 1980.
"""

import numpy as np

__all__ = ["insert_knots"]


def insert_knots(knots, degree, poles, new):
    """Insert knots one after another.

    Parameters
    ----------
    knots : (n + degree + 1,) flat clamped knots
    degree : int
    poles : (n, ...) homogeneous poles, along the first axis
    new : sequence of parameters strictly inside the range

    Returns
    -------
    knots, poles : the longer arrays, the same curve or surface
    """
    knots = np.array(knots, float)
    poles = np.array(poles, float)
    for t in new:
        if not knots[0] < t < knots[-1]:
            raise ValueError(f"knot {t} is not inside {knots[0]} to {knots[-1]}")
        k = int(np.searchsorted(knots, t, side="right")) - 1
        out = np.empty((poles.shape[0] + 1,) + poles.shape[1:])
        out[: k - degree + 1] = poles[: k - degree + 1]
        out[k + 1 :] = poles[k:]
        for i in range(k - degree + 1, k + 1):
            width = knots[i + degree] - knots[i]
            a = 1.0 if width == 0.0 else (t - knots[i]) / width
            out[i] = (1.0 - a) * poles[i - 1] + a * poles[i]
        poles = out
        knots = np.insert(knots, k + 1, t)
    return knots, poles
