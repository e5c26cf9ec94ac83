# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strakes and seams on surfaces whose curvatures are known, as the arrays that checks take.

Closed forms (any text on the geometry of surfaces): a helix that climbs at an angle a on a
cylinder of radius R has normal curvature cos^2 a / R along it, sin^2 a / R across, torsion
sin a cos a / R; a latitude f of a sphere has kappa_g = tan f / R; a parallel of a torus
kappa_g = sin v / (R + r cos v), normal curvature cos v / (R + r cos v) along, 1 / r across; a
circle round a cone at slant distance r from the apex kappa_g = 1 / r; on a pseudosphere
K = -1 / a^2 and neighbouring geodesics part as cosh(s / a).
"""

import numpy as np

from strakeplan.core.frame import ShipFrame
from strakeplan.core.strakes.samples import SeamSamples, StrakeSamples

__all__ = [
    "FRAME", "cone_rounds", "cylinder_helices", "made", "made_seams", "pseudosphere_strips", "sphere_latitudes",
    "torus_parallels",
]  # fmt: skip

FRAME = ShipFrame(np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0]))


def made(length, n=121, rule="equal", **arrays):
    """Strakes of given lengths (m,) with figures that broadcast to (m, n); 0 where none is given.

    `bow_girth` and `stern_girth` default to the width at the ends.
    """
    length = np.atleast_1d(np.asarray(length, float))
    m = len(length)
    s = np.linspace(0.0, 1.0, n) * length[:, None]
    grid = {
        name: np.array(np.broadcast_to(arrays.pop(name, 0.0), (m, n)), float)
        for name in ("width", "edgewise", "bend", "twist", "across", "gauss")
    }
    girth = np.array(np.broadcast_to(arrays.pop("girth_width", grid["width"]), (m, n)), float)
    point = np.stack([s, np.zeros((m, n)), np.zeros((m, n))], axis=-1)
    bow = np.array(np.broadcast_to(arrays.pop("bow_girth", grid["width"][:, 0]), m), float)
    stern = np.array(np.broadcast_to(arrays.pop("stern_girth", grid["width"][:, -1]), m), float)
    assert not arrays, arrays
    rules = (rule,) * m if isinstance(rule, str) else tuple(rule)
    return StrakeSamples(
        FRAME, np.arange(1, m + 1), np.zeros(m, int), rules, s, s.copy(), point, grid["width"], girth,
        grid["edgewise"], grid["bend"], grid["twist"], grid["across"], grid["gauss"], bow, stern,
        np.zeros((m, n, 2)), None,
    )  # fmt: skip


def made_seams(length, n=121, point=None, **arrays):
    """Seams in the same way."""
    length = np.atleast_1d(np.asarray(length, float))
    k = len(length)
    s = np.linspace(0.0, 1.0, n) * length[:, None]
    if point is None:
        point = np.stack([s, np.zeros((k, n)), np.zeros((k, n))], axis=-1)
    grid = [np.array(np.broadcast_to(arrays.pop(a, 0.0), (k, n)), float) for a in ("edgewise", "bend")]
    assert not arrays, arrays
    names = tuple(f"Seam {j:02d}" for j in range(1, k + 1))
    return SeamSamples(FRAME, np.arange(1, k + 1), np.zeros(k, int), names, s, point[..., 0].copy(), point, *grid)


def column(x):
    return np.atleast_1d(np.asarray(x, float))[:, None]


def sphere_latitudes(radius, f, length, width, n=121):
    """Strakes along latitudes f (m,) of a sphere."""
    one = 1.0 / radius
    f = column(f)
    return made(
        np.full(len(f), length), n, width=width, edgewise=np.tan(f) / radius, bend=one, across=one, gauss=one**2
    )


def cylinder_helices(radius, angle, length, width, n=121):
    """Strakes along helices that leave the circles by angles (m,)."""
    a = column(angle)
    c, s = np.cos(a), np.sin(a)
    return made(
        np.full(len(a), length), n, width=width, bend=c * c / radius, across=s * s / radius, twist=s * c / radius
    )


def torus_parallels(big, small, v, length, width, n=121):
    """Strakes along parallels v (m,) of a torus."""
    v = column(v)
    far = big + small * np.cos(v)
    return made(
        np.full(len(v), length), n, width=width, edgewise=np.sin(v) / far, bend=np.cos(v) / far, across=1.0 / small,
        gauss=np.cos(v) / (small * far),
    )  # fmt: skip


def cone_rounds(half_angle, r, length, width, n=121):
    """Strakes round a cone at slant distances r (m,) from its apex."""
    r = column(r)
    return made(np.full(len(r), length), n, width=width, edgewise=1.0 / r, bend=1.0 / (r * np.tan(half_angle)))


def pseudosphere_strips(a, w0, length, n=121):
    """Strips between neighbouring geodesics, narrowest in the middle: width w0 cosh(s / a)."""
    w0, length = column(w0), np.broadcast_to(np.asarray(length, float), len(column(w0)))
    s = (np.linspace(0.0, 1.0, n) - 0.5) * length[:, None]
    return made(length, n, width=w0 * np.cosh(s / a), gauss=-1.0 / a**2)
