# SPDX-License-Identifier: LGPL-2.1-or-later
"""Hulls to try the planked surface on: the demonstration hull and lofted ones.

`lofted` draws sections with a formula and interpolates a bicubic face through them; its
keywords make the shapes that give trouble (double-enders, hollow sections, faces that end
at the half siding).
"""

import sys
from functools import lru_cache
from itertools import product
from pathlib import Path

import numpy as np
from scipy.interpolate import make_interp_spline

from strakeplan.core.spline.patch import SplinePatch

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "examples"))
from demo_hull import demo_patch_data  # noqa: E402

__all__ = ["arc_hull", "demo", "lofted", "orientations", "rotation", "straight_sided"]


@lru_cache(maxsize=None)
def demo():
    """The demonstration hull's face."""
    return SplinePatch(*demo_patch_data())


def _through(points, nu=None):
    """Bicubic interpolation of a grid (m, k, 3) at equal parameters."""
    m, k = points.shape[:2]
    su = make_interp_spline(np.linspace(0, 1, m), points, 3)
    sv = make_interp_spline(np.linspace(0, 1, k), np.swapaxes(su.c, 0, 1), 3)
    return SplinePatch(3, 3, su.t, sv.t, np.swapaxes(sv.c, 0, 1))


def lofted(length=8000.0, beam=1300.0, stern=0.55, keel_half=0.0, hollow=0.0, rake=(700.0, 250.0), m=15, k=11,
           entrance=0.7, forefoot=0.0, section=3.0, waist=0.0, waist_at=0.7):  # fmt: skip
    """A hull with its bow at x = 0 and the starboard side in y > 0.

    Parameters
    ----------
    stern : float
        Half-breadth of the stern over the greatest; 0 makes a double-ender.
    keel_half : float
        Half-breadth at which the face ends along stem, keel and stern.
    hollow : float
        Share by which the lower sections aft are pinched towards the centreplane, so
        that the half-breadth grows again below.
    rake : (stem, stern) overhang of the ends, mm
    entrance : float
        Power with which the half-breadth grows from the bow: 0.5 is bluff, 1 is fine.
    forefoot : float
        The same as `hollow` for the lower sections forward.
    section : float
        Power of the sections: 3 is round, below 2 they are lean and sharp, above 4 full.
    waist, waist_at : float
        Share by which the hull is pinched all the way down, and at which share of its length:
        there a string bridges.
    """
    t = np.linspace(0.0, 1.0, m)[:, None]
    w = np.linspace(0.0, 1.0, k)[None, :]
    half = beam * ((1.0 - (2.0 * t - 1.0) ** 2) ** entrance * (1 - stern * t**3) + stern * t**3)
    half = np.where(t == 0.0, 0.0, half)
    half = half * (1.0 - waist * np.exp(-(((t - waist_at) / 0.1) ** 2)))
    top = 900.0 + 350.0 * (1.0 - 1.6 * t) ** 2
    foot = -600.0 - 250.0 * t + 500.0 * (1 - t) ** 4
    fill = 1.0 - w**section
    pinch = 1.0 - hollow * t**2 * np.exp(-(((w - 0.72) / 0.12) ** 2))
    pinch = pinch - forefoot * (1.0 - t) ** 2 * np.exp(-(((w - 0.7) / 0.2) ** 2))
    x = length * t + rake[0] * (1 - t) * w - rake[1] * t * w
    y = keel_half + half * fill * pinch
    z = top + (foot - top) * w**1.3
    return _through(np.stack(np.broadcast_arrays(x, y, z), axis=2))


def straight_sided(half_angle=0.2, length=6000.0, depth=1000.0):
    """A wedge of plane waterlines, y = x tan(half_angle), slightly flared so it is not flat."""
    t, w = np.meshgrid(np.linspace(0, 1, 7), np.linspace(0, 1, 7), indexing="ij")
    x = length * t
    y = x * np.tan(half_angle) * (1.0 - 0.9 * w**2)
    return _through(np.stack([x, y, -depth * w], axis=2))


def arc_hull(length=6000.0, radius=900.0):
    """A hull of quarter-circle sections, exact rational arcs in two pieces of full multiplicity."""
    c = np.cos(np.pi / 8)
    angles = np.array([0.0, np.pi / 8, np.pi / 4, 3 * np.pi / 8, np.pi / 2])
    far = np.array([1.0, 1.0 / c, 1.0, 1.0 / c, 1.0])
    weights = np.array([1.0, c, 1.0, c, 1.0])
    t = np.linspace(0.0, 1.0, 9)
    grow = make_interp_spline(t, 0.12 + 0.88 * np.sin(np.pi * (0.08 + 0.75 * t)), 3)
    place = make_interp_spline(t, length * t, 3)
    poles = np.empty((9, 5, 3))
    poles[..., 0] = place.c[:, None]
    poles[..., 1] = radius * grow.c[:, None] * np.cos(angles) * far
    poles[..., 2] = -radius * grow.c[:, None] * np.sin(angles) * far
    poles[:, -1, 1] = 0.0
    knots = np.array([0, 0, 0, 0.5, 0.5, 1, 1, 1], float)
    return SplinePatch(3, 2, grow.t, knots, poles, np.broadcast_to(weights, (9, 5)))


def orientations():
    """(label, function on a patch, settings) of every way a face may come.

    u/v exchanged, u and v reversed, bow at either end, port or starboard, length along X
    or Y: 64 ways, none of which needs a setting.
    """
    for swap, ru, rv, bow, side, axis in product((0, 1), repeat=6):
        m = np.diag([-1.0 if bow else 1.0, -1.0 if side else 1.0, 1.0])
        if axis:
            m = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]) @ m
        label = f"swap{swap} ru{ru} rv{rv} bow{bow} side{side} along{'XY'[axis]}"

        def turn(p, swap=swap, ru=ru, rv=rv, m=m):
            p = p.reversed_u() if ru else p
            p = p.reversed_v() if rv else p
            return (p.swapped() if swap else p).transformed(m)

        yield label, turn, m


def rotation(seed):
    """A rotation matrix that favours no axis."""
    q, r = np.linalg.qr(np.random.default_rng(seed).normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    return q if np.linalg.det(q) > 0 else -q
