# SPDX-License-Identifier: LGPL-2.1-or-later
"""The same hull however its face comes: order and sense of u and v, bow, side, axes."""

import hulls
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.surface import SurfaceSettings, planked_surface

SETTINGS = SurfaceSettings(half_siding=45.0, half_siding_stem=35.0)


def figures(hull):
    """Everything that must not depend on how the face came, mm: (n,)."""
    b, s = hull.boundary, hull.sheer
    return np.concatenate([
        [s.length, b.length, hull.s_stem_end, hull.s_stern_start, *hull.x_range],
        s.points(np.linspace(0, s.length, 41)).ravel(), b.points(np.linspace(0, b.length, 81)).ravel(),
    ])  # fmt: skip


@pytest.fixture(scope="module")
def plain():
    return planked_surface(hulls.demo(), SETTINGS)


def test_all_64_ways_a_face_may_come(plain):
    want = figures(plain)
    worst, count, sides = 0.0, 0, set()
    for label, turn, matrix in hulls.orientations():
        hull = planked_surface(turn(hulls.demo()), SETTINGS)
        gap = np.abs(figures(hull) - want).max()
        worst, count = max(worst, gap), count + 1
        assert gap < 1e-8, label
        n = hull.boundary.at([hull.s_stem_end, hull.s_stern_start]).n
        assert (n[:, 1] > 0).all(), label
        sides.add(hull.frame.side)
        # and the model's own points come back
        p = hull.sheer.points([5000.0])
        home = plain.frame.points_to_model(p) @ matrix.T
        assert np.abs(hull.frame.points_to_model(p) - home).max() < 1e-8, label
        bow = matrix @ [-1.0, 0.0, 0.0]
        assert np.array_equal(-hull.frame.aft, bow), label
        starboard = np.cross(bow, [0.0, 0.0, 1.0]) @ matrix @ [0.0, 1.0, 0.0] > 0
        assert hull.frame.side == ("starboard" if starboard else "port"), label
    print(f"{count} orientations: greatest difference {worst:.1e} mm in points and lengths")
    assert count == 64 and sides == {"port", "starboard"}


@pytest.mark.parametrize("seed", range(4))
def test_any_rigid_motion_with_the_axes_given(plain, seed):
    turn, shift = hulls.rotation(seed), np.random.default_rng(seed).normal(size=3) * 5000.0
    mirror = np.diag([1.0, -1.0 if seed % 2 else 1.0, 1.0])
    matrix = turn @ mirror
    transverse = matrix[:, 1] * np.sign(matrix[np.argmax(np.abs(matrix[:, 1])), 1])
    settings = SurfaceSettings(
        up=tuple(turn[:, 2]), forward=tuple(-turn[:, 0]), centreplane=float(shift @ transverse),
        half_siding=45.0, half_siding_stem=35.0,
    )  # fmt: skip
    hull = planked_surface(hulls.demo().transformed(matrix, shift), settings)
    x = shift @ turn[:, 0]
    gaps = [hull.sheer.length - plain.sheer.length, hull.boundary.length - plain.boundary.length,
            hull.s_stem_end - plain.s_stem_end, hull.s_stern_start - plain.s_stern_start,
            hull.x_range[0] - x - plain.x_range[0]]
    print(f"rotation {seed}: differences {np.abs(gaps).max():.1e} mm; {hull.frame.side}")
    assert np.abs(gaps).max() < 1e-7
    assert hull.frame.side == ("port" if seed % 2 else "starboard")
    p = hull.boundary.points([700.0])
    assert np.abs(hull.frame.points_to_ship(hull.frame.points_to_model(p)) - p).max() < 1e-9


def test_more_knots_and_scale_change_nothing(plain):
    more = planked_surface(hulls.demo().with_knots(u=[0.05, 0.4, 0.71], v=[0.13, 0.6]), SETTINGS)
    gap = np.abs(figures(more) - figures(plain)).max()
    print(f"knots inserted: {gap:.1e} mm")
    assert gap < 1e-6
    twice = planked_surface(
        hulls.demo().transformed(2.0 * np.eye(3)), SurfaceSettings(half_siding=90.0)
    )
    once = planked_surface(hulls.demo(), SurfaceSettings(half_siding=45.0))
    gap = np.abs(figures(twice) / 2.0 - figures(once)).max()
    print(f"twice the size: {gap:.1e} mm")
    assert gap < 1e-6


@pytest.mark.parametrize("up, turn", [
    ("Y", [[1, 0, 0], [0, 0, 1], [0, -1, 0]]), ("-Z", np.diag([1, -1, -1])), ("X", [[0, 0, 1], [1, 0, 0], [0, 1, 0]]),
])  # fmt: skip
def test_up_along_another_axis(plain, up, turn):
    turn = np.array(turn, float)
    hull = planked_surface(
        hulls.demo().transformed(turn), SurfaceSettings(up=up, half_siding=45.0, half_siding_stem=35.0)
    )
    gap = np.abs(figures(hull) - figures(plain)).max()
    print(f"up {up}: {gap:.1e} mm; {hull.notes[0]}")
    assert gap < 1e-8


def test_centreplane_elsewhere(plain):
    hull = planked_surface(
        hulls.demo().transformed(np.eye(3), (0.0, 2500.0, 0.0)),
        SurfaceSettings(centreplane=2500.0, half_siding=45.0, half_siding_stem=35.0),
    )
    gap = np.abs(figures(hull) - figures(plain)).max()
    print(f"centreplane at 2500 mm: {gap:.1e} mm")
    assert gap < 1e-8
    p = hull.sheer.points([3000.0])
    both = hull.frame.points_to_model(p)[0, 1] + hull.frame.mirrored_points_to_model(p)[0, 1]
    assert abs(both - 5000.0) < 1e-9
    matrix, offset = hull.frame.mirror
    assert np.allclose(
        hull.frame.points_to_model(p) @ matrix.T + offset, hull.frame.mirrored_points_to_model(p), atol=1e-9
    )


def test_overrides_are_obeyed_and_contradictions_refused():
    double = hulls.lofted(stern=0.0)
    other = planked_surface(double, SurfaceSettings(forward="X", half_siding=40.0))
    own = planked_surface(double, SurfaceSettings(forward="-X", half_siding=40.0))
    named = planked_surface(double, SurfaceSettings(stem_edge="u1", sheer_edge="v0", half_siding=40.0))
    guessed = planked_surface(double, SurfaceSettings(half_siding=40.0))
    print("double-ender:", guessed.notes[1])
    assert "rakes more" in guessed.notes[1] and np.array_equal(guessed.frame.aft, own.frame.aft)
    assert np.array_equal(other.frame.aft, [-1, 0, 0]) and np.array_equal(named.frame.aft, [-1, 0, 0])
    assert abs(other.boundary.length - own.boundary.length) < 1e-7
    assert other.frame.side != own.frame.side
    for settings in (
        SurfaceSettings(forward="X", stem_edge="u0"), SurfaceSettings(sheer_edge="u0", stem_edge="u1"),
        SurfaceSettings(sheer_edge="top"), SurfaceSettings(up="upwards"), SurfaceSettings(up=(0, 0, 0)),
        SurfaceSettings(up="Z", forward="-Z"), SurfaceSettings(up=(0.1, 0, 1)), SurfaceSettings(centreplane=float("nan")),
    ):  # fmt: skip
        with pytest.raises(PlanError) as caught:
            planked_surface(double, settings)
        print(caught.value)
        assert caught.value.remedy


def test_parameters_lead_back_to_the_given_face(plain):
    for label, turn, _ in list(hulls.orientations())[::5]:
        given = turn(hulls.demo())
        hull = planked_surface(given, SETTINGS)
        uv = hull.sheer.at([1000.0, 7000.0]).uv
        back = hull.face.given_uv(uv)
        gap = np.abs(
            hull.frame.points_to_ship(given.points(back[:, 0], back[:, 1])) - hull.patch.points(uv[:, 0], uv[:, 1])
        ).max()
        assert gap < 1e-9, label
    print(f"given face: {gap:.1e} mm")
