# SPDX-License-Identifier: LGPL-2.1-or-later
"""Differences blended fairly between the stations where they are known."""

import numpy as np
from scipy.interpolate import CubicHermiteSpline, make_interp_spline

__all__ = ["fair_blend"]


def fair_blend(x, values):
    """A fair curve through values, that does not swing far out between them.

    A natural cubic spline, as a batten laid through the values runs; only where stations
    stand so unevenly that it would swing out are its slopes held: to three times the lesser of
    the neighbouring chords' slopes, or to one and a half times that of the chord across both,
    whichever is more. On even stations and smooth differences no slope is held.

    Parameters
    ----------
    x : (n,) increasing, mm
    values : (n,)

    Returns
    -------
    callable (x (m,)) -> (m,); constant beyond the ends. It is the natural spline itself
    (two derivatives continuous) where no slope is held, one derivative continuous elsewhere.

    References
    ----------
    Held slopes after R. L. Dougherty, A. Edelman and J. M. Hyman, "Nonnegativity-,
    monotonicity-, or convexity-preserving cubic and quintic Hermite interpolation",
    *Mathematics of Computation* 52 (1989) (cited from memory); the chord across both is our own,
    so that a crest between stations is not cut off.
    """
    x, values = np.asarray(x, float), np.asarray(values, float)
    if len(x) == 0:
        return lambda at: np.zeros(np.shape(at))
    if len(x) == 1:
        return lambda at: np.full(np.shape(at), values[0])
    chord = np.diff(values) / np.diff(x)
    if len(x) == 2:
        slope = np.repeat(chord, 2)
    else:
        slope = make_interp_spline(x, values, 3, bc_type="natural").derivative()(x)
        left, right = np.concatenate([chord[:1], chord]), np.concatenate([chord, chord[-1:]])
        across = np.concatenate([chord[:1], (values[2:] - values[:-2]) / (x[2:] - x[:-2]), chord[-1:]])
        most = np.maximum(3.0 * np.minimum(np.abs(left), np.abs(right)), 1.5 * np.abs(across))
        slope = np.clip(slope, -most, most)
    curve = CubicHermiteSpline(x, values, slope)
    return lambda at: curve(np.clip(np.asarray(at, float), x[0], x[-1]))
