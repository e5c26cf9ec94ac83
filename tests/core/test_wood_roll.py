# SPDX-License-Identifier: LGPL-2.1-or-later
"""Roll of planks sprung edgewise: closed forms, limits, another solver, order of convergence."""

import numpy as np
import pytest
from scipy.integrate import simpson, solve_bvp

from strakeplan.core.errors import PlanError
from strakeplan.core.wood.handbook import species_named
from strakeplan.core.wood.mechanics import second_moments, torsion_constant
from strakeplan.core.wood.roll import hold_down, plank_roll, roll_limit

W, T, RATIO = 105.0, 28.0, 0.07
LENGTH = 4900.0


def constants(width=W, thickness=T):
    moments = second_moments(width, thickness)
    return moments.edgewise - moments.flat, RATIO * torsion_constant(width, thickness)


def tapering(s):
    """A plank that tapers, on a line whose every curvature changes."""
    x = s / LENGTH
    return dict(
        width=120.0 - 45.0 * (2.0 * x - 0.9) ** 2, kappa_g=-3e-5 * np.cos(2.5 * x - 0.8),
        kappa_n=-1.2e-4 * (1.3 + np.sin(4.0 * x)), tau_g=4e-5 * np.sin(3.0 * x + 0.4),
    )  # fmt: skip


def other_solver(line, s):
    """theta (n,) by scipy's collocation, from the energy's own equations in angle and torque."""

    def rates(at, y):
        line_at = line(at)
        moments = second_moments(line_at["width"], T)
        stiff = RATIO * torsion_constant(line_at["width"], T)
        kg, kn = line_at["kappa_g"], line_at["kappa_n"]
        own = kg * np.cos(y[0]) + kn * np.sin(y[0])  # bent in its own plane
        flat = kn * np.cos(y[0]) - kg * np.sin(y[0])  # and across its flat
        return np.stack([y[1] / stiff - line_at["tau_g"], (moments.edgewise - moments.flat) * own * flat])

    found = solve_bvp(
        rates, lambda a, b: np.array([a[0], b[0]]), s, np.zeros((2, len(s))), tol=1e-10, max_nodes=100000
    )
    assert found.success
    return found.sol(s)[0]


def test_against_another_solver_and_order():
    """scipy's solve_bvp (fourth-order collocation, adaptive); ours is fourth order in the spacing."""
    ends, errors, told = [31, 61, 121, 241], [], []
    for n in ends:
        s = np.linspace(0.0, LENGTH, n)
        got = plank_roll(s, thickness=T, shear_ratio=RATIO, **tapering(s))
        errors.append(np.max(np.abs(got.angle - other_solver(tapering, s))))
        told.append(float(got.error))
    order = np.log2(np.array(errors[:-1]) / errors[1:])
    print("greatest angle", np.degrees(np.max(np.abs(got.angle))), "degrees; errors", errors, "order", order)
    print("errors told", told)
    assert np.all(order[:2] > 3.7)
    assert errors[1] < 1e-6
    # the error told is the error, not only a bound: within a factor of three
    assert np.all(np.array(told[:3]) > np.array(errors[:3]) / 3.0)
    assert np.all(np.array(told[:3]) < np.array(errors[:3]) * 3.0)


@pytest.mark.parametrize("radius", [8e3, 5e4, 1e6])
def test_constant_curvature_against_another_solver(radius):
    """Design figures for 70 mm of edge set in 4.9 m: 8-9 degrees at R = 8 m, 4-6 at 50 m, .3 at 1 km."""
    kappa = -8.0 * 70.0 / LENGTH**2

    def line(s):
        return dict(width=W + 0.0 * s, kappa_g=kappa, kappa_n=-1.0 / radius, tau_g=0.0)

    s = np.linspace(0.0, LENGTH, 61)
    got = plank_roll(s, thickness=T, shear_ratio=RATIO, **line(s))
    other = other_solver(line, s)
    degrees = np.degrees(np.max(np.abs(got.angle)))
    print(radius, degrees, np.max(np.abs(got.angle - other)), got.error)
    print("limit", np.degrees(roll_limit(kappa, 1.0 / radius)))
    assert got.angle == pytest.approx(other, abs=2e-8)
    low, high = {8e3: (8.0, 9.0), 5e4: (4.0, 6.0), 1e6: (0.2, 0.35)}[radius]
    assert low < degrees < high


def test_linear_closed_form():
    """Small edgewise curvature: theta = (kappa_g/kappa_n) (cosh(m (s - l/2)) / cosh(m l / 2) - 1).

    From G J theta'' = E (I_w - I_t)(kappa_n^2 theta + kappa_g kappa_n), own derivation.
    """
    difference, stiff = constants()
    kappa_g, kappa_n = 1e-9, -1.0 / 12e3
    m = abs(kappa_n) * np.sqrt(difference / stiff)
    s = np.linspace(0.0, LENGTH, 61)
    exact = (kappa_g / kappa_n) * (np.cosh(m * (s - 0.5 * LENGTH)) / np.cosh(0.5 * m * LENGTH) - 1.0)
    got = plank_roll(s, W, T, kappa_g, kappa_n, 0.0, RATIO)
    print(np.max(got.angle), np.max(exact), np.max(np.abs(got.angle / np.max(exact) - exact / np.max(exact))))
    assert got.angle == pytest.approx(exact, rel=1e-6, abs=1e-12)


def test_flat_run_closed_form():
    """On a nearly flat run the torque is even: theta = E dI kappa_g kappa_n s (s - l) / (2 G J)."""
    difference, stiff = constants()
    kappa_g, kappa_n = 1e-7, -1e-7
    s = np.linspace(0.0, LENGTH, 21)
    exact = difference * kappa_g * kappa_n * s * (s - LENGTH) / (2.0 * stiff)
    got = plank_roll(s, W, T, kappa_g, kappa_n, 0.0, RATIO)
    assert got.angle == pytest.approx(exact, rel=1e-6, abs=1e-16)
    assert np.max(got.angle) < 1e-3 < roll_limit(kappa_g, kappa_n), "the limit is far too much here"


@pytest.mark.parametrize("kappa_g, kappa_n", [(3e-5, -5e-4), (-1e-4, -4e-4), (2e-4, 5e-4)])
def test_long_plank_goes_to_the_limit(kappa_g, kappa_n):
    """A long plank on strong curvature lies flat to all of it: theta0 = atan(|kappa_g / kappa_n|)."""
    s = np.linspace(0.0, 20000.0, 401)
    got = plank_roll(s, W, T, kappa_g, kappa_n, 0.0, RATIO)
    middle = got.angle[200]
    print(np.degrees(middle), np.degrees(roll_limit(kappa_g, kappa_n)))
    assert abs(middle) == pytest.approx(float(roll_limit(kappa_g, kappa_n)), rel=1e-9)
    own = kappa_g * np.cos(middle) + kappa_n * np.sin(middle)
    assert own == pytest.approx(0.0, abs=1e-12), "nothing is left bent in its own plane"


def test_which_edge_stands_off():
    """The edge on the concave side: a line that turns towards the keel lifts its lower edge."""
    s = np.linspace(0.0, LENGTH, 31)
    for kappa_g, edge in ((2.3e-5, 1), (-2.3e-5, -1)):
        got = plank_roll(s, W, T, kappa_g, -1.0 / 8e3, 0.0, RATIO)
        held = hold_down(s, W, T, kappa_g, -1.0 / 8e3, 0.0, 14000.0, 1000.0, 400.0)
        assert got.edge[int(got.worst)] == edge and np.all(held.edge == edge)
        assert got.most == pytest.approx(W * np.sin(np.max(np.abs(got.angle))))
    none = plank_roll(s, W, T, 0.0, -1.0 / 8e3, 0.0, RATIO)
    assert np.all(none.angle == 0.0) and np.all(none.edge == 0)


def test_even_twist_turns_nothing_on_a_flat_run():
    """A plank twisted evenly on a line that does not bend stays where it is put, as G J tau is even."""
    s = np.linspace(0.0, LENGTH, 31)
    got = plank_roll(s, W, T, 0.0, 0.0, 2e-4, RATIO)
    # both ends are held at the hull's own twist, so nothing is left to turn
    print(np.max(np.abs(got.angle)))
    assert np.max(np.abs(got.angle)) < 1e-12


def test_twist_that_changes_closed_form():
    """tau_g = c s on a flat run: theta'' = -c, theta = c s (l - s) / 2."""
    s = np.linspace(0.0, LENGTH, 31)
    c = 1e-8
    got = plank_roll(s, W, T, 0.0, 0.0, c * s, RATIO)
    assert got.angle == pytest.approx(0.5 * c * s * (LENGTH - s), abs=1e-12)


def test_hold_down_closed_form():
    """E (I_w - I_t) kappa_g kappa_n, less (G J tau_g)' where tau_g = c s; own arithmetic."""
    modulus, shear, spacing, c = 14000.0, 1000.0, 400.0, 2e-8
    s = np.linspace(0.0, LENGTH, 31)
    kappa_g, kappa_n = -2.3e-5, -1.0 / 8e3
    got = hold_down(s, W, T, kappa_g, kappa_n, c * s, modulus, shear, spacing)
    moments = second_moments(W, T)
    torque = modulus * (moments.edgewise - moments.flat) * kappa_g * kappa_n - shear * torsion_constant(W, T) * c
    print(torque, got.torque[3], got.force[3])
    assert got.torque == pytest.approx(np.full(31, torque), rel=1e-9)
    assert got.force == pytest.approx(np.full(31, abs(torque) * spacing / W), rel=1e-9)


def test_hold_down_holds():
    """The torque told, put on the free plank's equation, leaves it flat: theta = 0 solves it.

    From the energy by finite differences: d/dtheta of E I kappa^2 / 2 at theta = 0, less the change
    of the twisting moment along a tapering plank.
    """
    s = np.linspace(0.0, LENGTH, 481)
    line = tapering(s)
    modulus, shear = 14000.0, 980.0
    moments = second_moments(line["width"], T)

    def energy(theta):
        own = line["kappa_g"] * np.cos(theta) + line["kappa_n"] * np.sin(theta)
        flat = line["kappa_n"] * np.cos(theta) - line["kappa_g"] * np.sin(theta)
        return 0.5 * modulus * (moments.edgewise * own**2 + moments.flat * flat**2)

    def twisting(at):
        line_at = tapering(at)
        return shear * torsion_constant(line_at["width"], T) * line_at["tau_g"]

    wanted = (energy(1e-5) - energy(-1e-5)) / 2e-5 - (twisting(s + 0.5) - twisting(s - 0.5))
    got = hold_down(s, line["width"], T, line["kappa_g"], line["kappa_n"], line["tau_g"], modulus, shear, 400.0)
    print(np.max(np.abs(got.torque - wanted)), np.max(np.abs(wanted)))
    assert got.torque == pytest.approx(wanted, abs=2e-4 * np.max(np.abs(wanted)))


def test_all_planks_together_are_each_alone():
    """31 planks of 60 places in one call are what each is by itself; leading axes are free."""
    rng = np.random.default_rng(4)
    m, n = 31, 60
    length = rng.uniform(3000, 13000, (m, 1))
    s = np.linspace(0.0, 1.0, n) * length
    x = s / length
    width = 120.0 - 240.0 * (x - 0.5) ** 2 * rng.uniform(0.2, 1.6, (m, 1))
    kg = rng.uniform(-4e-5, 4e-5, (m, 1)) * np.cos(3.0 * x)
    kn = -rng.uniform(1e-6, 4e-4, (m, 1)) * (1.2 + np.cos(6.0 * x))
    tau = rng.uniform(-3e-4, 3e-4, (m, 1)) * (x - 0.5)
    both = plank_roll(s, width, T, kg, kn, tau, RATIO)
    assert both.angle.shape == (m, n) and np.all(np.isfinite(both.angle))
    for k in range(m):
        alone = plank_roll(s[k], width[k], T, kg[k], kn[k], tau[k], RATIO)
        assert both.angle[k] == pytest.approx(alone.angle, abs=1e-9)
        assert both.most[k] == pytest.approx(float(alone.most), abs=1e-6)
    folded = plank_roll(
        *(a[:30].reshape(5, 6, n) for a in (s, width)), T, *(a[:30].reshape(5, 6, n) for a in (kg, kn, tau)), RATIO
    )
    assert folded.angle.shape == (5, 6, n) and folded.most.shape == (5, 6)
    assert folded.angle.reshape(30, n) == pytest.approx(both.angle[:30], abs=1e-9)


def energy(s, width, kg, kn, tau, theta):
    """Bending and twisting energy over E of planks (..., n), by Simpson's rule; slopes by finite differences."""
    moments = second_moments(width, T)
    own = kg * np.cos(theta) + kn * np.sin(theta)
    flat = kn * np.cos(theta) - kg * np.sin(theta)
    turn = tau + np.gradient(theta, axis=-1, edge_order=2) / (s[..., 1:2] - s[..., :1])
    per_length = moments.edgewise * own**2 + moments.flat * flat**2 + RATIO * torsion_constant(width, T) * turn**2
    return 0.5 * simpson(per_length, x=s, axis=-1)


def test_planks_that_want_to_flip_come_to_rest():
    """Sprung more edgewise than bent across the flat, by as much again: where they come to rest no
    small turn lowers the energy, and lying flat holds more of it."""
    rng = np.random.default_rng(8)
    m, n = 40, 121
    s = np.linspace(0.0, 1.0, n) * rng.uniform(3000.0, 9000.0, (m, 1))
    x = s / s[:, -1:]
    width = rng.uniform(60.0, 160.0, (m, 1)) * (1.0 - 0.4 * (2.0 * x - 1.0) ** 2)
    kn = -(10.0 ** rng.uniform(-5.5, -4.0, (m, 1))) * (1.0 + 0.3 * np.sin(5.0 * x))
    kg = -2.0 * kn * (1.0 + 0.3 * np.cos(4.0 * x))
    tau = 2e-5 * np.cos(3.0 * x)
    got = plank_roll(s, width, T, kg, kn, tau, RATIO)
    degrees = np.degrees(np.max(np.abs(got.angle), axis=1))
    print("angles", np.sort(degrees).round(1), "flip", int(np.isnan(degrees).sum()))
    assert np.all(np.isfinite(got.angle))
    assert np.sum(degrees > 30.0) >= 5, "some of them turn far"
    rest = energy(s, width, kg, kn, tau, got.angle)
    assert np.all(rest < energy(s, width, kg, kn, tau, 0.0 * s))
    for k in range(1, 5):
        for sign in (-1.0, 1.0):
            moved = energy(s, width, kg, kn, tau, got.angle + sign * 0.02 * np.sin(k * np.pi * x))
            assert np.all(moved > rest), (k, sign)


def test_mirrored_and_reversed():
    """Run the other way, or mirrored top to bottom, the plank rolls the same."""
    s = np.linspace(0.0, LENGTH, 61)
    line = tapering(s)
    one = plank_roll(s, thickness=T, shear_ratio=RATIO, **line)
    mirrored = plank_roll(
        s, line["width"], T, -line["kappa_g"], line["kappa_n"], -line["tau_g"], RATIO
    )
    # from aft forward n x T points the other way: kappa_g changes sign, and so does theta about -T
    back = plank_roll(
        s, line["width"][::-1], T, -line["kappa_g"][::-1], line["kappa_n"][::-1], line["tau_g"][::-1], RATIO
    )
    assert mirrored.angle == pytest.approx(-one.angle, abs=1e-10)
    assert back.angle[::-1] == pytest.approx(-one.angle, abs=1e-10)


def test_pointed_plank_is_finite():
    """A plank that runs out to nothing at one end rolls like any other."""
    s = np.linspace(0.0, LENGTH, 61)
    got = plank_roll(s, 120.0 * (1.0 - s / LENGTH), T, 2e-5, -1e-4, 1e-5, RATIO)
    print(np.degrees(np.max(got.angle)), got.error)
    assert np.all(np.isfinite(got.angle)) and got.stand_off[-1] == 0.0


def test_too_few_places_are_told():
    with pytest.raises(PlanError, match="too few places"):
        plank_roll(np.linspace(0.0, 1.0, 4), W, T, 1e-5, -1e-4)


@pytest.mark.parametrize("name", ["Douglas-fir, coast", "western redcedar", "eastern white pine"])
@pytest.mark.parametrize("thickness", [25.0, 30.0])
def test_sheer_plank_lies_tight_below_and_stands_off_above(name, thickness):
    """Common practice, no source: near the sheer amidships 4.9 m of softwood 105 x 25 to 30 mm,
    sprung 64 to 76 mm, lies tight at its lower edge and stands off at its upper one.

    The sheer sweeps up at both ends, so the line turns towards it: kappa_g < 0. Own arithmetic:
    theta0 = atan(8 x 70 / 4900^2 x 8000) = 10.6 degrees, 105 sin(10.6) = 19 mm is the most; ends
    held flat leave 7 to 10 degrees, 13 to 18 mm: of the order of an inch.
    """
    wood = species_named(name).wood()
    s = np.linspace(0.0, LENGTH, 61)
    for edge_set in (64.0, 76.0):
        got = plank_roll(
            s, 105.0, thickness, -8.0 * edge_set / LENGTH**2, -1.0 / 8e3, 0.0, wood.shear_modulus / wood.along
        )
        degrees = float(np.degrees(np.max(np.abs(got.angle))))
        print(name, thickness, edge_set, f"{degrees:.1f} degrees, {float(got.most):.1f} mm")
        assert got.edge[30] == -1
        assert 6.5 < degrees < 10.6
        assert 12.7 < got.most < 25.4  # half an inch to an inch
