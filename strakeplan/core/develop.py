# SPDX-License-Identifier: LGPL-2.1-or-later
"""Curves laid flat by their geodesic curvature, and what they want of a straight plank.

A curve on a surface, laid flat, is the plane curve of the same length and the same geodesic
curvature: what a thin strip along it becomes on the bench. One routine finds edge sets, for
a single curve and for all strakes at once.
"""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

__all__ = ["EdgeSets", "LaidFlat", "developed", "edge_set", "edge_sets", "integrated", "laid_flat"]

_LOOKED = 8  # parts of a window at whose ends the distance from its chord is taken
_FINE = 32  # the same in the worst window


@dataclass(frozen=True, eq=False)
class LaidFlat:
    """Curves laid flat; any leading axes, the last one along the curve.

    Attributes
    ----------
    s : (..., n) arc length, mm, equally spaced, s[..., 0] = 0
    z : (..., n) complex, mm
        Places x + i y, from the origin along +x; positive curvature turns to +y.
    turn : (..., n) radians
        Direction at every place.
    """

    s: np.ndarray
    z: np.ndarray
    turn: np.ndarray


@dataclass(frozen=True, eq=False)
class EdgeSets:
    """How far a straight plank must be sprung edgewise.

    Attributes
    ----------
    value : (..., n) mm
        In the window centred at every place, moved inside the curve's ends.
    window : (...) mm
        Length of the windows: the plank's, or the curve's where that is shorter.
    most : (...) mm
        Greatest over all windows.
    at : (...) mm
        Arc length of the middle of the worst window.
    index : (...) int
        The place nearest to it.
    """

    value: np.ndarray
    window: np.ndarray
    most: np.ndarray
    at: np.ndarray
    index: np.ndarray


def integrated(f, h):
    """Integral of equally spaced samples from the first one on, by the cubic through four.

    Parameters
    ----------
    f : (..., n), n >= 4
    h : (...) spacing

    Returns
    -------
    (..., n); the error is of order h^4 (11/720 h^4 times the range of the third derivative)
    """
    part = np.empty((*f.shape[:-1], f.shape[-1] - 1), f.dtype)
    part[..., 1:-1] = 13.0 * (f[..., 1:-2] + f[..., 2:-1]) - f[..., :-3] - f[..., 3:]
    part[..., 0] = f[..., :4] @ np.array([9.0, 19.0, -5.0, 1.0])
    part[..., -1] = f[..., -4:] @ np.array([1.0, -5.0, 19.0, 9.0])
    out = np.zeros(f.shape, f.dtype)
    np.cumsum(part * (np.asarray(h)[..., None] / 24.0), axis=-1, out=out[..., 1:])
    return out


def laid_flat(s, kappa_g):
    """Lay sampled curves flat.

    Parameters
    ----------
    s : (..., n) arc length, mm, equally spaced, n >= 4
    kappa_g : (..., n) 1/mm

    Returns
    -------
    LaidFlat
    """
    h = s[..., 1] - s[..., 0]
    turn = integrated(kappa_g, h)
    return LaidFlat(s, integrated(np.exp(1j * turn), h), turn)


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
    flat = _developed(curve, n, start, end)
    return flat.s + start, np.stack([flat.z.real, flat.z.imag], axis=1)


def _developed(curve, n, start=0.0, end=None):
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
    z = np.concatenate([[0.0j], np.cumsum(0.5 * h * np.exp(1j * angle) @ gw)])
    return LaidFlat(s - start, z, turned)


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
        Distance of the places the curve is laid flat at, mm. What lies between them is
        found by parabolas; without them the loss could be kappa_g spacing^2 / 8.

    Returns
    -------
    value : float
        mm.
    where : float
        Arc length of the middle of the worst window, mm.
    """
    n = max(8, int(np.ceil(curve.length / spacing)) + 1)
    found = edge_sets(_developed(curve, n), plank_length)
    return float(found.most), float(found.at)


def edge_sets(flat, plank_length):
    """Edge sets of curves laid flat, in windows as long as a plank.

    Parameters
    ----------
    flat : LaidFlat
    plank_length : float or (...) mm

    Returns
    -------
    EdgeSets
        Between places and along the windows the worst one is found by parabolas and then
        measured: what is lost is of third order in the places' distance.
    """
    s = flat.s
    length = s[..., -1]
    window = np.minimum(plank_length, length)
    latest = (length - window)[..., None]
    start = np.clip(s - 0.5 * window[..., None], 0.0, latest)
    coefficients = _cubics(flat)
    value = _off_chord(flat, coefficients, start, window, _LOOKED)
    k = np.argmax(value, axis=-1)[..., None]
    # a parabola through three windows moves the worst one; it counts only if it is worse there
    around = np.clip(k + np.array([-1, 0, 1]), 0, s.shape[-1] - 1)
    x = np.take_along_axis(start, around, -1)
    bend, lean = _parabola(np.take_along_axis(value, around, -1))
    shift = np.where(bend < 0.0, -lean / np.where(bend < 0.0, 2.0 * bend, 1.0), 0.0)
    moved = x[..., 1] + np.clip(shift, -1.0, 1.0) * (s[..., 1] - s[..., 0])
    pair = np.stack([x[..., 1], np.clip(moved, 0.0, latest[..., 0])], axis=-1)
    fine = _off_chord(flat, coefficients, pair, window, _FINE)
    best = np.argmax(fine, axis=-1)[..., None]
    most = np.take_along_axis(fine, best, -1)[..., 0]
    at = np.take_along_axis(pair, best, -1)[..., 0] + 0.5 * window
    index = np.rint(at / (s[..., 1] - s[..., 0])).astype(int)
    return EdgeSets(value, window, most, at, index)


def _cubics(flat):
    """Coefficients (intervals of all curves, 4) of the share of the interval.

    Cubics that keep place and direction at the samples; between them off by no more than
    h^4 (|kappa_g|^3 + |kappa_g''|) / 384.
    """
    h = (flat.s[..., 1] - flat.s[..., 0])[..., None]
    t = h * np.exp(1j * flat.turn)
    z0, step = flat.z[..., :-1], flat.z[..., 1:] - flat.z[..., :-1]
    t0, t1 = t[..., :-1], t[..., 1:]
    c = np.stack([z0, t0, 3.0 * step - 2.0 * t0 - t1, t0 + t1 - 2.0 * step], axis=-1)
    return c.reshape(-1, 4)


def _evaluate(flat, coefficients, at):
    lead = flat.s.shape[:-1]
    n = flat.s.shape[-1] - 1
    at = at / (flat.s[..., 1] - flat.s[..., 0]).reshape(*lead, *[1] * (at.ndim - len(lead)))
    i = np.clip(at.astype(np.intp), 0, n - 1)
    x = at - i
    i += n * np.arange(int(np.prod(lead))).reshape(*lead, *[1] * (at.ndim - len(lead)))
    c = np.take(coefficients, i, axis=0)
    out = c[..., 3] * x
    for power in (2, 1):
        out += c[..., power]
        out *= x
    out += c[..., 0]
    return out


def _off_chord(flat, coefficients, start, window, parts):
    """Greatest distance (..., k) from the chord in windows that begin at start (..., k)."""
    share = np.linspace(0.0, 1.0, parts + 1)
    z = _evaluate(flat, coefficients, start[..., None] + window[..., None, None] * share)
    chord = z[..., -1] - z[..., 0]
    # the distance is the imaginary part in the chord's own direction
    off = np.abs(((z - z[..., :1]) * (np.conj(chord) / np.abs(chord))[..., None]).imag)
    inner = off[..., 1:-1]
    k = np.argmax(inner, axis=-1)[..., None]
    three = np.take_along_axis(off, k + np.array([0, 1, 2]), -1)
    bend, lean = _parabola(three)
    return three[..., 1] + np.where(bend < 0.0, -(lean**2) / np.where(bend < 0.0, 4.0 * bend, 1.0), 0.0)


def _parabola(three):
    """Second and first coefficient of the parabola through values (..., 3) at -1, 0, 1."""
    a, b, c = three[..., 0], three[..., 1], three[..., 2]
    return 0.5 * (a + c) - b, 0.5 * (c - a)
