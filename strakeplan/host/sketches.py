# SPDX-License-Identifier: LGPL-2.1-or-later
"""The three views as ordinary sketches.

A view drops one coordinate of a spline in space, so the plane spline has the same
knots and the same number of poles.  One constraint holds each curve where it is.
"""

from dataclasses import dataclass

import FreeCAD
import numpy as np
import Part
import Sketcher
from FreeCAD import Vector

__all__ = ["View", "VIEWS", "view_placement", "fill_sketch"]


@dataclass(frozen=True)
class View:
    """One of the three views of a lines plan.

    Attributes
    ----------
    name : str
    across, upward : str
        Which of the ship's axes ('length', 'transverse', 'up') the sketch's axes are.
    """

    name: str
    across: str
    upward: str


VIEWS = (
    View("Profile", "length", "up"),
    View("Half-breadth", "length", "transverse"),
    View("Body plan", "transverse", "up"),
)


def _axes(view, frame):
    """The sketch's two axes in model coordinates, (3,) each.

    They are the model's own axes in their positive sense, so that a coordinate read in
    the sketch is the model's coordinate.
    """
    named = {"length": frame.length_axis, "transverse": frame.transverse, "up": frame.up}
    return named[view.across], named[view.upward]


def view_placement(view, frame):
    """Placement of a view's sketch, its origin the model's.

    Parameters
    ----------
    view : View
    frame : ShipFrame

    Returns
    -------
    FreeCAD.Placement
    """
    across, upward = _axes(view, frame)
    through = np.cross(across, upward)
    rotation = FreeCAD.Rotation(Vector(*across), Vector(*upward), Vector(*through), "XYZ")
    return FreeCAD.Placement(Vector(0, 0, 0), rotation)


def fill_sketch(sketch, view, frame, splines, lines=()):
    """Put a view's curves into a sketch, in place of what was there.

    Parameters
    ----------
    sketch : Sketcher::SketchObject
    view : View
    frame : ShipFrame
    splines : list of SplineCurve
        In model coordinates, mm.
    lines : list of (2, 3) arrays
        Straight construction lines, in model coordinates.
    """
    across, upward = _axes(view, frame)
    plane = np.stack([across, upward, np.zeros(3)], axis=1)  # (3 model, 3 sketch)
    curves = [s.to_part(lambda poles: poles @ plane) for s in splines]
    straight = []
    for ends in lines:
        a, b = np.asarray(ends) @ plane
        if np.linalg.norm(b - a) > 1e-6:
            straight.append(Part.LineSegment(Vector(*a), Vector(*b)))

    sketch.deleteAllGeometry()
    sketch.Placement = view_placement(view, frame)
    sketch.addGeometry(curves, False)
    sketch.addGeometry(straight, True)
    count = len(curves) + len(straight)
    sketch.addConstraint([Sketcher.Constraint("Block", i) for i in range(count)])
