# SPDX-License-Identifier: LGPL-2.1-or-later
"""The demonstration hull is a yacht's hull: dimensions, edges, and fairness.

Figures are the designer's own (examples/demo_hull.py), bounds of "fair" are common practice, no
source.
"""

import numpy as np
import pytest
from demo_hull import demo_patch_data, drawn_lines
from scipy.optimize import brentq

from strakeplan.core.spline.patch import SplinePatch

HALF_KEEL = 37.5


@pytest.fixture(scope="module")
def patch():
    return SplinePatch(*demo_patch_data())


@pytest.fixture(scope="module")
def grid(patch):
    u, v = np.meshgrid(np.linspace(0, 1, 221), np.linspace(0, 1, 121), indexing="ij")
    g = patch.geometry(u.ravel(), v.ravel())
    return type(g)(*(x.reshape(u.shape + x.shape[1:]) for x in g))


def section(patch, x, n=161):
    """v and points of the section at x, sheer to where it meets the half siding."""
    v = np.linspace(0, 1, n)
    u = np.array([brentq(lambda t, b=b: patch.points(t, b)[0, 0] - x, -0.02, 1.02) for b in v])
    p = patch.points(u, v)
    return v[p[:, 1] > HALF_KEEL], p[p[:, 1] > HALF_KEEL]


def turning(a, b):
    """Signed curvature of the plane polyline (a, b), at its inner points, 1/mm."""
    steps = np.diff(np.stack([a, b], axis=1), axis=0)
    first, second = steps[:-1], steps[1:]
    cross = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    angle = np.arctan2(cross, (first * second).sum(axis=1))
    return angle / (0.5 * (np.linalg.norm(first, axis=1) + np.linalg.norm(second, axis=1)))


def changes_of_sign(k, slack):
    """How often k changes sign, values within the slack counting as neither."""
    s = np.sign(k[np.abs(k) > slack])
    return int((s[1:] != s[:-1]).sum())


def test_one_bicubic_face_of_few_poles(patch):
    print("poles", patch.poles.shape[:2], "inner multiplicities", patch.mult_u, patch.mult_v)
    assert (patch.degree_u, patch.degree_v) == (3, 3) and patch.weights is None
    assert 10 <= patch.poles.shape[0] <= 14 and 8 <= patch.poles.shape[1] <= 11
    assert (patch.mult_u[1:-1] == 1).all() and (patch.mult_v[1:-1] == 1).all()


def test_the_same_on_every_call():
    first, second = demo_patch_data(), demo_patch_data()
    assert all(np.array_equal(a, b) for a, b in zip(first, second))
    # poles are given to 0.01 mm, except where the transom's plane sets x
    off = np.abs(first[4][:-1] - np.round(first[4][:-1], 2)).max()
    print("poles off a hundredth", off)
    assert off < 1e-9


def test_edges(patch):
    t = np.linspace(0, 1, 201)
    stem, transom = patch.points(0 * t, t), patch.points(0 * t + 1, t)
    sheer, keel = patch.points(t, 0 * t), patch.points(t, 0 * t + 1)
    off_centre = max(np.abs(stem[:, 1]).max(), np.abs(keel[:, 1]).max())
    rake = (transom[0] - transom[-1])[[0, 2]]
    across = np.array([rake[1], -rake[0]]) / np.hypot(*rake)
    off_plane = np.abs((transom[:, [0, 2]] - transom[0, [0, 2]]) @ across).max()
    print(f"off the centreplane {off_centre:.1e}, transom off its plane {off_plane:.1e} mm, "
          f"its rake {np.degrees(np.arctan2(*rake)):.1f} deg")
    assert off_centre < 1e-9 and off_plane < 1e-9
    low = sheer[np.argmin(sheer[:, 2]), 0]
    print(f"sheer: bow {sheer[0, 2]:.0f}, lowest {sheer[:, 2].min():.0f} at {low:.0f}, "
          f"stern {sheer[-1, 2]:.0f} mm")
    assert 0.52 * 11000 < low < 0.75 * 11000
    assert sheer[0, 2] - sheer[:, 2].min() > 2 * (sheer[-1, 2] - sheer[:, 2].min()) > 200
    # stem raked all the way, and curved one way only
    bend = turning(stem[:, 0], stem[:, 2])
    assert (np.diff(stem[:, 0]) > 0).all() and changes_of_sign(bend, 1e-7) == 0


def test_dimensions(patch, grid):
    girths = np.linalg.norm(np.diff(grid.p, axis=1), axis=2).sum(axis=1)
    beam, draught = 2 * grid.p[..., 1].max(), -grid.p[..., 2].min()
    _, mid = section(patch, 5800)
    depth = np.ptp(mid[:, 2])
    print(f"beam {beam:.0f}, draught of the rabbet {draught:.0f}, depth at 5800 {depth:.0f}, girths: "
          f"stem {girths[0]:.0f}, greatest {girths.max():.0f}, transom {girths[-1]:.0f} mm")
    assert 3100 < beam < 3400 and 1700 < depth < 1900
    assert 1300 < girths[0] < 1650 and 2600 < girths.max() < 3000 and 1100 < girths[-1] < 1500


def test_close_to_the_lines_as_drawn(patch):
    t, w = np.linspace(0, 1, 45), np.linspace(0, 1, 31)
    u, v = np.meshgrid(t, w, indexing="ij")
    gap = (patch.points(u.ravel(), v.ravel()).reshape(45, 31, 3) - drawn_lines(t, w))
    worst = np.linalg.norm(gap, axis=2).max()
    print(f"the face departs from the lines at equal parameters by at most {worst:.1f} mm")
    assert worst < 10.0


def test_normal_points_outboard_everywhere(grid):
    print("least share of the normal athwart", grid.n[..., 1].min())
    assert grid.n[..., 1].min() > 0.2


def test_meets_the_half_siding_cleanly(patch):
    for x in np.linspace(1500, 10000, 9):
        _, p = section(patch, x)
        rise = np.degrees(np.arctan2(*(p[-3] - p[-1])[[2, 1]]))
        print(f"deadrise at the rabbet, x = {x:.0f}: {rise:.0f} deg")
        assert 15 < rise < 60
    for v in np.linspace(0, 0.85, 6):
        u = brentq(lambda t, b=v: patch.points(t, b)[0, 1] - 30.0, 0.0, 0.3)
        n = patch.geometry(u, v).n[0]
        entry = np.degrees(np.arctan2(-n[0], n[1]))
        print(f"half angle of entry at v = {v:.2f}: {entry:.0f} deg")
        assert 14 < entry < 33


def test_sections_full_amidships_and_wineglass_aft(patch):
    for x in np.linspace(1500, 10300, 12):
        _, p = section(patch, x)
        bend = turning(p[:, 1], p[:, 2])
        flips = changes_of_sign(bend, 2e-5)
        print(f"section at {x:.0f}: changes of sign {flips}, from {bend.min() * 1e3:.2f} to "
              f"{bend.max() * 1e3:.2f} per m")
        assert flips <= 1                                 # round above, at most one hollow below
        if 7500 < x < 10000:
            assert flips == 1 and bend.max() > 2e-4       # the hollow of the wineglass
    _, mid = section(patch, 5800)
    below = mid[mid[:, 2] < 0]
    share = abs((np.diff(below[:, 2]) * 0.5 * (below[1:, 1] + below[:-1, 1])).sum()) / (
        below[0, 1] * np.ptp(below[:, 2]))
    print(f"section amidships: coefficient below the waterline {share:.2f}")
    assert share > 0.6


@pytest.mark.parametrize("way", ["waterlines", "buttocks"])
def test_lines_are_fair(patch, grid, way):
    """Curves cut by planes turn one way, but for the hollow near the ends.

    A waterline through the quarter turns in once more at the very transom, which it meets
    slantwise: that last half metre is left out.
    """
    axis, other = {"waterlines": (2, 1), "buttocks": (1, 2)}[way]
    cuts = {"waterlines": np.arange(-700, 850, 150), "buttocks": np.arange(200, 1500, 200)}[way]
    for cut in cuts:
        found = []
        for u, across in zip(np.linspace(0, 1, len(grid.p)), grid.p[..., axis] - cut):
            if across[0] * across[-1] < 0:
                v = brentq(lambda b, a=u: patch.points(a, b)[0, axis] - cut, 0, 1)
                found.append(patch.points(u, v)[0])
        p = np.array(found)
        p = p[(p[:, 1] > HALF_KEEL) & (p[:, 0] < 10000)]
        bend = turning(p[:, 0], p[:, other])
        flips = changes_of_sign(bend, 1.5e-5)
        print(f"{way[:-1]} at {cut}: {len(p)} points, changes of sign {flips}")
        assert len(p) > 40 and flips <= 2


def test_curvature_is_quiet(grid):
    """Hollow (K < 0) only forward by the forefoot and below the bilge aft; no islands amidships."""
    outside = grid.p[..., 1] > HALF_KEEL
    hollow = (grid.K < -2e-9) & outside
    top = grid.p[..., 2] > 700.0
    amidships = (grid.p[..., 0] > 3000) & (grid.p[..., 0] < 9000)
    flips = [changes_of_sign(grid.K[i][outside[i]], 2e-9) for i in range(10, 221, 10)]
    print(f"K from {grid.K[outside].min() * 1e6:.2f} to {grid.K[outside].max() * 1e6:.2f} per m2; "
          f"hollow topsides amidships {int((hollow & top & amidships).sum())}, changes of sign per "
          f"section {flips}")
    assert not (hollow & top & amidships).any()
    assert max(flips) <= 1
    assert -1e-6 < grid.K[outside].min() and grid.K[outside].max() < 1e-6
