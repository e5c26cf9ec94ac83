# SPDX-License-Identifier: LGPL-2.1-or-later
"""Parallel lines on full hulls: geodesics that leave the planking are not followed round the ends."""

import hulls
import line_conditions
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.parallel import clipped_parallels, parallel_line
from strakeplan.core.lines.taut import taut_line
from strakeplan.core.surface import SurfaceSettings, planked_surface


def very_full(scale=1.0):
    """A short, full hull whose continuation past the stem runs wild."""
    patch = hulls.lofted(length=5435.57, beam=1907.09, stern=0.3, rake=(991.99, 63.53))
    hull = planked_surface(patch.transformed(np.eye(3) * scale), SurfaceSettings(half_siding=21.5 * scale))
    marks = [Mark(edge=edge, share=0.682) for edge in ("stem", "stern")]
    return hull, taut_line(hull, marks, look_for_others=False)


@pytest.mark.parametrize("scale", [1.0, 0.1])
def test_parallels_that_leave_over_the_stem_do_not_come_back(scale):
    """Every part runs from fore aft, lies under the one above it, and keeps its distance."""
    hull, base = very_full(scale)
    width = 120.0 * scale
    found = clipped_parallels(hull, base.curve, width * np.arange(1, 6))
    assert all(found[:4])
    worst, fore = 0.0, base.s_bow
    for k, parts in enumerate(found, start=1):
        for curve, s_fore, s_aft in parts:
            assert s_fore is not None and fore < s_fore < s_aft
            fore = s_fore
            p = curve.at(np.linspace(0.0, curve.length, 7)[1:-1])
            near = line_conditions.nearest(base.curve, p.p)
            for uv, s in zip(p.uv, near):
                told = line_conditions.shortest(hull.patch, uv, base.curve, s)
                if np.isfinite(told):
                    worst = max(worst, abs(told - k * width))
    print(f"scale {scale}: {[len(parts) for parts in found]} parts; distances off by {worst / scale:.1e} mm at full size")
    assert worst < 1e-4 * scale


@pytest.mark.parametrize("distance", [-700.0, -350.0, 200.0, 450.0])
def test_elements_are_as_short_as_the_ends_of_a_full_hull_ask_for(distance):
    """No corners where elements meet, told error small, distance kept."""
    hull, base = very_full()
    line = parallel_line(hull, base, distance)
    figures = line_conditions.parallel(hull, line, base, distance, count=9)
    print(f"{distance} mm: shares of the limits {({k: f'{v:.2g}' for k, v in figures.items()})}; {line.notes[0]}")


def test_far_parallels_end_in_a_line_or_in_words():
    hull, base = very_full()
    for distance in (-3000.0, -1500.0, 1500.0, 3000.0):
        try:
            line = parallel_line(hull, base, distance)
        except PlanError as error:
            print(error)
            line_conditions.refusal(error)
        else:
            line_conditions.parallel(hull, line, base, distance)
            print(f"{distance:.0f} mm: {line.notes[0]}")
