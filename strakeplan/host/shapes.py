# SPDX-License-Identifier: LGPL-2.1-or-later
"""Core curves and pole grids as edges, wires and faces of the host.

A curve of the core is a polynomial in the hull's parameters, which no exchange
format can hold as it stands.  It becomes a cubic spline *through* true points,
by arc length, with the true tangents at both ends; knots are added only where the
spline leaves the true curve by more than `AIM`, and the deviation is measured, not
assumed.
"""

from dataclasses import dataclass

import numpy as np
import Part
from FreeCAD import Vector
from scipy.interpolate import make_interp_spline

from ..core.errors import PlanError

__all__ = [
    "AIM",
    "CORNER",
    "SplineCurve",
    "fit_points",
    "fit_curve",
    "edge_of",
    "wire_of",
    "surface_of",
    "face_of",
]

#: mm; greatest deviation aimed at between a spline and the true curve
AIM = 0.01

#: radians; a turn sharper than this where two pieces meet is a corner of the curve,
#: and two splines meet there
CORNER = 0.01

_FIRST_SPANS = 6
_MOST_EVEN_SPANS = 40
_MOST_SPANS = 400
_SHORTEST_SPAN = 1e-3  # mm
_CHECKS_PER_SPAN = 6
_DEGREE = 3


@dataclass(frozen=True)
class SplineCurve:
    """A non-rational B-spline curve in space.

    Attributes
    ----------
    degree : int
    knots : (n + degree + 1,) flat knot vector, arc length in mm
    poles : (n, 3) mm
    deviation : float
        Greatest distance measured between it and the true curve at equal arc length, mm.
    """

    degree: int
    knots: np.ndarray
    poles: np.ndarray
    deviation: float

    def to_part(self, flatten=None):
        """A `Part.BSplineCurve`; `flatten` maps poles (n, 3) before (a view of it)."""
        poles = self.poles if flatten is None else flatten(self.poles)
        distinct, multiplicities = np.unique(self.knots, return_counts=True)
        curve = Part.BSplineCurve()
        curve.buildFromPolesMultsKnots(
            [Vector(*p) for p in poles.tolist()],
            multiplicities.tolist(),
            distinct.tolist(),
            False,
            self.degree,
        )
        return curve


def fit_points(points_at, tangents_at, start, end, aim=AIM):
    """Cubic spline through true points of a smooth curve.

    Parameters
    ----------
    points_at : callable
        (n,) arc lengths -> (n, 3) mm.
    tangents_at : callable
        (2,) arc lengths, the two ends -> (2, 3) unit tangents.
    start, end : float
        Arc lengths, mm.
    aim : float
        Greatest deviation, mm.

    Returns
    -------
    SplineCurve

    Raises
    ------
    PlanError
        If `aim` is not reached (the curve is not smooth).
    """
    first, last = tangents_at(np.array([start, end]))
    sites = np.linspace(start, end, _FIRST_SPANS + 1)
    fractions = (np.arange(_CHECKS_PER_SPAN) + 0.5) / _CHECKS_PER_SPAN
    while True:  # evenly spaced sites first, then halving where it is needed
        spline = make_interp_spline(
            sites, points_at(sites), k=_DEGREE, bc_type=([(1, first)], [(1, last)])
        )
        checks = sites[:-1, None] + np.diff(sites)[:, None] * fractions  # (spans, m)
        away = np.linalg.norm(spline(checks.ravel()) - points_at(checks.ravel()), axis=1)
        away = away.reshape(checks.shape).max(axis=1)  # (spans,)
        if away.max() <= aim:
            return SplineCurve(_DEGREE, spline.t, spline.c, float(away.max()))
        if len(sites) < _MOST_EVEN_SPANS:
            # The error of cubic interpolation falls with the fourth power of the spacing.
            more = np.clip(1.05 * (away.max() / aim) ** 0.25, 1.15, 3.0)
            sites = np.linspace(start, end, int(np.ceil((len(sites) - 1) * more)) + 1)
            continue
        coarse = away > aim
        finest = np.diff(sites)[coarse].min()
        if len(sites) + coarse.sum() > _MOST_SPANS or finest < _SHORTEST_SPAN:
            worst = sites[int(away.argmax())]
            raise PlanError(
                "A line on the hull is not smooth enough to be drawn as a spline",
                where=f"{worst:.0f} mm along it, where the spline stays {away.max():.3f} mm off",
                remedy="Look for a kink of the hull's surface there",
            )
        sites = np.sort(np.concatenate([sites, 0.5 * (sites[:-1] + sites[1:])[coarse]]))


def fit_curve(curve, frame=None, mirrored=False, aim=AIM):
    """Splines of a core curve, one for each smooth stretch between corners.

    Parameters
    ----------
    curve : SurfaceCurve
    frame : ShipFrame, optional
        Takes ship coordinates to the model's; left out, the points stay as they are.
    mirrored : bool
        Draw the line on the side of the ship that is not modelled.
    aim : float

    Returns
    -------
    list of SplineCurve, end to end
    """
    breaks = _corners(curve)
    to_points, to_vectors = _maps(frame, mirrored)

    def points_at(s):
        return to_points(curve.points(s))

    splines = []
    for start, end in zip(breaks[:-1], breaks[1:]):

        def tangents_at(s):
            # A hair inside, so that a corner reads its own side's tangent.
            inside = 1e-9 * (end - start)
            return to_vectors(curve.at(np.clip(s, start + inside, end - inside)).t)

        splines.append(fit_points(points_at, tangents_at, start, end, aim))
    return splines


def _maps(frame, mirrored):
    """How points and directions are taken to the model."""
    if frame is None:
        return np.asarray, np.asarray
    if mirrored:
        return frame.mirrored_points_to_model, frame.mirrored_vectors_to_model
    return frame.points_to_model, frame.vectors_to_model


def _corners(curve):
    """Arc lengths of the curve's ends and of the corners between, increasing."""
    pieces = np.arange(curve.pieces - 1)
    ends = curve.at_local(pieces, np.ones(len(pieces))).t
    starts = curve.at_local(pieces + 1, -np.ones(len(pieces))).t
    turn = np.linalg.norm(ends - starts, axis=1)  # about the angle, when small
    inner = curve.s_breaks[1:-1][turn > CORNER]
    return np.concatenate([[0.0], inner, [curve.length]])


def edge_of(spline):
    """A `Part.Edge` of one SplineCurve."""
    return spline.to_part().toShape()


def wire_of(splines):
    """A `Part.Wire` of SplineCurves that follow one another."""
    return Part.Wire([edge_of(s) for s in splines])


def surface_of(degree_u, degree_v, knots_u, knots_v, poles, weights=None):
    """A `Part.BSplineSurface` from flat knot vectors and a pole grid.

    Parameters
    ----------
    degree_u, degree_v : int
    knots_u, knots_v : (nu + degree_u + 1,), (nv + degree_v + 1,)
    poles : (nu, nv, 3) mm
    weights : (nu, nv), optional
    """
    u, mult_u = np.unique(knots_u, return_counts=True)
    v, mult_v = np.unique(knots_v, return_counts=True)
    rows = [[Vector(*p) for p in row] for row in np.asarray(poles).tolist()]
    arguments = [
        rows,
        mult_u.tolist(),
        mult_v.tolist(),
        u.tolist(),
        v.tolist(),
        False,
        False,
        int(degree_u),
        int(degree_v),
    ]
    if weights is not None:
        arguments.append(np.asarray(weights).tolist())
    surface = Part.BSplineSurface()
    surface.buildFromPolesMultsKnots(*arguments)
    return surface


def face_of(patch):
    """A `Part.Face` of anything with degrees, flat knots, poles and perhaps weights."""
    return surface_of(
        patch.degree_u,
        patch.degree_v,
        patch.knots_u,
        patch.knots_v,
        patch.poles,
        getattr(patch, "weights", None),
    ).toShape()
