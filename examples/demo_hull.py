# SPDX-License-Identifier: LGPL-2.1-or-later
"""The demonstration hull: lines of *Marram*, an invented gaff cutter of 11 m.

The boat does not exist.  She is drawn here for a yard that wants a small pilot cutter for
two: long straight keel, round bilge, full sections amidships, wineglass sections aft with a
real hollow above the deadwood, a raked and slightly curved stem, and a raked flat transom.

The lines are drawn first, as a designer draws them: sheer plan, sheer profile, profile of the
centreplane, and the shape of five sections that run into one another.  Then one bicubic
B-spline face, C2 inside and of moderately few poles, is fitted to them.  It runs to the
centreplane along the stem, the keel and up the sternpost, as most modelled hulls do.

Axes, in millimetres: x aft from the stem head, y to starboard, z up from the load waterline.
The face is the starboard side.  Only numpy and scipy are needed.
"""

from math import comb

import numpy as np
from scipy.interpolate import BSpline

__all__ = ["NAME", "LABEL", "demo_patch_data", "drawn_lines"]

NAME = "Marram"
LABEL = "Moulded surface"

DEGREE = 3
POLES_ALONG, POLES_ROUND = 12, 10

# Bezier ordinates over equal steps of length, so that x is linear along each of these curves.
LENGTH_SHEER = (0.0, 11000.0)
LENGTH_KEEL = (720.0, 10620.0)
HALF_BREADTH = (0.0, 1210.0, 1900.0, 1900.0, 1500.0, 980.0)
KEEL_HEIGHT = (120.0, -780.0, -1080.0, -1180.0, -980.0, 270.0)
SHEER_LOW_AT, SHEER_LOW, SHEER_RISE = 6900.0, 870.0, 700.0
STEM_ROUND = 0.55      # share of the stem's rake that is straight; the rest curves

# Sections: where along the hull (0 bow, 1 stern), then the Bezier points of the section from
# sheer to keel as (fraction of half-breadth, fraction of depth).
SECTIONS = (
    (0.00, ((1, 0), (0.89, 0.22), (0.79, 0.44), (0.64, 0.66), (0.37, 0.86), (0, 1))),
    (0.22, ((1, 0), (0.96, 0.24), (0.92, 0.50), (0.75, 0.72), (0.37, 0.835), (0, 1))),
    (0.50, ((1, 0), (1.03, 0.25), (1.03, 0.60), (0.84, 0.77), (0.38, 0.835), (0, 1))),
    (0.80, ((1, 0), (1.01, 0.20), (0.99, 0.48), (0.60, 0.60), (0.20, 0.71), (0, 1))),
    (1.00, ((1, 0), (1.00, 0.23), (0.94, 0.44), (0.60, 0.60), (0.26, 0.73), (0, 1))),
)


def _bernstein(n, t):
    """Bernstein polynomials of degree n at t (m,) as an array (m, n + 1)."""
    t = np.asarray(t, float)[:, None]
    i = np.arange(n + 1)
    return np.array([comb(n, k) for k in i]) * t**i * (1.0 - t) ** (n - i)


def drawn_lines(t, w):
    """Points of the lines as drawn.

    Parameters
    ----------
    t : array (m,)
        Place along the hull, 0 at the bow to 1 at the stern.
    w : array (k,)
        Fraction of the girth, 0 at the sheer to 1 at the centreplane.

    Returns
    -------
    array (m, k, 3), mm.
    """
    t, w = np.asarray(t, float), np.asarray(w, float)
    xs = LENGTH_SHEER[0] + (LENGTH_SHEER[1] - LENGTH_SHEER[0]) * t
    xk = LENGTH_KEEL[0] + (LENGTH_KEEL[1] - LENGTH_KEEL[0]) * t
    half = _bernstein(5, t) @ HALF_BREADTH
    zs = SHEER_LOW + SHEER_RISE * ((SHEER_LOW_AT - xs) / SHEER_LOW_AT) ** 2
    zk = _bernstein(5, t) @ KEEL_HEIGHT
    places = np.array([s[0] for s in SECTIONS])
    shapes = np.array([s[1] for s in SECTIONS], float)
    blend = np.stack([np.prod([(t - q) / (p - q) for q in places if q != p], axis=0)
                      for p in places], axis=1)
    bez = np.einsum("ms,sjc->mjc", blend, shapes)                     # (m, 6, 2)
    fine = np.linspace(0.0, 1.0, 401)
    eta, zeta = np.moveaxis(np.einsum("fj,mjc->mfc", _bernstein(5, fine), bez), 2, 0)
    straight = STEM_ROUND + (1.0 - STEM_ROUND) * t[:, None]
    lean = straight * zeta + (1.0 - straight) * zeta**2
    p = np.stack([xs[:, None] + (xk - xs)[:, None] * lean, half[:, None] * eta,
                  zs[:, None] + (zk - zs)[:, None] * zeta], axis=2)   # (m, 401, 3)
    run = np.concatenate([np.zeros((len(t), 1)),
                          np.cumsum(np.linalg.norm(np.diff(p, axis=1), axis=2), axis=1)], axis=1)
    out = np.empty((len(t), len(w), 3))
    for i in range(len(t)):
        place = np.interp(w, run[i] / run[i, -1], fine)
        b = _bernstein(5, place) @ bez[i]
        f = straight[i] * b[:, 1] + (1.0 - straight[i]) * b[:, 1] ** 2
        out[i] = np.stack([xs[i] + (xk[i] - xs[i]) * f, half[i] * b[:, 0],
                           zs[i] + (zk[i] - zs[i]) * b[:, 1]], axis=1)
    return out


def _clamped_knots(n, degree):
    inner = np.linspace(0.0, 1.0, n - degree + 1)
    return np.concatenate([np.zeros(degree), inner, np.ones(degree)])


def _fit_matrix(knots, degree, at, ease):
    """Rows that meet the samples, and rows that ask for a small third derivative."""
    n = len(knots) - degree - 1
    eye = np.eye(n)
    meet = BSpline(knots, eye, degree)(at)
    third = np.diff(eye, 3, axis=0) * ease
    return meet, third


def demo_patch_data():
    """Degrees, knots and poles of the demonstration hull's face.

    Returns
    -------
    (degree_u, degree_v, knots_u, knots_v, poles)
        Flat clamped knot vectors over 0..1 and poles (12, 10, 3) in mm, rounded to 0.01 mm so
        that the last bit of a least-squares fit does not depend on the machine.  u runs from
        bow to stern, v from the sheer to the centreplane.
    """
    ku, kv = _clamped_knots(POLES_ALONG, DEGREE), _clamped_knots(POLES_ROUND, DEGREE)
    t, w = np.linspace(0, 1, 89), np.linspace(0, 1, 57)
    wt, ww = np.ones(len(t)), np.ones(len(w))
    wt[[0, -1]] = ww[[0, -1]] = 200.0        # the four edges are given; the inside may be eased
    lines = drawn_lines(t, w)
    au, eu = _fit_matrix(ku, DEGREE, t, 0.2)
    av, ev = _fit_matrix(kv, DEGREE, w, 0.05)
    pu = np.linalg.solve(au.T @ (au * wt[:, None] ** 2) + eu.T @ eu, (au * wt[:, None] ** 2).T)
    pv = np.linalg.solve(av.T @ (av * ww[:, None] ** 2) + ev.T @ ev, (av * ww[:, None] ** 2).T)
    poles = np.einsum("im,jk,mkc->ijc", pu, pv, lines)
    # The corners and the flat edges exactly: centreplane at stem and keel, plane of the transom.
    poles[0, :, 1] = poles[:, -1, 1] = 0.0
    for i in (0, -1):
        for j in (0, -1):
            poles[i, j] = lines[i, j]
    top, foot = lines[-1, 0], lines[-1, -1]
    poles = np.round(poles, 2)
    poles[-1, :, 0] = np.interp(-poles[-1, :, 2], [-top[2], -foot[2]], [top[0], foot[0]])
    return DEGREE, DEGREE, ku, kv, poles
