# SPDX-License-Identifier: LGPL-2.1-or-later
"""Spline faces of one four-sided stretch of a plank.

Lengthwise lines of the faces go over from the upper rail to the lower one; the parameters
(u, v) of the hull between them are blended by Coons' rule from the four edges, so that
every interpolation point lies on the hull exactly.

References
----------
S. A. Coons, *Surfaces for computer-aided design of space forms*, MIT MAC-TR-41, 1967.
"""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..curve import SurfaceCurve
from ..recut import broken_lines
from ..spline.patch import SplinePatch, geometry_of
from .rails import DEGREE
from .splines import greville, interpolate, merged_knots, on_knots, uniform_knots

__all__ = ["ACROSS", "Cell", "Face", "cell_faces"]

_FINE = 129  # samples from edge to edge where lengths are measured
ACROSS = 4  # degree of the faces from edge to edge


@dataclass(frozen=True, eq=False)
class Face:
    """One bounding face of a plank: a spline patch whose su x sv points out of the wood.

    Attributes
    ----------
    role : 'inner', 'outer', 'upper edge', 'lower edge', 'fore end' or 'aft end'
        'inner' lies towards the boat's inside.
    patch : SplinePatch
        Model coordinates after `PlankShape` is made, ship coordinates before.
    """

    role: str
    patch: SplinePatch


@dataclass(frozen=True, eq=False)
class Cell:
    """A four-sided (or, where an end is a point, three-sided) stretch of a plank.

    Attributes
    ----------
    upper, lower : (Rail, share, share)
        Rails with the stretch between two shares of their length.
    fore, aft : SurfaceCurve or None
        Hood end from the upper to the lower edge; None: a straight cut in the parameters
        (between two cells), or a point.
    closed_fore, closed_aft : bool
        Whether the wood ends there, so that an end face is made (unless it is a point).
    closed_upper, closed_lower : bool
        Whether the wood ends there too; not where the plank goes on across, beyond a seam
        that stops at a nib.
    """

    upper: Tuple[object, float, float]
    lower: Tuple[object, float, float]
    fore: Optional[SurfaceCurve]
    aft: Optional[SurfaceCurve]
    closed_fore: bool
    closed_aft: bool
    closed_upper: bool = True
    closed_lower: bool = True


def cell_faces(patch, cell, offset, rows=1):
    """Faces of a cell and how far they stray from the hull and its offset.

    Parameters
    ----------
    patch : SplinePatch
        The hull, ship coordinates.
    cell : Cell
    offset : float
        Signed distance along the outward normal to the layer's other side, mm.
    rows : int
        Knot spans from edge to edge.

    Returns
    -------
    list of Face
    deviation : float
        Greatest distance, mm, square to the hull, between faces and hull (or its offset),
        sampled between the interpolation points.
    """
    ku, pu = cell.upper[0].part(*cell.upper[1:])
    kl, pl = cell.lower[0].part(*cell.lower[1:])
    knots = merged_knots(ku, kl, DEGREE)
    pu = on_knots(ku, DEGREE, pu, knots)
    pl = on_knots(kl, DEGREE, pl, knots)
    across = uniform_knots(rows, ACROSS)
    tau, t = greville(knots, DEGREE), greville(across, ACROSS)
    uv = _places(patch, cell, tau, t)
    both = _offset_points(patch, uv, offset)  # (tau, t, 2, 3)
    poles = interpolate(knots, DEGREE, both)
    poles[:, 0], poles[:, -1] = pu, pl
    poles = np.moveaxis(interpolate(across, ACROSS, np.moveaxis(poles, 1, 0)), 0, 1)
    poles[:, 0], poles[:, -1] = pu, pl  # exactly, not to the solver's rounding
    for end, curve, closed in ((0, cell.fore, cell.closed_fore), (-1, cell.aft, cell.closed_aft)):
        if closed and curve is None:
            poles[end] = poles[end, :1]  # a point
    faces = _wrap(knots, across, poles, offset, cell)
    return faces, _deviation(patch, cell, faces, offset, tau, t)


def _places(patch, cell, tau, t):
    """(u, v) of the faces' grid: (tau, t, 2).

    Where the hull's parametrisation may kink (knots of full multiplicity) the places are
    spread by length from edge to edge, so that the faces' own parametrisation does not.
    """
    uv = _blend(cell, tau, t)
    if not any(broken_lines(patch)):
        return uv
    fine = np.linspace(0.0, 1.0, _FINE)
    dense = _blend(cell, tau, fine)
    p = patch.points(dense[..., 0].ravel(), dense[..., 1].ravel()).reshape(len(tau), _FINE, 3)
    run = np.cumsum(np.linalg.norm(np.diff(p, axis=1), axis=2), axis=1)
    whole = run[:, -1:]
    run = np.where(whole > 0.0, run / np.where(whole > 0.0, whole, 1.0), fine[1:])
    share = np.concatenate([np.zeros_like(whole), run], axis=1)
    spread = np.array([np.interp(t, row, fine) for row in share])
    return _blend(cell, tau, spread)


def _edge_uv(stretch, tau):
    rail, a, b = stretch
    return rail.curve.uv((a + tau * (b - a)) * rail.curve.length)


def _blend(cell, tau, t):
    """Coons blend of the edges in the parameter plane: (tau, t, 2).

    t is the same for all tau, (t,), or has a row for each, (tau, t).
    """
    upper, lower = _edge_uv(cell.upper, tau), _edge_uv(cell.lower, tau)
    t = np.broadcast_to(t, (len(tau), np.shape(t)[-1]))
    x, y = tau[:, None, None], t[..., None]
    out = (1.0 - y) * upper[:, None] + y * lower[:, None]
    for curve, weight in ((cell.fore, 1.0 - x), (cell.aft, x)):
        if curve is not None:
            side = curve.uv(t.ravel() * curve.length).reshape(*t.shape, 2)
            ends = curve.nodes[[0, -1], [0, -1]]
            # the ends are on the rails already; what is left bends the cut to the hood end
            out = out + weight * (side - (1.0 - y) * ends[0] - y * ends[1])
    return out


def _offset_points(patch, uv, offset):
    flat = uv.reshape(-1, 2)
    g = geometry_of(patch.jets(flat[:, 0], flat[:, 1], 2))
    both = np.stack([g.p, g.p + offset * g.n], axis=1)
    return both.reshape(uv.shape[:2] + (2, 3))


def _wrap(knots, across, poles, offset, cell):
    """All faces with su x sv out of the wood."""
    near, far = poles[:, :, 0], poles[:, :, 1]
    inner, outer = (near, far) if offset > 0.0 else (far, near)
    one = uniform_knots(1, 1)

    def ruled(a, b, k, degree):
        return SplinePatch(degree, 1, k, one, np.stack([a, b], axis=1))

    # along (aft) x across (down) is outward on the hull's outer side
    faces = [
        Face("outer", SplinePatch(DEGREE, ACROSS, knots, across, outer)),
        Face("inner", SplinePatch(DEGREE, ACROSS, knots, across, inner).swapped()),
    ]
    if cell.closed_upper:
        faces.append(Face("upper edge", ruled(inner[:, 0], outer[:, 0], knots, DEGREE)))
    if cell.closed_lower:
        faces.append(Face("lower edge", ruled(outer[:, -1], inner[:, -1], knots, DEGREE)))
    if cell.closed_fore and cell.fore is not None:
        faces.append(Face("fore end", ruled(outer[0], inner[0], across, ACROSS)))
    if cell.closed_aft and cell.aft is not None:
        faces.append(Face("aft end", ruled(inner[-1], outer[-1], across, ACROSS)))
    return faces


def _deviation(patch, cell, faces, offset, tau, t):
    """Greatest distance square to the hull between the nodes, on both sides, mm."""
    x = 0.5 * (tau[1:] + tau[:-1])
    y = np.unique(np.concatenate([t, 0.5 * (t[1:] + t[:-1])]))
    uv = _places(patch, cell, x, y).reshape(-1, 2)
    g = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2))
    xx, yy = (a.ravel() for a in np.meshgrid(x, y, indexing="ij"))
    worst = 0.0
    for face in faces[:2]:
        on_hull = (face.role == "inner") == (offset > 0.0)
        args = (xx, yy) if face.role == "outer" else (yy, xx)
        p = face.patch.points(*args)
        gap = p - (g.p if on_hull else g.p + offset * g.n)
        worst = max(worst, float(np.max(np.abs(np.einsum("ij,ij->i", gap, g.n)))))
    return worst
