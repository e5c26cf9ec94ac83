# SPDX-License-Identifier: LGPL-2.1-or-later
"""From a face of the host to a spline patch of the core.

The face may be a plane, a cylinder, a surface of revolution, a Bezier or a
B-spline surface, periodic or rational, and may use part of its surface's domain;
what comes out is always a clamped, non-periodic B-spline over just the face.
The user's shape is never changed: everything works on copies.
"""

import numpy as np
import Part

from ..core.errors import PlanError
from ..core.spline.patch import SplinePatch
from . import compat

__all__ = ["patch_from_face", "surface_of_face", "SNAP"]

#: mm; an edge of the face nearer than this to a line of constant parameter lies on it.
#: Readers of exchange files recompute an edge's parameter curve with errors of up to
#: a micrometre or so, and hull surfaces are made to hundredths at best.
SNAP = 0.01

#: samples along each edge when asking whether it is a line of constant parameter
_SAMPLES = 9


def patch_from_face(face, name="hull"):
    """The spline patch of one face.

    Parameters
    ----------
    face : Part.Face
    name : str
        What messages call it.

    Returns
    -------
    SplinePatch
        In the face's own coordinates (mm), of the face's extent.

    Raises
    ------
    PlanError
        If the face is trimmed other than along lines of constant parameter, has
        holes, is not finite, or has no area.
    """
    surface = surface_of_face(face, name)
    poles = np.array([[tuple(p) for p in row] for row in surface.getPoles()], dtype=float)
    weights = None
    if surface.isURational() or surface.isVRational():
        weights = np.array(surface.getWeights(), dtype=float)
    _check_poles(poles, weights, name)
    return SplinePatch(
        degree_u=surface.UDegree,
        degree_v=surface.VDegree,
        knots_u=np.array(surface.UKnotSequence, dtype=float),
        knots_v=np.array(surface.VKnotSequence, dtype=float),
        poles=poles,
        weights=weights,
    )


def surface_of_face(face, name="hull"):
    """A copy of the face's surface as a clamped non-periodic B-spline over the face.

    Parameters
    ----------
    face : Part.Face
    name : str

    Returns
    -------
    Part.BSplineSurface
    """
    if face.isNull():
        raise PlanError(f"{name} has no face", remedy="Choose an object with a surface")
    if not isinstance(face.Surface, Part.BSplineSurface):
        # Only where it is needed: on a face whose edges are spoilt it can end the process.
        nurbs = face.toNurbs().Faces
        if len(nurbs) != 1 or not isinstance(nurbs[0].Surface, Part.BSplineSurface):
            raise PlanError(
                f"{name} could not be written as one B-spline surface",
                remedy="Rebuild the hull as one B-spline surface",
            )
        face = nurbs[0]
    surface = face.Surface.copy()
    _check_finite(surface, name)
    low, high = _used_range(face, surface, name)
    return _clamped(surface, low, high, name)


def _check_finite(surface, name):
    """Stop before the host evaluates a surface that is not finite."""
    poles = np.array([[tuple(p) for p in row] for row in surface.getPoles()], dtype=float)
    if not np.isfinite(poles).all():
        bad = np.argwhere(~np.isfinite(poles).all(axis=2))[0]
        raise PlanError(
            f"{name} has a pole that is not a number",
            where=f"Pole ({bad[0] + 1}, {bad[1] + 1}) of its surface",
            remedy="Repair the surface or make it again",
        )


def _check_poles(poles, weights, name):
    """Refuse a control net that spans no surface.

    Parameters
    ----------
    poles : (nu, nv, 3)
    weights : (nu, nv) or None
    """
    if weights is not None and (not np.isfinite(weights).all() or (weights <= 0).any()):
        raise PlanError(
            f"{name} has a weight that is not positive",
            remedy="Repair the surface or make it again",
        )
    centred = poles.reshape(-1, 3) - poles.reshape(-1, 3).mean(axis=0)
    extent = np.linalg.svd(centred, compute_uv=False)
    if extent[0] <= 1e-9 or extent[1] <= 1e-9 * extent[0]:
        raise PlanError(
            f"{name} is no surface: all its poles lie on one point or one line",
            remedy="Repair the surface or make it again",
        )


def _used_range(face, surface, name):
    """Rectangle of parameters that the face uses.

    Parameters
    ----------
    face : Part.Face, already a B-spline
    surface : Part.BSplineSurface

    Returns
    -------
    low, high : (2,) arrays
        (u, v) of the two corners.
    """
    if len(face.Wires) != 1:
        raise PlanError(
            f"{name} has {len(face.Wires) - 1} hole(s) in it",
            remedy="Close the holes: the planks need the whole surface",
        )
    edges = []
    for edge in face.OuterWire.OrderedEdges or face.OuterWire.Edges:
        curve = face.curveOnSurface(edge)
        if curve is None:
            continue
        t = np.linspace(curve[1], curve[2], _SAMPLES)
        points = [curve[0].value(s) for s in t]
        edges.append(np.array([(p.x, p.y) for p in points]))
    if not edges:
        bounds = surface.bounds()
        return np.array(bounds[0::2]), np.array(bounds[1::2])

    every = np.concatenate(edges)  # (m, 2)
    low, high = every.min(axis=0), every.max(axis=0)
    bounds = surface.bounds()
    size = np.array([bounds[1] - bounds[0], bounds[3] - bounds[2]])
    rate = _greatest_rates(surface, low, high)  # mm per unit of u and of v
    slack = np.maximum(SNAP / rate, 1e-12 * size)

    for uv in edges:
        on_side = False
        for axis in (0, 1):
            for side in (low, high):
                on_side = on_side or np.all(np.abs(uv[:, axis] - side[axis]) <= slack[axis])
        if not on_side:
            middle = surface.value(*uv[len(uv) // 2])
            raise PlanError(
                f"{name} is a trimmed face: one of its edges cuts across the surface",
                where=f"Near ({middle.x:.0f}, {middle.y:.0f}, {middle.z:.0f}) mm",
                remedy="Rebuild the hull as a surface that ends at its own edges, "
                "for instance by lofting its sections up to the sheer",
            )
    # Where the face ends at its surface's own end, use that end exactly.
    for axis in (0, 1):
        periodic = surface.isUPeriodic() if axis == 0 else surface.isVPeriodic()
        if periodic:
            continue
        ends = bounds[2 * axis], bounds[2 * axis + 1]
        if abs(low[axis] - ends[0]) <= slack[axis]:
            low[axis] = ends[0]
        if abs(high[axis] - ends[1]) <= slack[axis]:
            high[axis] = ends[1]
    return low, high


def _greatest_rates(surface, low, high):
    """Greatest speed along u and along v on a grid over the rectangle, (2,) mm."""
    rates = np.zeros(2)
    for u in np.linspace(low[0], high[0], 7):
        for v in np.linspace(low[1], high[1], 7):
            rates[0] = max(rates[0], surface.getDN(u, v, 1, 0).Length)
            rates[1] = max(rates[1], surface.getDN(u, v, 0, 1).Length)
    return np.maximum(rates, 1e-12)


def _clamped(surface, low, high, name):
    """Cut the surface to the rectangle and leave it clamped and non-periodic."""
    bounds = surface.bounds()
    whole = np.allclose([low[0], high[0], low[1], high[1]], bounds, rtol=0, atol=1e-12)
    multiplicities = (
        (surface.getUMultiplicities(), surface.UDegree),
        (surface.getVMultiplicities(), surface.VDegree),
    )
    clamped = all(m[0] == d + 1 and m[-1] == d + 1 for m, d in multiplicities)
    try:
        if not whole or not clamped:
            surface.segment(low[0], high[0], low[1], high[1])
        if surface.isUPeriodic():
            surface.setUNotPeriodic()
        if surface.isVPeriodic():
            surface.setVNotPeriodic()
    except Exception as fault:  # the host's own error types differ by version
        raise PlanError(
            f"{name} could not be cut to the extent of its face: {compat.message_of(fault)}",
            remedy="Rebuild the hull as a B-spline surface that ends at its own edges",
        ) from fault
    return surface
