# SPDX-License-Identifier: LGPL-2.1-or-later
"""Forces that put a plank on, against beams solved by themselves and an eigenvalue problem."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.special import jv

from strakeplan.core.wood import forces
from strakeplan.core.wood.handbook import species_named
from strakeplan.core.wood.mechanics import second_moments, torsion_constant

E, G, W, T, L, D = 14000.0, 1000.0, 105.0, 28.0, 4900.0, 70.0
EI = E * second_moments(W, T).edgewise


def beam(loads, at, n=4001):
    """Deflections (n,) of a beam on two supports, by integrating its moment twice (trapezia).

    Independent of the beam tables: M'' = load, y'' = M / E I.
    """
    x = np.linspace(0.0, L, n)
    right = sum(p * a for p, a in zip(loads, at)) / L
    left = sum(loads) - right
    moment = left * x - sum(p * np.maximum(x - a, 0.0) for p, a in zip(loads, at))
    h = x[1] - x[0]
    # moments are straight between loads that lie on places: cubic integration is exact
    turn = np.concatenate([[0.0], np.cumsum(0.5 * h * (moment[1:] + moment[:-1]))])
    fall = np.concatenate([[0.0], np.cumsum(h * turn[:-1] + h * h * (2.0 * moment[:-1] + moment[1:]) / 6.0)])
    return x, -(fall - fall[-1] * x / L) / EI


def test_one_clamp():
    """The beam table's 48 E I d / l^3, and what is said of the shape."""
    force = float(forces.one_clamp_force(E, W, T, D, L))
    x, y = beam([force], [0.5 * L])
    print(force, y[2000], "short at the quarter by", (0.75 * D - y[1000]) / D, "d")
    assert y[2000] == pytest.approx(D, rel=1e-10)
    assert 0.75 * D - y[1000] == pytest.approx(D / 16.0, rel=1e-8)
    assert force * L / 4.0 / EI == pytest.approx(12.0 * D / L**2, rel=1e-12)  # curvature in the middle


def test_three_clamps():
    """384/7 E I d / l^3 at the quarters; the middle bears by half as much. The beam itself shows it."""
    outer = float(forces.three_clamp_force(E, W, T, D, L))
    x, y = beam([outer, -0.5 * outer, outer], [0.25 * L, 0.5 * L, 0.75 * L])
    fair = 4.0 * D * x / L * (1.0 - x / L)
    alone = beam([float(forces.one_clamp_force(E, W, T, D, L))], [0.5 * L])[1]
    short, one_short = np.max(np.abs(y - fair)), np.max(np.abs(alone - fair))
    print(outer, y[[1000, 2000, 3000]], "farthest from the fair curve", short, "with one clamp", one_short)
    assert y[[1000, 2000, 3000]] == pytest.approx([0.75 * D, D, 0.75 * D], rel=1e-9)
    assert short < 0.5 * one_short  # they close the seam: that is what they are for
    got = forces.clamp_forces(E, W, T, D * np.array([0.75, 1.0, 0.75]), L)
    assert got == pytest.approx([outer, -0.5 * outer, outer], rel=1e-9)


def test_clamp_forces_by_energy():
    """Least bending energy of a cubic spline through the places is half the work of the clamps."""
    from scipy.interpolate import CubicSpline

    rng = np.random.default_rng(2)
    for _ in range(5):
        places = np.sort(rng.uniform(0.1, 0.9, 4))
        offsets = rng.uniform(-60, 60, 4)
        got = forces.clamp_forces(E, W, T, offsets, L, places)
        knots = np.concatenate([[0.0], places * L, [L]])
        spline = CubicSpline(knots, np.concatenate([[0.0], offsets, [0.0]]), bc_type="natural")
        second = spline.derivative(2)
        pieces = zip(knots[:-1], knots[1:])
        energy = 0.5 * EI * sum(quad(lambda x: second(x) ** 2, a, b)[0] for a, b in pieces)
        jumps = EI * np.diff(spline.derivative(3)(0.5 * (knots[1:] + knots[:-1])))
        print(0.5 * got @ offsets, energy)
        assert 0.5 * got @ offsets == pytest.approx(energy, rel=1e-8)
        assert got == pytest.approx(jumps, rel=1e-6, abs=1e-6)  # force = jump of the shear


def test_clamp_forces_broadcast():
    lead = np.linspace(0.5, 1.5, 6).reshape(2, 3)
    got = forces.clamp_forces(E, lead * W, T, D * np.array([0.75, 1.0, 0.75]) * lead[..., None], L)
    assert got.shape == (2, 3, 3)
    for k in np.ndindex(2, 3):
        alone = forces.clamp_forces(E, lead[k] * W, T, lead[k] * D * np.array([0.75, 1.0, 0.75]), L)
        assert got[k] == pytest.approx(alone, rel=1e-12)


def test_tip_force_is_a_quarter():
    """A cantilever integrated: its tip goes to the circle's kappa l^2 / 2 = 4 d."""
    force = float(forces.tip_force(E, W, T, D, L))
    tip = quad(lambda x: force * (L - x) * (L - x) / EI, 0.0, L)[0]
    print(force, tip, 4.0 * D)
    assert tip == pytest.approx(4.0 * D, rel=1e-10)
    assert force == pytest.approx(0.25 * float(forces.one_clamp_force(E, W, T, D, L)), rel=1e-12)


def test_bend_home():
    """From one frame to the next: a cantilever whose tip goes to kappa a^2 / 2."""
    a, kappa = 400.0, 1.0 / 3000.0
    flat = E * second_moments(W, T).flat
    force = float(forces.bend_home_force(E, W, T, -kappa, a))
    tip = quad(lambda x: force * (a - x) ** 2 / flat, 0.0, a)[0]
    print(force, tip)
    assert tip == pytest.approx(0.5 * kappa * a**2, rel=1e-10)


def test_twist_home():
    """The couple of the clamp at one edge and the bearing of the other is the torque G J tau."""
    twist = np.radians(12.0) / 1000.0
    force = float(forces.twist_home_force(G, W, T, twist))
    print(force)
    assert force * W == pytest.approx(G * float(torsion_constant(W, T)) * twist, rel=1e-12)
    assert forces.twist_home_force(G, np.array([0.0, W]), T, twist) == pytest.approx([0.0, force])


def least_buckling(n):
    """Least eigenvalue of a narrow strip on two supports under a central load, P l^2 / sqrt(E I G J).

    phi'' + (P x / 2)^2 / (E I G J) phi = 0 from a support (phi = 0) to the middle (phi' = 0):
    the load acts at mid-depth. Linear finite elements on n pieces.
    """
    from scipy.linalg import eigh

    x = np.linspace(0.0, 0.5, n + 1)
    h = x[1]
    stiff, mass = np.zeros((n + 1, n + 1)), np.zeros((n + 1, n + 1))
    g, gw = np.polynomial.legendre.leggauss(3)
    for k in range(n):
        at = x[k] + 0.5 * h * (1.0 + g)
        shape = np.stack([(x[k + 1] - at) / h, (at - x[k]) / h])
        stiff[k : k + 2, k : k + 2] += np.array([[1.0, -1.0], [-1.0, 1.0]]) / h
        mass[k : k + 2, k : k + 2] += (shape * (0.5 * h * gw * (0.5 * at) ** 2)) @ shape.T
    values = eigh(mass[1:, 1:], stiff[1:, 1:], eigvals_only=True)
    return 1.0 / np.sqrt(values[-1])


def test_buckling_constant():
    """Timoshenko and Gere's 16.94 (from memory), by an eigenvalue problem and by Bessel functions.

    phi = sqrt(x) J_1/4(P x^2 / 4), whose slope is sqrt(x) x J_-3/4 times a constant: the middle is
    level at the first zero of J_-3/4, P / 16 = 1.0585.
    """
    coarse, fine = least_buckling(100), least_buckling(200)
    eigen = fine + (fine - coarse) / 3.0
    bessel = 16.0 * brentq(lambda z: jv(-0.75, z), 0.8, 1.4)
    print(eigen, bessel)
    assert eigen == pytest.approx(bessel, rel=1e-7)
    assert f"{bessel:.2f}" == "16.94"
    got = float(forces.buckling_force(E, G, W, T, L))
    own = bessel * np.sqrt(E * W * T**3 / 12.0 * G * float(torsion_constant(W, T))) / L**2
    assert got == pytest.approx(own, rel=3e-4)  # the printed constant has four figures


@pytest.mark.parametrize("name", ["Douglas-fir, coast", "western redcedar", "northern white-cedar"])
@pytest.mark.parametrize("thickness", [25.0, 30.0])
def test_hand_clamp_springs_a_sheer_strake_plank(name, thickness):
    """Common practice, no source: 4.9 m of softwood 105 x 25 to 30 mm is sprung 64 to 76 mm one-handed.

    Own arithmetic, Douglas-fir: E = 1.1 x 13,445 = 14,789 MPa, I = 28 x 105^3 / 12 = 2.701e6 mm^4,
    48 E I 70 / 4900^3 = 1,141 N, 116 kg: a hand-tightened bar clamp gives 1 to 3 kN (common
    practice, no source); fastened at one end and drawn in at the tip it takes 29 kg.
    """
    wood = species_named(name).wood()
    force = forces.one_clamp_force(wood.along, 105.0, thickness, np.array([64.0, 76.0]), 4900.0)
    print(name, thickness, force, "N")
    assert np.all(force < 2000.0) and np.all(force > 200.0)
    fir = species_named("Douglas-fir, coast").wood()
    assert forces.one_clamp_force(fir.along, 105.0, 28.0, 70.0, 4900.0) == pytest.approx(1141.0, abs=1.0)


def test_every_force_names_its_end_conditions():
    """What a force supposes is told with it."""
    for name in forces.END_CONDITIONS:
        assert callable(getattr(forces, name)) and len(forces.END_CONDITIONS[name]) > 20
    named = {n for n in forces.__all__ if n.endswith("_force")}
    assert named == set(forces.END_CONDITIONS)
