# SPDX-License-Identifier: LGPL-2.1-or-later
"""Developed curves and edge set against closed forms and a triangle strip laid flat."""

import demoplan
import numpy as np
import pytest
import surfaces

from strakeplan.core.curve import curve_through
from strakeplan.core.develop import developed, edge_set
from strakeplan.core.lines.geodesic import geodesic_between


def latitude(radius, f, lo=0.2, hi=1.6):
    """Circle of latitude f on a sphere."""
    known = surfaces.sphere(radius, b_lo=-0.9, b_hi=0.9, lo=0.0, hi=1.8)
    breaks = np.linspace(lo, hi, 13)
    middle = 0.9  # a knot line of full multiplicity: pieces end there
    breaks = np.unique(np.append(breaks, middle))
    return curve_through(known.patch, lambda q: np.stack(known.uv(np.full(len(q), f), q), axis=1), breaks)


def laid_flat(curve, n, width=0.5):
    """The curve in the plane, complex (n,), by triangles beside it laid flat one after another.

    A strip's other edge lies `width` mm aside on the surface, all lengths are chords; no
    curvature is used. Gauss curvature between the two edges turns the strip by K width / 2, one
    way on the left and the other way on the right: the mean of both strips is taken, laid on
    one another by their ends.
    """
    strips = []
    for side in (1.0, -1.0):
        c = curve.sample(n)
        jet = curve.patch.jets(*c.uv.T, 1)
        a = np.stack([jet.su, jet.sv], axis=2)
        gram = np.einsum("nki,nkj->nij", a, a)
        step = np.linalg.solve(gram, np.einsum("nki,nk->ni", a, c.b)[..., None])[..., 0]
        other = curve.patch.points(*(c.uv + side * width * step).T)
        near = np.linalg.norm(c.p - other, axis=1)
        along = np.linalg.norm(np.diff(c.p, axis=0), axis=1)
        beside = np.linalg.norm(np.diff(other, axis=0), axis=1)
        skew = np.linalg.norm(c.p[1:] - other[:-1], axis=1)
        p, q, line = 0.0j, side * 1j * near[0], [0.0j]
        for k in range(n - 1):
            new = third(p, q, along[k], skew[k], side)
            p, q = new, third(new, q, near[k + 1], beside[k], side)
            line.append(new)
        strips.append(upright(np.array(line)))
    return 0.5 * (strips[0] + strips[1])


def third(p, q, from_p, from_q, side):
    """The point at two distances from p and q, ahead of them (complex)."""
    d = abs(q - p)
    x = (from_p**2 - from_q**2 + d**2) / (2.0 * d)
    y = np.sqrt(max(from_p**2 - x**2, 0.0))
    return p + (x - side * 1j * y) * (q - p) / d


def upright(z):
    """The plane curve (n,) complex with its chord along the real axis."""
    return (z - z[0]) * abs(z[-1] - z[0]) / (z[-1] - z[0])


def off_circle(z, radius):
    """Greatest distance of a plane curve from the circle of that radius through its ends."""
    chord = abs(z[-1] - z[0])
    centres = 0.5 * chord + np.array([1j, -1j]) * np.sqrt(radius**2 - 0.25 * chord**2)
    return min(np.abs(np.abs(upright(z) - c) - radius).max() for c in centres)


def flat_line(curve, n):
    """The core's developed curve as complex numbers."""
    xy = developed(curve, n)[1]
    return upright(xy[:, 0] + 1j * xy[:, 1])


@pytest.mark.parametrize("f", [0.1, 0.35, 0.7])
def test_a_circle_of_latitude_develops_to_a_circle(f):
    """kappa_g = tan f / R; developed radius R cot f (closed form)."""
    radius = 3000.0
    curve = latitude(radius, f)
    flat = radius / np.tan(f)
    kappa = np.abs(np.abs(curve.sample(200).kappa_g) - 1.0 / flat).max()
    off = off_circle(flat_line(curve, 200), flat)
    strip = off_circle(laid_flat(curve, 2000), flat)
    print(f"latitude {f}: kappa_g off by {kappa:.1e} 1/mm; developed off the circle by {off:.1e} mm, "
          f"a triangle strip by {strip:.1e} mm")  # fmt: skip
    assert kappa < 1e-12 and off < 1e-6 and strip < 0.05


@pytest.mark.parametrize("length", [1000.0, 2500.0, 3500.0])
def test_edge_set_of_a_circle_is_its_sagitta(length):
    """Window of length l on a circle of radius r: r (1 - cos(l / 2r)), about kappa l^2 / 8."""
    radius, f = 3000.0, 0.35
    curve = latitude(radius, f)
    r = radius / np.tan(f)
    exact = r * (1.0 - np.cos(0.5 * length / r))
    got, at = edge_set(curve, length)
    rule = length**2 / (8.0 * r)
    print(f"{length:.0f} mm: {got:.6f} mm, sagitta {exact:.6f}, kappa l2/8 {rule:.4f}")
    # documented: below the true maximum by no more than kappa spacing^2 / 8
    assert exact - 25.0**2 / (8.0 * r) - 1e-9 <= got <= exact + 1e-9
    assert 0.0 < at < curve.length and abs(rule / exact - 1.0) < 0.02


def test_edge_set_of_the_length_asked_for():
    """Windows are as long as the plank asked for, whatever the places compared on the curve."""
    radius, f = 3000.0, 0.35
    r = radius / np.tan(f)
    exact = r * (1.0 - np.cos(1000.0 / r))
    worst = 0.0
    for hi in np.linspace(1.2, 1.7, 12):
        got, _ = edge_set(latitude(radius, f, hi=hi), 2000.0)
        worst = max(worst, abs(got - exact))
    bound = 25.0**2 / (8.0 * r)  # as documented: kappa_g spacing^2 / 8
    print(f"2,000 mm of plank: edge set {exact:.3f} mm, off by {worst:.3f} mm on curves of twelve lengths")
    assert worst < bound + 1e-6


def test_a_plank_longer_than_the_curve_takes_the_whole_curve():
    radius, f = 3000.0, 0.35
    curve = latitude(radius, f)
    r = radius / np.tan(f)
    exact = r * (1.0 - np.cos(0.5 * curve.length / r))
    got, at = edge_set(curve, 1e5)
    print(f"whole curve of {curve.length:.0f} mm: {got:.5f}, sagitta {exact:.5f}")
    assert abs(got - exact) < 25.0**2 / (8.0 * r) and abs(at - 0.5 * curve.length) < 1e-6


def test_edge_set_of_a_taut_line_is_nothing():
    known = surfaces.torus()
    line = geodesic_between(known.patch, np.array(known.uv(0.2, -0.8)), np.array(known.uv(1.0, 0.6)))
    got, _ = edge_set(line, 3000.0)
    print(f"geodesic of a torus, 3 m of plank: {got:.1e} mm")
    assert got < 1e-4


def test_an_s_curve_counts_its_worst_window():
    """A sine on a cylinder so wide that unrolling hardly matters: half waves of 2 m.

    Unrolled, the chord over half a wave lies on the axis and the crown stands the amplitude
    above it; a plank is a little longer than half a wave is straight, so it sees a little less.
    """
    big = 2.0e5
    known = surfaces.cylinder(big, 8000.0, lo=0.0, hi=0.04, pieces=1)
    amp, k = 60.0, 2.0 * np.pi / 4000.0

    def uv_of(x):
        return np.stack(known.uv(x, (2000.0 + amp * np.sin(k * x)) / big), axis=1)

    curve = curve_through(known.patch, uv_of, np.linspace(500.0, 7500.0, 40))
    got, at = edge_set(curve, 2000.0)
    print(f"half waves of 2 m: {got:.3f} mm, crown {amp:.1f}")
    assert abs(got - amp) < 0.5


def test_developed_seams_of_the_demonstration_hull():
    """Developed by kappa_g and by a strip of triangles: the same within 0.05 mm in 10 m."""
    plan = demoplan.demo_plan()
    for j in (6, 14, 24):
        curve = plan.seams[j].parts[0].curve
        a, b = flat_line(curve, 4001), laid_flat(curve, 4001)
        apart = np.abs(a - b).max()
        print(f"seam {j}: {curve.length:.0f} mm, chord {abs(a[-1]):.0f}, rise {np.abs(a.imag).max():.1f}; "
              f"developed both ways: apart {apart:.4f} mm")  # fmt: skip
        assert apart < 0.05
