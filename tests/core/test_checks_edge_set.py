# SPDX-License-Identifier: LGPL-2.1-or-later
"""Edge sets of all strakes at once: closed forms, and the route of single curves."""

import demoplan
import made_samples
import numpy as np
from scipy.interpolate import CubicSpline
from test_develop import laid_flat as strip_laid_flat

from strakeplan.core.curve import curve_through
from strakeplan.core.develop import edge_set, edge_sets, laid_flat
from strakeplan.core.strakes.samples import strake_samples


def test_latitudes_of_a_sphere_lie_flat_as_circles():
    """Edge set is the sagitta R cot f (1 - cos(l / 2 R cot f)) (closed form)."""
    radius, f = 6000.0, np.array([0.02, 0.1, 0.3])
    strakes = made_samples.sphere_latitudes(radius, f, 9000.0, 100.0)
    flat = radius / np.tan(f)
    for plank in (2400.0, 4900.0):
        found = edge_sets(laid_flat(strakes.s, strakes.edgewise), plank)
        exact = flat * (1.0 - np.cos(0.5 * plank / flat))
        off = np.abs(found.value - exact[:, None]).max()
        print(f"planks of {plank:.0f} mm: sagittas {np.round(exact, 3)}, off by {off:.1e} mm")
        assert off < 1e-5 and np.allclose(found.most, exact, rtol=0.0, atol=1e-5)


def test_a_short_strake_counts_whole():
    strakes = made_samples.cone_rounds(0.3, [8000.0], 3000.0, 100.0)
    found = edge_sets(laid_flat(strakes.s, strakes.edgewise), 4900.0)
    exact = 8000.0 * (1.0 - np.cos(1500.0 / 8000.0))
    print(f"3 m of a cone: {found.most[0]:.6f}, sagitta {exact:.6f}")
    assert abs(found.most[0] - exact) < 1e-5 and found.window[0] == 3000.0 and abs(found.at[0] - 1500.0) < 1.0


def test_an_s_bend_is_worst_over_half_a_wave():
    """The plane curve with turn A sin(2 pi s / p): straight pieces as long as half a wave see its crown.

    Own arithmetic by fine quadrature, all windows one by one.
    """
    p, a, n = 8000.0, 0.12, 121
    s = np.linspace(0.0, 12000.0, n)[None]
    kappa = a * 2.0 * np.pi / p * np.cos(2.0 * np.pi * s / p)
    found = edge_sets(laid_flat(s, kappa), 3000.0)
    fine = np.linspace(0.0, 12000.0, 120001)
    turn = a * np.sin(2.0 * np.pi * fine / p)
    mid = 0.5 * (turn[1:] + turn[:-1])
    z = np.concatenate([[0.0], np.cumsum(0.1 * np.exp(1j * mid))])
    worst = 0.0
    for start in range(0, 90001, 100):
        some = z[start : start + 30001 : 50]
        chord = (some[-1] - some[0]) / abs(some[-1] - some[0])
        worst = max(worst, np.abs(((some - some[0]) * np.conj(chord)).imag).max())
    print(f"S-bend: {found.most[0]:.4f} mm, every window of a fine polygon {worst:.4f} mm")
    assert abs(found.most[0] - worst) < 2e-3


def test_what_the_distance_of_places_costs():
    """The same curve sampled at 200, 100, 50 mm: the result comes together with the fourth power or better."""
    s = lambda n: np.linspace(0.0, 12000.0, n)[None]  # noqa: E731
    kappa = lambda s: 6e-5 * np.sin(s / 900.0) + 4e-5 * np.cos(s / 2100.0)  # noqa: E731
    most = [float(edge_sets(laid_flat(s(n), kappa(s(n))), 4900.0).most[0]) for n in (61, 121, 241, 1921)]
    off = np.abs(np.array(most[:3]) - most[3])
    print("edge set of 4.9 m, places 200, 100, 50 mm apart: off by", ", ".join(f"{o:.1e} mm" for o in off))
    assert off[0] < 0.02 and off[1] < 2e-3 and off[2] < 2e-4


def test_a_circle_laid_flat_from_samples():
    """The integrals' error is 11/720 h^4 kappa^4 a millimetre (the rule through four places)."""
    radius, length, n = 5000.0, 6000.0, 61
    s = np.linspace(0.0, length, n)[None]
    flat = laid_flat(s, np.full(s.shape, 1.0 / radius))
    exact = 1j * radius * (1.0 - np.exp(1j * s / radius))
    off, bound = np.abs(flat.z - exact).max(), 11.0 / 720.0 * (100.0 / radius) ** 4 * length
    print(f"a circle of 5 m, 6 m of it from places 100 mm apart: off by {off:.2e} mm, {bound:.2e} expected")
    assert off < bound


def test_strakes_of_the_demonstration_hull_by_strips_of_triangles():
    """Middle lines laid flat without curvatures (triangles beside them), every window tried."""
    plan = demoplan.demo_plan()
    strakes = strake_samples(plan)
    plank = 4900.0
    found = edge_sets(laid_flat(strakes.s, strakes.edgewise), plank)
    for row in (0, 7, 15, 19):
        uv = strakes.uv[row]
        share = np.linspace(0.0, 1.0, len(uv))
        curve = curve_through(plan.hull.patch, CubicSpline(share, uv), np.linspace(0.0, 1.0, 61))
        z = strip_laid_flat(curve, 3001)
        step = curve.length / 3000.0
        span = int(round(plank / step))
        worst = 0.0
        for start in range(0, 3001 - span, 5):
            some = z[start : start + span + 1 : 4]
            chord = (z[start + span] - z[start]) / abs(z[start + span] - z[start])
            worst = max(worst, np.abs(((some - z[start]) * np.conj(chord)).imag).max())
        single, _ = edge_set(curve, plank)
        print(
            f"strake {strakes.number[row]}: {found.most[row]:.3f} mm, single curve {single:.3f}, triangles {worst:.3f}"
        )
        assert abs(found.most[row] - worst) < 0.05 + 0.002 * worst and abs(found.most[row] - single) < 0.05
