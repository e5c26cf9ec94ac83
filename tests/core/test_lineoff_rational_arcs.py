# SPDX-License-Identifier: LGPL-2.1-or-later
"""Hulls of circular arcs: knots of full multiplicity must not spoil what crosses them.

Tolerances are those of any other hull. `bilge_arcs` has its double knots lengthwise, crossed by
the taut line where it climbs from bilge to floor; `waterline_arcs` has one down the side.
"""

from functools import lru_cache

import archulls
import demoplan
import numpy as np
import pytest
from test_lineoff_division import girths, places
from test_lineoff_parallel import shortest

from strakeplan.core.planks.shape import plank_shapes
from strakeplan.core.surface import SurfaceSettings, planked_surface

HULLS = {
    "bilge arcs": (archulls.bilge_arcs, (0.50, 0.62), 6, 250.0),
    "waterline arcs": (archulls.waterline_arcs, (0.55, 0.55), 5, 150.0),
}


@lru_cache(maxsize=None)
def plan(case):
    build, share, count, width = HULLS[case]
    hull = planked_surface(build(), SurfaceSettings(half_siding=45.0, name=case))
    return demoplan.lined_off(hull, count, share, width, 500.0)


@lru_cache(maxsize=None)
def shapes(case):
    return plank_shapes(plan(case), 25.0)


@pytest.mark.parametrize("case", HULLS)
def test_the_arcs_are_arcs_and_their_knots_full(case):
    patch = plan(case).hull.patch
    way = 1 if case == "bilge arcs" else 0
    mult, degree = ((patch.mult_u, patch.degree_u), (patch.mult_v, patch.degree_v))[way]
    print(f"{case}: degree {degree}, multiplicities {mult}")
    assert patch.weights is not None and degree == 2 and (mult[1:-1] == degree).all() and len(mult) > 2


@pytest.mark.parametrize("case", HULLS)
def test_seams_cross_the_knot_lines(case):
    """Or there would be nothing to see here."""
    crossed = [seam.number for seam in plan(case).seams[1:] for part in seam.parts
               if len(part.curve.knot_crossings()[0]) and _crosses_full(part.curve)]  # fmt: skip
    print(f"{case}: seams {crossed} cross knot lines of full multiplicity")
    assert crossed


def _crosses_full(curve):
    _, way, line = curve.knot_crossings()
    mult = (curve.patch.mult_u, curve.patch.mult_v)
    degree = (curve.patch.degree_u, curve.patch.degree_v)
    return any(mult[w][k] >= degree[w] for w, k in zip(way, line))


@pytest.mark.parametrize("case", HULLS)
def test_division_is_equal(case):
    p = plan(case)
    count = p.belts[0].count
    lo, hi = p.exact_range
    x = np.sort(np.random.default_rng(9).uniform(lo + 1.0, hi - 1.0, 60))
    # chords lose digits over corners of the parameters: many of them
    g = girths(p.hull.patch, x, places(p, x, count), 4000)
    worst = np.abs(g - np.arange(1, count + 1) / count * g[:, -1:]).max()
    print(f"{case}: {count} strakes, 60 sections: off by {worst:.1e} mm")
    assert worst < 0.01


@pytest.mark.parametrize("case", HULLS)
def test_parallel_distance_is_constant(case):
    p = plan(case)
    count = p.belts[0].count
    base = p.seams[count].parts[0].curve
    worst = 0.0
    for below in (1, 2):
        c = p.seams[count + below].parts[0].curve.sample(16)
        _, near = demoplan.distance_to(base, c.p, 800)
        keep = (near > 0.05 * base.length) & (near < 0.95 * base.length)
        for uv, s in zip(c.uv[keep], near[keep]):
            worst = max(worst, abs(shortest(base.patch, uv, base, s)[0] - below * p.parallel_width))
    print(f"{case}: distance off by {worst:.1e} mm")
    assert worst < 1e-5


@pytest.mark.parametrize("case", HULLS)
def test_planks_fill_the_layer(case):
    p, some = plan(case), shapes(case)
    want = demoplan.layer_volume(p.hull, 25.0)
    off = sum(s.volume for s in some) / want - 1.0
    strays = np.array([s.deviation for s in some])
    print(f"{case}: {len(some)} planks, volume off by {off:.1e}; faces stray {strays.max():.4f} mm, "
          f"{int((strays > 0.01).sum())} of them more than 0.01")  # fmt: skip
    assert abs(off) < 1e-5


@pytest.mark.parametrize("case", HULLS)
def test_faces_keep_to_the_hull(case):
    strays = np.array([s.deviation for s in shapes(case)])
    print(f"{case}: faces stray {np.round(strays, 4).tolist()} mm")
    assert strays.max() < 0.01
