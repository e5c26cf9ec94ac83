# SPDX-License-Identifier: LGPL-2.1-or-later
"""From edges, wires and sketches of the host to the pieces of a drawn line.

An edge is handed over as it is, as a function of its own parameter, and cut where its curve
is not smooth (the knots of a B-spline); the core takes from it the points it needs for the
accuracy it states.
"""

import numpy as np
import Part

from ..core.errors import PlanError
from ..core.lines.drawn import DrawnPiece
from .files import in_document

__all__ = ["pieces_of_object", "pieces_of_shape"]


def pieces_of_object(obj, sub_names=(), name=None):
    """The drawn line that a link to a document object means, in the document's coordinates.

    Parameters
    ----------
    obj : document object with a shape: an edge, a wire, a sketch
    sub_names : sequence of str
        "Edge2" and the like, where only these edges are meant.
    name : str, optional
        What messages call it; the object's label by default.

    Returns
    -------
    list of DrawnPiece

    Raises
    ------
    PlanError
        No shape, no edge, no such edge, or an object with faces of which no edge is chosen.
    """
    label = name or obj.Label
    shape = getattr(obj, "Shape", None)
    if shape is None or not hasattr(shape, "Edges"):
        raise PlanError(f"{label} has no shape", remedy="Choose an edge, a wire or a sketch as the drawn line")
    if shape.isNull():
        raise PlanError(f"{label} is empty", remedy="Draw a line in it, or recompute it")
    shape = in_document(obj, shape)
    sub_names = [s for s in sub_names if s]
    if not sub_names:
        return pieces_of_shape(shape, label)
    edges = shape.Edges
    out = []
    for sub in sub_names:
        kind = sub.rstrip("0123456789")
        number = int(sub[len(kind) :] or 0)
        if kind != "Edge" or not 1 <= number <= len(edges):
            raise PlanError(
                f"{sub} of {label} is not one of its {len(edges)} edges", remedy="Choose edges of the drawn line"
            )
        out += pieces_of_shape(edges[number - 1], f"{sub} of {label}")
    return out


def pieces_of_shape(shape, name="the drawn line"):
    """The edges of a shape as pieces of a drawn line.

    Parameters
    ----------
    shape : Part.Shape
        Edge, wire or compound of them, in the coordinates of the model.
    name : str

    Returns
    -------
    list of DrawnPiece

    Raises
    ------
    PlanError
        A shape without edges, with faces, or with an edge that has no end.
    """
    if shape.isNull() or not shape.Edges:
        raise PlanError(f"{name} has no edge", remedy="Choose an edge, a wire or a sketch")
    if shape.Faces:
        raise PlanError(
            f"{name} has faces, so which of its {len(shape.Edges)} edges is meant is not clear",
            remedy="Choose the edges one by one, or a wire or a sketch",
        )
    many = len(shape.Edges) > 1
    return [
        _piece(edge, f"edge {k} of {name}" if many else name)
        for k, edge in enumerate(shape.Edges, start=1)
        if not edge.Degenerated
    ]


def _piece(edge, name):
    edge = edge.copy()  # the document may change under us
    first, last = edge.ParameterRange
    if not (np.isfinite([first, last]).all() and abs(first) < 1e100 and abs(last) < 1e100):
        raise PlanError(f"{name} has no end", remedy="Draw a line from stem to stern")

    def points_of(t):
        # no parameter past the ends: the host's curves go on in their own ways there
        return np.array([tuple(edge.valueAt(x)) for x in np.clip(t, first, last).tolist()])

    return DrawnPiece(points_of, (first, *_inner_knots(edge, first, last), last), name)


def _inner_knots(edge, first, last):
    """Parameters between the ends at which the edge's curve need not be smooth."""
    curve = edge.Curve
    while hasattr(curve, "BasisCurve"):  # offset and trimmed curves
        curve = curve.BasisCurve
    if not isinstance(curve, Part.BSplineCurve):
        return ()
    knots = np.array(curve.getKnots(), float)
    if curve.isPeriodic():
        period = knots[-1] - knots[0]
        turns = np.arange(np.floor((first - knots[0]) / period), np.ceil((last - knots[0]) / period) + 1)
        knots = np.unique((knots[:-1] + period * turns[:, None]).ravel())
    slack = 1e-9 * (last - first)
    return tuple(float(k) for k in knots if first + slack < k < last - slack)
