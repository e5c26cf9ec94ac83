# SPDX-License-Identifier: LGPL-2.1-or-later
"""Graded belts, belts by widths at stations, parallel belts between lines, numbers by a limit.

Girths are taken by chords of sections followed with Newton's method on the patch (see
test_lineoff_division), widths by chords across the hull.
"""

import demoplan
import numpy as np
import pytest
from test_lineoff_division import girths, places

from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.belts import EqualBelt, GradedBelt, ParallelBelt, StationBelt
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.planks.shape import plank_shapes


def line(share=0.65):
    hull = demoplan.demo_hull()
    return taut_between_ends(hull, hull.stem_length * share, hull.stern_length * share)


def breadths(plan, x, count):
    """Girthwise breadths (m, count) of the first strakes on the sections at x (m,)."""
    g = girths(plan.hull.patch, x, places(plan, x, count))
    return np.diff(g, axis=1, prepend=0.0)


def filled(plan, thickness=25.0):
    """Share by which the planks' volume misses the layer's."""
    volume = sum(shape.volume for shape in plank_shapes(plan, thickness))
    return volume / demoplan.layer_volume(plan.hull, thickness) - 1.0


def test_graded_strakes_keep_their_proportion():
    weights = (1.3, 1.1, *[1.0] * 9, 1.2)
    plan = line_off(demoplan.demo_hull(), [GradedBelt(weights, line()), ParallelBelt(90.0)])
    x = np.linspace(*plan.exact_range, 15)
    b = breadths(plan, x, len(weights))
    want = np.array(weights) / sum(weights) * b.sum(axis=1, keepdims=True)
    off, gap = np.abs(b - want).max(), filled(plan)
    print(f"graded: breadths {b[7].round(1)}, off by {off:.1e} mm; planks fill the layer to {gap:.1e}")
    assert off < 0.01 and abs(gap) < 1e-6
    assert [s.rule for s in plan.strakes[:12]] == ["graded"] * 12


def test_widths_given_at_stations():
    """At the stations the given proportion, between them fair: no jump of slope or curvature."""
    hull = demoplan.demo_hull()
    rows = np.array([[80.0] * 12, [110.0] + [90.0] * 11, [100.0] * 6 + [85.0] * 6])
    at = (2600.0, 5200.0, 8600.0)
    belt = StationBelt(at, rows, line(), stern=tuple(np.linspace(70.0, 50.0, 12)))
    plan = line_off(hull, [belt, ParallelBelt(90.0)])
    x = hull.frame.to_ship_station(np.array(at))
    b = breadths(plan, x, 12)
    want = rows / rows.sum(axis=1, keepdims=True) * b.sum(axis=1, keepdims=True)
    off = np.abs(b - want).max()
    stern = np.diff([hull.boundary.length - s.parts[0].s_aft for s in plan.seams[:13]])
    off_stern = np.abs(stern - np.linspace(70.0, 50.0, 12) / np.linspace(70.0, 50.0, 12).sum() * stern.sum()).max()
    kappa = [seam.parts[0].curve.sample(2000).kappa_g for seam in plan.seams[1:13]]
    jump = max(np.abs(np.diff(k)).max() for k in kappa)
    print(f"by widths: off by {off:.1e} mm at the stations, {off_stern:.1e} at the stern; edgewise curvature "
          f"changes by {jump:.1e} /mm in 6 mm at most; fills the layer to {filled(plan):.1e}")  # fmt: skip
    assert off < 0.01 and off_stern < 0.01 and jump < 1e-5 and abs(filled(plan)) < 1e-6


def test_the_number_by_the_greatest_width():
    """The least number whose greatest strake keeps below the limit: one less would not."""
    hull, limit = demoplan.demo_hull(), 92.0
    plan = line_off(hull, [EqualBelt(None, line(), limit), ParallelBelt(90.0)])
    count = plan.belts[0].count
    low, high = (line().curve.points([0.0, line().curve.length])[:, 0])
    x = np.linspace(low, high, 402)[20:-20]
    greatest = girths(hull.patch, x, places(plan, x, count)[:, -1:]).max()
    print(f"girth {greatest:.1f} mm, limit {limit}: {count} strakes of {greatest / count:.2f}; "
          f"{count - 1} would be {greatest / (count - 1):.2f}")  # fmt: skip
    assert greatest / count <= limit < greatest / (count - 1)


def across(plan, first, last, n=9):
    """Distances over the hull, square to one seam, to another: (n,) by chords of 400 parts.

    Brought to the shortest by trying feet: the least length of straight courses in (u, v),
    corrected by the sagitta of their geodesic, is the distance to better than 0.01 mm here.
    """
    a, b = plan.seams[first].parts[0].curve, plan.seams[last].parts[0].curve
    out = []
    for s in np.linspace(0.2, 0.8, n) * a.length:
        c = a.at([s])
        t = np.linspace(0.0, b.length, 4001)
        near = t[np.argmin(np.linalg.norm(b.points(t) - c.p[0], axis=1))]
        t = np.linspace(near - 20.0, near + 20.0, 81)
        ends = b.uv(t)
        share = np.linspace(0.0, 1.0, 401)[:, None, None]
        uv = (1.0 - share) * c.uv[0] + share * ends
        p = plan.hull.patch.points(uv[..., 0].ravel(), uv[..., 1].ravel()).reshape(401, 81, 3)
        lengths = np.linalg.norm(np.diff(p, axis=0), axis=2).sum(axis=0)
        k = int(np.argmin(lengths))
        fit = np.polyfit(t[k - 3 : k + 4] - t[k], lengths[k - 3 : k + 4], 2)
        out.append(fit[2] - 0.25 * fit[1] ** 2 / fit[0])
    return np.array(out)


@pytest.mark.parametrize("case", ["below the sheer", "above the line"])
def test_parallel_strakes_between_lines(case):
    hull = demoplan.demo_hull()
    if case == "below the sheer":
        belts = [ParallelBelt(110.0, count=2), EqualBelt(11, line()), ParallelBelt(90.0)]
        pairs, width = ((0, 1), (1, 2)), 110.0
    else:
        belts = [EqualBelt(10, None), ParallelBelt(60.0, count=3, lower=line()), ParallelBelt(90.0)]
        pairs, width = ((12, 13), (11, 12), (10, 11)), 60.0
    plan = line_off(hull, belts)
    off = max(np.abs(across(plan, *pair) - width).max() for pair in pairs)
    print(f"{case}: {len(plan.strakes)} strakes, width off by {off:.4f} mm, fills the layer to {filled(plan):.1e}")
    assert off < 0.02 and abs(filled(plan)) < 1e-6


def refused(make, *words):
    with pytest.raises(PlanError) as caught:
        make()
    print(caught.value)
    for word in words:
        assert word in str(caught.value)


def test_belts_that_cannot_be():
    hull = demoplan.demo_hull()
    refused(lambda: GradedBelt((1.0, 0.0), line()), "weight")
    refused(lambda: GradedBelt((), line()), "strakes")
    refused(lambda: EqualBelt(None, line()), "width")
    refused(lambda: EqualBelt(12, line(), 90.0), "both")
    refused(lambda: StationBelt((2000.0,), [[90.0] * 3, [80.0] * 3], line()), "stations")
    refused(lambda: StationBelt((2000.0, 2000.0), [[90.0] * 3] * 2, line()), "same")
    refused(lambda: StationBelt((2000.0,), [[90.0, -1.0]], line()), "above 0")
    refused(lambda: StationBelt((2000.0,), [[90.0] * 3], line(), stem=(1.0, 2.0)), "stem")
    refused(lambda: line_off(hull, [StationBelt((-9e5,), [[90.0] * 3], line())]), "no station")
    refused(lambda: line_off(hull, [EqualBelt(5, None)]), "no lower line")
    refused(lambda: line_off(hull, [EqualBelt(5, line()), ParallelBelt(60.0, count=2, lower=line(0.7))]), "two lines")
    refused(lambda: ParallelBelt(60.0, lower=line()), "number")
    refused(lambda: line_off(hull, [ParallelBelt(60.0, count=2, lower=line())]), "no divided belt")
    refused(lambda: line_off(hull, [ParallelBelt(count=2), EqualBelt(9, line())]), "no width")
    refused(lambda: line_off(hull, [ParallelBelt(400.0, count=6), EqualBelt(9, line())]), "stem to stern")
