# SPDX-License-Identifier: LGPL-2.1-or-later
"""The test surfaces themselves: points, fit errors and the closed geodesics."""

import numpy as np
import pytest
import surfaces
from scipy.integrate import solve_ivp

EXACT = [
    surfaces.cylinder(), surfaces.cylinder(lo=-0.4, hi=1.0), surfaces.cylinder(pieces=7),
    surfaces.cone(), surfaces.cone(lo=0.2, hi=1.1), surfaces.sphere(), surfaces.spheroid(),
    surfaces.spheroid(pieces=5), surfaces.torus(),
]
FITTED = [surfaces.helicoid(), surfaces.pseudosphere()]


@pytest.mark.parametrize("known", EXACT, ids=lambda k: k.name)
def test_exact_surfaces_have_their_points(known):
    p, q = known.grid(61, 67)
    gap = np.linalg.norm(known.patch.points(*known.uv(p, q)) - known.exact(p, q), axis=1).max()
    print(f"{known.name}: greatest gap {gap:.2e} mm")
    assert gap < 1e-9


@pytest.mark.parametrize("known", FITTED, ids=lambda k: k.name)
def test_fitted_surfaces_state_their_error(known):
    p, q = known.grid(997, 31)          # off the grid the builder measured on
    gap = np.linalg.norm(known.patch.points(*known.uv(p, q)) - known.exact(p, q), axis=1).max()
    print(f"{known.name}: error of the fit stated {known.fit_error:.2e}, found {gap:.2e} mm")
    assert gap < 2.0 * known.fit_error + 1e-11
    assert known.fit_error < 1e-9


def test_arcs_hold_knots_of_full_multiplicity():
    for known in (surfaces.cylinder(pieces=7), surfaces.spheroid(pieces=5)):
        inner = known.patch.mult_v[1:-1]
        print(known.name, "inner multiplicities", inner)
        assert len(inner) and (inner == known.patch.degree_v).all()


@pytest.mark.parametrize("start, end", [((1000, 0.2), (3000, 1.5)), ((3000, 1.1), (900, 0.4))])
def test_helicoid_geodesic_solves_the_equation(start, end):
    # d2p/ds2 = p (dq/ds)^2, (p^2 + h^2) dq/ds = c: an integration that shares nothing with it
    h = 1000.0
    length, c, q_at = surfaces.helicoid_geodesic(start, end, h)
    way = np.sign(end[1] - start[1])
    g = start[0] ** 2 + h * h
    dp = np.sign(end[0] - start[0]) * np.sqrt(1.0 - c * c / g)
    run = solve_ivp(lambda s, y: [y[1], y[0] * (c / (y[0] ** 2 + h * h)) ** 2,
                                  way * c / (y[0] ** 2 + h * h)],
                    (0.0, length), [start[0], dp, start[1]], method="DOP853",
                    rtol=1e-13, atol=1e-13, dense_output=True)
    gap_p, gap_q = run.y[0, -1] - end[0], (run.y[2, -1] - end[1]) * end[0]
    half = run.sol(0.5 * length)
    gap_half = (q_at(half[0]) - half[2]) * half[0]
    print(f"helicoid {length:.9f} mm; ends {gap_p:.1e}, {gap_q:.1e}, half way {gap_half:.1e} mm")
    assert max(abs(gap_p), abs(gap_q), abs(gap_half)) < 1e-9


def test_pseudosphere_distance_agrees_with_a_summed_circle():
    # In the half plane geodesics are half circles about the axis y = 0; sum the metric along one.
    a, start, end = 3000.0, (1200.0, 0.3), (4000.0, 1.6)
    y0, y1 = np.exp(start[0] / a), np.exp(end[0] / a)
    middle = (end[1] ** 2 + y1**2 - start[1] ** 2 - y0**2) / (2.0 * (end[1] - start[1]))
    t0, t1 = np.arctan2(y0, start[1] - middle), np.arctan2(y1, end[1] - middle)
    nodes, weights = np.polynomial.legendre.leggauss(60)
    t = 0.5 * (t0 + t1) + 0.5 * (t1 - t0) * nodes
    summed = a * abs(0.5 * (t1 - t0) * (weights @ (1.0 / np.sin(t))))
    closed = surfaces.pseudosphere_distance(start, end, a)
    print(f"pseudosphere {closed:.9f} mm, summed {summed:.9f}")
    assert abs(summed - closed) < 1e-8
    # a meridian's length is the difference of p
    assert abs(surfaces.pseudosphere_distance((1600, 1.0), (4600, 1.0), a) - 3000.0) < 1e-9


@pytest.mark.parametrize("known", EXACT + FITTED, ids=lambda k: k.name)
def test_raised_degrees_change_nothing(known):
    raised = surfaces.raised_degrees(known.patch)
    u, v = known.uv(*known.grid())
    gap = np.abs(raised.points(u, v) - known.patch.points(u, v)).max()
    print(f"{known.name}: degrees {raised.degree_u}, {raised.degree_v}, gap {gap:.1e} mm")
    assert raised.degree_u == known.patch.degree_u + 1
    assert gap < 1e-10
