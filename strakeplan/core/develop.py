# SPDX-License-Identifier: LGPL-2.1-or-later
"""Curves laid flat by their geodesic curvature, and what they want of a straight plank."""

import numpy as np
from numpy.polynomial import legendre

__all__ = ["developed", "edge_set"]


def developed(curve, n, start=0.0, end=None):
    """Lay a curve flat: the plane curve of the same length and geodesic curvature.

    Parameters
    ----------
    curve : SurfaceCurve
    n : int
        Number of equally spaced places.
    start, end : float, optional
        Arc lengths between which it is laid flat, mm; the whole curve by default.

    Returns
    -------
    s : (n,) arc length, mm
    xy : (n, 2) mm; starts at the origin along +x, positive curvature turns to +y
    """
    s = np.linspace(start, curve.length if end is None else end, n)
    # Gauss quadrature between the places: turning first, then position
    gx, gw = legendre.leggauss(4)
    h = s[1] - s[0]
    at = 0.5 * (s[1:] + s[:-1])[:, None] + 0.5 * h * gx
    kappa = curve.at(at.ravel()).kappa_g.reshape(at.shape)
    turned = np.concatenate([[0.0], np.cumsum(0.5 * h * kappa @ gw)])
    # turning inside each interval, from the polynomial through its Gauss points
    coef = np.linalg.solve(legendre.legvander(gx, 3), kappa.T)
    inside = legendre.legval(gx, legendre.legint(coef, lbnd=-1.0)) * 0.5 * h
    angle = turned[:-1, None] + inside
    dx = 0.5 * h * np.cos(angle) @ gw
    dy = 0.5 * h * np.sin(angle) @ gw
    xy = np.zeros((n, 2))
    xy[1:, 0], xy[1:, 1] = np.cumsum(dx), np.cumsum(dy)
    return s, xy


def edge_set(curve, plank_length, spacing=25.0):
    """Edge set: how far a straight plank must be sprung edgewise to follow the curve.

    The greatest distance between the developed curve and its chord over any window as long
    as the plank, or over the whole curve where that is shorter.

    Parameters
    ----------
    curve : SurfaceCurve
        A strake's middle line.
    plank_length : float
        mm.
    spacing : float
        Distance of the places compared, mm; the result is below the true maximum by no
        more than kappa_g spacing^2 / 8.

    Returns
    -------
    value : float
        mm.
    where : float
        Arc length of the middle of the worst window, mm.
    """
    window = min(plank_length, curve.length)
    span = max(4, int(np.ceil(window / spacing)))
    step = window / span
    steps = int(np.floor(curve.length / step + 1e-9))
    rest = curve.length - steps * step
    found = [_worst_window(*developed(curve, steps + 1, 0.0, steps * step), span)]
    if rest > 1e-9 * curve.length:  # windows up to the very end as well
        found.append(_worst_window(*developed(curve, steps + 1, rest, None), span))
    return max(found)


def _worst_window(s, xy, span):
    """Greatest distance from the chord over windows of `span` places, and its middle."""
    starts = np.arange(len(s) - span)
    a, b = xy[starts], xy[starts + span]
    chord = b - a
    chord = chord / np.linalg.norm(chord, axis=1)[:, None]
    rows = starts[:, None] + np.arange(span + 1)
    d = xy[rows] - a[:, None]
    off = np.abs(d[..., 1] * chord[:, None, 0] - d[..., 0] * chord[:, None, 1])
    most = off.max(axis=1)
    k = int(np.argmax(most))
    return float(most[k]), float(0.5 * (s[k] + s[k + span]))
