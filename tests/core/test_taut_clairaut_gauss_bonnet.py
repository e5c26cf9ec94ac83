# SPDX-License-Identifier: LGPL-2.1-or-later
"""Two theorems that geodesics obey and nothing here was made with.

Clairaut: along a geodesic of a surface of revolution r sin(psi) is constant, r the distance from
the axis and psi the angle with the meridian.  Gauss-Bonnet: the angles of a geodesic triangle
exceed pi by the integral of K over it.  Both: M. P. do Carmo, *Differential Geometry of Curves
and Surfaces*, sections 4-4 and 4-5.
"""

import hulls
import numpy as np
import pytest
from demo_hull import demo_patch_data
from geodesic_ode import SpanPolynomials
from test_taut_closed_forms import CASES, string

from strakeplan.core.curve import SurfaceCurve
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.relax import end_pull
from strakeplan.core.spline.lobatto import lobatto

GAUSS = np.polynomial.legendre.leggauss(12)

# axis of revolution: x but for the torus
AXIS = {"torus": 2, "sphere": 0, "prolate spheroid": 0, "pseudosphere": 0, "cone": 0}


@pytest.mark.parametrize("case", AXIS)
def test_clairaut(case):
    known, _, a, b = CASES[case]
    curve = string(known, a, b)
    c = curve.sample(201)
    axis = np.eye(3)[AXIS[case]]
    # r sin(psi) is the moment of the unit tangent about the axis
    moment = np.cross(c.p, c.t) @ axis
    spread = np.ptp(moment)
    pulls = [np.cross(curve.points([s])[0], end_pull(curve, e)) @ axis
             for s, e in ((0.0, 0), (curve.length, -1))]
    print(f"{case}: r sin(psi) = {moment.mean():.9f} mm, spread {spread:.1e} along the line; at the "
          f"ends, from the string's pull, {pulls[1] - pulls[0]:+.1e} apart")
    assert abs(moment.mean()) > 100.0
    assert abs(pulls[1] - pulls[0]) < 1e-8
    # between the elements' ends the direction is of lower order than the place
    assert spread < 1e-6 * abs(moment.mean())


def sides(patch, corners, elements=24):
    """Geodesics from corner to corner (uv), and the angles inside."""
    curves = [geodesic_between(patch, corners[i], corners[(i + 1) % 3], elements=elements) for i in range(3)]
    angles = []
    for i in range(3):
        out, back = end_pull(curves[i], 0), -end_pull(curves[i - 1], -1)
        angles.append(np.arctan2(np.linalg.norm(np.cross(out, back)), out @ back))
    return curves, np.array(angles)


def quadrature_places(curve: SurfaceCurve):
    """Gauss points of every piece: (u, v) (n, 2), their steps d(u, v) (n, 2)."""
    x, w = GAUSS
    element = lobatto(curve.degree)
    uv = np.einsum("gj,ejc->egc", element.values(x), curve.nodes).reshape(-1, 2)
    duv = np.einsum("gj,ejc->egc", element.values(x, 1) * w[:, None], curve.nodes).reshape(-1, 2)
    return uv, duv


def natural_steps(known, curve, axis_angle, other):
    """The same in a closed form's own angles: `axis_angle(p)` and the function `other(p)` of
    points, whose product is integrated: integral of other d(axis_angle)."""
    x, w = GAUSS
    e = np.repeat(np.arange(curve.pieces), len(x))
    local = np.tile(x, curve.pieces)
    uv = curve.uv_local(e, local)
    d = curve.uv_local(e, local, 1)
    jet = known.patch.jets(uv[:, 0], uv[:, 1], 1)
    velocity = jet.su * d[:, :1] + jet.sv * d[:, 1:]
    return float(np.sum(np.tile(w, curve.pieces) * other(jet.p) * axis_angle(jet.p, velocity)))


def test_triangle_on_a_sphere():
    """Area and angles in closed form: excess = area / R^2; L'Huilier's formula for the excess
    (Todhunter, *Spherical Trigonometry*, article 102)."""
    known, radius = CASES["sphere"][0], 3000.0
    natural = [(-0.8, 0.4), (0.9, 1.1), (0.1, 2.6)]
    corners = [np.array([float(x) for x in known.uv(*c)]) for c in natural]
    curves, angles = sides(known.patch, corners)
    a = np.array([c.length for c in curves]) / radius
    s = a.sum() / 2
    huilier = 4 * np.arctan(np.sqrt(np.tan(s / 2) * np.prod(np.tan((s - a) / 2))))
    # integral of K dA = cos(lat) dlat dlon, by Green's theorem the circulation of sin(lat) dlon
    inside = -sum(natural_steps(
        known, c, lambda p, d: (p[:, 1] * d[:, 2] - p[:, 2] * d[:, 1]) / (p[:, 1] ** 2 + p[:, 2] ** 2),
        lambda p: p[:, 0] / radius) for c in curves)
    excess = angles.sum() - np.pi
    print(f"sphere: angles exceed pi by {excess:.12f}; integral of K {abs(inside):.12f}, "
          f"L'Huilier {huilier:.12f}")
    assert abs(excess - abs(inside)) < 1e-10 and abs(excess - huilier) < 1e-10


def test_triangle_on_a_torus():
    """K dA = cos v du dv: Green's theorem makes it the circulation of sin v du."""
    known = CASES["torus"][0]
    for natural in ([(0.0, -0.9), (1.5, -0.5), (0.4, 1.2)],       # mostly K > 0
                    [(0.1, 1.72), (1.1, 1.60), (0.5, 1.25)]):      # K of both signs
        corners = [np.array([float(x) for x in known.uv(*c)]) for c in natural]
        curves, angles = sides(known.patch, corners)
        inside = -sum(natural_steps(
            known, c, lambda p, d: (p[:, 0] * d[:, 1] - p[:, 1] * d[:, 0]) / (p[:, 0] ** 2 + p[:, 1] ** 2),
            lambda p: p[:, 2] / 1500.0) for c in curves)
        way = np.sign(np.cross(corners[1] - corners[0], corners[2] - corners[0]))
        excess = angles.sum() - np.pi
        print(f"torus: angles exceed pi by {excess:+.12f}; integral of K {way * inside:+.12f}")
        assert abs(excess - way * inside) < 1e-10


def total_curvature(spans, curves):
    """Integral of K dA over what closed curves enclose counterclockwise in (u, v).

    By Green's theorem -circulation of F du, F(u, v) the integral of K dA/dudv from v = 0 to v
    at constant u; Gauss points knot span by knot span both ways.  Only the polynomials of
    `geodesic_ode` are evaluated.
    """
    x, w = GAUSS
    total = 0.0
    for curve in curves:
        uv, duv = quadrature_places(curve)
        for lo, hi in zip(spans.bv, spans.bv[1:]):
            reach = uv[:, 1] > lo
            if not reach.any():
                continue
            half = 0.5 * (np.minimum(uv[reach, 1], hi) - lo)
            v = lo + half[:, None] * (x + 1.0)
            u = np.broadcast_to(uv[reach, :1], v.shape)
            # the span of u is that of the piece, not of a neighbour where they meet
            i = np.clip(np.searchsorted(spans.bu, u.ravel(), side="right") - 1, 0, len(spans.mu) - 1)
            j = np.full(v.size, np.searchsorted(spans.bv, lo))
            d = spans.jets(u.ravel(), v.ravel(), (i, j))
            su, sv = d[:, 1, 0], d[:, 0, 1]
            n = np.cross(su, sv)
            area = np.linalg.norm(n, axis=1)
            n = n / area[:, None]
            L, M, N = (np.einsum("ij,ij->i", n, d[:, k, m]) for k, m in ((2, 0), (1, 1), (0, 2)))
            density = ((L * N - M * M) / area).reshape(v.shape)
            total -= float(np.sum(duv[reach, 0] * half * (density @ w)))
    return total


@pytest.mark.parametrize("corners", [
    [(0.15, 0.3), (0.85, 0.25), (0.5, 0.75)],       # most of the side
    [(0.60, 0.45), (0.95, 0.35), (0.80, 0.80)],     # the hollow aft
    [(0.05, 0.1), (0.35, 0.15), (0.2, 0.6)],        # the bow
])
def test_triangle_on_the_demonstration_hull(corners):
    patch = hulls.demo()
    corners = [np.array(c) for c in corners]
    curves, angles = sides(patch, corners)
    way = np.sign(np.cross(corners[1] - corners[0], corners[2] - corners[0]))
    inside = way * total_curvature(SpanPolynomials(*demo_patch_data()), curves)
    excess = angles.sum() - np.pi
    print(f"hull: sides {', '.join(f'{c.length:.1f}' for c in curves)} mm; angles exceed pi by "
          f"{excess:+.10f}, integral of K {inside:+.10f}, difference {excess - inside:+.1e} rad")
    assert abs(inside) > 1e-3
    assert abs(excess - inside) < 1e-10
