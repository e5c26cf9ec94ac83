# SPDX-License-Identifier: LGPL-2.1-or-later
"""All the strings that can be stretched between two places.

On a full hull more than one geodesic may join two marks. They are looked for by sending
geodesics off from one mark over a fan of headings and watching on which side they pass the
other: between neighbours that pass on different sides lies one that hits.
"""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..spline.patch import geometry_of
from .line import lateral_distance
from .march import march
from .geodesic import geodesic_between

__all__ = ["all_geodesics"]

_FAN = np.radians(np.linspace(-75.0, 75.0, 61))
_LONGEST = 1.3  # times the chord; longer ways round are no lines for planks
_SAME = 1e-4  # of the length: courses nearer together than this are one


def all_geodesics(hull, uv0, uv1, found, elements=8):
    """Geodesics from one place to another that stay on the planked surface.

    Parameters
    ----------
    hull : PlankedSurface
    uv0, uv1 : (2,)
    found : sequence of SurfaceCurve
        Geodesics already known.
    elements : int

    Returns
    -------
    list of SurfaceCurve
        The known ones and others within 75 degrees of the chord, shortest first.
    """
    patch = hull.patch
    curves = list(found)
    p0, p1 = patch.points(np.array([uv0[0], uv1[0]]), np.array([uv0[1], uv1[1]]))
    g = geometry_of(patch.jets(uv0[:1], uv0[1:], 2))
    n = g.n[0]
    chord = p1 - p0
    ahead = chord - (chord @ n) * n
    ahead /= np.linalg.norm(ahead)
    directions = np.cos(_FAN)[:, None] * ahead + np.sin(_FAN)[:, None] * np.cross(n, ahead)
    step = patch.size / 25.0  # a guess for the strings that are relaxed afterwards
    steps = int(np.ceil(_LONGEST * np.linalg.norm(chord) / step))
    starts = np.repeat(np.asarray(uv0, float)[None], len(_FAN), axis=0)
    run = march(patch, starts, directions, step * np.arange(1, steps + 1), step, rough=True)
    uv = np.concatenate([starts[None], run.uv])
    miss, reached = _passing(hull, run, uv, p1)
    hits = np.flatnonzero(np.isfinite(miss[:-1] * miss[1:]) & (miss[:-1] * miss[1:] < 0.0))
    for k in hits:
        share = miss[k] / (miss[k] - miss[k + 1])
        length = min(reached[k], reached[k + 1])
        path = (1.0 - share) * uv[: length + 1, k] + share * uv[: length + 1, k + 1]
        path[-1] = uv1
        if not np.isfinite(path).all() or len(path) < 3:
            continue
        guess = SurfaceCurve(patch, np.stack([path[:-1], path[1:]], axis=1))
        try:
            curve = geodesic_between(patch, uv0, uv1, guess=guess, elements=elements)
        except PlanError:
            continue
        c = curve.sample(200)
        if np.any(hull.inside(c.uv[:, 0], c.uv[:, 1]) < -1e-6):
            continue
        if all(lateral_distance(curve, other) > _SAME * curve.length for other in curves):
            curves.append(curve)
    return sorted(curves, key=lambda curve: curve.length)


def _passing(hull, run, uv, p1):
    """On which side, and after how many steps, each geodesic passes a point.

    Returns
    -------
    miss : (n,) signed distance at the passage, mm; nan where it leaves the hull before
    reached : (n,) int
    """
    inside = hull.inside(uv[..., 0].ravel(), uv[..., 1].ravel()).reshape(uv.shape[:2]) > -1.0
    # the first step off the surface ends a geodesic; the very start may lie on the edge
    alive = np.logical_and.accumulate(inside[1:], axis=0)
    to = p1 - run.p  # (k, n, 3)
    along = np.einsum("knj,knj->kn", to, run.t)
    past = (along[:-1] > 0.0) & (along[1:] <= 0.0) & alive[:-1]
    n = uv.shape[1]
    miss, reached = np.full(n, np.nan), np.zeros(n, int)
    for i in range(n):
        rows = np.flatnonzero(past[:, i])
        if not len(rows):
            continue
        # of several passages the nearest
        near = np.linalg.norm(to[rows, i], axis=1)
        k = int(rows[np.argmin(near)])
        g = geometry_of(hull.patch.jets(uv[k + 1, i, :1], uv[k + 1, i, 1:], 2))
        miss[i] = to[k, i] @ np.cross(g.n[0], run.t[k, i])
        reached[i] = k + 1
    return miss, reached
