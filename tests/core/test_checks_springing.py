# SPDX-License-Identifier: LGPL-2.1-or-later
"""What springing asks: closed forms on sphere, torus, cone and cylinder; common practice."""

from dataclasses import replace
from types import SimpleNamespace

import made_samples
import numpy as np
from made_wood import FIR

from strakeplan.core.checks.springing import check_springing
from strakeplan.core.checks.windows import between, over_planks, stretch

T, PLANK, FRAMES = 28.0, 4900.0, 300.0


def sprung(strakes, **more):
    return check_springing(strakes, FIR, T, PLANK, FRAMES, **more)


def test_strains_along_latitudes_of_a_sphere():
    """w tan f / 2R edgewise, t / 2R flatwise, w^2 / 12 R^2 pressed at the edges; shares add up."""
    radius, f, w = 9000.0, np.array([0.05, 0.15]), 105.0
    found = sprung(made_samples.sphere_latitudes(radius, f, 9000.0, w))
    edge, flat, compound = w * np.tan(f) / (2.0 * radius), T / (2.0 * radius), w**2 / (12.0 * radius**2)
    share = (edge + flat + compound) / 6.4e-3
    print(f"edgewise {found.edgewise.worst}, flatwise {found.flatwise.worst[0]:.3e}, "
          f"compound {found.compound.worst[0]:.3e}; "
          f"share {found.share.worst}, by hand {share}; edgewise alone {edge / 6.4e-3}")  # fmt: skip
    assert np.allclose(found.edgewise.worst, edge) and np.allclose(found.flatwise.worst, flat)
    assert np.allclose(found.compound.worst, -compound) and np.allclose(found.share.worst, share)
    assert np.allclose(found.share_spiled.worst, (flat + compound) / 6.4e-3)
    # edgewise alone misleads by a factor of two or more on the flatter of the two
    assert found.share.worst[0] > 2.0 * edge[0] / 6.4e-3


def test_compound_strain_of_a_pseudosphere_pulls():
    """K = -1/a^2: + w^2 / 12 a^2 at the edges, most where the strip is widest."""
    a, w0, length = 5000.0, 90.0, 8000.0
    found = sprung(made_samples.pseudosphere_strips(a, [w0], length))
    exact = (w0 * np.cosh(0.5 * length / a)) ** 2 / (12.0 * a**2)
    print(f"pulled by {found.compound.worst[0]:.3e}, exact {exact:.3e}")
    assert np.isclose(found.compound.worst[0], exact) and found.compound.index[0] in (0, 120)
    assert found.edgewise.worst[0] == 0.0


def test_force_at_mid_length_of_a_circle():
    """48 E I d / l^3 with the circle's sagitta d."""
    r, w = 40000.0, 105.0
    found = sprung(made_samples.made([9000.0], width=w, edgewise=1.0 / r))
    d = r * (1.0 - np.cos(0.5 * PLANK / r))
    force = 48.0 * 14000.0 * (T * w**3 / 12.0) * d / PLANK**3
    print(f"edge set {found.edge_set.worst[0]:.3f} mm, force {found.force.worst[0]:.2f} N, by hand {force:.2f}")
    assert np.isclose(found.edge_set.worst[0], d, rtol=1e-9) and np.isclose(found.force.worst[0], force, rtol=1e-9)


def test_a_short_run_of_a_long_plank():
    """A run of 3 m that goes on is part of a plank: bent as much over 4.9 m it takes 6 E I kappa / l.

    One of 1 m, less than half a plank, is a stub: its force says nothing of the plank.
    """
    r, w = 40000.0, 105.0
    strakes = made_samples.made([1000.0, 3000.0, 1000.0], width=w, edgewise=1.0 / r)
    found = sprung(replace(strakes, runs=SimpleNamespace(whole=np.array([True, False, False]))))
    force = 6.0 * 14000.0 * (T * w**3 / 12.0) / r / np.array([1000.0, PLANK])
    print("force of a plank of 1 m, of a run of 3 m, of a stub:", found.force.worst, "by hand", force)
    assert np.allclose(found.force.worst[:2], force, rtol=1e-3) and np.isnan(found.force.worst[2])
    assert np.allclose(found.edge_set.worst, np.array([1.0, 9.0, 1.0]) * 1e6 / 8.0 / r, rtol=1e-3)
    assert np.isnan(found.buckling[2])


def test_force_of_a_tapered_plank_by_energy():
    """Width from 60 to 120 mm over 4.9 m: d = P times the integral of (x / 2)^2 / E I, in closed form
    by hand for a width that is linear along the plank.

    With w = a + b x: integral of x^2 / w^3 = [ln w + 2 a / w - a^2 / (2 w^2)] / b^3 (differentiate).
    """
    a, b, d = 60.0, 60.0 / PLANK, 50.0
    kappa = 8.0 * d / PLANK**2
    strakes = made_samples.made([PLANK], width=a + b * np.linspace(0.0, PLANK, 121), edgewise=kappa)
    found = sprung(strakes)

    def half(a, b):  # from an end of width a, widening by b, to the middle
        value = lambda w: (np.log(w) + 2.0 * a / w - a * a / (2.0 * w * w)) / b**3  # noqa: E731
        return value(a + 0.5 * b * PLANK) - value(a)

    sagitta = (1.0 - np.cos(0.5 * kappa * PLANK)) / kappa
    by_hand = sagitta * 14000.0 * T / 12.0 / (0.25 * (half(60.0, b) + half(120.0, -b)))
    k = 60
    even = 48.0 * 14000.0 * T * 90.0**3 / 12.0 * sagitta / PLANK**3
    print(f"tapered {found.force.value[0, k]:.2f} N, by hand {by_hand:.2f}, even of 90 mm {even:.2f}")
    assert abs(found.force.value[0, k] / by_hand - 1.0) < 2e-3


def test_buckling_of_the_strip_beside_the_force():
    """16.94 sqrt(E I G J) / l^2, J of 4:1 by the table of beta: .281 a b^3."""
    r, w, t = 40000.0, 112.0, 28.0
    found = check_springing(made_samples.made([9000.0], width=w, edgewise=1.0 / r), FIR, t, PLANK, FRAMES)
    critical = 16.94 * np.sqrt(14000.0 * (w * t**3 / 12.0) * 1000.0 * 0.281 * w * t**3) / PLANK**2
    print(f"force over buckling force {found.buckling[0]:.4f}, by hand {found.force.worst[0] / critical:.4f}")
    assert np.isclose(found.buckling[0], found.force.worst[0] / critical, rtol=2e-3)


def test_holding_down_on_a_torus():
    """Along a parallel nothing changes: torque E (I_w - I_t) kappa_g kappa_n a length, by a frame, by the width."""
    big, small, v, w = 7000.0, 1500.0, 0.02, 105.0
    strakes = made_samples.torus_parallels(big, small, [v], 9000.0, w)
    found = sprung(strakes)
    far = big + small * np.cos(v)
    torque = 14000.0 * (T * w**3 - w * T**3) / 12.0 * np.sin(v) * np.cos(v) / far**2
    print(f"hold down {found.hold_down.worst[0]:.2f} N a frame, by hand {torque * FRAMES / w:.2f}")
    assert np.isclose(found.hold_down.worst[0], torque * FRAMES / w, rtol=1e-9)
    # kappa_g > 0 turns towards the keel: the lower edge is on the concave side and stands off
    assert not found.upper_off[0] and found.stand_off[0] > 0.0


def test_common_practice_at_the_sheer_amidships():
    """Common practice, no source: 4.9 m of softwood 105 by 25 to 30 mm, 64 to 76 mm of edge set,
    R about 8 m: one hand on a bar clamp, lower edge tight, upper edge off by the order of an inch.

    Own arithmetic: kappa = 8 d / l^2; F = 48 E I d / l^3 = 0.9 to 1.2 kN for E = 14 GPa, what
    a bar clamp gives in one hand; the roll, from the boundary problem solved by shooting below.
    """
    for t, d in ((25.0, 64.0), (28.0, 70.0), (30.0, 76.0)):
        kappa = -8.0 * d / PLANK**2  # near the sheer amidships the strake turns towards the sheer
        strakes = made_samples.made([PLANK], width=105.0, edgewise=kappa, bend=1.0 / 8000.0)
        found = check_springing(strakes, FIR, t, PLANK, FRAMES)
        exact = shooting(105.0, t, kappa, 1.0 / 8000.0, PLANK, 14000.0, 1000.0)
        print(f"t = {t:.0f}: edge set {found.edge_set.worst[0]:.1f} mm, force {found.force.worst[0]:.0f} N, roll "
              f"{np.degrees(found.roll[0]):.2f} degrees (shooting {np.degrees(exact):.2f}), upper edge off "
              f"{found.stand_off[0]:.1f} mm, hold down {found.hold_down.worst[0]:.0f} N a frame, share "
              f"{100 * found.share.worst[0]:.0f} %")  # fmt: skip
        assert abs(found.edge_set.worst[0] - d) < 0.2
        assert 400.0 < found.force.worst[0] < 2000.0
        assert found.upper_off[0] and abs(found.roll[0] - exact) < 1e-3
        assert 0.4 * 25.4 < found.stand_off[0] < 1.5 * 25.4
        assert np.radians(7.0) < found.roll[0] < np.radians(11.0)


def shooting(w, t, kappa_g, kappa_n, length, E, G):
    """Greatest roll between flat ends, by Runge-Kutta and bisection on the first slope.

    G J theta'' + E (I_w - I_t) (kappa_g^2 + kappa_n^2) sin(theta0 - theta) cos(theta0 - theta) = 0;
    J of a rectangle by its series' first terms, a b^3 (1/3 - 0.21 b / a (1 - b^4 / 12 a^4)) (any
    table of sections).
    """
    J = w * t**3 * (1.0 / 3.0 - 0.21 * t / w * (1.0 - t**4 / (12.0 * w**4)))
    load = E * (t * w**3 - w * t**3) / 12.0 * (kappa_g**2 + kappa_n**2) / (G * J)
    natural = np.arctan2(abs(kappa_g), abs(kappa_n))
    n = 2000
    h = length / n

    def run(slope):
        y, most = np.array([0.0, slope]), 0.0
        f = lambda y: np.array([y[1], -0.5 * load * np.sin(2.0 * (natural - y[0]))])  # noqa: E731
        for _ in range(n):
            a = f(y)
            b = f(y + 0.5 * h * a)
            c = f(y + 0.5 * h * b)
            y = y + h / 6.0 * (a + 2.0 * b + 2.0 * c + f(y + h * c))
            most = max(most, y[0])
        return y[0], most

    low, high = 0.0, natural * np.sqrt(load)
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if run(middle)[0] < 0.0 else (low, middle)
    return run(0.5 * (low + high))[1]


def test_roll_fades_on_a_flat_run():
    """4.9 m with 70 mm of edge set: 8 to 9 degrees at R = 8 m, 4 to 6 at 50 m, 0.3 at 1 km (design arithmetic)."""
    kappa = -8.0 * 70.0 / PLANK**2
    bend = np.array([[1.0 / 8e3], [1.0 / 5e4], [1.0 / 1e6]])
    strakes = made_samples.made([PLANK] * 3, width=105.0, edgewise=kappa, bend=bend)
    found = np.degrees(sprung(strakes).roll)
    exact = [np.degrees(shooting(105.0, T, kappa, b, PLANK, 14000.0, 1000.0)) for b in bend[:, 0]]
    print("roll at R = 8 m, 50 m, 1 km:", np.round(found, 2), "degrees; by shooting", np.round(exact, 2))
    assert np.allclose(found, exact, atol=0.02) and found[0] > found[1] > found[2] and found[2] < 0.5


def test_wide_planks_cannot_be_edge_set():
    """Common practice, no source. Strain grows with the width, the force with its cube (by arithmetic)."""
    w = np.array([[70.0], [105.0], [210.0]])
    found = sprung(made_samples.made([9000.0] * 3, width=w, edgewise=1.0 / 40000.0))
    print("edgewise strain", found.edgewise.worst, "force", np.round(found.force.worst))
    assert np.allclose(found.edgewise.worst / found.edgewise.worst[0], w[:, 0] / 70.0)
    assert np.allclose(found.force.worst / found.force.worst[0], (w[:, 0] / 70.0) ** 3)


def test_steamed_planks_take_their_bend_without_strain():
    strakes = made_samples.sphere_latitudes(9000.0, [0.05, 0.05], 9000.0, 105.0)
    found = sprung(strakes, steamed=np.array([False, True]))
    gone = found.share.worst[0] - found.share.worst[1]
    print("share cold and steamed:", found.share.worst)
    assert np.isclose(gone, T / 18000.0 / 6.4e-3) and found.flatwise.worst[1] == 0.0


def test_samples_between_places_and_over_planks():
    """A cubic is read exactly between places; its integral, of degree 4, within h^4 f / 24 at either end."""
    s = np.stack([np.linspace(0.0, 9000.0, 91), np.linspace(0.0, 3000.0, 91)])
    cubic = lambda x: 1.0 + 2e-3 * x - 3e-7 * x**2 + 4e-11 * x**3  # noqa: E731
    whole = lambda x: x + 1e-3 * x**2 - 1e-7 * x**3 + 1e-11 * x**4  # noqa: E731
    at = stretch(s, np.array([4321.0, 100.0]), PLANK, 33)
    off = np.abs(between(cubic(s), s, at) / cubic(at) - 1.0).max()
    window = np.array([[PLANK], [3000.0]])
    start = np.clip(s - 0.5 * window, 0.0, s[:, -1:] - window)
    exact = whole(start + window) - whole(start)
    lost, bound = np.abs(over_planks(cubic(s), s, PLANK) - exact).max(), 2.0 * 100.0**4 * 24e-11 / 24.0
    print(f"between places off by {off:.1e} of it, over planks by {lost:.1e} of {exact.max():.0f}, {bound:.1e} allowed")
    assert off < 1e-12 and lost < bound and np.all(at[1] == np.linspace(0.0, 3000.0, 33))
