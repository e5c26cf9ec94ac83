# SPDX-License-Identifier: LGPL-2.1-or-later
"""A shaded picture of solids: parallel projection, far faces painted first."""

import numpy as np

__all__ = ["view_axes", "shaded_quads"]

#: direction to the light in the view's axes (right, up, towards the viewer)
_LIGHT = np.array([-0.35, 0.75, 0.56])
_AMBIENT, _DIFFUSE, _GLOSS = 0.56, 0.50, 0.08


def view_axes(turn, tilt):
    """Axes of a view of the ship, in ship coordinates (x aft, y outboard, z up).

    Parameters
    ----------
    turn : float
        Radians the viewer stands off the ship's side towards the bow.
    tilt : float
        Radians the viewer stands above the level.

    Returns
    -------
    right, up, towards : (3,) orthonormal
    """
    towards = np.array(
        [-np.sin(turn) * np.cos(tilt), np.cos(turn) * np.cos(tilt), np.sin(tilt)]
    )
    # The bow is to the right, as in the profile; ship coordinates may be left-handed,
    # so `right` is written out rather than taken from a cross product.
    right = np.array([-np.cos(turn), -np.sin(turn), 0.0])
    up = np.array(
        [np.sin(turn) * np.sin(tilt), -np.cos(turn) * np.sin(tilt), np.cos(tilt)]
    )
    return right, up, towards


def shaded_quads(corners, normals, colours, axes):
    """What is seen of closed solids, far faces first, with their shades.

    Parameters
    ----------
    corners : (n, 4, 3)
        In order round each face, ship coordinates.
    normals : (n, 3)
        Out of the solid; faces turned away are left out, the solid itself hides them.
    colours : (n, 3) RGB, 0 to 1
    axes : three (3,) arrays from `view_axes`

    Returns
    -------
    polygons : (m, 4, 2)
        Right and up on the picture.
    shades : (m, 3) RGB
    """
    axes = np.stack(axes, axis=1)
    normals = normals @ axes
    length = np.linalg.norm(normals, axis=1)
    seen = normals[:, 2] > 1e-3 * length
    view = corners[seen] @ axes  # (m, 4 corners, right/up/towards)
    normals = normals[seen] / length[seen, None]
    light = _LIGHT / np.linalg.norm(_LIGHT)
    facing = normals @ light  # (m,)
    half = light + np.array([0.0, 0.0, 1.0])
    half = half / np.linalg.norm(half)
    gloss = np.clip(normals @ half, 0.0, 1.0) ** 24
    bright = _AMBIENT + _DIFFUSE * (0.5 + 0.5 * facing)
    shades = np.clip(colours[seen] * bright[:, None] + _GLOSS * gloss[:, None], 0.0, 1.0)
    order = np.argsort(view[:, :, 2].mean(axis=1))
    return view[order][:, :, :2], shades[order]
