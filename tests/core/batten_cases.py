# SPDX-License-Identifier: LGPL-2.1-or-later
"""Surfaces, marks and measures that the tests of battens share."""

import numpy as np
import surfaces
from demoplan import demo_hull
from numpy.polynomial import legendre

from strakeplan.core.lines.batten import batten_on_patch
from strakeplan.core.lines.marks import Mark, places
from strakeplan.core.spline.patch import SplinePatch

__all__ = ["SPHERE_MARKS", "bending_of", "crooked_plane", "demo_marks", "demo_uv", "fitted", "sphere_batten"]


def crooked_plane(degree=3, size=(8000.0, 3000.0), n=(9, 7)):
    """A flat patch in z = 0 whose parameter lines are crooked, and x, y to u, v on it."""
    knots = [np.concatenate([np.zeros(degree), np.linspace(0, 1, k - degree + 1), np.ones(degree)]) for k in n]
    g = [np.array([k[i + 1 : i + 1 + degree].mean() for i in range(m)]) for k, m in zip(knots, n)]
    u, v = np.meshgrid(*g, indexing="ij")
    x = size[0] * (u + 0.04 * np.sin(5.0 * v) * u * (1 - u))
    y = size[1] * (v - 0.5 + 0.08 * np.sin(6.0 * u))
    patch = SplinePatch(degree, degree, *knots, np.stack([x, y, 0.0 * x], axis=2))

    def uv(xy):
        out = np.asarray(xy, float) / size + [0.0, 0.5]
        for _ in range(30):
            jet = patch.jets(out[:, 0], out[:, 1], 1)
            step = np.linalg.solve(
                np.stack([jet.su[:, :2], jet.sv[:, :2]], axis=2), (jet.p[:, :2] - xy)[..., None])
            out = out - step[..., 0]
        return out

    return patch, uv


def bending_of(curve, points=12):
    """Integral of kappa_g^2 along a curve, by Gauss's rule on its pieces."""
    x, w = legendre.leggauss(points)
    kappa = curve.at_local(np.repeat(np.arange(curve.pieces), points), np.tile(x, curve.pieces)).kappa_g
    return float(np.sum(0.5 * curve.piece_lengths[:, None] * w * kappa.reshape(-1, points) ** 2))


SPHERE_MARKS = [(-0.6, 0.5), (-0.1, 1.0), (0.5, 1.1), (0.75, 2.0)]


def sphere_batten(pieces=None, **options):
    known = surfaces.sphere(pieces=pieces)
    p, q = np.array(SPHERE_MARKS).T
    return known, batten_on_patch(known.patch, np.stack(known.uv(p, q), axis=1), **options)


def fitted(sizes, errors):
    return float(np.polyfit(np.log(sizes), np.log(errors), 1)[0])


DEMO_SHARES = [(900.0, 0.45), (3200.0, 0.40), (5600.0, 0.43), (8100.0, 0.41), (10300.0, 0.5)]


def demo_uv():
    return np.array([p.uv for p in places(demo_hull(), demo_marks())])


def demo_marks():
    return [Mark(station=x, share=share) for x, share in DEMO_SHARES]
