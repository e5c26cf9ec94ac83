# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line's developed edge is straight, by way of paper: triangle strips laid flat.

Points on the line and points a few millimetres to either side (in the plane square to the line)
make two narrow strips of triangles, mirror images of each other; each is laid in a plane,
triangle by triangle, from the lengths of its edges alone.  What the line turns by at a point is
half of what the two strips turn it by; the mean is free of what the strips' own width and the
chords do on both sides alike.  No curvature is evaluated, and points come from the polynomials
of `geodesic_ode`.  Errors fall with the square of the width, which is extrapolated to nothing.
"""

from functools import lru_cache

import hulls
import numpy as np
import pytest
import surfaces
from demo_hull import demo_patch_data
from geodesic_ode import SpanPolynomials
from scipy.integrate import trapezoid

from strakeplan.core.curve import curve_through
from strakeplan.core.lines.taut import taut_between_ends, taut_through_marks
from strakeplan.core.surface import SurfaceSettings, planked_surface


def beside(jets, c, w):
    """Points of the surface w mm to the side of curve points, in planes square to the line.

    `jets` (u, v) -> p, su, sv, each (n, 3); S(u, v) = p + w b + h n is solved for u, v and h.
    """
    uv, h = c.uv.copy(), np.zeros(len(c.s))
    for _ in range(6):
        p, su, sv = jets(uv[:, 0], uv[:, 1])
        gap = c.p + w * c.b + h[:, None] * c.n - p
        step = np.linalg.solve(np.stack([su, sv, -c.n], axis=2), gap[..., None])[..., 0]
        uv, h = uv + step[:, :2], h + step[:, 2]
    return jets(uv[:, 0], uv[:, 1])[0]


def corner(a, b, from_a, from_b, side):
    """Third corner of a flat triangle on a (0) or the other (1) side of the edge from a to b."""
    edge = np.hypot(*(b - a))
    x = (from_a**2 - from_b**2 + edge**2) / (2.0 * edge)
    y = side * np.sqrt(from_a**2 - x**2)
    t = (b - a) / edge
    return a + x * t + y * np.array([-t[1], t[0]])


def laid_flat(line, edge):
    """The strip between line and edge, points (n, 3) each, in the plane: the line, (n, 2).

    Triangles line[i], edge[i], line[i + 1] and edge[i], line[i + 1], edge[i + 1] in turn.
    """
    def apart(a, b):
        return np.linalg.norm(a - b, axis=1)

    across, along, other = apart(line, edge), apart(line[1:], line[:-1]), apart(edge[1:], edge[:-1])
    diagonal = apart(edge[:-1], line[1:])
    flat = np.zeros((len(line), 2))
    far = np.array([0.0, across[0]])
    for i in range(len(line) - 1):
        flat[i + 1] = corner(flat[i], far, along[i], diagonal[i], -1.0)
        far = corner(far, flat[i + 1], other[i], across[i + 1], 1.0)
    return flat


def turns(flat):
    d = np.diff(flat, axis=0)
    return np.diff(np.unwrap(np.arctan2(d[:, 1], d[:, 0])))


def developed(jets, curve, steps, width):
    """Arc lengths (steps + 1,) and turning (steps - 1,) at the points between: of both strips,
    and of the left one alone."""
    c = curve.sample(steps + 1)
    p = jets(c.uv[:, 0], c.uv[:, 1])[0]
    left, right = (turns(laid_flat(p, beside(jets, c, w))) for w in (width, -width))
    return c.s, 0.5 * (left - right), left


def plan(s, turning):
    """The developed line: distances along and across, (n,) each, from its turning."""
    angle = np.concatenate([[0.0], np.cumsum(turning)])
    step = np.diff(s)
    return (np.concatenate([[0.0], np.cumsum(step * np.cos(angle))]),
            np.concatenate([[0.0], np.cumsum(step * np.sin(angle))]))


def strays(s, turning, window=5000.0):
    """Greatest distance of the developed line from its chord over any window, mm."""
    x, y = plan(s, turning)
    worst = 0.0
    for i in range(0, len(s), 8):
        j = int(np.searchsorted(s, s[i] + window))
        if j >= len(s):
            break
        chord = np.hypot(x[j] - x[i], y[j] - y[i])
        off = ((x[i:j] - x[i]) * (y[j] - y[i]) - (y[i:j] - y[i]) * (x[j] - x[i])) / chord
        worst = max(worst, float(np.abs(off).max()))
    assert worst > 0.0
    return worst


@lru_cache(maxsize=None)
def hull():
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=60.0, name="Marram"))


@lru_cache(maxsize=None)
def hull_jets():
    spans = SpanPolynomials(*demo_patch_data())

    def jets(u, v):
        d = spans.jets(u, v)
        return d[:, 0, 0], d[:, 1, 0], d[:, 0, 1]

    return jets


def extrapolated(jets, curve, spacing, width):
    """Turning per point of the coarse strip, from strips of `width` and of half of it."""
    steps = int(round(curve.length / spacing))
    s, wide, _ = developed(jets, curve, steps, width)
    s2, narrow, one = developed(jets, curve, 2 * steps, width / 2)
    # two points of the finer strip make one of the coarser; their turning, between its points
    fine = narrow[1::2] + 0.5 * (narrow[0:-1:2] + narrow[2::2])
    return s, wide, (4.0 * fine - wide) / 3.0, (s2, narrow, one)


@pytest.mark.parametrize("find", [
    lambda: taut_between_ends(hull(), 800.0, 900.0),
    lambda: taut_through_marks(hull(), (3000.0, 1000.0), (8000.0, 1100.0)),
], ids=["between end marks", "through aim marks"])
def test_developed_edge_of_the_taut_line_is_straight(find):
    """Required: straight to 0.01 mm in 5 m."""
    curve = find().curve
    s, wide, limit, (s2, narrow, one) = extrapolated(hull_jets(), curve, 10.0, 10.0)
    figures = strays(s, wide), strays(s2, narrow), strays(s, limit)
    print(f"strips of 10 mm: {figures[0]:.5f} mm in 5 m, of 5 mm: {figures[1]:.5f}, width to nothing: "
          f"{figures[2]:.6f}; one strip of 5 mm alone: {strays(s2, one):.3f}")
    assert figures[0] < 0.01 and figures[1] < 0.01 and figures[2] < 0.001
    # the error falls with the square of the width
    assert 3.5 < figures[0] / figures[1] < 4.5


def test_control_a_parallel_circle_develops_to_a_circle():
    """Latitude f of a sphere of radius R develops to a circle of radius R cot(f)."""
    known, radius, latitude = surfaces.sphere(), 3000.0, 0.6

    def jets(u, v):
        j = known.patch.jets(u, v, 1)
        return j.p, j.su, j.sv

    def uv_of(t):
        return np.stack(known.uv(np.full(len(t), latitude), t), axis=1)

    curve = curve_through(known.patch, uv_of, np.linspace(0.3, 1.4, 9), 12)
    s, wide, limit, _ = extrapolated(jets, curve, 10.0, 10.0)
    step = s[1] - s[0]
    wanted = radius / np.tan(latitude)
    found = [step / abs(np.mean(t)) for t in (wide, limit)]
    print(f"parallel circle: strips of 10 mm give a radius of {found[0]:.5f} mm, width to nothing "
          f"{found[1]:.6f}; R cot(f) = {wanted:.6f}; it strays {strays(s, limit, 1000.0):.3f} mm in 1 m")
    assert abs(found[1] / wanted - 1.0) < 1e-6
    assert abs(strays(s, limit, 1000.0) - 1000.0**2 / 8 / wanted) < 0.02 * 1000.0**2 / 8 / wanted


def test_control_a_line_that_is_not_taut_is_seen_to_turn():
    """Straight in the parameters, no geodesic: its strips turn by the integral of kappa_g."""
    taut = taut_between_ends(hull(), 800.0, 900.0).curve
    a, b = taut.nodes[0, 0], taut.nodes[-1, -1]
    curve = curve_through(hull().patch, lambda t: a + t[:, None] * (b - a), np.linspace(0, 1, 73), 8)
    s, _, limit, _ = extrapolated(hull_jets(), curve, 10.0, 10.0)
    c = curve.sample(4001)
    # the strips' turning is spread from half a step after the start to half a step before the end
    inner = (c.s >= 0.5 * s[1]) & (c.s <= s[-1] - 0.5 * s[1])
    lo, hi = 0.5 * s[1], s[-1] - 0.5 * s[1]
    total = float(trapezoid(c.kappa_g[inner], c.s[inner]))
    total += c.kappa_g[0] * (c.s[inner][0] - lo) + c.kappa_g[-1] * (hi - c.s[inner][-1])
    print(f"straight in the parameters: the strips turn it by {limit.sum():+.7f}, integral of kappa_g "
          f"{total:+.7f}; it strays {strays(s, limit):.1f} mm in 5 m")
    assert strays(s, limit) > 10.0
    assert abs(limit.sum() - total) < 1e-5
