# SPDX-License-Identifier: LGPL-2.1-or-later
"""Widths, taper and boards: closed forms, and the demonstration hull by another route."""

import demoplan
import made_samples
import numpy as np
from scipy.spatial import ConvexHull

from strakeplan.core.checks.boards import board_widths, least_breadth
from strakeplan.core.checks.widths import check_widths
from strakeplan.core.develop import laid_flat
from strakeplan.core.strakes.samples import strake_samples


def test_geodesic_strips_of_a_pseudosphere():
    """Width w0 cosh(s / a): narrowest in the middle, ends w0 cosh(l / 2 a), slope w0 / a sinh."""
    a, w0, length = 5000.0, np.array([80.0, 110.0]), 8000.0
    found = check_widths(made_samples.pseudosphere_strips(a, w0, length))
    ends, steep = w0 * np.cosh(0.5 * length / a), w0 / a * np.sinh(0.5 * length / a) * 1000.0
    print(f"narrow {found.narrow.worst}, ends {found.bow} and {found.stern}, exact {ends}; "
          f"steepest {found.taper.worst} mm/m, at the very end {steep}")  # fmt: skip
    assert np.allclose(found.narrow.worst, w0, rtol=1e-12) and np.all(found.narrow.index == 60)
    assert np.allclose(found.wide.worst, ends, rtol=1e-12) and np.allclose(found.stern, ends, rtol=1e-12)
    # one and a half intervals of 67 mm before the end
    almost = w0 / a * np.sinh((0.5 * length - 100.0) / a) * 1000.0
    assert np.allclose(np.abs(found.taper.worst), almost, rtol=1e-4) and np.allclose(found.taper_bow, 1.0)


def test_meridian_strips_of_a_sphere():
    """Width w0 cos(s / R): tapered both ways, by the closed form."""
    radius, length, w0 = 6000.0, 9000.0, 140.0
    s = np.linspace(-0.5, 0.5, 121) * length
    found = check_widths(made_samples.made([length], width=w0 * np.cos(s / radius)))
    ratio = np.cos(0.5 * length / radius)
    print(f"greatest {found.wide.worst[0]:.3f}, end by greatest {found.taper_bow[0]:.6f}, cos {ratio:.6f}")
    assert abs(found.wide.worst[0] - w0) < 1e-9 and found.wide.index[0] == 60
    assert abs(found.taper_bow[0] - ratio) < 1e-12 and abs(found.taper_stern[0] - ratio) < 1e-12
    inside = slice(2, -2)
    exact = -w0 / radius * np.sin(s / radius) * 1000.0
    off = np.abs(found.taper.value[0] - exact)[inside].max()
    print(f"taper along it off by {off:.1e} mm per metre")
    assert off < 1e-5


def test_a_wedge_is_pointed_and_not_called_narrow():
    s = np.linspace(0.0, 1.0, 121)
    w = np.stack([np.minimum(400.0 * s, 100.0), 100.0 - 30.0 * s, 60.0 + 40.0 * s])
    found = check_widths(made_samples.made([9000.0] * 3, width=w, bow_girth=w[:, 0]))
    print("pointed at the bow:", found.pointed_bow, "least widths:", found.narrow.worst, "hood ends:", found.bow)
    assert list(found.pointed_bow) == [True, False, False] and not found.pointed_stern.any()
    assert np.allclose(found.narrow.worst, [100.0, 70.0, 60.0]) and np.isnan(found.bow[0]) and found.bow[2] == 60.0


def test_where_no_section_meets_both_edges():
    girth = np.full((1, 121), 105.0)
    girth[0, :7] = np.nan
    girth[0, 40] = 111.0
    found = check_widths(made_samples.made([9000.0], width=100.0, girth_width=girth))
    assert found.wide_girth.worst[0] == 111.0 and found.wide_girth.index[0] == 40
    assert found.narrow_girth.worst[0] == 105.0
    girth[:] = np.nan
    found = check_widths(made_samples.made([9000.0], width=100.0, girth_width=girth))
    assert np.isnan(found.wide_girth.worst[0]) and found.wide.worst[0] == 100.0


def test_widths_of_the_demonstration_hull_by_search():
    """The width square to the middle line, by places of both edges nearest to its square plane.

    Chords between dense points of the two edges; the hull bends across by R of half a metre at
    least where it is compared, which lengthens 110 mm by 0.3 mm at most.
    """
    plan = demoplan.demo_plan()
    strakes = strake_samples(plan)
    found = check_widths(strakes)
    for row in (2, 9, 17):
        strake = plan.strakes[row]
        upper, lower = (
            c.points(np.linspace(0.0, c.length, 40001))
            for c in (strake.upper.parts[0].curve, strake.lower.parts[0].curve)
        )
        for k in (30, int(found.wide.index[row]), 80):
            p = strakes.point[row]
            t = (p[k + 1] - p[k - 1]) if 0 < k < len(p) - 1 else p[k] - p[k - 1]
            feet = [e[np.argmin(np.abs((e - p[k]) @ t))] for e in (upper, lower)]
            chord = np.linalg.norm(feet[0] - feet[1])
            print(f"strake {row + 1}, place {k}: {strakes.width[row, k]:.3f} mm, chord {chord:.3f}")
            assert -0.05 < strakes.width[row, k] - chord < 0.35


def brute(z):
    """Least breadth by all sides of the convex hull."""
    p = np.stack([z.real, z.imag], axis=1)
    p = p[ConvexHull(p).vertices]
    best = np.inf
    for a, b in zip(p, np.roll(p, 1, axis=0)):
        d = (b - a) / np.linalg.norm(b - a)
        best = min(best, np.ptp((p - a) @ np.array([-d[1], d[0]])))
    return best


def test_least_breadth_by_all_sides():
    """Figures ten and fifty times as long as broad, turned at random."""
    rng = np.random.default_rng(4)
    for slender in (10.0, 50.0):
        z = rng.normal(size=(300, 25)) * slender + 1j * rng.normal(size=(300, 25))
        z *= np.exp(1j * rng.uniform(0.0, 6.0, 300))[:, None]
        exact = np.array([brute(one) for one in z])
        length = np.array([np.ptp((one * np.conj(one[np.argmax(np.abs(one))])).real) / np.abs(one).max() for one in z])
        lost = least_breadth(z) / exact - 1.0
        print(
            f"1:{slender:.0f}: lost {lost.max():.1e}, most often {np.median(lost):.1e}; "
            f"allowed {((exact / length) ** 2).max():.1e}"
        )
        assert lost.min() > -1e-12 and np.all(lost < (exact / length) ** 2 + 1e-12)


def test_board_of_a_circular_strake():
    """Between chord and arc: r + w/2 - (r - w/2) cos(l / 2 r) (by arithmetic: outer crown, inner ends)."""
    r, w, length = 9000.0, 110.0, 8000.0
    strakes = made_samples.made([length], width=w, edgewise=1.0 / r)
    found = board_widths(strakes, laid_flat(strakes.s, strakes.edgewise), 4900.0)
    exact = [r + 0.5 * w - (r - 0.5 * w) * np.cos(0.5 * x / r) for x in (length, 4900.0)]
    print(
        f"board for the strake {found.whole[0]:.4f} mm, exact {exact[0]:.4f}; "
        f"for 4.9 m {found.plank[0]:.4f}, {exact[1]:.4f}"
    )
    assert abs(found.whole[0] - exact[0]) < 1e-3 and abs(found.plank[0] - exact[1]) < 0.02


def test_a_straight_tapered_strake_needs_its_own_breadth():
    s = np.linspace(0.0, 1.0, 121)
    strakes = made_samples.made([8000.0], width=120.0 - 50.0 * s)
    found = board_widths(strakes, laid_flat(strakes.s, strakes.edgewise), 4000.0)
    z = np.concatenate([strakes.s[0] + 0.5j * strakes.width[0], strakes.s[0] - 0.5j * strakes.width[0]])
    print(f"wedge 120 to 70 mm: board {found.whole[0]:.5f}, all sides {brute(z):.5f}")
    assert -1e-9 < found.whole[0] / brute(z) - 1.0 < (120.0 / 8000.0) ** 2
    assert 119.9 < found.plank[0] < 120.01 and abs(found.at[0] - 2000.0) < 1e-6


def test_boards_of_the_demonstration_hull_by_many_windows():
    strakes = strake_samples(demoplan.demo_plan())
    flat = laid_flat(strakes.s, strakes.edgewise)
    found = board_widths(strakes, flat, 4900.0)
    normal = 1j * np.exp(1j * flat.turn)
    worst = 0.0
    for row in (0, 5, 12, 19, 24):
        edges = (
            flat.z[row] + 0.5 * strakes.width[row] * normal[row],
            flat.z[row] - 0.5 * strakes.width[row] * normal[row],
        )
        span = int(np.ceil(4900.0 / strakes.s[row, 1]))
        most = max(brute(np.concatenate([e[k : k + span + 1] for e in edges])) for k in range(len(flat.z[row]) - span))
        step = abs(span * strakes.s[row, 1] / 4900.0) ** 2 - 1.0  # windows of whole places are a little longer
        print(f"strake {row + 1}: {found.plank[row]:.2f} mm, every window {most:.2f} (up to {100 * step:.1f} % long)")
        worst = max(worst, abs(found.plank[row] / most - 1.0) - step)
    assert worst < 0.01
