# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strakes that end in nibs: breadths, areas, overlaps, fairness, and what is refused.

The planks' volumes add up to the exact layer (Steiner's formula, see `demoplan.layer_volume`)
only if no plank overlaps another and none is missing; their areas likewise.
"""

from functools import lru_cache

import demoplan
import hulls
import numpy as np
import pytest
from numpy.polynomial import legendre

from strakeplan.core.checks.fairness import check_fairness
from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.lineoff.lineoff import line_off, with_nibs
from strakeplan.core.lineoff.nibs import Nib
from strakeplan.core.lineoff.stealers import joined_strakes, line_off_with_stealers
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.planks.measure import measure_planks
from strakeplan.core.planks.shape import plank_shapes
from strakeplan.core.sections import plane_crossings, sections_at
from strakeplan.core.strakes.samples import seam_samples
from strakeplan.core.surface import SurfaceSettings, planked_surface

CASES = {
    "demonstration, 20 at 50 mm": ("demo", 20, 50.0),
    "full double-ender, 20 at 45 mm": ("double-ender", 20, 45.0),
    "full bow and round stern, 18 at 52 mm": ("round stern", 18, 52.0),
}


@lru_cache(maxsize=None)
def hull_of(name):
    if name == "demo":
        return demoplan.demo_hull()
    shape = {
        "double-ender": dict(stern=0.0, beam=1500.0, rake=(900.0, 900.0)),
        "round stern": dict(stern=0.3, beam=1600.0, rake=(500.0, 600.0)),
    }[name]
    return planked_surface(hulls.lofted(**shape), SurfaceSettings(half_siding=40.0, name=name.capitalize()))


def taut(hull, share=0.65):
    return taut_between_ends(hull, hull.stem_length * share, hull.stern_length * share)


@lru_cache(maxsize=None)
def found(case):
    name, count, narrowest = CASES[case]
    hull = hull_of(name)
    return line_off_with_stealers(hull, [EqualBelt(count, taut(hull)), ParallelBelt()], narrowest)


@lru_cache(maxsize=None)
def shapes_of(case):
    return tuple(plank_shapes(found(case).lineoff, 24.0))


def area(patch):
    """Area of a spline face by Gauss points on every knot span, mm^2."""
    x, w = legendre.leggauss(8)
    total = 0.0
    for a, b in zip(patch.breaks_u[:-1], patch.breaks_u[1:]):
        for c, d in zip(patch.breaks_v[:-1], patch.breaks_v[1:]):
            u, v = np.meshgrid(0.5 * (a + b) + 0.5 * (b - a) * x, 0.5 * (c + d) + 0.5 * (d - c) * x, indexing="ij")
            jet = patch.jets(u.ravel(), v.ravel(), 1)
            size = np.linalg.norm(np.cross(jet.su, jet.sv), axis=1).reshape(u.shape)
            total += 0.25 * (b - a) * (d - c) * (w @ size @ w)
    return total


def side_area(hull):
    """Area of the planked side, by Green's theorem round its boundary, mm^2."""
    patch, c = hull.patch, hull.boundary
    x, w = legendre.leggauss(14)
    piece, local = np.repeat(np.arange(c.pieces), 14), np.tile(x, c.pieces)
    uv, rate = c.uv_local(piece, local), c.uv_local(piece, local, 1)
    down = np.zeros(len(uv))
    for a, b in zip(patch.breaks_v[:-1], patch.breaks_v[1:]):
        h = (np.clip(uv[:, 1], a, b) - a) / 2.0
        for xi, wi in zip(*legendre.leggauss(10)):
            jet = patch.jets(uv[:, 0], a + h * (1.0 + xi), 1)
            down += h * wi * np.linalg.norm(np.cross(jet.su, jet.sv), axis=1)
    return float(np.sum(np.tile(w, c.pieces) * down * rate[:, 0]))


@pytest.mark.parametrize("case", CASES)
def test_every_strake_is_at_least_as_broad_as_the_narrowest(case):
    """Square breadths all along, by nearest points of the edges, 300 places a strake.

    The garboard is left out: it takes up what is left; see the next test for its ends. Where a strake
    ends in a nib the nib counts.
    """
    result = found(case)
    narrowest = CASES[case][2]
    least = np.inf
    for strake in result.lineoff.strakes[:-1]:
        for outline in strake.planks:
            lower = np.concatenate([p.curve.points(np.linspace(0.0, p.curve.length, 2000)) for p in outline.lower])
            seam = outline.upper.curve
            s = np.linspace(0.02, 0.98, 300) * seam.length
            d = np.linalg.norm(seam.points(s)[:, None] - lower[None], axis=2).min(axis=1)
            ends = [e.length for e in (outline.fore, outline.aft) if e is not None]
            if min(d.min(), *ends) < narrowest - 0.1:
                print(f"{strake.name}: {d.min():.2f} at {s[np.argmin(d)]:.0f} of {seam.length:.0f} mm, ends {ends}")
            least = min(least, d.min(), *ends)
    ended = [f"{n.strake} {n.end}" for n in result.nibs]
    print(f"{case}: {len(result.lineoff.strakes)} strakes, ended: {', '.join(ended)}; least {least:.2f} mm, "
          f"said {result.narrowest:.2f}; {result.notes}")  # fmt: skip
    assert ended and least >= narrowest - 0.1
    assert not any(o.fore_kind == "point" or o.aft_kind == "point"
                   for s in result.lineoff.strakes[:-1] for o in s.planks)  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_ends_of_the_garboard_are_broad_enough(case):
    """It takes up what is left and tapers as it must; but its hood ends, or the nibs it takes over by, hold fastenings."""
    result, narrowest = found(case), CASES[case][2]
    ends = {}
    for k, outline in enumerate(result.lineoff.strakes[-1].planks):
        for name, edge, kind in (("fore", outline.fore, outline.fore_kind), ("aft", outline.aft, outline.aft_kind)):
            if edge is not None:
                ends[k, name, kind] = round(edge.length, 2)
    print(f"{case}: ends of the garboard {ends}, {narrowest:g} mm wanted")
    assert ends and min(ends.values()) >= narrowest - 0.1


@pytest.mark.parametrize("case", CASES)
def test_no_strake_lies_over_another(case):
    """On sections all along, also where strakes have ended in nibs, the seams follow one another down the girth."""
    plan = found(case).lineoff
    hull = plan.hull
    low, high = hull.x_range
    x = np.linspace(low, high, 83)[1:-1]
    sections = sections_at(hull, x)
    girths = [[] for _ in x]  # (girth, seam) on every section
    for seam in plan.seams[1:]:
        for part in seam.parts:
            k, piece, t = plane_crossings(part.curve, x)
            girth = sections.girth_at_v(k, part.curve.uv_local(piece, t)[:, 1])
            for section, g in zip(k, girth):
                girths[section].append((seam.number, float(g)))
    least, counts = np.inf, []
    for at, found_there in zip(x, girths):
        down = [g for _, g in sorted(found_there)]
        counts.append(len(down))
        if len(down) > 1:
            gap = np.diff(down)
            if gap.min() < least:
                least, where = gap.min(), (at, int(np.argmin(gap)))
    print(f"{case}: {min(counts)} to {max(counts)} seams on {len(x)} sections; nearest {least:.2f} mm at x {where[0]:.0f}")
    assert max(counts) == len(plan.seams) - 1 and min(counts) < max(counts)
    assert least >= CASES[case][2] - 0.1  # a girth is no less than the breadth square to the strake


@pytest.mark.parametrize("case", CASES)
def test_areas_and_volumes_add_up(case):
    result, shapes = found(case), shapes_of(case)
    hull = result.lineoff.hull
    inner = sum(area(face.patch) for shape in shapes for face in shape.faces if face.role == "inner")
    off_area = inner / side_area(hull) - 1.0
    volumes = [shape.volume for shape in shapes]
    off = sum(volumes) / demoplan.layer_volume(hull, 24.0) - 1.0
    stray = max(shape.deviation for shape in shapes)
    print(f"{case}: area {inner / 1e6:.4f} m2 off by {off_area:.1e}; volume off by {off:.1e}; smallest "
          f"{min(volumes) / 1e3:.0f} cm3; faces stray {stray:.4f} mm")  # fmt: skip
    assert abs(off_area) < 1e-6 and abs(off) < 1e-6 and min(volumes) > 0.0 and stray < 0.01


@pytest.mark.parametrize("case", CASES)
def test_seams_stay_fair(case):
    """Edgewise curvature has no jump that a batten would show.

    A jump of 2e-5 /mm bends a batten by 0.1 mm in 200 mm (jump x length^2 / 8); the change
    over a quarter of a millimetre is looked at all along.
    """
    worst, where = 0.0, ""
    for seam in found(case).lineoff.seams[1:]:
        for part in seam.parts:
            n = int(part.curve.length / 0.25)
            jump = np.abs(np.diff(part.curve.sample(n).kappa_g)).max()
            if jump > worst:
                worst, where = jump, seam.name
    print(f"{case}: edgewise curvature changes by {worst:.1e} /mm in 0.25 mm at most ({where})")
    assert worst < 2e-5


@pytest.mark.parametrize("case", CASES)
def test_nibs_leave_seams_as_fair_as_they_were(case):
    """By the checks' own measure, what an eye sees over 2 m, beside the same line-off without nibs."""
    result = found(case).lineoff
    plain = line_off(result.hull, result.belts)
    told = []
    for plan in (plain, result):
        seams = seam_samples(plan)
        seen = np.where(seams.number > 0, check_fairness(seams).seen.worst, 0.0)
        k = int(np.argmax(seen))
        told.append((float(seen[k]), seams.name[k], float(seams.x[k, check_fairness(seams).seen.index[k]])))
    (before, *there), (after, *here) = told
    print(f"{case}: without nibs {before:.2f} mm ({there[0]}, x {there[1]:.0f}), with them {after:.2f} mm ({here[0]}, x {here[1]:.0f})")
    assert after < before + 0.3


def test_nibs_by_hand_stand_where_and_as_deep_as_they_are_wanted():
    hull = demoplan.demo_hull()
    nibs = [Nib(6, "bow", 1500.0, 45.0), Nib(12, "bow", 1250.0), Nib(9, "stern", 9500.0, 40.0)]
    plan = line_off(hull, [EqualBelt(20, taut(hull)), ParallelBelt()], nibs=nibs)
    for nib in nibs:
        part = plan.seams[nib.strake - 1].parts[0]
        cut = part.fore if nib.end == "bow" else part.aft
        p = cut.across.points([0.0, cut.across.length])
        x = hull.frame.to_model_station(p[0, 0])
        print(f"{nib.name}: at {x:.3f} mm, {np.linalg.norm(p[1] - p[0]):.2f} mm deep")
        assert abs(x - nib.position) < 1e-6
        assert nib.depth is None or abs(np.linalg.norm(p[1] - p[0]) - nib.depth) < 0.1
        own = plan.strakes[nib.strake - 1].planks[0]
        assert (own.fore_kind if nib.end == "bow" else own.aft_kind) == "nib"
    measures = {m.strake: m for m in measure_planks(plan, 5000.0)}
    bow = hull.stem_length * 0.65 / 18
    ends = [measures[k].bow_girth for k in (1, 5, 7, 20)]
    print(f"hood ends at the stem {np.round(ends, 3)}, a part in 18 is {bow:.3f}")
    assert np.allclose(ends, bow, atol=1e-6)
    off = sum(s.volume for s in plank_shapes(plan, 24.0)) / demoplan.layer_volume(hull, 24.0) - 1.0
    print(f"volume off by {off:.1e}")
    assert abs(off) < 1e-6


def test_nothing_moves_where_no_nib_is():
    """Aft of the bow's nibs the seams are those of the line-off without them, to rounding."""
    hull = demoplan.demo_hull()
    belts = [EqualBelt(20, taut(hull))]
    plain, ended = line_off(hull, belts), line_off(hull, belts, nibs=[Nib(6, "bow", 1500.0)])
    x = np.linspace(ended.exact_range[0], plain.exact_range[1], 9)
    apart = 0.0
    for a, b in zip(plain.seams[1:], ended.seams[1:]):
        s = [np.interp(x, c.points(np.linspace(0, c.length, 4000))[:, 0], np.linspace(0, c.length, 4000))
             for c in (a.parts[0].whole, b.parts[0].whole)]  # fmt: skip
        apart = max(apart, np.abs(a.parts[0].whole.points(s[0]) - b.parts[0].whole.points(s[1]))[:, 2].max())
    print(f"seams abaft {ended.exact_range[0]:.0f} mm apart by {apart:.1e} mm")
    assert ended.exact_range[0] > plain.exact_range[0] and apart < 1e-2


def test_which_strakes_are_joined():
    for count in range(4, 40):
        for ended in range(1, count // 2 + 1):
            some = joined_strakes(count, ended)
            assert len(some) == ended and some[0] >= 1 and some[-1] < count
            assert min(np.diff(some), default=2) >= 2
    print("20 strakes, 6 ended:", joined_strakes(20, 6))


def refused(make, *words):
    with pytest.raises(PlanError) as caught:
        make()
    print(caught.value)
    for word in words:
        assert word in str(caught.value)


@pytest.mark.parametrize(
    "nibs, words",
    [
        ([Nib(1, "bow", 1500.0)], ("sheer strake",)),
        ([Nib(6, "side", 1500.0)], ("bow or stern",)),
        ([Nib(6, "bow")], ("station", "depth")),
        ([Nib(6, "bow", None, 40.0)], ("station",)),
        ([Nib(6, "bow", 1500.0, 500.0)], ("500 mm deep",)),
        ([Nib(6, "bow", 1500.0), Nib(7, "bow", 1600.0)], ("side by side",)),
        ([Nib(6, "bow", 1500.0), Nib(6, "bow", 1600.0)], ("two nibs",)),
        ([Nib(6, "bow", -5000.0)], ("Strake 6",)),
        ([Nib(60, "bow", 1500.0)], ("no strake 60",)),
        ([Nib(6, "bow", 9000.0), Nib(9, "stern", 2000.0)], ("abaft",)),
        ([Nib(6, "bow", float("nan"))], ("number",)),
    ],
)
def test_nibs_that_cannot_be(nibs, words):
    hull = demoplan.demo_hull()
    refused(lambda: line_off(hull, [EqualBelt(20, taut(hull)), ParallelBelt()], nibs=nibs), *words)


def test_ends_too_narrow_whatever_is_ended():
    hull = demoplan.demo_hull()
    refused(lambda: line_off_with_stealers(hull, [EqualBelt(20, taut(hull))], 120.0), "fewer strakes")


def test_a_strake_of_a_divided_belt_is_not_ended_afterwards():
    plan = demoplan.demo_plan()
    refused(lambda: with_nibs(plan, [Nib(5, "bow", 1500.0)]), "afterwards")


@pytest.mark.parametrize("case", CASES)
def test_a_seam_stops_where_its_run_beyond_begins(case):
    """Solids close only if both share one corner: the places at the ends of cut stretches."""
    apart, count = 0.0, 0
    for seam in found(case).lineoff.seams:
        for part in seam.parts:
            ends = part.curve.points([0.0, part.curve.length])
            for cut, beyond, mine in ((part.fore, part.beyond_fore, 0), (part.aft, part.beyond_aft, 1)):
                if cut is not None:
                    tip = beyond.points([beyond.length if mine == 0 else 0.0])[0]
                    nib = cut.across.points([0.0])[0]
                    apart = max(apart, np.abs(tip - ends[mine]).max(), np.abs(nib - ends[mine]).max())
                    count += 1
    print(f"{case}: {count} corners apart by {apart:.1e} mm at most")
    assert count and apart < 1e-9
