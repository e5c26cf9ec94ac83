# SPDX-License-Identifier: LGPL-2.1-or-later
"""Plans that several tests look at, made once, and measures that stay clear of the core's own.

The demonstration hull is planned with a taut line at 0.65 of the stem and stern girths unless
a test asks otherwise.
"""

from functools import lru_cache

import hulls
import numpy as np
from numpy.polynomial import legendre

from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.planks.shape import plank_shapes
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface

__all__ = [
    "cut_plan", "cut_shapes", "demo_hull", "demo_plan", "demo_shapes", "distance_to", "layer_volume", "lined_off",
    "simpson_length", "two_bellies",
]  # fmt: skip

N = 20


@lru_cache(maxsize=None)
def demo_hull(half_siding=60.0):
    """The demonstration hull's planked surface."""
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=half_siding, name="Marram"))


def lined_off(hull, count=N, share=0.65, width=None, stand_off=None, parallel=True):
    """A line-off of any hull: equal strakes to a taut line, parallel ones below it.

    `share` of the girths of stem and stern, one for both or a pair.
    """
    bow, stern = np.broadcast_to(share, 2)
    line = taut_between_ends(hull, hull.stem_length * bow, hull.stern_length * stern)
    belts = [EqualBelt(count, line)] + [ParallelBelt(width)] * parallel
    return line_off(hull, belts, stand_off)


@lru_cache(maxsize=None)
def demo_plan(count=N, share=0.65, half_siding=60.0, width=None, stand_off=None):
    """A line-off of the demonstration hull."""
    return lined_off(demo_hull(half_siding), count, share, width, stand_off)


@lru_cache(maxsize=None)
def demo_shapes(thickness=32.0, layer="outside", count=N, half_siding=60.0):
    """Plank shapes of the demonstration hull's modelled side."""
    return tuple(plank_shapes(demo_plan(count, half_siding=half_siding), thickness, layer))


@lru_cache(maxsize=None)
def two_bellies():
    """The demonstration hull with its keel lifted amidships, so deep fore and aft.

    Low down the rabbet comes up between the two bellies and cuts a strake in two.
    """
    patch = hulls.demo()
    poles = np.array(patch.poles)
    along, down = np.linspace(0.0, 1.0, poles.shape[0]), np.linspace(0.0, 1.0, poles.shape[1])
    poles[..., 2] += 1200.0 * np.exp(-(((along - 0.55) / 0.12) ** 2))[:, None] * down**2
    patch = SplinePatch(patch.degree_u, patch.degree_v, patch.knots_u, patch.knots_v, poles)
    return planked_surface(patch, SurfaceSettings(half_siding=60.0, name="Two bellies"))


@lru_cache(maxsize=None)
def cut_plan():
    """A line-off in which the rabbet cuts strakes in two."""
    return lined_off(two_bellies(), 9, 0.8, 100.0)


@lru_cache(maxsize=None)
def cut_shapes(thickness=24.0):
    """Plank shapes of that."""
    return tuple(plank_shapes(cut_plan(), thickness))


# --- measures of our own ------------------------------------------------------------------
def layer_volume(hull, offset, points=14):
    """Exact volume between a hull's planking and the surface `offset` mm outboard of it.

    Integral of t - H t^2 + K t^3/3 over the planking, normal into the layer (Steiner's
    formula), first down v from the sheer and then round the boundary by Green's theorem.
    """
    patch = hull.patch
    sign, t = np.sign(offset), abs(offset)

    def down(u, v):
        out = np.zeros(len(u))
        x, w = legendre.leggauss(10)
        for a, b in zip(patch.breaks_v[:-1], patch.breaks_v[1:]):
            h = (np.clip(v, a, b) - a) / 2.0
            for xi, wi in zip(x, w):
                g = patch.geometry(u, a + h * (1.0 + xi))
                area = np.linalg.norm(np.cross(g.su, g.sv), axis=1)
                out += h * wi * area * (t - sign * g.H * t**2 + g.K * t**3 / 3.0)
        return out

    c = hull.boundary
    x, w = legendre.leggauss(points)
    piece, local = np.repeat(np.arange(c.pieces), points), np.tile(x, c.pieces)
    uv, rate = c.uv_local(piece, local), c.uv_local(piece, local, 1)
    return float(np.sum(np.tile(w, c.pieces) * down(uv[:, 0], uv[:, 1]) * rate[:, 0]))


def simpson_length(points):
    """Length of a curve (2 n + 1, 3) sampled at equal parameters, by Richardson's rule.

    Chords of every and of every second point; the error falls with the fourth power.
    """
    fine = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    coarse = np.linalg.norm(np.diff(points[::2], axis=0), axis=1).sum()
    return fine + (fine - coarse) / 3.0


def distance_to(curve, p, samples=4000):
    """Least distance in space from points (n, 3) to a curve: (distance (n,), arc length (n,)).

    Search on samples, then Newton on the foot of the perpendicular.
    """
    s = np.linspace(0.0, curve.length, samples)
    q = curve.points(s)
    near = np.array([s[np.argmin(np.linalg.norm(q - one, axis=1))] for one in np.atleast_2d(p)])
    for _ in range(12):
        c = curve.at(near)
        gap = p - c.p
        bend = c.kappa_g[:, None] * c.b + c.kappa_n[:, None] * c.n
        slope = 1.0 - np.einsum("ij,ij->i", gap, bend)
        near = np.clip(near + np.einsum("ij,ij->i", gap, c.t) / slope, 0.0, curve.length)
    return np.linalg.norm(curve.points(near) - p, axis=1), near
