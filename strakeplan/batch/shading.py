# SPDX-License-Identifier: LGPL-2.1-or-later
"""A shaded picture of solids: parallel projection, far triangles painted first."""

import numpy as np

__all__ = ["view_axes", "shaded_triangles"]

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


def shaded_triangles(corners, colours, axes):
    """Triangles of a picture, far ones first, with their shades.

    Parameters
    ----------
    corners : (n, 3, 3)
        Ship coordinates.
    colours : (n, 3) RGB, 0 to 1
    axes : three (3,) arrays from `view_axes`

    Returns
    -------
    polygons : (m, 3, 2)
        Right and up on the picture.
    shades : (m, 3) RGB
    """
    view = corners @ np.stack(axes, axis=1)  # (n, 3 corners, right/up/towards)
    normal = np.cross(view[:, 1] - view[:, 0], view[:, 2] - view[:, 0])
    length = np.linalg.norm(normal, axis=1)
    kept = length > 1e-9
    view, normal, length, colours = view[kept], normal[kept], length[kept], colours[kept]
    normal = normal / length[:, None]
    # Both faces of a plank are seen in an open boat: light whichever is turned to us.
    normal = normal * np.where(normal[:, 2:] < 0.0, -1.0, 1.0)
    light = _LIGHT / np.linalg.norm(_LIGHT)
    facing = normal @ light  # (m,)
    half = light + np.array([0.0, 0.0, 1.0])
    half = half / np.linalg.norm(half)
    gloss = np.clip(normal @ half, 0.0, 1.0) ** 24
    bright = _AMBIENT + _DIFFUSE * (0.5 + 0.5 * facing)
    shades = np.clip(colours * bright[:, None] + _GLOSS * gloss[:, None], 0.0, 1.0)
    order = np.argsort(view[:, :, 2].mean(axis=1))
    return view[order][:, :, :2], shades[order]
