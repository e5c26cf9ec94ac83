# SPDX-License-Identifier: LGPL-2.1-or-later
"""Nearest points of a patch to points in space."""

import numpy as np
from scipy.spatial import cKDTree

__all__ = ["closest_on_patch"]


def closest_on_patch(patch, points, per_span=8, start=None):
    """Feet of perpendiculars from points to a patch.

    Parameters
    ----------
    patch : SplinePatch
    points : (n, 3) mm
    per_span : int
        Samples of every knot span among which the first guess is looked for.
    start : (n, 2), optional
        First guesses of (u, v).

    Returns
    -------
    uv : (n, 2)
    distance : (n,) mm

    Notes
    -----
    Newton's method on the squared distance with a Gauss-Newton step where the exact
    Hessian is not positive; parameters are kept inside the patch.
    """
    points = np.atleast_2d(np.asarray(points, float))
    (u0, u1), (v0, v1) = patch.u_range, patch.v_range
    if start is None:
        us, vs = (
            np.unique(np.concatenate([np.linspace(a, b, per_span + 1) for a, b in zip(k, k[1:])]))
            for k in (patch.breaks_u, patch.breaks_v)
        )
        uu, vv = (a.ravel() for a in np.meshgrid(us, vs, indexing="ij"))
        _, nearest = cKDTree(patch.points(uu, vv)).query(points)
        uv = np.stack([uu[nearest], vv[nearest]], axis=1)
    else:
        uv = np.array(start, float)
    low, high = np.array([u0, v0]), np.array([u1, v1])
    for _ in range(60):
        jet = patch.jets(uv[:, 0], uv[:, 1], 2)
        r = jet.p - points
        dot = lambda a, b: np.einsum("ij,ij->i", a, b)  # noqa: E731
        gu, gv = dot(r, jet.su), dot(r, jet.sv)
        E, F, G = dot(jet.su, jet.su), dot(jet.su, jet.sv), dot(jet.sv, jet.sv)
        A, B, C = E + dot(r, jet.suu), F + dot(r, jet.suv), G + dot(r, jet.svv)
        bad = (A * C - B * B <= 0.0) | (A <= 0.0)
        A, B, C = np.where(bad, E, A), np.where(bad, F, B), np.where(bad, G, C)
        det = A * C - B * B
        step = np.stack([(C * gu - B * gv) / det, (A * gv - B * gu) / det], axis=1)
        new = np.clip(uv - step, low, high)
        moved = np.max(np.abs(new - uv) / (high - low), initial=0.0)
        uv = new
        if moved < 1e-15:
            break
    distance = np.linalg.norm(patch.points(uv[:, 0], uv[:, 1]) - points, axis=1)
    return uv, distance
