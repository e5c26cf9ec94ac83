# SPDX-License-Identifier: LGPL-2.1-or-later
"""Layers that cannot be laid on the hull: refused with the place, checked against the curvature."""

import re

import demoplan
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.planks.checks import check_layer
from strakeplan.core.planks.shape import plank_shapes


def refused(plan, thickness, layer, *words):
    with pytest.raises(PlanError) as caught:
        plank_shapes(plan, thickness, layer)
    print(caught.value)
    assert caught.value.what and caught.value.remedy
    for word in words:
        assert word.lower() in str(caught.value).lower(), word
    return caught.value


@pytest.mark.parametrize("thickness", [0.0, -32.0, float("nan"), float("inf")])
def test_thicknesses_that_are_none(thickness):
    refused(demoplan.demo_plan(), thickness, "outside", "thickness")


@pytest.mark.parametrize("layer", ["", "under", "Outside", None, 1])
def test_unknown_layers(layer):
    refused(demoplan.demo_plan(), 32.0, layer, "outside or inside")


def tightest(hull, sign, per_span=40):
    """Tightest radius on one side of the planking by eigenvalues of the shape operator on a fine grid."""
    patch = hull.patch

    def fine(breaks):
        return np.unique(np.concatenate([np.linspace(a, b, per_span + 1) for a, b in zip(breaks, breaks[1:])]))

    u, v = (a.ravel() for a in np.meshgrid(fine(patch.breaks_u), fine(patch.breaks_v)))
    keep = hull.inside(u, v) >= 0.0
    border = [c.sample(4000).uv for c in (hull.boundary, hull.sheer)]
    uv = np.concatenate([np.stack([u[keep], v[keep]], axis=1)] + border)
    g = patch.geometry(*uv.T)
    first = np.stack([np.stack([g.E, g.F], -1), np.stack([g.F, g.G], -1)], -2)
    second = np.stack([np.stack([g.L, g.M], -1), np.stack([g.M, g.N], -1)], -2)
    kappa = np.linalg.eigvals(np.linalg.solve(first, second)).real * sign
    k = int(np.argmax(kappa.max(axis=1)))
    return 1.0 / kappa[k].max(), g.p[k], uv[k]


@pytest.mark.parametrize("layer", ["outside", "inside"])
def test_thickness_beyond_the_tightest_radius(layer):
    """The message names a place and a radius; both are looked up in the surface again."""
    plan = demoplan.demo_plan()
    hull = plan.hull
    radius, place, _ = tightest(hull, 1.0 if layer == "outside" else -1.0)
    error = refused(plan, 1.2 * radius, layer, "radius", hull.frame.side, "X =")
    told = float(re.search(r"radius on that side is ([\d.]+) mm", str(error)).group(1))
    at = np.array([float(x) for x in re.search(r"\((-?\d+), (-?\d+), (-?\d+)\)", str(error)).groups()])
    apart = np.linalg.norm(at - hull.frame.points_to_model(place))
    print(f"{layer}: tightest radius {radius:.1f} mm at {place.round(0)}, told {told} at {at}, {apart:.0f} mm away")
    assert abs(told / radius - 1.0) < 0.02
    assert apart < 100.0


def test_just_below_the_tightest_radius_passes_the_check():
    hull = demoplan.demo_hull()
    radius, _, _ = tightest(hull, 1.0)
    assert check_layer(hull, 0.9 * radius, "outside") == 0.9 * radius
    print(f"outside: {0.9 * radius:.1f} mm may be laid on a radius of {radius:.1f} mm")


@pytest.mark.parametrize("half_siding, thickness", [(20.0, 32.0), (5.0, 20.0), (60.0, 75.0)])
def test_planks_of_both_sides_must_not_run_into_each_other(half_siding, thickness):
    """Inside layers near stem and keel: half-breadth less what the normal takes away stays positive."""
    plan = demoplan.demo_plan(7, half_siding=half_siding)
    hull = plan.hull
    c = hull.boundary.sample(20000)
    y = c.p[:, 1] - thickness * c.n[:, 1]
    k = int(np.argmin(y))
    assert y[k] < 0.0
    error = refused(plan, thickness, "inside", "centreplane", "half siding", "X =")
    told = float(re.search(r"run ([\d.]+) mm over the centreplane", str(error)).group(1))
    x = float(re.search(r"X = (-?\d+) mm", str(error)).group(1))
    print(f"half siding {half_siding:.0f}: {-y[k]:.2f} mm over at x = {c.p[k, 0]:.0f}, told {told} at {x:.0f}")
    assert abs(told + y[k]) < 0.5
    near = np.abs(c.p[:, 0] - x) < 30.0
    assert y[near].min() < y[k] + 1.0


def test_enough_half_siding_passes():
    """The same thickness goes inside once the timbers are wide enough."""
    shapes = demoplan.demo_shapes(32.0, "inside")
    y = min(face.patch.points(*[a.ravel() for a in np.meshgrid(np.linspace(0, 1, 60), np.linspace(0, 1, 9))])[:, 1].min()
            for s in shapes for face in s.faces)  # fmt: skip
    print(f"32 mm inside a half siding of 60 mm: nearest to the centreplane {y:.1f} mm")
    assert y > 0.0
