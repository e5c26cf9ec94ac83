# SPDX-License-Identifier: LGPL-2.1-or-later
"""SplinePatch: derivatives, curvatures against closed forms, and forms that change nothing."""

import numpy as np
import pytest
import surfaces
from demo_hull import demo_patch_data
from extended import surface_derivatives

from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch

KNOWN = [
    surfaces.cylinder(), surfaces.cone(), surfaces.sphere(), surfaces.torus(),
    surfaces.spheroid(), surfaces.helicoid(), surfaces.pseudosphere(),
]


def random_patch(seed, degree_u, degree_v, rational, full_multiplicity=False):
    """A bumpy patch of about hull size with uneven knots."""
    rng = np.random.default_rng(seed)

    def knots(degree):
        inner = np.cumsum(rng.uniform(0.2, 1.0, rng.integers(2, 7)))
        lo, hi = -0.7, inner[-1] + 0.5
        counts = rng.integers(1, degree + 1, len(inner))
        if full_multiplicity:
            counts[0] = degree
        return np.concatenate([[lo] * (degree + 1), np.repeat(inner, counts), [hi] * (degree + 1)])

    ku, kv = knots(degree_u), knots(degree_v)
    nu, nv = len(ku) - degree_u - 1, len(kv) - degree_v - 1
    x, y = np.meshgrid(np.linspace(0, 11000, nu), np.linspace(0, 3000, nv), indexing="ij")
    poles = np.stack([x, y, 0.1 * y], axis=2) + rng.normal(0, 150.0, (nu, nv, 3))
    weights = rng.uniform(0.5, 2.0, (nu, nv)) if rational else None
    return SplinePatch(degree_u, degree_v, ku, kv, poles, weights)


def off_knots(breaks, per_span, rng):
    lo, hi = breaks[:-1, None], breaks[1:, None]
    return (lo + (hi - lo) * rng.uniform(0.05, 0.95, (len(lo), per_span))).ravel()


def some_points(patch, seed=5, per_span=4):
    rng = np.random.default_rng(seed)
    u, v = off_knots(patch.breaks_u, per_span, rng), off_knots(patch.breaks_v, per_span, rng)
    u, v = np.meshgrid(u, v)
    return u.ravel(), v.ravel()


def relative(found, wanted):
    """Greatest departure as a share of the greatest magnitude wanted."""
    return np.abs(found - wanted).max() / max(np.linalg.norm(wanted, axis=-1).max(), 1e-300)


ALL_DEGREES = [(p, q, r) for p in range(1, 6) for q in range(1, 6) for r in (False, True)]


@pytest.mark.parametrize("p, q, rational", ALL_DEGREES)
def test_derivatives_against_differences(p, q, rational):
    patch = random_patch(100 * p + 10 * q + rational, p, q, rational)
    u, v = some_points(patch, per_span=2)
    jet = patch.jets(u, v)
    # Central differences of the order below, of 7 points: error h^6, rounding 1e-16/h; taken inside
    # one span, which the points' distance from the knots (5 % of a span) allows.
    h = 1e-3 * min(np.diff(patch.breaks_u).min(), np.diff(patch.breaks_v).min())

    def slope(field, du, dv):
        def apart(k):
            ahead = patch.jets(u + k * h * du, v + k * h * dv, 1)
            back = patch.jets(u - k * h * du, v - k * h * dv, 1)
            return getattr(ahead, field) - getattr(back, field)

        return (45.0 * apart(1) - 9.0 * apart(2) + apart(3)) / (60.0 * h)

    worst = 0.0
    scale = np.linalg.norm(jet.su, axis=1).max() + np.linalg.norm(jet.sv, axis=1).max()
    for field, base, du, dv in (("su", "p", 1, 0), ("sv", "p", 0, 1), ("suu", "su", 1, 0),
                                ("suv", "su", 0, 1), ("suv", "sv", 1, 0), ("svv", "sv", 0, 1)):
        worst = max(worst, np.abs(getattr(jet, field) - slope(base, du, dv)).max() / scale)
    print(f"degrees {p}, {q} rational {rational}: share of the first derivative {worst:.1e}")
    assert worst < 1e-9


def against_extended(patch, u, v, field, found):
    """Greatest departure of `found` from extended precision, as a share of the magnitude."""
    orders = {"su": (1, 0), "sv": (0, 1), "suu": (2, 0), "suv": (1, 1), "svv": (0, 2)}[field]
    wanted = np.array([surface_derivatives(patch, a, b, *orders) for a, b in zip(u, v)])
    return relative(found.astype(wanted.dtype), wanted)


@pytest.mark.parametrize("known, fields", [
    (surfaces.helicoid(), ("su", "sv", "suv", "svv")), (surfaces.pseudosphere(), ("su", "suu")),
], ids=["helicoid", "pseudosphere"])
def test_many_spans_against_extended_precision(known, fields):
    """Second derivatives across short spans, far from the origin: where digits are lost."""
    p, q = known.grid(31, 5)
    u, v = known.uv(p, q)
    jet = known.patch.jets(u, v)
    shares = {f: against_extended(known.patch, u, v, f, getattr(jet, f)) for f in fields}
    print(known.name, " ".join(f"{f} {float(s):.1e}" for f, s in shares.items()))
    assert max(shares.values()) < 1e-11


@pytest.mark.parametrize("known", KNOWN, ids=lambda k: k.name)
def test_curvatures_against_closed_forms(known):
    p, q = known.grid(37, 41)
    g = known.patch.geometry(*known.uv(p, q))
    K, H = known.gauss(p, q), known.mean(p, q)
    # sharpest principal curvature: what K and H are small or large beside
    sharp = (np.abs(H) + np.sqrt(np.maximum(H * H - K, 0.0))).max()
    error_k, error_h = np.abs(g.K - K).max() / sharp**2, np.abs(g.H - H).max() / sharp
    print(f"{known.name}: K {error_k:.1e}, H {error_h:.1e} of the sharpest curvature "
          f"(fit {known.fit_error:.1e} mm)")
    bound = 1e-12 if known.fit_error == 0.0 else 1e-8
    assert error_k < bound and error_h < bound
    unit = np.abs(np.linalg.norm(g.n, axis=1) - 1.0).max()
    square = max(np.abs((g.n * g.su).sum(1)).max(), np.abs((g.n * g.sv).sum(1)).max())
    assert unit < 1e-14 and square < 1e-14 * known.patch.size


@pytest.mark.parametrize("known", KNOWN, ids=lambda k: k.name)
def test_other_forms_change_nothing(known):
    patch = known.patch
    p, q = known.grid(11, 13)
    u, v = known.uv(p, q)
    rng = np.random.default_rng(3)
    base = patch.geometry(u, v)
    su, sv = sum(patch.u_range), sum(patch.v_range)
    new_u, new_v = off_knots(patch.breaks_u, 1, rng)[:3], off_knots(patch.breaks_v, 1, rng)[:3]
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    turn *= np.linalg.det(turn)                       # a turn, not a mirror image
    move = np.array([1234.0, -567.0, 8910.0])
    forms = {
        "swapped": (patch.swapped(), v, u, -1.0, None),
        "u reversed": (patch.reversed_u(), su - u, v, -1.0, None),
        "v reversed": (patch.reversed_v(), u, sv - v, -1.0, None),
        "knots inserted": (patch.with_knots(np.repeat(new_u, 2), new_v), u, v, 1.0, None),
        "degrees raised": (surfaces.raised_degrees(patch), u, v, 1.0, None),
        "moved": (patch.transformed(turn, move), u, v, 1.0, (turn, move)),
        "mirrored": (patch.transformed(np.diag([1.0, -1.0, 1.0])), u, v, -1.0,
                     (np.diag([1.0, -1.0, 1.0]), np.zeros(3))),
    }
    sharp = (np.abs(base.H) + np.sqrt(np.maximum(base.H**2 - base.K, 0.0))).max()
    for name, (form, a, b, side, motion) in forms.items():
        g = form.geometry(a, b)
        want = base.p if motion is None else base.p @ motion[0].T + motion[1]
        gap = np.abs(g.p - want).max()
        error_k = np.abs(g.K - base.K).max() / sharp**2
        error_h = np.abs(g.H - side * base.H).max() / sharp
        print(f"{known.name} {name}: point {gap:.1e} mm, K {error_k:.1e}, H {error_h:.1e}")
        # Second derivatives of the finely knotted fits lose digits with the square of the span.
        bound = 1e-11 if known.fit_error == 0.0 else 1e-9
        assert gap < 1e-10 and error_k < bound and error_h < bound
    a, b = patch.jets(u, v), patch.swapped().jets(v, u)
    for mine, other in ((a.su, b.sv), (a.suu, b.svv), (a.suv, b.suv)):
        assert np.abs(mine - other).max() <= 1e-12 * max(1.0, np.abs(mine).max())


def test_scaling_scales():
    patch = SplinePatch(*demo_patch_data())
    u, v = some_points(patch)
    a, b = patch.geometry(u, v), patch.transformed(25.4 * np.eye(3)).geometry(u, v)
    worst = max(relative(b.p, 25.4 * a.p), np.abs(b.K * 25.4**2 / a.K - 1).max(),
                np.abs(b.H * 25.4 - a.H).max() / np.abs(a.H).max())
    print(f"scaled by 25.4: {worst:.1e}")
    assert worst < 1e-9


def test_sides_of_a_knot():
    """On a knot of full multiplicity the span chooses the side; across it the point is one."""
    patch = random_patch(8, 3, 2, True, full_multiplicity=True)
    knot = patch.breaks_u[np.flatnonzero(patch.mult_u[1:-1] == 3)[0] + 1]
    span = int(np.flatnonzero(patch.breaks_u == knot)[0])
    v = np.linspace(*patch.v_range, 9)
    u = np.full(9, knot)
    left, right = (patch.jets(u, v, span_u=np.full(9, s)) for s in (span - 1, span))
    eps = 1e-7
    before, after = patch.jets(u - eps, v), patch.jets(u + eps, v)
    print("points", np.abs(left.p - right.p).max(), "first derivatives apart",
          np.abs(left.su - right.su).max())
    assert np.abs(left.p - right.p).max() < 1e-11
    assert np.abs(left.su - right.su).max() > 1.0
    assert relative(before.su, left.su) < 1e-5 and relative(after.su, right.su) < 1e-5


def test_orders_and_single_points():
    patch = SplinePatch(*demo_patch_data())
    assert patch.jets(0.3, 0.4, 0).su is None
    assert patch.jets(0.3, 0.4, 1).suu is None
    assert patch.points(0.3, 0.4).shape == (1, 3)
    assert patch.points([], []).shape == (0, 3)
    jet0, jet2 = patch.jets([0.3, 1.0], [0.4, 1.0], 0), patch.jets([0.3, 1.0], [0.4, 1.0], 2)
    assert np.abs(jet0.p - jet2.p).max() < 1e-11
    # The corners of a clamped patch are its corner poles.
    corners = patch.points([0, 0, 1, 1], [0, 1, 0, 1])
    gap = np.abs(corners - patch.poles[[0, 0, -1, -1], [0, -1, 0, -1]]).max()
    print(f"corners {gap:.1e} mm")
    assert gap < 1e-11


def test_beyond_the_edge_it_goes_on_as_the_last_span():
    patch = random_patch(21, 3, 3, False)
    lo, first = patch.breaks_u[:2]
    v = np.full(5, 0.5 * sum(patch.v_range))
    inside = lo + (first - lo) * np.array([0.1, 0.35, 0.6, 0.85])
    beyond = lo - 0.2 * (first - lo)
    # a cubic through four points of the span, followed outside it
    points = patch.points(inside, v[:4])
    want = [np.linalg.solve(np.vander(inside - lo, 4), points[:, i]) @ [(beyond - lo) ** k
            for k in (3, 2, 1, 0)] for i in range(3)]
    gap = np.abs(patch.points(beyond, v[:1])[0] - want).max()
    print(f"beyond the edge {gap:.1e} mm")
    assert gap < 1e-8


def _data(**changes):
    data = dict(zip(("degree_u", "degree_v", "knots_u", "knots_v", "poles"), demo_patch_data()))
    data.update(changes)
    return data


def test_bad_data_is_named():
    poles = demo_patch_data()[4]
    holed = poles.copy()
    holed[3, 4, 1] = np.nan
    for change, words in (
        (dict(poles=holed), ("pole (4, 5)", "finite")),
        (dict(weights=np.where(np.indices(poles.shape[:2])[0] == 2, -1.0, 1.0)), ("weight", "(3, 1)")),
        (dict(knots_u=demo_patch_data()[2][:-1]), ("u knots",)),
        (dict(knots_v=demo_patch_data()[3][::-1]), ("v knots",)),
        (dict(poles=poles[:, :, :2]), ("grid",)),
        (dict(degree_u=0), ("u knots",)),
    ):
        with pytest.raises(PlanError) as caught:
            SplinePatch(**_data(**change))
        print(caught.value)
        assert all(w in str(caught.value) for w in words) and caught.value.remedy


def test_a_patch_cannot_be_changed_from_outside():
    data = demo_patch_data()
    patch = SplinePatch(*data)
    before = patch.points(0.5, 0.5)
    data[4][:] = 0.0
    assert np.array_equal(patch.points(0.5, 0.5), before)
    with pytest.raises(ValueError):
        patch.poles[0, 0, 0] = 1.0
