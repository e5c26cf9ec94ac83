# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fairness of seams, seams beside given lines and the tuck."""

import demoplan
import made_samples
import numpy as np
import pytest

from strakeplan.core.checks.fairness import check_fairness
from strakeplan.core.checks.landings import GivenLine, check_landings, check_tuck, given_line, tuck_angles
from strakeplan.core.lines.tuck import TuckCrossing, crossing_angles, tuck_line
from strakeplan.core.strakes.samples import seam_samples


def test_a_jump_of_curvature_is_found_to_its_size():
    """kappa_g rises steadily and jumps by J between two places; smooth seams have next to none."""
    jump = 3e-5
    s = np.linspace(0.0, 12000.0, 121)
    rising = 1e-5 + 2e-9 * s
    kappa = np.stack([rising + jump * (s > 7030.0), rising, 8e-5 * np.sin(s / 2000.0)])
    found = check_fairness(made_samples.made_seams([12000.0] * 3, edgewise=kappa))
    print("jumps:", found.edgewise.worst, "after", s[found.edgewise.index], "mm; seen as", found.seen.worst, "mm")
    assert abs(found.edgewise.worst[0] - jump) < 1e-15 and s[found.edgewise.index[0]] == 7000.0
    assert found.edgewise.worst[1] < 1e-15
    # a sine: the lines' own errors are those of its third derivative, a tenth of kappa''' L^3 over L = 0.4 m
    assert found.edgewise.worst[2] < 0.1 * 400.0**3 * 8e-5 / 2000.0**3
    assert list(found.turns) == [0, 0, 1]


def test_a_ramp_counts_the_same_however_finely_it_is_sampled():
    """Bending that rises by A within 0.3 m, and is even before and after.

    By hand: the line of least squares over L = 0.4 m from the ramp's middle on, of which 0.15 m are
    ramp. For f on [0, L] it is at 0 the integral of f (4 L - 6 x) / L^2; f = A x / 0.3 up to 0.15 m
    and A / 2 beyond. Both sides together twice that.
    """
    rise, ramp, beside, length = 6e-5, 300.0, 400.0, 9000.0
    x = np.linspace(0.0, beside, 400001)
    f = np.minimum(rise * x / ramp, 0.5 * rise) * (4.0 * beside - 6.0 * x) / beside**2
    exact = 2.0 * float(np.sum(0.5 * (f[1:] + f[:-1])) * (x[1] - x[0]))
    told = {}
    for n in (1201, 401, 181, 91, 61):
        s = np.linspace(0.0, length, n)
        kappa = rise * np.clip((s - 4567.0) / ramp + 0.5, 0.0, 1.0)
        told[n] = check_fairness(made_samples.made_seams([length], n, edgewise=kappa)).edgewise.worst[0]
    print("by hand", exact, "places apart and told:", {length / (n - 1): v for n, v in told.items()})
    assert abs(told[1201] / exact - 1.0) < 0.01 and abs(told[91] / exact - 1.0) < 0.05
    assert all(abs(v / exact - 1.0) < 0.2 for v in told.values())


def test_a_jump_as_an_eye_sees_it():
    """Two arcs of curvature J/2 and -J/2, a metre each: departure from their chord, by quadrature."""
    jump, eye = 3.2e-5, 2000.0
    s = np.linspace(-0.5 * eye, 0.5 * eye, 20001)
    y = np.cumsum(np.cumsum(0.5 * jump * np.sign(s))) * (s[1] - s[0]) ** 2
    off = np.abs(y - np.interp(s, s[[0, -1]], y[[0, -1]])).max()
    kappa = 0.5 * jump * np.sign(np.linspace(-1.0, 1.0, 120))
    seen = check_fairness(made_samples.made_seams([11900.0], 120, edgewise=kappa), eye).seen.worst[0]
    print(
        f"a jump from straight to a radius of {1 / jump / 1000:.1f} m over 2 m: {seen:.4f} mm, by quadrature {off:.4f}"
    )
    assert abs(seen - off) < 2e-3


def test_a_knuckle_of_the_surface_is_a_flatwise_jump():
    bend = np.where(np.arange(121) < 60, 1.0 / 8000.0, 1.0 / 4000.0)
    found = check_fairness(made_samples.made_seams([12000.0], bend=bend))
    assert abs(found.flatwise.worst[0] - 1.0 / 8000.0) < 1e-15 and found.flatwise.index[0] == 59
    assert found.edgewise.worst[0] == 0.0


def test_bending_changes_sense():
    s = np.linspace(0.0, 1.0, 121)
    kappa = np.stack(
        [np.sin(3.0 * np.pi * s), np.where(s < 0.3, 0.0, 1.0), np.where(np.abs(s - 0.5) < 0.1, 0.0, 0.5 - s)]
    )
    assert list(check_fairness(made_samples.made_seams([1e4] * 3, edgewise=1e-4 * kappa)).turns) == [2, 0, 1]


def circle(radius, angle, z):
    return np.stack([radius * np.sin(angle), radius * np.cos(angle), np.full(np.shape(angle), z)], axis=-1)


def test_seams_beside_a_wale_on_a_cylinder():
    """Seams and a wale are circles of one cylinder, so distances are those of their planes."""
    radius, n = 4000.0, 121
    angle = np.linspace(-1.2, 1.2, n)
    heights = np.array([0.0, -14.0, -60.0, 1.0])
    point = np.stack([circle(radius, angle, z) for z in heights])
    seams = made_samples.made_seams([2.4 * radius] * 4, n, point)
    wale = GivenLine("Wale", circle(radius, np.linspace(-1.0, 1.0, 400), 0.0))
    found = check_landings(seams, [wale], clear=20.0)
    print("least distances off it:", found.off[0].worst, "share on it:", found.on[0])
    assert np.isnan(found.off[0].worst[0]) and found.on[0, 0] == 1.0 and found.on[0, 3] == 1.0
    assert np.allclose(found.off[0].worst[1:3], [14.0, 60.0], atol=2e-3) and found.on[0, 1] == 0.0
    # a sixth of every seam runs on past the wale's ends
    beyond = np.isnan(found.distance[0, 1])
    assert abs(beyond.mean() - 1.0 / 6.0) < 0.02 and beyond[0] and beyond[-1] and found.clear[0] == 20.0


def test_a_seam_that_creeps_across_a_knuckle():
    x = np.linspace(0.0, 10000.0, 101)
    point = np.stack([x, np.zeros(101), 0.01 * (x - 4000.0)], axis=-1)[None]
    knuckle = GivenLine("Knuckle", np.array([[0.0, 0.0, 0.0], [10000.0, 0.0, 0.0]]), clear=15.0)
    found = check_landings(made_samples.made_seams([10000.5], 101, point), [knuckle])
    # places nearer than 2 mm lie on it: 200 mm to either side, five places; the next is 3 mm off
    assert (
        np.isclose(found.off[0].worst[0], 3.0) and abs(found.on[0, 0] - 5.0 / 101.0) < 1e-12 and found.clear[0] == 15.0
    )


def test_distances_from_the_sheer_of_the_demonstration_hull():
    """Seam 1 lies one strake below the sheer: its distance is the strake's width, but for the bend."""
    plan = demoplan.demo_plan()
    seams = seam_samples(plan)
    sheer = given_line("Sheer", plan.hull.sheer)
    found = check_landings(seams, [sheer], clear=20.0)
    row = list(seams.number).index(1)
    exact = demoplan.distance_to(plan.hull.sheer, seams.point[row])[0]
    got = found.distance[0, row]
    inner = np.isfinite(got)
    off = np.abs(got - exact)[inner].max()
    print(f"seam 1 from the sheer: {np.nanmin(got):.2f} to {np.nanmax(got):.2f} mm; off by {off:.3f} mm, "
          f"{inner.sum()} of {len(got)} places beside it")  # fmt: skip
    assert off < 0.05 and inner.sum() > 0.95 * len(got)


def test_crossings_of_the_tuck_by_name_and_part():
    seams = made_samples.made_seams([5000.0, 9000.0])
    crossings = [
        TuckCrossing("Seam 02", 0.3, 6000.0, (0, 0, 0), 0.0, 0.0),
        TuckCrossing("Seam 02", 0.5, 7000.0, (0, 0, 0), 0.0, 0.0),
        TuckCrossing("Seam 01", 0.4, 7000.0, (0, 0, 0), 0.0, 0.0),  # past that part's end: another part's
    ]
    found = check_tuck(seams, crossings)
    assert np.isnan(found.angle[0]) and found.angle[1] == 0.5 and found.x[1] == 7000.0


def test_seams_of_the_demonstration_hull_have_no_jumps_that_an_eye_sees():
    """Edgewise bending by differences of points and normals 20 mm apart, jumps by NumPy's own least squares."""
    plan = demoplan.demo_plan()
    seams = seam_samples(plan)
    found = check_fairness(seams)
    for j in (4, 12, 18):
        row = list(seams.number).index(j)
        curve = plan.seams[j].parts[0].curve
        s = seams.s[row][2:-2]
        a, b, c = (curve.at(s + d) for d in (-20.0, 0.0, 20.0))
        t = c.p - a.p
        t /= np.linalg.norm(t, axis=1)[:, None]
        side = np.cross(b.n, t)
        kappa = np.einsum("ij,ij->i", a.p - 2.0 * b.p + c.p, side) / 400.0
        m = max(2, round(400.0 / seams.s[row, 1]))
        gaps = range(m + 1, len(seams.s[row]) - m - 4)  # clear of the ends
        lines = lambda q: np.polyval(np.polyfit(s[q] - s[q].mean(), kappa[q], 1), 0.5 * (s[i] + s[i + 1]) - s[q].mean())  # noqa: E731
        jump = []
        for i in gaps:
            behind, ahead = (slice(i - m + 1, i + 1), slice(i + 1, i + m + 1))
            jump.append(abs(lines(ahead) - lines(behind)))
        jump = np.array(jump)
        off = np.abs(jump - found.edgewise.value[row, np.array(gaps) + 2]).max() * 2000.0**2 / 64.0
        seen = found.seen.worst[row], jump.max() * 2000.0**2 / 64.0
        print(f"seam {j}: seen as {seen[0]:.3f} mm, by differences {seen[1]:.3f}; apart {off:.4f}")
        assert off < 0.1
    worst = np.nanmax(np.where(seams.number > 0, found.seen.worst, np.nan))
    print(f"worst of all seams {worst:.2f} mm")
    assert worst < 2.0


def test_tuck_angles_of_the_demonstration_hull():
    """The angle between chords of seam and tuck about the crossing, by places 2 mm apart."""
    plan = demoplan.demo_plan()
    tuck = tuck_line(plan.hull, "round")
    if tuck.curve is None:
        pytest.fail(f"the demonstration hull has no round turn: {tuck.notes}")
    crossings = crossing_angles(plan.hull, tuck, [(seam.name, seam) for seam in plan.seams])
    seams = seam_samples(plan)
    found = check_tuck(seams, crossings)
    crossed = np.flatnonzero(np.isfinite(found.angle))
    print(f"{len(crossings)} crossings; greatest {np.degrees(np.nanmax(found.angle)):.1f} degrees")
    assert len(crossed)
    for row in crossed:
        one = max((c for c in crossings if c.name == seams.name[row]), key=lambda c: c.angle)
        part = [p.curve for s in plan.seams if s.name == one.name for p in s.parts]
        d = [c.points(np.array([s - 1.0, s + 1.0])) for c, s in ((tuck.curve, one.s_tuck), (part[0], one.s_line))]
        t = [np.diff(p, axis=0)[0] / np.linalg.norm(np.diff(p, axis=0)) for p in d]
        angle = np.arccos(min(1.0, abs(t[0] @ t[1])))
        print(f"{one.name}: {np.degrees(found.angle[row]):.3f} degrees, chords {np.degrees(angle):.3f}")
        assert abs(angle - found.angle[row]) < 2e-3
    quick = tuck_angles(seams, tuck.curve.sample(200).p)
    apart = np.abs(quick.angle - found.angle)
    off = np.nanmax(np.abs(quick.x - found.x))
    print(f"from samples alone: apart {np.degrees(np.nanmax(apart)):.3f} degrees, {off:.1f} mm")
    assert np.array_equal(np.isfinite(quick.angle), np.isfinite(found.angle)) and np.nanmax(apart) < 2e-3


def test_tuck_angles_from_samples_on_a_cylinder():
    """Helices that cross a straight tuck at known angles."""
    radius, n = 3000.0, 121
    x = np.linspace(0.0, 8000.0, n)
    slope = np.array([0.1, 0.35, -0.6, 0.0])
    angle = 0.7 + slope[:, None] * (x - 4015.0) / radius
    angle[3] += 0.2  # never crosses
    point = np.stack([np.broadcast_to(x, angle.shape), radius * np.cos(angle), -radius * np.sin(angle)], axis=-1)
    seams = made_samples.made_seams([8000.0] * 4, n, point)
    line = np.linspace(1000.0, 7000.0, 60)
    tuck = np.stack([line, np.full(60, radius * np.cos(0.7)), np.full(60, -radius * np.sin(0.7))], axis=-1)
    found = tuck_angles(seams, tuck[::-1])
    print("angles", np.degrees(found.angle), "exact", np.degrees(np.arctan(np.abs(slope))), "at", found.x)
    assert np.allclose(found.angle[:3], np.arctan(np.abs(slope[:3])), atol=1e-3) and np.isnan(found.angle[3])
    assert np.allclose(found.x[:3], 4015.0, atol=1.0)
