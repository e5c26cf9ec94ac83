# SPDX-License-Identifier: LGPL-2.1-or-later
"""Line reports against closed forms and on the demonstration hull.

Sources: cylinder, cone, sphere and torus are first-year differential geometry and spherical
trigonometry, derived beside each check. "Common practice, no source" is said where so.
"""

from functools import lru_cache
from types import SimpleNamespace

import hulls
import numpy as np
import pytest
import surfaces

from strakeplan.core.curve import curve_through
from strakeplan.core.errors import PlanError
from strakeplan.core.frame import ShipFrame
from strakeplan.core.lines.closeness import distances_square_to
from strakeplan.core.lines.drawn import DrawnPiece, drawn_line
from strakeplan.core.lines.march import march
from strakeplan.core.lines.parallel import clip_to_boundary, parallels
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.relax import end_pull
from strakeplan.core.lines.report import line_report
from strakeplan.core.lines.taut import taut_between_ends, taut_through_marks
from strakeplan.core.stations import stations_at, stations_spaced
from strakeplan.core.surface import SurfaceSettings, planked_surface

POSITION = 1e-6  # mm


@lru_cache(maxsize=None)
def hull():
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=60.0, name="Marram"))


@lru_cache(maxsize=None)
def taut():
    return taut_between_ends(hull(), 800.0, 900.0)


def bare(known):
    """A surface of closed form as far as a report without stations asks for a hull."""
    return SimpleNamespace(patch=known.patch, frame=ShipFrame(*np.eye(3)), name=known.name)


def on(known, p_of, q_of, lo=0.0, hi=1.0, pieces=24):
    """Curve (p(t), q(t)) of the closed form's own parameters, cut where its arcs join."""
    breaks = np.linspace(lo, hi, pieces + 1)
    coarse = curve_through(known.patch, lambda t: np.stack(known.uv(p_of(t), q_of(t)), axis=1), breaks)
    s, way, line = coarse.knot_crossings()
    piece, x = coarse.locate(s)
    cuts = breaks[piece] + 0.5 * (x + 1.0) * np.diff(breaks)[piece]
    # the crossing in t itself: the coarse polynomial straddles the joint
    for k, (w, ln) in enumerate(zip(way, line)):
        knot = (known.patch.breaks_u, known.patch.breaks_v)[w][ln]
        a, b = max(lo, cuts[k] - 0.02), min(hi, cuts[k] + 0.02)
        f = lambda t, w=w, knot=knot: float(np.atleast_1d(known.uv(p_of(np.array([t])), q_of(np.array([t])))[w])[0]) - knot  # noqa: E731
        for _ in range(80):
            m = 0.5 * (a + b)
            a, b = (m, b) if (f(m) >= 0) == (f(b) < 0) or f(m) * f(b) <= 0 else (a, m)
        cuts[k] = 0.5 * (a + b)
    breaks = np.unique(np.concatenate([breaks, cuts]))
    breaks = breaks[np.concatenate([[True], np.diff(breaks) > 1e-9])]
    return curve_through(known.patch, lambda t: np.stack(np.broadcast_arrays(*known.uv(p_of(t), q_of(t))), axis=1), breaks)


def sagitta(radius, length):
    """Of an arc of given length: what a straight plank must be sprung."""
    return radius * (1.0 - np.cos(0.5 * length / radius))


# --- curvatures and edge set --------------------------------------------------------------------
def test_helix_on_a_cylinder():
    """At angle b to the axis: kappa_g = 0, kappa_n = sin^2 b / R, tau_g = sin b cos b / R."""
    radius, rise, turn = 1500.0, 5000.0, 2.2
    known = surfaces.cylinder(radius, 8000.0)
    curve = on(known, lambda t: 500.0 + rise * t, lambda t: 0.3 + turn * t)
    b = np.arctan2(radius * turn, rise)
    r = line_report(bare(known), curve, plank_length=3000.0)
    twist = np.degrees(np.sin(b) * np.cos(b) / radius) * 1000.0
    print(f"length {r.length - np.hypot(rise, radius * turn):+.1e}; kappa_g {np.abs(r.edgewise).max():.1e}; kappa_n "
          f"{np.abs(np.abs(r.flatwise) - np.sin(b) ** 2 / radius).max():.1e}; twist {r.twist_most.value:.9f} of {twist:.9f} deg/m; "
          f"edge set {r.edge_set.value:.1e} mm")
    assert abs(r.length - np.hypot(rise, radius * turn)) < POSITION
    assert np.abs(r.edgewise).max() < 1e-12
    assert np.abs(np.abs(r.flatwise) - np.sin(b) ** 2 / radius).max() < 1e-12
    assert np.abs(np.abs(r.twist) - twist).max() < 1e-8
    assert r.edge_set.value < POSITION


@pytest.mark.parametrize("slant", [2500.0, 6000.0])
def test_circle_on_a_cone(slant):
    """It unrolls to a circle of the slant distance: kappa_g = 1/slant, edge set its sagitta."""
    half = np.radians(20.0)
    known = surfaces.cone(half)
    curve = on(known, lambda t: np.full(np.shape(t), slant), lambda t: 0.1 + 2.8 * t)
    plank = 1500.0
    r = line_report(bare(known), curve, plank_length=plank)
    want = sagitta(slant, plank)
    # a window is a whole number of intervals long
    step = r.length / max(9, np.ceil(r.length / 25.0))
    print(f"slant {slant:g}: kappa_g off by {np.abs(np.abs(r.edgewise) - 1 / slant).max():.1e}, kappa_n off by "
          f"{np.abs(np.abs(r.flatwise) - np.cos(half) / (np.sin(half) * slant)).max():.1e}, twist {np.abs(r.twist).max():.1e}; "
          f"edge set {r.edge_set.value:.3f} of {want:.3f} mm")
    assert np.abs(np.abs(r.edgewise) - 1 / slant).max() < 1e-12
    assert np.abs(np.abs(r.flatwise) - np.cos(half) / (np.sin(half) * slant)).max() < 1e-11
    assert np.abs(r.twist).max() < 1e-7
    assert abs(r.edge_set.value - want) < want * 1.1 * step / plank


@pytest.mark.parametrize("degrees", [10.0, 40.0, 65.0])
def test_latitude_on_a_sphere(degrees):
    """kappa_g = tan f / R; it develops to a circle of radius R cot f; kappa_n = 1/R; R f from the equator."""
    radius, f = 3000.0, np.radians(degrees)
    known = surfaces.sphere(radius)
    curve = on(known, lambda t: np.full(np.shape(t), f), lambda t: 0.2 + 2.6 * t)
    equator = on(known, lambda t: np.zeros(np.shape(t)), lambda t: 0.05 + 3.0 * t)
    window = curve.length / 40 * 17
    r = line_report(bare(known), curve, plank_length=window, others=[("equator", equator)])
    spacing = window / np.ceil(window / 25.0)
    want = sagitta(radius / np.tan(f), window)
    d = r.closeness[0]
    print(f"{degrees:g} deg: kappa_g {abs(r.edgewise_most.value) - np.tan(f) / radius:+.1e}, kappa_n "
          f"{np.abs(np.abs(r.flatwise) - 1 / radius).max():.1e}, edge set over {window:.1f} mm {r.edge_set.value:.6f} of {want:.6f} mm, "
          f"distance to the equator off by {np.nanmax(np.abs(np.abs(d.distance) - radius * f)):.1e} mm, {d.per_metre:.1e} mm per metre")
    assert np.abs(np.abs(r.edgewise) - np.tan(f) / radius).max() < 1e-12
    assert np.abs(np.abs(r.flatwise) - 1 / radius).max() < 1e-12
    # chord to curve at the sampled places: at most kappa_g spacing^2 / 8 below
    assert 0.0 <= want - r.edge_set.value + 1e-6 <= np.tan(f) / radius * spacing**2 / 8 + 2e-6
    assert np.isfinite(d.distance).all()
    assert np.abs(np.abs(d.distance) - radius * f).max() < POSITION
    assert d.per_metre < 1e-6 and "parallel" in d.parallel


@pytest.mark.parametrize("degrees", [-50.0, 20.0, 80.0])
def test_parallel_on_a_torus(degrees):
    """kappa_g = sin v / rho, kappa_n = cos v / rho with rho = R + r cos v; r dv from the next."""
    v = np.radians(degrees)
    known = surfaces.torus(4000.0, 1500.0)
    ring = lambda a: on(known, lambda t: -0.3 + 2.0 * t, lambda t: np.full(np.shape(t), a))  # noqa: E731
    rho = 4000.0 + 1500.0 * np.cos(v)
    r = line_report(bare(known), ring(v), others=[("next", ring(v + 0.2))])
    d = np.abs(r.closeness[0].distance)
    print(f"{degrees:g} deg: kappa_g {np.abs(np.abs(r.edgewise) - abs(np.sin(v)) / rho).max():.1e}, kappa_n "
          f"{np.abs(np.abs(r.flatwise) - np.cos(v) / rho).max():.1e}, twist {np.abs(r.twist).max():.1e}, distance off {np.nanmax(np.abs(d - 300)):.1e}")
    assert np.abs(np.abs(r.edgewise) - abs(np.sin(v)) / rho).max() < 1e-12
    assert np.abs(np.abs(r.flatwise) - np.cos(v) / rho).max() < 1e-12
    assert np.abs(r.twist).max() < 1e-7
    assert np.isfinite(d).all() and np.abs(d - 300.0).max() < POSITION


# --- distances ---------------------------------------------------------------------------------
def test_two_great_circles():
    """Napier: tan(d/R) = sin(s/R) tan A; the angle at the other line B: cos B = cos(s/R) sin A."""
    radius, a = 3000.0, np.radians(12.0)
    known = surfaces.sphere(radius)
    start = np.array([0.0, 0.4])
    uv = np.array([[float(np.atleast_1d(x)[0]) for x in known.uv(*start)]])
    along = known.exact(np.array([0.0]), np.array([0.4 + 0.5 * np.pi]))
    up = np.array([[1.0, 0.0, 0.0]])
    equator = on(known, lambda t: np.zeros(np.shape(t)), lambda t: 0.4 + 1.6 * t)
    run = march(known.patch, uv, np.cos(a) * along / radius + np.sin(a) * up, np.linspace(100.0, 6000.0, 60))
    points = np.vstack([uv, run.uv[:, 0]])
    other = geodesic_between(known.patch, points[0], points[-1], guess=None, elements=16)
    s = np.linspace(300.0, 4000.0, 27)
    distance, _, slope = distances_square_to(equator, other, s)
    want = radius * np.arctan(np.sin(s / radius) * np.tan(a))
    angle = np.arcsin(np.cos(s / radius) * np.sin(a))
    print(f"distance off by {np.abs(np.abs(distance) - want).max():.1e} mm of up to {want.max():.0f}; slope off by "
          f"{np.abs(np.abs(slope) - np.abs(angle)).max():.1e} rad")
    assert np.abs(np.abs(distance) - want).max() < 2e-5  # two relaxed and marched geodesics
    assert np.abs(np.abs(slope) - np.abs(angle)).max() < 1e-8


def test_helices_that_diverge_on_a_cylinder():
    """Unrolled: straight lines; distance square to the first grows by the tangent of the angle."""
    radius = 1500.0
    known = surfaces.cylinder(radius, 8000.0)
    one = on(known, lambda t: 500.0 + 6500.0 * t, lambda t: 1.0 + 0.4 * t)
    two = on(known, lambda t: 300.0 + 7300.0 * t, lambda t: 1.3 + 0.9 * t)
    r = line_report(bare(known), one, others=[("two", two)])
    d = r.closeness[0]
    a, b = np.array([500.0, 1.0 * radius]), np.array([300.0, 1.3 * radius])
    ta, tb = np.array([6500.0, 0.4 * radius]), np.array([7300.0, 0.9 * radius])
    ta, tb = ta / np.linalg.norm(ta), tb / np.linalg.norm(tb)
    na = np.array([-ta[1], ta[0]])
    foot = a + d.s[:, None] * ta
    want = ((b - foot) @ np.array([-tb[1], tb[0]])) / (na @ np.array([-tb[1], tb[0]]))
    met = np.isfinite(d.distance)
    # met squarely where the other line has not yet ended
    reach = (foot + want[:, None] * na - b) @ tb
    whole = (reach >= 0.0) & (reach <= two.length)
    tangent = np.abs(ta[0] * tb[1] - ta[1] * tb[0]) / (ta @ tb)
    print(f"{met.sum()} of {len(met)} met; off by {np.abs(np.abs(d.distance) - want)[met].max():.1e}; {d.per_metre:.6f} of "
          f"{tangent * 1000:.6f} mm per metre; slope {np.degrees(d.slope[met][0]):.4f} deg")
    assert np.array_equal(met, whole)
    assert np.abs(np.abs(d.distance) - want)[met].max() < POSITION
    assert abs(d.per_metre - tangent * 1000.0) < 1e-6
    assert np.abs(np.tan(np.abs(d.slope[met])) - tangent).max() < 1e-9


# --- on the demonstration hull -------------------------------------------------------------------
def test_taut_line_needs_no_edge_set():
    """Common practice, no source: a straight batten of any width on the taut line lies with no edge set."""
    stations = stations_spaced(hull(), 1000.0)
    r = line_report(hull(), taut(), stations, 6000.0)
    print(f"edge set over 6 m {r.edge_set.value:.1e} mm (error {r.error_edge_set:.0e}); twist at most {r.twist_most.value:.2f} deg/m at "
          f"{r.twist_most.station:.0f}; bend {r.flatwise_most.value:.2e} at {r.flatwise_most.station:.0f}; "
          f"errors {r.error_position:.1e}, {r.error_length:.1e}")
    assert r.edge_set.value < 1e-3 and np.abs(r.edgewise).max() < 1e-7
    assert (r.bow_girth, r.stern_girth) == (800.0, pytest.approx(900.0, abs=1e-9))
    assert r.error_position == taut().error_position and r.length == taut().curve.length


def test_girths_are_those_the_line_was_aimed_at():
    line = taut_through_marks(hull(), (3000.0, 1100.0), (8000.0, 1200.0))
    r = line_report(hull(), line, stations_at(hull(), [("fore", 3000.0), ("mid", 5500.0), ("aft", 8000.0)]))
    off = [r.girths[0].girth - 1100.0, r.girths[2].girth - 1200.0]
    print(f"girths {[(g.name, round(g.girth, 6)) for g in r.girths]}, off by {off}")
    assert np.abs(off).max() < 1e-5
    # and the arc length told is where the station cuts the line
    x = line.curve.points([g.s for g in r.girths])[:, 0]
    assert np.abs(x - [3000.0, 5500.0, 8000.0]).max() < POSITION


def test_station_before_the_line_is_noted():
    bow = float(taut().curve.points([0.0])[0, 0])
    r = line_report(hull(), taut(), stations_at(hull(), [("head", bow - 60.0), ("mid", 5000.0)]))
    print(r.notes)
    assert np.isnan(r.girths[0].girth) and np.isfinite(r.girths[1].girth)
    assert any("station head" in n for n in r.notes)


def test_edgewise_is_positive_towards_the_keel():
    """A line that is high amidships turns towards the keel going aft, one that sags away from it."""
    x = np.linspace(-500.0, 11500.0, 13)
    values = []
    for sign in (1.0, -1.0):
        z = 450.0 - sign * 120.0 * ((x - 5500.0) / 6000.0) ** 2
        drawn = drawn_line(hull(), [DrawnPiece.through(np.stack([x, 0 * x, z], axis=1))], "profile")
        at = drawn.curve.crossings(lambda uv, p: p[:, 0] - 5500.0)
        values.append((drawn.curve.at(at).kappa_g[0], drawn))
    sheer = hull().sheer.at([0.5 * hull().sheer.length]).kappa_g[0]
    print(f"hogged {values[0][0]:.2e}, sagging {values[1][0]:.2e}, the sheer {sheer:.2e}")
    # amidships the side is all but upright, so the two parabolas differ by their own curvature
    assert abs(values[0][0] - values[1][0] - 4.0 * 120.0 / 6000.0**2) < 2e-6 and sheer < 0.0


def test_distance_to_a_parallel_is_its_distance():
    par = clip_to_boundary(hull(), parallels(hull(), taut().curve, [200.0], 500.0)[0], 100.0)[0][0]
    r = line_report(hull(), taut(), others=[("parallel", par), ("sheer", hull().sheer)])
    d = r.closeness[0]
    met = np.isfinite(d.distance)
    print(f"{met.sum()} of {len(met)} met, off by {np.abs(d.distance[met] - 200).max():.1e} mm; {d.parallel}; {r.closeness[1].parallel}")
    assert met.sum() >= len(met) - 2 and np.abs(d.distance[met] - 200.0).max() < 1e-4
    assert "parallel" in d.parallel.split(";")[-1] and d.per_metre < 1e-4
    assert np.all(r.closeness[1].distance < 0.0) and not r.closeness[1].parallel.endswith("parallel.")


def test_distance_to_another_line_again_by_relaxed_geodesics():
    """Each distance is the length of a string from foot to foot, and the string leaves squarely."""
    other = taut_between_ends(hull(), 650.0, 600.0).curve
    s = np.linspace(400.0, 10200.0, 9)
    distance, where, _ = distances_square_to(taut().curve, other, s)
    c, e = taut().curve.at(s), other.at(where)
    length, square = [], []
    for k in range(len(s)):
        string = geodesic_between(hull().patch, c.uv[k], e.uv[k], elements=8)
        length.append(string.length)
        square.append(end_pull(string, 0) @ c.t[k])
    print(f"distances {distance.round(1)}; strings differ by {np.abs(np.abs(distance) - length).max():.1e} mm, "
          f"off square by {np.abs(square).max():.1e}")
    assert np.abs(np.abs(distance) - length).max() < 1e-5 and np.abs(square).max() < 1e-7


def test_lines_that_cross_tell_where():
    x = [-500.0, 12000.0]
    rising = drawn_line(hull(), [DrawnPiece.polyline([(x[0], 0, 250.0), (x[1], 0, 700.0)])], "profile")
    falling = drawn_line(hull(), [DrawnPiece.polyline([(x[0], 0, 800.0), (x[1], 0, 330.0)])], "profile")
    d = line_report(hull(), rising, others=[("falling", falling)]).closeness[0]
    t = (800.0 - 250.0) / (450.0 + 470.0)
    want = x[0] + t * (x[1] - x[0])
    print(f"cross at {d.crossings} of {want:.1f}; {d.parallel}")
    assert len(d.crossings) == 1 and abs(d.crossings[0] - want) < 5.0 and "crossing" in d.parallel


@pytest.mark.parametrize("length", [0.0, -3.0, float("nan")])
def test_plank_lengths_that_are_none(length):
    with pytest.raises(PlanError) as caught:
        line_report(hull(), taut(), plank_length=length)
    print(caught.value)
    assert "plank" in str(caught.value) and caught.value.remedy


def test_other_that_is_no_line():
    with pytest.raises(PlanError) as caught:
        line_report(hull(), taut(), others=[("the keel", 5.0)])
    print(caught.value)
    assert "the keel" in str(caught.value)


def test_plank_longer_than_the_line_is_noted():
    r = line_report(hull(), taut(), plank_length=20000.0)
    print(r.notes)
    assert len(r.notes) == 1 and "shorter than the plank" in r.notes[0]


# --- the trade -----------------------------------------------------------------------------------
def test_taut_line_is_curved_in_all_three_views():
    """Common practice, no source: it is no plane section and is straight in no view."""
    p = taut().curve.sample(401).p
    for view, axes in (("profile", (0, 2)), ("half-breadth", (0, 1)), ("body plan", (1, 2))):
        q = p[:, axes]
        chord = (q[-1] - q[0]) / np.linalg.norm(q[-1] - q[0])
        d = q - q[0]
        bow = np.abs(d[:, 0] * chord[1] - d[:, 1] * chord[0]).max()
        print(f"{view}: {bow:.0f} mm from its chord")
        assert bow > 100.0
    flat = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)[2] / np.sqrt(len(p))
    print(f"off its best plane by {flat:.1f} mm (rms)")
    assert flat > 1.0


def test_lowering_the_aim_marks_lowers_the_line_most_amidships():
    """Common practice, no source."""
    stations = stations_at(hull(), [("fore", 3000.0), ("mid", 5500.0), ("aft", 8000.0)])
    reports = [line_report(hull(), taut_through_marks(hull(), (3000.0, g), (8000.0, g)), stations) for g in (1000.0, 1100.0, 1200.0)]
    for high, low in zip(reports, reports[1:]):
        mid = low.girths[1].girth - high.girths[1].girth
        bow, stern = low.bow_girth - high.bow_girth, low.stern_girth - high.stern_girth
        print(f"marks lowered by 100 mm: bow {bow:+.1f}, amidships {mid:+.1f}, stern {stern:+.1f} mm")
        assert mid > bow and mid > stern
