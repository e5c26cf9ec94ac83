# SPDX-License-Identifier: LGPL-2.1-or-later
"""Taut lines on the demonstration hull against an integration that shares nothing with them.

Everything is found once more from the face's knots and poles by `geodesic_ode`: the marks by
integrating along the stem (half-breadth = half siding), the transom's edge and the stations'
sections, the line by DOP853 span by span.  Required: length to 1e-6 mm, position to 1e-5 mm.
"""

from functools import lru_cache

import hulls
import numpy as np
import pytest
from demo_hull import demo_patch_data
from geodesic_ode import SpanPolynomials, shoot

from strakeplan.core.lines.march import march
from strakeplan.core.lines.relax import end_pull
from strakeplan.core.lines.taut import taut_between_ends, taut_through_marks
from strakeplan.core.sections import plane_crossings, sections_at
from strakeplan.core.surface import SurfaceSettings, planked_surface

SIDING = 60.0
LENGTH, POSITION = 1e-6, 1e-5
X, Y = 0, 1


@lru_cache(maxsize=None)
def hull():
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=SIDING, name="Marram"))


@lru_cache(maxsize=None)
def spans():
    return SpanPolynomials(*demo_patch_data())


def on_stem(girth):
    """(u, v) at a girth down the stem: along half-breadth = siding from the sheer."""
    s = spans()
    start = [s.u_on_sheer(Y, SIDING, 0.0, 0.4), 0.0]
    return s.level_curve(start, Y, girth, 1).state[-1, :2]


def on_transom(girth):
    return np.array([1.0, spans().edge(1.0, girth)])


def on_section(x, girth):
    """(u, v) at a girth below the sheer on the section at x."""
    s = spans()
    return s.level_curve([s.u_on_sheer(X, x), 0.0], X, girth, 1).state[-1, :2]


def compare(label, curve, run):
    """Print and return errors of length and of position at the integrator's steps."""
    length = curve.length - run.length
    off = np.linalg.norm(curve.points(run.s) - run.p, axis=1).max()
    print(f"{label}: {curve.length:.9f} mm, {len(run.s)} steps integrated; length {length:+.1e}, "
          f"position {off:.1e} mm")
    return abs(length), off


def test_the_integrator_itself():
    """Runs there and back again end where they began: the integrator's own error."""
    s = spans()
    uv = on_stem(800.0)
    t = s.tangent_basis(uv)
    t = np.cos(0.12) * t[0] + np.sin(0.12) * t[1]
    there = s.geodesic(uv, t, 10000.0)
    u, v, du, dv = there.state[-1]
    d = s.jets(u, v)
    back = s.geodesic((u, v), -(du * d[1, 0] + dv * d[0, 1]), 10000.0)
    gap = np.linalg.norm(back.p[-1] - there.p[0])
    d = s.jets(there.state[:, 0], there.state[:, 1])
    speed = np.linalg.norm(there.state[:, 2:3] * d[:, 1, 0] + there.state[:, 3:] * d[:, 0, 1], axis=1)
    print(f"10 m there and back: {gap:.1e} mm; speed stays 1 to {np.abs(speed - 1).max():.1e}")
    assert gap < 1e-7 and np.abs(speed - 1).max() < 1e-11


@pytest.mark.parametrize("bow, stern", [(800.0, 900.0), (700.0, 820.0), (1150.0, 800.0)])
def test_between_end_marks(bow, stern):
    line = taut_between_ends(hull(), bow, stern)
    uv0, uv1 = on_stem(bow), on_transom(stern)
    start = line.curve.at([0.0])
    run, missed = shoot(spans(), uv0, uv1, start.t[0], line.curve.length)
    assert missed < 1e-8
    length, position = compare(f"marks {bow:.0f} and {stern:.0f}", line.curve, run)
    ends = spans().points(*np.transpose([uv0, uv1]))
    gap = np.linalg.norm(line.curve.points([0.0, line.curve.length]) - ends, axis=1).max()
    print(f"end marks found again to {gap:.1e} mm; bounds stated by the line: position "
          f"{line.error_position:.1e}, length {line.error_length:.1e} mm")
    assert length < LENGTH and position < POSITION and gap < 1e-7
    # what the line says of its own error must be no less than what is found
    assert length < line.error_length + 1e-8 and position < line.error_position + 1e-8


@pytest.mark.parametrize("fore, aft", [((3000.0, 1000.0), (8000.0, 1100.0)),
                                       ((2500.0, 800.0), (9000.0, 900.0))])
def test_through_aim_marks(fore, aft):
    line = taut_through_marks(hull(), fore, aft)
    swapped = taut_through_marks(hull(), aft, fore)
    s = spans()
    uv0, uv1 = on_section(*fore), on_section(*aft)
    guess = s.points(*uv1) - s.points(*uv0)
    middle, missed = shoot(s, uv0, uv1, guess, np.linalg.norm(guess))
    assert missed < 1e-8
    # on to the transom (u = 1), and from the fore mark forward to half-breadth = siding
    d = s.jets(*uv0)
    du, dv = middle.state[0, 2:]
    t = du * d[1, 0] + dv * d[0, 1]
    aftward = s.geodesic(uv0, t, 20000.0, stop=lambda y, span: y[0] - 1.0)
    forward = s.geodesic(uv0, -t, 20000.0, stop=lambda y, span: s.jets(y[0], y[1], span)[0, 0, Y] - SIDING)
    both = forward.length + aftward.length
    off = max(
        np.linalg.norm(line.curve.points(forward.length + aftward.s) - aftward.p, axis=1).max(),
        np.linalg.norm(line.curve.points(forward.length - forward.s) - forward.p, axis=1).max())
    print(f"aim marks {fore}, {aft}: {line.curve.length:.9f} mm; length {line.curve.length - both:+.1e}, "
          f"position {off:.1e} mm; stated {line.error_position:.1e}, {line.error_length:.1e}")
    assert abs(line.curve.length - both) < LENGTH and off < POSITION
    ends = hull().boundary.points([line.s_bow, line.s_stern])
    print(f"hood ends at girths {line.s_bow:.3f} and {hull().boundary.length - line.s_stern:.3f} mm; "
          f"off the boundary {np.linalg.norm(ends - line.curve.points([0, line.curve.length]), axis=1).max():.1e} mm; "
          f"marks in the other order: length changes by {swapped.curve.length - line.curve.length:+.1e} mm")
    assert np.linalg.norm(ends - line.curve.points([0, line.curve.length]), axis=1).max() < 1e-9
    assert swapped.curve.length == line.curve.length


def test_shooting_from_the_bow_arrives_at_the_stern_mark():
    """The line's own direction at the bow, run on with the project's march and with DOP853."""
    line = taut_between_ends(hull(), 800.0, 900.0)
    uv = line.curve.nodes[0, 0]
    pull = end_pull(line.curve, 0)
    target = line.curve.points([line.curve.length])[0]
    own = march(hull().patch, uv[None], pull[None], [line.curve.length]).p[0, 0]
    ode = spans().geodesic(uv, pull, line.curve.length).p[-1]
    print(f"after {line.curve.length:.0f} mm DOP853 misses the mark by {np.linalg.norm(ode - target):.1e} mm, "
          f"march by {np.linalg.norm(own - target):.1e}")
    assert np.linalg.norm(ode - target) < POSITION
    assert np.linalg.norm(own - ode) < POSITION


def test_line_through_marks_found_on_a_line_is_that_line():
    """Two marks read off the line between end marks give it back whole."""
    line = taut_between_ends(hull(), 800.0, 900.0)
    x = np.array([3200.0, 7900.0])
    s = sections_at(hull(), x)
    k, piece, local = plane_crossings(line.curve, x)
    girth = s.girth_at_v(k, line.curve.uv_local(piece, local)[:, 1])
    again = taut_through_marks(hull(), *zip(hull().frame.to_model_station(x), girth))
    c = line.curve.sample(41)
    off = np.linalg.norm(again.curve.points(c.s) - c.p, axis=1).max()
    print(f"girths {girth.round(3)}; hood ends move {again.s_bow - line.s_bow:+.1e}, "
          f"{again.s_stern - line.s_stern:+.1e}, length {again.curve.length - line.curve.length:+.1e}, "
          f"line {off:.1e} mm")
    assert abs(again.curve.length - line.curve.length) < LENGTH and off < POSITION
