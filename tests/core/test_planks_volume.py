# SPDX-License-Identifier: LGPL-2.1-or-later
"""The planks fill the layer: volumes against the exact layer volume and closed forms.

Exact layer: integral of t - H t^2 + K t^3/3 over the planking with the normal into the layer
(J. Steiner's formula), by Green's theorem over the boundary; see `demoplan.layer_volume`.
"""

import demoplan
import numpy as np
import pytest

from strakeplan.core.planks.shape import mirrored, plank_shapes
from strakeplan.core.planks.volume import enclosed_volume
from strakeplan.core.spline.patch import SplinePatch

CASES = {
    "32 outside": ({}, 32.0, "outside"),
    "32 inside": ({}, 32.0, "inside"),
    "45 inside, 7 strakes, siding 80": (dict(count=7, half_siding=80.0), 45.0, "inside"),
    "6 outside, 12 wide, siding 30": (dict(count=12, width=170.0, half_siding=30.0), 6.0, "outside"),
    "20 outside, low line, siding 5": (dict(count=9, share=0.9, half_siding=5.0), 20.0, "outside"),
}


@pytest.mark.parametrize("case", CASES)
def test_planks_fill_the_layer(case):
    plan_of, thickness, layer = CASES[case]
    plan = demoplan.demo_plan(**plan_of)
    if plan_of:
        shapes = plank_shapes(plan, thickness, layer)
    else:
        shapes = demoplan.demo_shapes(thickness, layer)
    want = demoplan.layer_volume(plan.hull, thickness if layer == "outside" else -thickness)
    volumes = np.array([s.volume for s in shapes])
    off = volumes.sum() / want - 1.0
    stray = max(s.deviation for s in shapes)
    print(f"{case}: {len(shapes)} planks, {volumes.sum() / 1e9:.6f} m3, layer {want / 1e9:.6f} m3, "
          f"off by {off:.1e}; smallest {volumes.min() / 1e3:.0f} cm3; faces stray {stray:.4f} mm")  # fmt: skip
    assert abs(off) < 1e-5 and volumes.min() > 0.0 and stray < 0.01


def test_planks_fill_the_layer_where_the_rabbet_cuts_strakes():
    plan = demoplan.cut_plan()
    shapes = demoplan.cut_shapes()
    want = demoplan.layer_volume(plan.hull, 24.0)
    off = sum(s.volume for s in shapes) / want - 1.0
    parts = [s.name for s in shapes if s.part]
    print(f"two bellies: {len(shapes)} planks, off by {off:.1e}; {parts}")
    assert abs(off) < 1e-5 and len(parts) == 2


def test_the_exact_layer_itself_has_converged():
    """The yardstick: twice the points round the boundary change nothing."""
    hull = demoplan.demo_hull()
    coarse, fine = (demoplan.layer_volume(hull, 32.0, points) for points in (14, 28))
    print(f"layer volume with 14 and 28 points a piece: apart {abs(fine / coarse - 1):.1e}")
    assert abs(fine / coarse - 1.0) < 1e-9


def test_both_sides_have_the_same_volumes():
    hull = demoplan.demo_hull()
    worst = 0.0
    for shape in demoplan.demo_shapes():
        other = mirrored(hull, shape)
        assert other.side != shape.side and (other.strake, other.part) == (shape.strake, shape.part)
        worst = max(worst, abs(other.volume / shape.volume - 1.0))
    print(f"port and starboard: {shape.name} and {other.name}; volumes apart {worst:.1e}")
    assert worst < 1e-12


# --- the volume of faces itself ------------------------------------------------------------------
def box(a, b, c, at):
    """Six bilinear faces of a block, normals outward."""
    corner = np.array(at) + np.array([[i * a, j * b, k * c] for i in (0, 1) for j in (0, 1) for k in (0, 1)])
    quads = [(0, 1, 2, 3), (4, 6, 5, 7), (0, 4, 1, 5), (2, 3, 6, 7), (0, 2, 4, 6), (1, 5, 3, 7)]
    knots = np.array([0.0, 0.0, 1.0, 1.0])
    return [SplinePatch(1, 1, knots, knots, corner[list(q)].reshape(2, 2, 3).swapaxes(0, 1)) for q in quads]


def test_volume_of_a_block_far_from_the_origin():
    got = enclosed_volume(box(2000.0, 90.0, 32.0, (1e6, -3e5, 5e5)))
    print(f"block of 2000 x 90 x 32 mm a kilometre off: {got:.6f} mm3")
    assert abs(got / (2000.0 * 90.0 * 32.0) - 1.0) < 1e-9
