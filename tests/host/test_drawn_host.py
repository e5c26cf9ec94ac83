# SPDX-License-Identifier: LGPL-2.1-or-later
"""Edges, wires and sketches of the host as drawn lines on the demonstration hull."""

import sys
from functools import lru_cache
from pathlib import Path

import FreeCAD
import numpy as np
import Part
import pytest
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.drawn import DrawnPiece, drawn_line
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface
from strakeplan.host.drawn import pieces_of_object, pieces_of_shape
from strakeplan.host.shapes import fit_curve, wire_of

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "examples"))
from demo_hull import demo_patch_data  # noqa: E402

POSITION = 1e-6  # mm


@lru_cache(maxsize=None)
def hull():
    return planked_surface(SplinePatch(*demo_patch_data()), SurfaceSettings(half_siding=60.0, name="Marram"))


def spline_edge():
    """An interpolated spline in the centreplane with four inner knots."""
    curve = Part.BSplineCurve()
    heights = [(-300, 620), (2000, 420), (4500, 330), (7000, 330), (9500, 410), (11500, 560)]
    curve.interpolate([Vector(x, 0, z) for x, z in heights])
    return curve.toShape()


def off_height(line, height):
    c = line.curve.sample(1201)
    return np.abs(c.p[:, 2] - height(c.p[:, 0])).max()


def test_spline_edge_in_profile():
    edge = spline_edge()
    pieces = pieces_of_shape(edge, "the spline")
    line = drawn_line(hull(), pieces, "profile")
    curve = edge.Curve
    c = line.curve.sample(301)
    # the host's own projection of every place back on to the drawn edge, in the centreplane
    away = max(curve.value(curve.parameter(p)).distanceToPoint(p) for p in (Vector(x, 0, z) for x, _, z in c.p.tolist()))
    print(f"{len(pieces)} edge, broken at {len(pieces[0].breaks) - 2} knots; {line.curve.pieces} elements; "
          f"off the extruded edge {away:.1e} mm; stated {line.error_position:.1e}")
    assert len(pieces) == 1 and len(pieces[0].breaks) == 6
    assert away < POSITION and line.error_position < POSITION
    assert not line.corners


def test_part_of_a_spline_uses_its_own_range():
    whole = spline_edge()
    lo, hi = whole.ParameterRange
    parts = [whole.Curve.toShape(lo, 0.37 * hi), whole.Curve.toShape(0.37 * hi, hi)]
    one = drawn_line(hull(), pieces_of_shape(whole), "profile")
    two = drawn_line(hull(), pieces_of_shape(Part.Compound(parts[::-1])), "profile")
    s = np.linspace(0.0, 1.0, 101)
    away = np.linalg.norm(one.curve.points(s * one.curve.length) - two.curve.points(s * two.curve.length), axis=1).max()
    print(f"in two parts, out of order: {away:.1e} mm off")
    assert away < POSITION


def test_periodic_spline_is_broken_at_the_knots_of_its_range():
    curve = Part.BSplineCurve()
    curve.interpolate([Vector(0, 0, 0), Vector(1, 2, 0), Vector(3, 1, 0), Vector(2, -2, 0)], True)
    period = curve.LastParameter - curve.FirstParameter
    knots = np.array(curve.getKnots())
    edge = curve.toShape(knots[2] + 0.1, knots[1] + period + 0.1)
    breaks = pieces_of_shape(edge)[0].breaks
    print(f"knots {knots.round(3)}, edge from {edge.ParameterRange}, breaks {np.round(breaks, 3)}")
    expected = [knots[3], knots[4], knots[1] + period]
    assert np.allclose(breaks[1:-1], expected, atol=1e-12)


def test_sketch_in_profile(document):
    """A polyline and an arc-free corner, a construction line that is no part of it."""
    sketch = document.addObject("Sketcher::SketchObject", "Line")
    sketch.Placement = FreeCAD.Placement(Vector(0, 0, 0), FreeCAD.Rotation(Vector(1, 0, 0), 90))  # x aft, y up
    a, b, c = Vector(-300, 520, 0), Vector(5200, 310, 0), Vector(11500, 520, 0)
    sketch.addGeometry(Part.LineSegment(c, b))
    sketch.addGeometry(Part.LineSegment(a, b))
    sketch.addGeometry(Part.LineSegment(Vector(0, 0, 0), Vector(5000, 900, 0)), True)
    document.recompute()
    line = drawn_line(hull(), pieces_of_object(sketch), "profile")
    away = off_height(line, lambda x: np.interp(x, [-300, 5200, 11500], [520, 310, 520]))
    print(f"off {away:.1e} mm; {line.notes}")
    assert away < POSITION and len(line.corners) == 1


def test_arc_in_a_sketch(document):
    sketch = document.addObject("Sketcher::SketchObject", "Arc")
    sketch.Placement = FreeCAD.Placement(Vector(0, 0, 0), FreeCAD.Rotation(Vector(1, 0, 0), 90))
    radius, middle = 90000.0, (5500.0, 90330.0)
    circle = Part.Circle(Vector(*middle, 0), Vector(0, 0, 1), radius)
    half = 5900.0 / radius
    sketch.addGeometry(Part.ArcOfCircle(circle, 1.5 * np.pi - half, 1.5 * np.pi + half))
    document.recompute()
    line = drawn_line(hull(), pieces_of_object(sketch), "profile")
    c = line.curve.sample(801)
    away = np.abs(np.hypot(c.p[:, 0] - middle[0], c.p[:, 2] - middle[1]) - radius).max()
    print(f"arc of {radius:g} mm: off {away:.1e} mm, {line.curve.pieces} elements")
    assert away < POSITION


def test_placements_of_object_and_container_count(document):
    feature = document.addObject("Part::Feature", "Edge")
    feature.Shape = spline_edge()
    feature.Placement = FreeCAD.Placement(Vector(0, 0, -35), FreeCAD.Rotation())
    plain = drawn_line(hull(), pieces_of_object(feature), "profile")
    part = document.addObject("App::Part", "Part")
    part.addObject(feature)
    part.Placement = FreeCAD.Placement(Vector(0, 0, 35), FreeCAD.Rotation())
    document.recompute()
    moved = drawn_line(hull(), pieces_of_object(feature), "profile")
    direct = drawn_line(hull(), pieces_of_shape(spline_edge()), "profile")
    print(f"length direct {direct.curve.length:.9f}, lowered 35 mm {plain.curve.length:.9f}, raised again {moved.curve.length:.9f}")
    assert abs(moved.curve.length - direct.curve.length) < POSITION
    assert abs(plain.curve.length - direct.curve.length) > 1.0


def test_taut_line_as_the_host_stores_it_along_the_normal():
    """The wire made of a taut line is within its stated hundredth of a millimetre; laid on it comes back so."""
    taut = taut_between_ends(hull(), 800.0, 900.0)
    line = drawn_line(hull(), pieces_of_shape(wire_of(fit_curve(taut.curve))))
    s = np.linspace(0.0, 1.0, 101)
    away = np.linalg.norm(line.curve.points(s * line.curve.length) - taut.curve.points(s * taut.curve.length), axis=1).max()
    print(f"moved {line.moved:.5f} mm, off the taut line {away:.5f} mm, stated {line.error_position:.1e}; {line.curve.pieces} elements")
    assert line.moved < 0.01 and away < 0.02


def test_smooth_edge_lifted_off_comes_back():
    """A host edge 20 mm above the hull along its normals: the drawn points are the host's."""
    taut = taut_between_ends(hull(), 800.0, 900.0)
    c = taut.curve.sample(241)  # the spline through them departs by less than 1e-3 mm
    curve = Part.BSplineCurve()
    curve.interpolate([Vector(*p) for p in (c.p + 20.0 * c.n).tolist()])
    line = drawn_line(hull(), pieces_of_shape(curve.toShape()))
    at = line.curve.sample(121)
    print(f"moved {line.moved_least:.5f} to {line.moved:.5f} mm (20 wanted), stated {line.error_position:.1e}")
    assert abs(line.moved - 20.0) < 2e-3 and abs(line.moved_least - 20.0) < 2e-3
    feet = [curve.value(curve.parameter(Vector(*p))) for p in at.p.tolist()]
    across = np.array([tuple(f) for f in feet]) - at.p
    tilt = np.abs(np.einsum("ij,ij->i", across, at.t)).max()
    print(f"its nearest points lie square to the line to {tilt:.1e} mm")
    assert tilt < 1e-2


@pytest.mark.parametrize("shape, says", [
    (Part.Shape(), "no edge"),
    (Part.Vertex(0, 0, 0), "no edge"),
    (Part.makeBox(1, 1, 1), "has faces"),
])  # fmt: skip
def test_shapes_that_are_no_line(shape, says):
    with pytest.raises(PlanError) as caught:
        pieces_of_shape(shape, "the thing")
    print(caught.value)
    assert says in str(caught.value) and "the thing" in str(caught.value).lower() and caught.value.remedy


def test_chosen_edges_of_a_solid(document):
    """Edges are chosen by name; a wrong name is told."""
    box = document.addObject("Part::Box", "Box")
    document.recompute()
    assert len(pieces_of_object(box, ["Edge1", "Edge3"])) == 2
    for sub in ("Edge13", "Face1", "Edge0"):
        with pytest.raises(PlanError) as caught:
            pieces_of_object(box, [sub])
        print(caught.value)
        assert sub in str(caught.value) and "12" in str(caught.value)


def test_the_host_and_plain_points_agree():
    points = [(-500.0, 0.0, 500.0), (5000.0, 0.0, 300.0), (12000.0, 0.0, 500.0)]
    host = drawn_line(hull(), pieces_of_shape(Part.makePolygon([Vector(*p) for p in points])), "profile")
    plain = drawn_line(hull(), [DrawnPiece.polyline(points)], "profile")
    print(f"lengths differ by {host.curve.length - plain.curve.length:+.1e} mm")
    assert abs(host.curve.length - plain.curve.length) < POSITION
