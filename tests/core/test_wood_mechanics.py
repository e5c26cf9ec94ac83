# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strains of planks against exact geometry, printed tables and finite differences."""

import numpy as np
import pytest
from scipy import sparse
from scipy.sparse.linalg import spsolve

from strakeplan.core.wood import mechanics as m

# Timoshenko and Goodier's table of beta in J = beta a b^3 for a/b (from memory)
BETA = [(1.0, ".141"), (1.5, ".196"), (2.0, ".229"), (3.0, ".263"), (4.0, ".281"), (5.0, ".291"), (10.0, ".312"),
        (1e9, ".333")]  # fmt: skip


def prandtl(width, thickness, n):
    """J and the greatest shear strain at unit twist, from Prandtl's stress function on n x n cells."""
    hx, hy = width / n, thickness / n

    def second(h):
        return sparse.diags([1.0, -2.0, 1.0], [-1, 0, 1], shape=(n - 1, n - 1)) / h**2

    eye = sparse.identity(n - 1)
    phi = spsolve((sparse.kron(second(hx), eye) + sparse.kron(eye, second(hy))).tocsc(), -2.0 * np.ones((n - 1) ** 2))
    phi = phi.reshape(n - 1, n - 1)
    middle = np.concatenate([[0.0], phi[n // 2 - 1, :3]])
    slope = middle @ np.array([-11.0, 18.0, -9.0, 2.0]) / (6.0 * hy)
    return 2.0 * phi.sum() * hx * hy, slope


def test_torsion_table():
    """The printed table to its three digits."""
    for ratio, printed in BETA:
        got = float(m.torsion_constant(7.0 * ratio, 7.0)) / (ratio * 7.0**4)
        print(ratio, got)
        assert f"{got:.3f}" == "0" + printed


@pytest.mark.parametrize("width, thickness", [(30.0, 30.0), (60.0, 28.0), (105.0, 28.0)])
def test_torsion_against_stress_function(width, thickness):
    """An independent route: Prandtl's equation by finite differences, extrapolated."""
    (j1, g1), (j2, g2) = (prandtl(width, thickness, n) for n in (60, 120))
    j, g = j2 + (j2 - j1) / 3.0, g2 + (g2 - g1) / 3.0
    series = float(m.torsion_constant(width, thickness)), float(m.twist_shear(width, thickness, 1.0))
    print(series, (j, g), series[0] / j - 1.0, series[1] / g - 1.0)
    assert series[0] == pytest.approx(j, rel=2e-6)
    assert series[1] == pytest.approx(g, rel=2e-4)


def test_torsion_of_a_square_to_many_digits():
    """J = 0.1405770 a^4 and tau = 0.675 G theta a for a square (Roark, from memory)."""
    j, g = float(m.torsion_constant(1.0, 1.0)), float(m.twist_shear(1.0, 1.0, 1.0))
    print(j, g)
    assert f"{j:.7f}" == "0.1405770" and f"{g:.3f}" == "0.675"


def test_torsion_of_points_and_turned_sections():
    """Sides can be given either way round; a plank run out to a point has no stiffness."""
    assert m.torsion_constant(28.0, 105.0) == m.torsion_constant(105.0, 28.0)
    assert m.torsion_constant(0.0, 28.0) == 0.0 and m.twist_shear(0.0, 28.0, 1e-4) == 0.0
    assert np.shape(m.torsion_constant(np.ones((3, 1, 5)), np.ones((2, 1)))) == (3, 2, 5)


def test_second_moments():
    """Integral of y^2 over the section."""
    x, w = np.polynomial.legendre.leggauss(3)
    got = m.second_moments(105.0, 28.0)
    assert got.edgewise == pytest.approx(28.0 * 52.5 * (w @ (52.5 * x) ** 2), rel=1e-14)
    assert got.flat == pytest.approx(105.0 * 14.0 * (w @ (14.0 * x) ** 2), rel=1e-14)


def test_edgewise_strain_on_a_cone():
    """A parallel at slant r is a circle of radius r laid flat: its edges are r +- w/2 long."""
    r, width = 5000.0, 120.0
    outer = ((r + 0.5 * width) - r) / r
    got = float(m.edgewise_strain(width, -1.0 / r))
    print(got, outer)
    assert got == pytest.approx(outer, rel=1e-12)


def test_bend_on_a_cylinder():
    """A plank round a cylinder of radius R: faces at R and R + t, the middle at R + t/2."""
    radius, t = 3000.0, 28.0
    mean = radius + 0.5 * t
    exact = (radius + t) / mean - 1.0
    print(float(m.bend_strain(t, -1.0 / mean)), exact, float(m.bend_ratio(t, 1.0 / radius)))
    assert m.bend_strain(t, -1.0 / mean) == pytest.approx(exact, rel=1e-12)
    assert m.bend_ratio(t, -1.0 / radius) == pytest.approx(radius / t)
    assert m.bend_ratio(t, 0.0) == np.inf


def test_compound_strain_on_a_sphere_and_a_pseudosphere():
    """Length of the line at y beside a geodesic: cos(y/R) on a sphere, cosh(y/a) where K = -1/a^2."""
    for scale, length in ((1.0, np.cos), (-1.0, np.cosh)):
        radius, width = 2000.0, 150.0
        got = m.compound_strain(width, scale / radius**2)
        y, w = np.polynomial.legendre.leggauss(12)
        y = 0.5 * width * y
        strain = length(y / radius) - 1.0
        mean = 0.5 * w @ strain
        edge = length(0.5 * width / radius) - 1.0
        print(got, edge, edge - mean, -mean)
        fourth = (width / radius) ** 4  # what is left out
        assert got.edge_unrelaxed == pytest.approx(edge, abs=fourth / 100.0)
        assert got.edge == pytest.approx(edge - mean, abs=fourth / 100.0)
        assert got.middle == pytest.approx(-mean, abs=fourth / 100.0)
        assert abs(got.edge / got.middle) == pytest.approx(2.0)


def test_compound_strain_leaves_no_force_along():
    """The relaxed strain across the width has mean 0: -K y^2 / 2 + K w^2 / 24."""
    gauss, width = 4e-8, 120.0
    y, w = np.polynomial.legendre.leggauss(4)
    got = m.compound_strain(width, gauss)
    profile = got.middle - 0.5 * gauss * (0.5 * width * y) ** 2
    assert w @ profile == pytest.approx(0.0, abs=1e-18)
    assert got.middle - 0.5 * gauss * (0.5 * width) ** 2 == pytest.approx(float(got.edge))


def test_worst_corner_is_the_worst_of_the_four():
    """Strains of all four corners, with their signs, on random planks."""
    rng = np.random.default_rng(5)
    w, t = rng.uniform(50, 150, 200), rng.uniform(20, 40, 200)
    kg, kn, gauss = rng.normal(0, 3e-5, 200), rng.normal(0, 2e-4, 200), rng.normal(0, 5e-8, 200)
    compound = -gauss * w**2 / 12.0
    corners = [a * 0.5 * w * kg + b * 0.5 * t * kn + compound for a in (-1, 1) for b in (-1, 1)]
    got = m.corner_strain(w, t, kg, kn, gauss)
    assert got == pytest.approx(np.max(np.abs(corners), axis=0), rel=1e-12)
    alone = np.median(got / m.edgewise_strain(w, kg))
    print("edgewise alone is less than all by a factor of", alone)
    assert m.corner_strain(w, t, kg, kn, gauss, relaxed=False) == pytest.approx(got + np.abs(gauss) * w**2 / 24.0)


def test_hollow_on_a_cylinder():
    """Sagitta of a chord as long as the plank is wide; what is left out is of order (w/R)^4."""
    radius, width = 900.0, 120.0
    exact = radius - np.sqrt(radius**2 - (0.5 * width) ** 2)
    got = float(m.hollow_depth(width, 1.0 / radius))
    print(got, exact)
    assert got == pytest.approx(exact, rel=0.3 * (width / radius) ** 2)
    assert m.stock_thickness(width, 28.0, 1.0 / radius) == 28.0 + got
    assert m.stock_thickness(width, 28.0, -1.0 / radius) == 28.0 + got, "the depth counts once, hollow or round"


def test_planks_too_wide_cannot_be_edge_set():
    """Common practice, no source: too wide planks cannot be edge-set. Own arithmetic: d = 70 mm on
    4.9 m is kappa = 8 d / l^2 = 2.332e-5; w kappa / 2 = .12 % at 105 mm and .35 % at 300 mm, of
    the .64 % at which coast Douglas-fir breaks, and the force grows with the cube of the width."""
    kappa = 8.0 * 70.0 / 4900.0**2
    got = m.edgewise_strain(np.array([105.0, 300.0]), kappa)
    print(got)
    assert got == pytest.approx([0.001224, 0.003499], rel=1e-3)
