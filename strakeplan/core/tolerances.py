# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every tolerance of the planked surface, in one place.

Lengths are millimetres, angles radians. A tolerance is either a *choice of the trade*
(how near is "already there"), or a *bound on the mathematics* (how well an equation is
solved); the second kind is far below anything that can be measured on a boat.
"""

from dataclasses import dataclass
from math import radians

__all__ = ["SURFACE", "SurfaceTolerances"]


@dataclass(frozen=True)
class SurfaceTolerances:
    """Tolerances used between a host's face and the planked surface.

    Attributes
    ----------
    at_siding : float
        An edge of the face that lies no more than this inside the half siding already
        ends there and is not trimmed. mm; a twentieth is finer than any lines plan.
    contour_node : float
        Error of half-breadth at the nodes of the rabbet line, mm.
    contour_between : float
        Error of half-breadth between the nodes, mm.
    collapsed_edge : float
        An edge shorter than this share of the face's size is no edge.
    collapsed_area : float
        Sine of the angle between the parameter lines, or area element as a share of the
        median, below which the face is taken as collapsed.
    flat : float
        A face whose normals differ by less than this all over is a plate, no hull.
    knuckle : float
        Jump of the normal across a knot line of full multiplicity that is a knuckle.
    across_centreplane : float
        Share of the greatest half-breadth that a face may overshoot the centreplane by;
        what lies there is trimmed off. More means that both sides were modelled.
    ambiguous_ends : float
        Share of the greatest half-breadth within which both ends count as equally narrow.
    """

    at_siding: float = 0.05
    contour_node: float = 1e-9
    contour_between: float = 1e-8
    collapsed_edge: float = 1e-5
    collapsed_area: float = 1e-4
    flat: float = radians(0.5)
    knuckle: float = radians(0.1)
    across_centreplane: float = 0.05
    ambiguous_ends: float = 0.05


SURFACE = SurfaceTolerances()
