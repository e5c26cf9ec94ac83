# SPDX-License-Identifier: LGPL-2.1-or-later
"""Taut strings on surfaces whose geodesics are known: length, and place along the whole line.

`place` answers points of the true geodesic at arc lengths that it also answers, so lengthwise
errors count as much as lateral ones.  Required: length to 1e-6 mm, position to 1e-5 mm.
"""

import numpy as np
import pytest
import surfaces
from pygeodesy.ellipsoids import Ellipsoid
from scipy.optimize import brentq

from strakeplan.core.lines.geodesic import geodesic_between

LENGTH, POSITION = 1e-6, 1e-5
NODES, WEIGHTS = np.polynomial.legendre.leggauss(200)


# --- closed forms: each answers (length, arc lengths (n,), points (n, 3)) ---------------------
def on_cylinder(known, a, b, radius=1500.0):
    """Unrolled it is a straight line: L = sqrt((R dphi)^2 + dz^2)."""
    t = np.linspace(0.0, 1.0, 101)
    length = np.hypot(b[0] - a[0], radius * (b[1] - a[1]))
    return length, t * length, known.exact(a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))


def on_cone(known, a, b, half_angle=np.radians(20.0)):
    """Unrolled, (p, q) lies at polar coordinates (p, q sin(half angle)); there it is straight."""
    k = np.sin(half_angle)
    plane = [p * np.array([np.cos(q * k), np.sin(q * k)]) for p, q in (a, b)]
    t = np.linspace(0.0, 1.0, 101)
    way = plane[0] + t[:, None] * (plane[1] - plane[0])
    length = np.linalg.norm(plane[1] - plane[0])
    return length, t * length, known.exact(np.hypot(*way.T), np.arctan2(way[:, 1], way[:, 0]) / k)


def on_sphere(known, a, b, radius=3000.0):
    """Great circle: L = R arccos(n1.n2)."""
    n = known.exact(np.array([a[0], b[0]]), np.array([a[1], b[1]])) / radius
    angle = np.arctan2(np.linalg.norm(np.cross(n[0], n[1])), n[0] @ n[1])
    t = np.linspace(0.0, 1.0, 101)[:, None]
    arc = (np.sin((1 - t) * angle) * n[0] + np.sin(t * angle) * n[1]) / np.sin(angle)
    return radius * angle, t[:, 0] * radius * angle, radius * arc


def clairaut(radius, speed, a, b):
    """Geodesic of a surface of revolution between (longitude, meridian parameter) a and b.

    From Clairaut's r sin(psi) = c (do Carmo, *Differential Geometry of Curves and Surfaces*,
    section 4-4, example 5) on a stretch where the meridian parameter q grows all along:
    dlon/dq = c m / (r sqrt(r^2 - c^2)), ds/dq = m r / sqrt(r^2 - c^2), m = |dP/dq|.

    Returns
    -------
    length, and function of q answering (longitude, arc length)
    """
    def sums(c, q):
        x = a[1] + (q - a[1]) * 0.5 * (NODES + 1.0)
        w = 0.5 * (q - a[1]) * WEIGHTS
        r, m = radius(x), speed(x)
        root = np.sqrt(r * r - c * c)
        return w @ (c * m / (r * root)), w @ (m * r / root)

    least = radius(np.linspace(a[1], b[1], 2001)).min()
    c = brentq(lambda c: sums(c, b[1])[0] - (b[0] - a[0]), 0.0, 0.999 * least, xtol=1e-13, rtol=1e-15)
    return sums(c, b[1])[1], lambda q: (a[0] + sums(c, q)[0], sums(c, q)[1])


def on_torus(known, a, b, big=4000.0, small=1500.0):
    length, at = clairaut(lambda v: big + small * np.cos(v), lambda v: small + 0.0 * v, a, b)
    q = np.linspace(a[1], b[1], 101)
    lon, s = np.array([at(x) for x in q]).T
    return length, s, known.exact(lon, q)


def on_spheroid(known, a, b, axial=6000.0, radial=1500.0):
    length, at = clairaut(lambda p: radial * np.cos(p),
                          lambda p: np.hypot(axial * np.cos(p), radial * np.sin(p)),
                          a[::-1], b[::-1])
    p = np.linspace(a[0], b[0], 101)
    lon, s = np.array([at(x) for x in p]).T
    return length, s, known.exact(p, lon)


def on_helicoid(known, a, b):
    """Clairaut's relation of the metric dp^2 + (p^2 + h^2) dq^2; see surfaces.helicoid_geodesic."""
    length, _, q_at = surfaces.helicoid_geodesic(a, b)
    p = np.linspace(a[0], b[0], 21)
    q = np.array([q_at(x) for x in p[1:-1]])
    s = np.array([surfaces.helicoid_geodesic(a, (x, y))[0] for x, y in zip(p[1:-1], q)])
    return length, s, known.exact(p[1:-1], q)


def on_pseudosphere(known, a, b, scale=3000.0):
    """Half circle about the axis of the half plane (q, y = exp(p/scale)): hyperbolic geometry,
    arc length scale * ln tan(t/2) of the angle t from its centre."""
    y0, y1 = np.exp(a[0] / scale), np.exp(b[0] / scale)
    middle = (b[1] ** 2 + y1**2 - a[1] ** 2 - y0**2) / (2.0 * (b[1] - a[1]))
    r = np.hypot(a[1] - middle, y0)
    t = np.linspace(np.arctan2(y0, a[1] - middle), np.arctan2(y1, b[1] - middle), 101)
    s = np.abs(scale * np.log(np.tan(t / 2) / np.tan(t[0] / 2)))
    s_end = surfaces.pseudosphere_distance(a, b, scale)
    return s_end, s, known.exact(scale * np.log(r * np.sin(t)), middle + r * np.cos(t))


DEG = np.pi / 180.0
CASES = {
    "cylinder": (surfaces.cylinder(), on_cylinder, (500.0, 0.2), (7200.0, 2.6)),
    "cylinder, knots of full multiplicity": (
        surfaces.cylinder(pieces=7), on_cylinder, (500.0, 0.2), (7200.0, 2.6)),
    "cylinder, along a knot line": (
        surfaces.cylinder(pieces=7), on_cylinder, (500.0, 3 * np.pi / 7), (7000.0, 3 * np.pi / 7)),
    "cone": (surfaces.cone(), on_cone, (2500.0, 0.3), (8000.0, 2.7)),
    "sphere": (surfaces.sphere(), on_sphere, (-60 * DEG, 0.3), (50 * DEG, 2.4)),
    "sphere, along a knot line": (surfaces.sphere(), on_sphere, (0.0, 0.3), (0.0, 2.4)),
    "torus": (surfaces.torus(), on_torus, (0.0, -50 * DEG), (25 * DEG, 70 * DEG)),
    "prolate spheroid": (
        surfaces.spheroid(), on_spheroid, (-60 * DEG, 30 * DEG), (55 * DEG, 120 * DEG)),
    "prolate spheroid, five pieces": (
        surfaces.spheroid(pieces=5), on_spheroid, (-60 * DEG, 30 * DEG), (55 * DEG, 120 * DEG)),
    "helicoid": (surfaces.helicoid(), on_helicoid, (1000.0, 0.2), (3000.0, 1.5)),
    "pseudosphere": (surfaces.pseudosphere(), on_pseudosphere, (1700.0, 0.2), (4500.0, 1.8)),
}


def string(known, a, b, **options):
    ends = [np.stack([np.asarray(x) for x in known.uv(*map(np.atleast_1d, e))], axis=1)[0] for e in (a, b)]
    return geodesic_between(known.patch, ends[0], ends[1], elements=16, **options)


@pytest.mark.parametrize("case", CASES)
def test_length_and_place(case):
    known, closed, a, b = CASES[case]
    length, s, p = closed(known, a, b)
    curve = string(known, a, b)
    off = np.linalg.norm(curve.points(s) - p, axis=1).max()
    print(f"{case}: length {length:.10f} mm, error {curve.length - length:+.1e}, "
          f"position {off:.1e} mm; error of the fitted surface {known.fit_error:.1e} mm")
    assert known.fit_error < 1e-8
    # 16 elements and one more for every knot line crossed; rounding makes no crossings
    assert curve.pieces < 32
    assert abs(curve.length - length) < LENGTH
    assert off < POSITION


# The design notes' numbers, reckoned there by quadrature of Clairaut's relation in extended
# precision (spheroid: also by GeodesicExact).
@pytest.mark.parametrize("case, figure", [
    ("prolate spheroid", 10437.1683840821298), ("torus", 3874.24494935689136)])
def test_figures_agree_with_those_published(case, figure):
    known, closed, a, b = CASES[case]
    length = closed(known, a, b)[0]
    curve = string(known, a, b)
    print(f"{case}: here {length:.12f}, given {figure:.12f}, string {curve.length:.12f} mm")
    assert abs(length - figure) < 1e-9
    assert abs(curve.length - figure) < LENGTH


def test_spheroid_against_pygeodesy():
    """pygeodesy's GeodesicExact: C. F. F. Karney, elliptic integrals, exact for any flattening
    ("Geodesics on an arbitrary ellipsoid of revolution", J. Geodesy 98 (2024))."""
    axial, radial = 6000.0, 1500.0
    known, _, a, b = CASES["prolate spheroid"]
    exact = Ellipsoid(radial, axial).geodesicx

    def latitude(beta):       # geographic latitude: tan(beta) = (polar / equatorial) tan(phi)
        return np.degrees(np.arctan(radial / axial * np.tan(beta)))

    line = exact.InverseLine(latitude(a[0]), np.degrees(a[1]), latitude(b[0]), np.degrees(b[1]))
    length = line.Distance()
    s = np.linspace(0.0, length, 51)
    found = [line.Position(x) for x in s]
    phi = np.radians([f.lat2 for f in found])
    lon = np.radians([f.lon2 for f in found])
    p = known.exact(np.arctan(axial / radial * np.tan(phi)), lon)
    curve = string(known, a, b)
    off = np.linalg.norm(curve.points(s) - p, axis=1).max()
    print(f"GeodesicExact {length:.10f} mm: length {curve.length - length:+.1e}, position {off:.1e} mm")
    assert abs(curve.length - length) < LENGTH
    assert off < POSITION


@pytest.mark.parametrize("case", CASES)
def test_developed_line_is_straight(case):
    """A taut line has kappa_g = 0.  What is left of it, integrated twice, is how far the
    developed line strays from its chord (definition of kappa_g: the curvature after unrolling)."""
    known, _, a, b = CASES[case]
    curve = string(known, a, b)
    c = curve.sample(4001)
    h = c.s[1] - c.s[0]
    turn = np.concatenate([[0.0], np.cumsum(0.5 * h * (c.kappa_g[1:] + c.kappa_g[:-1]))])
    y = np.concatenate([[0.0], np.cumsum(0.5 * h * (turn[1:] + turn[:-1]))])
    stray = np.abs(y - y[-1] * c.s / c.s[-1]).max()
    print(f"{case}: strays {stray:.1e} mm in {curve.length:.0f}; local ripple of kappa_g "
          f"{np.abs(c.kappa_g).max():.1e} 1/mm")
    assert stray < 1e-4
