# SPDX-License-Identifier: LGPL-2.1-or-later
"""Parallel seams: one distance all along, measured another way, and clipped by the rabbet.

The core sends off geodesics square to the line. Here the distance is that of the shortest
path: strings relaxed between fixed points (an energy made least, no integration), the near
end slid along the line until nothing shorter is found.
"""

from types import SimpleNamespace

import demoplan
import numpy as np
import pytest
import surfaces
from test_lineoff_division import girths, places

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.parallel import parallels
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.relax import end_pull
from strakeplan.core.planks.measure import measure_planks

EXACT = 1e-5  # mm, greatest change of distance along a seam
CLOSED = 1e-6  # mm, against closed forms


def shortest(patch, uv, base, s):
    """Least distance on the surface from a place (u, v) to a line: (mm, arc length on it)."""
    for _ in range(6):
        foot = base.at([s])
        path = geodesic_between(patch, uv, foot.uv[0], elements=4)
        along = float(end_pull(path, -1) @ foot.t[0])  # d(length)/ds
        s -= along * path.length  # exact on a plane
        if abs(along) < 1e-8:
            break
    assert abs(along) < 1e-8
    return path.length, s


def distances(plan, j, line, n):
    """Least distances from n places along seam j to the line, where the foot lies on it."""
    base = plan.seams[line].parts[0].curve
    out = []
    for part in plan.seams[j].parts:
        c = part.curve.sample(n + 2)
        _, near = demoplan.distance_to(base, c.p, 800)
        clear = 0.02 * base.length  # further out the line runs on past the stem or stern
        for uv, s in zip(c.uv[1:-1], near[1:-1]):
            if clear < s < base.length - clear:
                out.append(shortest(base.patch, uv, base, s)[0])
    return np.array(out)


@pytest.mark.parametrize("below", [1, 4, 7, 10])
def test_distance_is_constant_on_the_demonstration_hull(below):
    plan = demoplan.demo_plan()
    d = distances(plan, 20 + below, 20, 14)
    want = below * plan.parallel_width
    print(f"seam {below} below the line: {len(d)} places, {want:.3f} mm; off by {np.abs(d - want).max():.1e} mm")
    assert len(d) > 8 and np.abs(d - want).max() < EXACT


def test_a_given_width_is_kept_and_the_default_is_the_equal_belts_amidships():
    plan = demoplan.demo_plan(12, width=123.0)
    d = distances(plan, 14, 12, 8)
    print(f"two strakes of 123 mm: off by {np.abs(d - 246.0).max():.1e} mm")
    assert plan.parallel_width == 123.0 and np.abs(d - 246.0).max() < EXACT
    plan = demoplan.demo_plan()
    x = 0.5 * sum(plan.hull.x_range)
    g = girths(plan.hull.patch, np.array([x]), places(plan, np.array([x]), 20))[0]
    print(f"default width {plan.parallel_width:.6f} mm, equal strakes amidships {g[-1] / 20:.6f} mm")
    assert abs(plan.parallel_width - g[-1] / 20) < 1e-4


def stand_in(patch):
    """As much of a planked surface as parallels need."""
    return SimpleNamespace(patch=patch, name="surface", frame=None, inside=lambda u, v: np.full(np.shape(u), -1.0))


def test_parallels_on_a_cylinder():
    """Unrolled they are straight lines: z and R q are moved square to the base line."""
    radius = 1500.0
    known = surfaces.cylinder(radius, 8000.0, lo=0.2, hi=1.7, pieces=1)
    a, b = np.array([1000.0, 0.5]), np.array([6500.0, 0.9])
    base = geodesic_between(known.patch, np.array(known.uv(*a)), np.array(known.uv(*b)))
    direction = (b - a) * (1.0, radius)
    square = np.array([-direction[1], direction[0]]) / np.linalg.norm(direction)
    widths = np.array([100.0, 400.0, 700.0])
    worst = 0.0
    for width, curve in zip(widths, parallels(stand_in(known.patch), base, widths, 300.0)):
        p = curve.sample(200).p
        flat = np.stack([p[:, 0], radius * np.arctan2(p[:, 2], p[:, 1])], axis=1)
        away = (flat - a * (1.0, radius)) @ square
        worst = max(worst, np.abs(np.abs(away) - width).max())
    print(f"cylinder: distances off by {worst:.1e} mm")
    assert worst < CLOSED


def test_parallels_on_a_sphere():
    """A great circle's parallels are circles: the angle from its plane is distance / R."""
    radius = 3000.0
    known = surfaces.sphere(radius, b_lo=-0.6, b_hi=0.6, lo=0.2, hi=1.7, pieces=1)
    base = geodesic_between(known.patch, np.array(known.uv(-0.3, 0.8)), np.array(known.uv(0.25, 1.2)))
    pole = np.cross(*base.points([0.0, base.length]))
    pole /= np.linalg.norm(pole)
    widths = np.array([50.0, 300.0, 600.0])
    worst = bend = 0.0
    for width, curve in zip(widths, parallels(stand_in(known.patch), base, widths, 200.0)):
        c = curve.sample(200)
        away = radius * np.arcsin(np.abs(c.p @ pole) / radius)
        worst = max(worst, np.abs(away - width).max())
        # a circle of latitude f has kappa_g = tan f / R (closed form)
        bend = max(bend, np.abs(np.abs(c.kappa_g) - np.tan(width / radius) / radius).max())
    print(f"sphere: distances off by {worst:.1e} mm, kappa_g by {bend:.1e} 1/mm")
    assert worst < CLOSED and bend < 1e-9


def test_crossing_parallels_are_refused():
    """On a sphere geodesics square to a meridian all meet a quarter of its girth further on."""
    radius = 1000.0
    known = surfaces.sphere(radius, b_lo=-0.5, b_hi=0.5, lo=0.0, hi=2.6)
    base = geodesic_between(known.patch, np.array(known.uv(-0.3, 0.3)), np.array(known.uv(0.3, 0.3)))
    if base.at([1.0]).b[0] @ known.exact(0.0, 0.3 + np.pi / 2) < 0.0:
        base = base.reversed()
    hull = stand_in(known.patch)
    hull.inside = lambda u, v: np.ones(np.shape(u))
    hull.frame = SimpleNamespace(station_label=lambda x: f"X = {x:.0f} mm")
    focus = radius * np.pi / 2
    parallels(hull, base, [focus - 5.0], 50.0)
    with pytest.raises(PlanError) as caught:
        parallels(hull, base, [1000.0, focus - 5.0, focus + 5.0], 50.0)
    print(caught.value)
    assert f"{focus + 5.0:.0f} mm below" in str(caught.value) and "X =" in str(caught.value)


# --- clipping ---------------------------------------------------------------------------------
PLANS = {"demonstration": demoplan.demo_plan, "two bellies": demoplan.cut_plan}


@pytest.mark.parametrize("case", PLANS)
def test_seams_end_on_the_boundary(case):
    plan = PLANS[case]()
    hull = plan.hull
    at_record = in_space = 0.0
    for seam in plan.seams:
        for part in seam.parts:
            tips = part.curve.points([0.0, part.curve.length])
            border = hull.boundary.points([part.s_fore, part.s_aft])
            at_record = max(at_record, np.abs(tips - border).max())
            p = hull.patch.points(*part.curve.nodes[[0, -1], [0, -1]].T)
            on_edge = np.minimum(
                np.abs(p[:, 1] - hull.siding.at(p[:, 0])),
                np.abs(hull.inside(*part.curve.nodes[[0, -1], [0, -1]].T)),
            )
            in_space = max(in_space, on_edge.max())
    print(f"{case}: seam ends off the boundary by {at_record:.1e} mm; off its own definition by {in_space:.1e} mm")
    assert at_record < 1e-9 and in_space < 1e-8


@pytest.mark.parametrize("case", PLANS)
def test_nothing_of_a_seam_leaves_the_planking(case):
    plan = PLANS[case]()
    least = min(
        plan.hull.inside(*part.curve.sample(300).uv.T).min() for seam in plan.seams[1:] for part in seam.parts
    )
    print(f"{case}: least inside {least:.1e} mm")
    assert least > -1e-6


def test_seams_do_not_meet_one_another():
    """Order from the sheer down is kept on every section, and between them."""
    plan = demoplan.demo_plan()
    for upper, lower in zip(plan.seams, plan.seams[1:]):
        c = lower.parts[0].curve.sample(60)
        d, s = demoplan.distance_to(upper.parts[0].curve, c.p, 800)
        assert d.min() > 3.0, (upper.name, lower.name)
    print(f"{len(plan.seams)} seams, none nearer than 3 mm to the next")


def test_the_rabbet_cuts_a_strake_in_two():
    plan = demoplan.cut_plan()
    cut = [s for s in plan.strakes if len(s.planks) > 1]
    names = [(s.name, [p.part for p in s.planks]) for s in cut]
    print(f"cut: {names}; seam of {[len(s.parts) for s in plan.seams][-1]} parts")
    assert cut and all([p.part for p in s.planks] == [1, 2] for s in cut)
    for strake in cut:
        fore, aft = strake.planks
        assert len(strake.upper.parts) == 2
        # from the bow aft, and apart: the rabbet runs between them
        assert fore.upper.s_fore < fore.upper.s_aft < aft.upper.s_fore < aft.upper.s_aft
    whole = [s for s in plan.strakes if len(s.planks) == 1]
    assert all(s.planks[0].part == 0 for s in whole)
    # the strake above is whole, its lower edge runs seam, rabbet, seam
    above = plan.strakes[cut[0].number - 2].planks[0]
    kinds = [piece.kind for piece in above.lower]
    print(f"{plan.strakes[cut[0].number - 2].name} above it: {kinds}")
    assert kinds.count("seam") == 2 and "rabbet" in kinds[1:-1]


@pytest.mark.parametrize("case", PLANS)
def test_lower_edges_run_without_a_gap(case):
    """Every plank's outline closes: upper edge, hood ends and the stretches of its lower edge."""
    plan = PLANS[case]()
    gap = 0.0
    for strake in plan.strakes:
        for outline in strake.planks:
            top = outline.upper.curve.points([0.0, outline.upper.curve.length])
            chain = [top[0]]
            if outline.fore is not None:
                chain += list(outline.fore.points([0.0, outline.fore.length]))
            for piece in outline.lower:
                chain += list(piece.curve.points([0.0, piece.curve.length]))
            if outline.aft is not None:
                chain += list(outline.aft.points([0.0, outline.aft.length]))[::-1]
            chain.append(top[1])
            links = np.array(chain).reshape(-1, 2, 3)
            gap = max(gap, np.linalg.norm(links[:, 0] - links[:, 1], axis=1).max())
    print(f"{case}: outlines open by {gap:.1e} mm at most")
    assert gap < 1e-9


@pytest.mark.parametrize("case", PLANS)
def test_pointed_ends_are_reported_with_width_and_place(case):
    """A plank that feathers out says where; the place is where its upper seam meets the rabbet."""
    plan = PLANS[case]()
    measures = {(m.strake, m.part): m for m in measure_planks(plan, 4900.0)}
    points, off = 0, 0.0
    for strake in plan.strakes:
        for outline in strake.planks:
            m = measures[strake.number, outline.part]
            part = outline.upper
            for s, place, width, girth in (
                (part.s_fore, m.fore_point, m.bow, m.bow_girth),
                (part.s_aft, m.aft_point, m.stern, m.stern_girth),
            ):
                on_rabbet = plan.hull.s_stem_end < s < plan.hull.s_stern_start
                assert (place is not None) == on_rabbet, strake.name
                assert (width == 0.0) == (girth == 0.0) == on_rabbet
                if on_rabbet:
                    points += 1
                    off = max(off, abs(place - plan.hull.boundary.points([s])[0, 0]))
    print(f"{case}: {points} pointed ends; places off by {off:.1e} mm")
    assert points >= 6 and off < 1e-8
