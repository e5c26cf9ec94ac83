# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strake boundaries and stations as sketches in the three views."""

import numpy as np

from ..core.lineoff.nibs import nib_curves
from ..core.sections import sections_at
from ..host import shapes
from ..host.cache import Keyed, Results, digest
from ..host.sketches import VIEWS, fill_sketch
from .base import HIDDEN, PlanObject, Property, linked
from .line_off import LineOffObject, lineoff_of, nib_splines, seam_splines, surface_object_of
from .members import add_member, members_of
from .planked_surface import stations_of

__all__ = ["StrakeSketchesObject"]

_bodies = Results(8)


class StrakeSketchesObject(PlanObject):
    """Proxy of the three sketches of a line-off."""

    KIND = "StrakeSketches"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Sketches", "Line-off that is drawn"),
        Property("App::PropertyLinkListHidden", "Members", "Sketches", "The sketches", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        source = linked(obj, "LineOff", LineOffObject.KIND, "line-off")
        hull = lineoff_of(source).value.hull
        stations = stations_of(surface_object_of(source))
        parts = [*seam_splines(source).value, *nib_splines(source).value]
        seams = [spline for part in parts for spline in part]
        seams += shapes.fit_curve(hull.boundary, hull.frame)
        body = _body_plan(source, stations).value
        lines = _station_lines(hull, stations)
        drawn = {
            "Profile": (seams, lines["up"]),
            "Half-breadth": (seams, lines["transverse"]),
            "Body plan": (body, []),
        }
        there = members_of(obj)
        for view in VIEWS:
            sketch = there.get(view.name) or add_member(
                obj, "Sketcher::SketchObject", view.name, "Sketch", f"Strakes, {view.name.lower()}"
            )
            splines, straight = drawn[view.name]
            fill_sketch(sketch, view, hull.frame, splines, straight)


def _station_lines(hull, stations):
    """Stations as straight lines in the profile and the half-breadth.

    Returns
    -------
    dict of view axis -> list of (2, 3) arrays, model coordinates
    """
    low, high = _bounds(hull)
    lines = {"up": [], "transverse": []}
    for station in stations:
        x = float(hull.frame.to_ship_station(station.x))
        up = np.array([[x, 0.0, low[2]], [x, 0.0, high[2]]])
        across = np.array([[x, 0.0, 0.0], [x, high[1], 0.0]])
        lines["up"].append(hull.frame.points_to_model(up))
        lines["transverse"].append(hull.frame.points_to_model(across))
    return lines


def _bounds(hull):
    """Least and greatest ship coordinates of the planked surface, (3,) each, with a margin."""
    edges = np.concatenate([hull.sheer.sample(200).p, hull.boundary.sample(400).p])
    low, high = edges.min(axis=0), edges.max(axis=0)
    high[1] = max(high[1], hull.greatest_half_breadth[1])
    margin = 0.02 * (high[0] - low[0])
    return low - margin, high + margin


def _body_plan(source, stations):
    """Curves of the body plan: forebody on the modelled side, afterbody on the other.

    Seams and edges are cut at the plane of the greatest half-breadth; sections go to the side
    of the half they belong to.

    Returns
    -------
    Keyed of list of SplineCurve, model coordinates
    """
    lineoff = lineoff_of(source)
    key = digest(lineoff.key, tuple((s.name, s.x) for s in stations), "body plan")

    def make():
        hull = lineoff.value.hull
        frame = hull.frame
        middle = hull.greatest_half_breadth[0]
        splines = []
        seams = [part.curve for seam in lineoff.value.seams for part in seam.parts]
        for whole in (*seams, *nib_curves(lineoff.value)):
            for curve, aft in _halves(whole, middle):
                splines += shapes.fit_curve(curve, frame, mirrored=aft)
        x = [float(frame.to_ship_station(s.x)) for s in stations]
        for curve, aft in _halves(hull.boundary, middle):
            splines += shapes.fit_curve(curve, frame, mirrored=aft)
        sections = sections_at(hull, x)
        for k, here in enumerate(x):
            curve = sections.single(k)
            if here <= middle:
                splines += shapes.fit_curve(curve, frame)
            if here >= middle:
                splines += shapes.fit_curve(curve, frame, mirrored=True)
        return splines

    return Keyed(_bodies.get(key, make), key)


def _halves(curve, middle):
    """Stretches of a curve before and abaft a plane: (curve, whether abaft)."""
    cuts = curve.crossings(lambda uv, p: p[:, 0] - middle)
    # A stretch shorter than a millimetre is a curve that only touches the plane.
    ends = [0.0, *[s for s in cuts if 1.0 < s < curve.length - 1.0], curve.length]
    for start, end in zip(ends[:-1], ends[1:]):
        part = curve if len(ends) == 2 else curve.between(start, end)
        halfway = part.sample(3).p[1, 0]
        yield part, bool(halfway > middle)
