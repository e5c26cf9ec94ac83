# SPDX-License-Identifier: LGPL-2.1-or-later
"""The rabbet line lies on the half siding, and only where the face does not end there."""

from functools import lru_cache

import hulls
import numpy as np
import pytest
from scipy.optimize import brentq

from strakeplan.core.errors import PlanError
from strakeplan.core.surface import SurfaceSettings, planked_surface

CASES = {
    "demo 45": (hulls.demo, {}, dict(half_siding=45.0)),
    "demo 3": (hulls.demo, {}, dict(half_siding=3.0)),
    "demo one each": (hulls.demo, {}, dict(half_siding=45.0, half_siding_stem=30.0, half_siding_post=60.0)),
    "double-ender one each": (hulls.lofted, dict(stern=0.0), dict(half_siding_stem=60.0, half_siding_keel=40.0, half_siding_post=20.0)),
    "hollow": (hulls.lofted, dict(hollow=0.9), dict(half_siding=40.0)),
    "hollow within the siding": (hulls.lofted, dict(hollow=0.97, stern=0.2), dict(half_siding=60.0)),
    "ends at 40, keel 60": (hulls.lofted, dict(keel_half=40.0), dict(half_siding=40.0, half_siding_keel=60.0)),
    "ends at 40, stem 60": (hulls.lofted, dict(keel_half=40.0), dict(half_siding=40.0, half_siding_stem=60.0)),
    "rational arcs": (hulls.arc_hull, {}, dict(half_siding=40.0)),
}  # fmt: skip

INWARD = -1.0  # going down the stem b = n x t, n outboard, points forward, out of the planking


@lru_cache(maxsize=None)
def make(case):
    build, shape, settings = CASES[case]
    return planked_surface(build(**shape), SurfaceSettings(**settings))


def misfit(hull, uv):
    p = hull.patch.points(uv[:, 0], uv[:, 1])
    return p[:, 1] - hull.siding.at(p[:, 0])


@pytest.mark.parametrize("case", CASES)
def test_half_breadth_is_the_half_siding(case):
    hull = make(case)
    b = hull.boundary
    assert hull.trimmed.any()
    nodes = misfit(hull, b.nodes[hull.trimmed].reshape(-1, 2))
    x = np.tile(np.linspace(-1, 1, 41), int(hull.trimmed.sum()))
    piece = np.repeat(np.nonzero(hull.trimmed)[0], 41)
    between = misfit(hull, b.uv_local(piece, x))
    print(f"{case}: {b.pieces} pieces; half-breadth off by {np.abs(nodes).max():.1e} at nodes, "
          f"{np.abs(between).max():.1e} mm between")  # fmt: skip
    assert np.abs(nodes).max() < 1e-9 and np.abs(between).max() < 1e-6


@pytest.mark.parametrize("case", CASES)
def test_pieces_join_and_keep_to_one_knot_span(case):
    hull = make(case)
    b = hull.boundary
    assert np.array_equal(b.nodes[1:, 0], b.nodes[:-1, -1])
    straddle = 0.0
    for k, breaks in ((0, hull.patch.breaks_u), (1, hull.patch.breaks_v)):
        lo, hi = b.nodes[:, :, k].min(axis=1), b.nodes[:, :, k].max(axis=1)
        for t in breaks[1:-1]:
            inside = np.minimum(t - lo, hi - t)  # how far a knot line reaches into a piece
            straddle = max(straddle, float(inside.max()) / (breaks[-1] - breaks[0]))
    print(f"{case}: knot lines reach {straddle:.1e} of the range into pieces")
    assert straddle < 1e-9


@pytest.mark.parametrize("case", CASES)
def test_inside_is_positive_inside(case):
    hull = make(case)
    s = np.linspace(0.0, hull.boundary.length, 401)[1:-1]
    c = hull.boundary.at(s)
    on = hull.inside(*c.uv.T)
    jet = hull.patch.jets(*c.uv.T, 1)

    def stepped(mm):
        d = np.stack([np.linalg.lstsq(np.stack([a, b], 1), q, rcond=None)[0]
                      for a, b, q in zip(jet.su, jet.sv, c.b)])  # fmt: skip
        return c.uv + mm * d

    clear = np.min(np.abs(s[:, None] - hull.boundary.s_breaks[None, :]), axis=1) > 12.0
    into = hull.inside(*stepped(INWARD * 5.0).T)[clear]
    out = hull.inside(*stepped(-INWARD * 5.0).T)[clear]
    print(f"{case}: on the boundary within {np.abs(on).max():.1e}; "
          f"5 mm in at least {into.min():.2g}, 5 mm out at most {out.max():.2g}")  # fmt: skip
    assert np.abs(on).max() < 1e-5
    assert into.min() > 0.0 and out.max() < 0.0


def test_nothing_is_trimmed_where_the_face_ends_already():
    for shape, siding in ((dict(), 0.0), (dict(keel_half=40.0), 40.0), (dict(keel_half=40.0), 0.0)):
        hull = planked_surface(hulls.lofted(**shape), SurfaceSettings(half_siding=siding))
        b = hull.boundary
        lengths = [b.length, hull.sheer.length, hull.s_stem_end, hull.stern_length]
        print(shape, siding, np.round(lengths, 6), hull.notes[-1])
        assert not hull.trimmed.any()
        assert (b.nodes[b.s_breaks[:-1] < hull.s_stem_end - 1.0][:, :, 0] == 0.0).all()
        keel = (b.s_breaks[:-1] > hull.s_stem_end - 1.0) & (b.s_breaks[1:] < hull.s_stern_start + 1.0)
        assert keel.any() and (b.nodes[keel][:, :, 1] == 1.0).all()
        ends = b.points([0.0, hull.s_stem_end, hull.s_stern_start, b.length])
        corners = hull.patch.points([0, 0, 1, 1], [0, 1, 1, 0])
        assert np.abs(ends - corners).max() < 1e-7


def test_wedge_against_its_closed_form():
    # y = x tan(a) (1 - 0.9 w^2) and z = -D w: the rabbet is x = h / (tan(a) (1 - 0.9 w^2))
    from scipy.integrate import quad

    a, h, depth = 0.2, 40.0, 1000.0
    hull = planked_surface(hulls.straight_sided(a, depth=depth), SurfaceSettings(half_siding=h))
    c = hull.boundary.sample(2001)
    w = -c.p[:, 2] / depth
    on = np.repeat(hull.trimmed, np.diff(np.searchsorted(c.s, hull.boundary.s_breaks)))
    on = np.append(on, hull.trimmed[-1])[: len(w)]
    gap = np.abs(c.p[:, 0] * np.tan(a) * (1.0 - 0.9 * w**2) - h)[on].max()

    def speed(w):
        return np.hypot(h / np.tan(a) * 1.8 * w / (1 - 0.9 * w**2) ** 2, depth)

    want = quad(speed, 0.0, 1.0, epsabs=1e-12, epsrel=1e-12)[0]
    got = hull.boundary.piece_lengths[hull.trimmed].sum()
    print(f"wedge: half-breadth within {gap:.1e} mm, length {got:.9f} against {want:.9f} mm")
    assert gap < 1e-6 and abs(got - want) < 1e-6


def test_the_branch_next_to_the_sheer_is_followed():
    # Walking down any line of the face from the sheer, the first fall below the siding is the rabbet.
    hull = make("hollow within the siding")
    b = hull.boundary
    found = []
    for u in np.linspace(0.5, 0.97, 12):
        f = lambda v, u=u: float(misfit(hull, np.array([[u, v]]))[0])  # noqa: E731
        v = np.linspace(0.0, 1.0, 4001)
        values = misfit(hull, np.stack([np.full_like(v, u), v], axis=1))
        k = int(np.argmax(values < 0.0))
        first = brentq(f, v[k - 1], v[k], xtol=1e-14)
        s = b.crossings(lambda uv, p, u=u: uv[:, 0] - u)
        mine = b.at(s).uv[:, 1]
        found.append(np.min(np.abs(mine - first)))
        again = np.any((values[k:-1] < 0.0) & (values[k + 1 :] > 0.0))
        if again:  # the same line comes out of the siding once more below the rabbet
            below = v[k:][values[k:] > 1.0]
            if len(below) and len(mine) == 1:
                assert hull.inside(np.full_like(below, u), below).max() <= 0.0
    print(f"first branch met within {max(found):.1e} of the v range")
    assert max(found) < 1e-9


def test_blend_between_sidings():
    hull = make("demo one each")
    h = hull.siding
    x = np.linspace(*hull.x_range, 200001)
    values = h.at(x)
    slope = np.gradient(values, x)
    print(f"siding {h.stem}/{h.keel}/{h.post}: changes over {np.diff(h.breaks)[::2]} mm, "
          f"greatest slope {np.abs(slope).max():.3f}; slope formula within {np.abs(slope - h.slope(x))[2:-2].max():.1e}")  # fmt: skip
    assert np.abs(slope - h.slope(x))[2:-2].max() < 1e-4
    p = hull.boundary.points([0.0, 0.5 * hull.s_stem_end, hull.s_stem_end, 6000.0, hull.s_stern_start])
    print("half-breadths down the stem, on the keel, at the heel:", p[:, 1].round(6))
    assert np.abs(p[:, 1] - [30.0, 30.0, 30.0, 45.0, 60.0]).max() < 1e-6


def test_girths_on_the_ends():
    hull = make("demo 45")
    assert hull.arc_at_girth("stem", 600.0) == 600.0
    assert abs(hull.stern_girth(hull.arc_at_girth("stern", 600.0)) - 600.0) < 1e-9
    p = hull.patch.points(*hull.uv_at_girth("stern", 0.0)[:, None])
    assert np.abs(p - hull.sheer.points([hull.sheer.length])).max() < 1e-9
    for edge, girth in (("stem", 2000.0), ("stern", 1e4), ("stem", -1.0), ("stern", float("nan"))):
        with pytest.raises(PlanError) as caught:
            hull.arc_at_girth(edge, girth)
        print(caught.value)
        assert edge in str(caught.value) and f"{hull.stem_length if edge == 'stem' else hull.stern_length:.1f}" in str(caught.value)


def test_sheer_and_boundary_share_their_ends():
    for case in CASES:
        hull = make(case)
        gaps = [hull.sheer.nodes[0, 0] - hull.boundary.nodes[0, 0], hull.sheer.nodes[-1, -1] - hull.boundary.nodes[-1, -1]]
        assert np.abs(gaps).max() == 0.0, case
        assert 0.0 < hull.s_stem_end < hull.s_stern_start < hull.boundary.length
    print(f"{len(CASES)} hulls")
