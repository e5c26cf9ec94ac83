# SPDX-License-Identifier: LGPL-2.1-or-later
"""Core curves as edges of the host: through true points, near the true curve, few poles."""

import math

import FreeCAD
import numpy as np
import Part
import pytest
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface
from strakeplan.host import shapes
from strakeplan.host.cache import Results, digest
from strakeplan.host.sheets import cell_name, fill_sheet
from strakeplan.host.sketches import VIEWS, fill_sketch, view_placement


@pytest.fixture(scope="module")
def hull():
    patch = SplinePatch(*demo_patch_data())
    return planked_surface(patch, SurfaceSettings(name="Marram", half_siding=37.5))


def _distance(edge, points):
    return max(edge.distToShape(Part.Vertex(Vector(*p)))[0] for p in points)


def test_circle_is_followed_to_the_aim():
    # a circle of radius R by arc length: (R cos s/R, R sin s/R)
    radius = 2000.0
    spline = shapes.fit_points(
        lambda s: np.stack([radius * np.cos(s / radius), radius * np.sin(s / radius), 0 * s], 1),
        lambda s: np.stack([-np.sin(s / radius), np.cos(s / radius), 0 * s], 1),
        0.0,
        radius * math.pi,
    )
    s = np.linspace(0, radius * math.pi, 3001)
    points = np.array([tuple(spline.to_part().value(t)) for t in s])
    off = np.abs(np.linalg.norm(points, axis=1) - radius).max()
    print(f"{len(spline.poles)} poles, {off:.4f} mm off the circle, said to be {spline.deviation:.4f}")
    assert off <= shapes.AIM and spline.deviation <= shapes.AIM
    assert len(spline.poles) < 40


@pytest.mark.parametrize("which", ["sheer", "boundary", "taut line"])
def test_lines_of_the_hull(hull, which):
    if which == "taut line":
        curve = taut_between_ends(hull, 1050, 950).curve
    else:
        curve = getattr(hull, which)
    splines = shapes.fit_curve(curve, hull.frame)
    wire = shapes.wire_of(splines)
    off = _distance(wire, hull.frame.points_to_model(curve.sample(777).p))
    poles = sum(len(s.poles) for s in splines)
    print(f"{which}: {len(splines)} splines, {poles} poles, {off:.4f} mm off the true curve")
    assert off < 0.1
    assert off <= shapes.AIM + 1e-6
    assert abs(wire.Length - curve.length) < 1e-3


def test_mirrored_line_is_on_the_other_side(hull):
    here = shapes.wire_of(shapes.fit_curve(hull.sheer, hull.frame))
    there = shapes.wire_of(shapes.fit_curve(hull.sheer, hull.frame, mirrored=True))
    mirror = here.mirror(Vector(), Vector(0, 1, 0))
    points = [tuple(p) for p in mirror.Wires[0].discretize(200)]
    off = _distance(there, points)
    print(f"mirrored sheer: {off:.1e} mm off the host's own mirror image")
    assert off < 1e-6


def test_a_gap_is_refused_with_its_place():
    """A curve that jumps by a millimetre cannot be drawn as one spline."""
    with pytest.raises(PlanError) as caught:
        shapes.fit_points(
            lambda s: np.stack([s, 1.0 * (s > 333.3), 0 * s], 1),
            lambda s: np.stack([1 + 0 * s, 0 * s, 0 * s], 1),
            0.0,
            1000.0,
        )
    print(caught.value)
    assert "333 mm" in caught.value.where


def test_sketches_read_the_models_own_coordinates(hull, document):
    curve = hull.sheer
    splines = shapes.fit_curve(curve, hull.frame)
    truth = hull.frame.points_to_model(curve.sample(300).p)
    for view in VIEWS:
        sketch = document.addObject("Sketcher::SketchObject", "View")
        ends = np.array([[1000.0, 0.0, -500.0], [1000.0, 800.0, 500.0]])
        fill_sketch(sketch, view, hull.frame, splines, [ends])
        document.recompute()
        assert sketch.State == ["Up-to-date"] and sketch.solve() == 0
        assert sketch.Placement == view_placement(view, hull.frame)
        back = sketch.Placement.inverse()
        flat = [back.multVec(Vector(*p)) for p in truth]
        shape = Part.Wire([g.toShape() for g in sketch.Geometry[: len(splines)]])
        off = _distance(shape, [(p.x, p.y, 0.0) for p in flat])
        print(f"{view.name}: {off:.4f} mm off, {len(sketch.Constraints)} constraints, "
              f"{sketch.GeometryCount} curves")  # fmt: skip
        assert off <= shapes.AIM + 1e-6
        assert len(sketch.Constraints) == sketch.GeometryCount
        assert sketch.getConstruction(len(splines)) and not sketch.getConstruction(0)
        # filled again, it holds the same and not twice as much
        count = sketch.GeometryCount
        fill_sketch(sketch, view, hull.frame, splines, [ends])
        assert sketch.GeometryCount == count


def test_sheet_keeps_texts_as_texts(document):
    sheet = document.addObject("Spreadsheet::Sheet", "Sheet")
    fill_sheet(sheet, ["Seam", "mm"], [["6' 2 1/2\"", 12.5], ["=1+1", None], ["3 mm", 7]], [None, "mm"])
    document.recompute()
    assert sheet.get("A2") == "6' 2 1/2\"" and sheet.get("A3") == "=1+1" and sheet.get("A4") == "3 mm"
    assert sheet.get("B2") == FreeCAD.Units.Quantity("12.5 mm")
    fill_sheet(sheet, ["Only"], [])
    document.recompute()
    with pytest.raises(ValueError):
        sheet.get("A2")


def test_cell_names():
    assert [cell_name(0, c) for c in (0, 25, 26, 51, 52, 701, 702)] == [
        "A1", "Z1", "AA1", "AZ1", "BA1", "ZZ1", "AAA1",
    ]  # fmt: skip


def test_digest_tells_unlike_content_apart():
    a = np.arange(6.0)
    keys = {
        digest(a), digest(a.reshape(2, 3)), digest(a + 1e-12), digest(a.tolist()), digest(1),
        digest(1.0), digest(True), digest("1"), digest(None), digest((1, 2), 3), digest(1, (2, 3)),
    }  # fmt: skip
    assert len(keys) == 11
    assert digest(a, "x", {"k": 1}) == digest(a.copy(), "x", {"k": 1})
    with pytest.raises(TypeError):
        digest(object())


def test_results_are_made_once_and_faults_are_not_kept():
    results, calls = Results(2), []

    def make(value):
        def call():
            calls.append(value)
            if value == "bad":
                raise PlanError("bad")
            return value

        return call

    assert results.get("a", make("a")) == results.get("a", make("a")) == "a"
    for _ in range(2):
        with pytest.raises(PlanError):
            results.get("b", make("bad"))
    results.get("c", make("c"))
    results.get("d", make("d"))  # pushes out a
    results.get("a", make("a"))
    print(calls)
    assert calls == ["a", "bad", "bad", "c", "d", "a"]
