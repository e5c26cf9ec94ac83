# SPDX-License-Identifier: LGPL-2.1-or-later
"""Plank shapes of the core as closed solids of the host.

The core hands over the faces of a plank as pole grids whose edges agree pole by
pole, so the host has nothing to fit: the faces are sewn and closed, and what comes
out is checked before anybody may use it.
"""

import numpy as np
import Part
from scipy.interpolate import make_interp_spline

from ..core.errors import PlanError
from . import compat, shapes

__all__ = ["solid_of", "straight_plank", "check_solid"]


def solid_of(plank):
    """The closed solid of one plank.

    Parameters
    ----------
    plank : PlankShape
        In model coordinates, mm.

    Returns
    -------
    Part.Solid
        Valid, closed, its volume positive.

    Raises
    ------
    PlanError
        Naming the plank, when its faces do not close or the solid is not valid.
    """
    poles = [face.patch.poles for face in plank.faces]
    if not all(np.isfinite(p).all() for p in poles):
        raise PlanError(
            f"{plank.name} has no shape: a point of it is not a number",
            remedy="Look for a spoilt place of the hull's surface along this strake",
        )
    try:
        shell = Part.makeShell([shapes.face_of(face.patch) for face in plank.faces])
        solid = Part.makeSolid(shell)
    except Exception as fault:  # the kernel's own error types differ by version
        raise PlanError(
            f"{plank.name} could not be closed to a solid: {compat.message_of(fault)}",
            remedy="Try another thickness or another number of strakes",
        ) from fault
    if solid.Volume < 0.0:
        solid.reverse()
    check_solid(solid, plank.name, len(plank.faces))
    return solid


def straight_plank(s, p, across, outward, width, thickness, name):
    """The solid of a plank of one width, laid along a line with its inner face on it.

    Parameters
    ----------
    s : (n,) arc lengths, mm
    p : (n, 3) points of the middle line of its inner face, model coordinates
    across, outward : (n, 3) unit vectors
    width, thickness : float
        mm.
    name : str

    Returns
    -------
    Part.Solid
    """
    half, out = 0.5 * width * np.asarray(across), thickness * np.asarray(outward)
    splines = [make_interp_spline(s, q, k=3) for q in (p - half, p + half, p + half + out, p - half + out)]
    knots, square = splines[0].t, np.array([0.0, 0.0, 1.0, 1.0])
    corners = [spline.c for spline in splines]
    try:
        # both faces beside an edge have its poles, so the faces close
        faces = [
            shapes.surface_of(3, 1, knots, square, np.stack([a, b], axis=1)).toShape()
            for a, b in zip(corners, [*corners[1:], corners[0]])
        ]
        for end in (0, -1):
            a, b, c, d = (corner[end] for corner in corners)
            faces.append(shapes.surface_of(1, 1, square, square, np.array([[a, b], [d, c]])).toShape())
        solid = Part.makeSolid(Part.makeShell(faces))
    except Exception as fault:  # the kernel's own error types differ by version
        raise PlanError(
            f"{name} could not be closed to a solid: {compat.message_of(fault)}", remedy="Try a narrower plank"
        ) from fault
    if solid.Volume < 0.0:
        solid.reverse()
    check_solid(solid, name, len(faces))
    return solid


def check_solid(solid, name, faces=None):
    """Raise PlanError unless the shape is one valid closed solid of positive volume.

    Parameters
    ----------
    solid : Part.Shape
    name : str
        The plank, for the message.
    faces : int, optional
        How many faces it must have.
    """
    fault = None
    if solid.isNull() or solid.ShapeType != "Solid":
        fault = "is not one solid"
    elif not solid.Shells or not all(shell.isClosed() for shell in solid.Shells):
        fault = "does not close"
    elif len(solid.Shells) != 1:
        fault = "is in more than one piece"
    elif faces is not None and len(solid.Faces) != faces:
        fault = f"has {len(solid.Faces)} faces where {faces} were made"
    elif not solid.isValid():
        fault = "is not a valid solid (two of its faces run into each other)"
    elif not solid.Volume > 0.0:
        fault = "has no volume"
    if fault:
        raise PlanError(
            f"{name} {fault}",
            remedy="Try a smaller thickness or another number of strakes, "
            "or look for a sharp place of the hull along this strake",
        )
