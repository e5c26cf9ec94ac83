# SPDX-License-Identifier: LGPL-2.1-or-later
"""Drawn lines laid on to the hull: along the normal, in the three views, along any direction.

No outside figures: every check is against a closed form, against the line that was drawn, or
against the equations of the drawn surface itself.
"""

from functools import lru_cache

import hulls
import numpy as np
import pytest
import surfaces

from strakeplan.core.curve import SurfaceCurve
from strakeplan.core.errors import PlanError
from strakeplan.core.lines.drawn import DrawnPiece, drawn_line
from strakeplan.core.lines.projected import Projection, fit_elements, follow
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.surface import SurfaceSettings, planked_surface

POSITION = 1e-6  # mm: what a smooth edge has to be laid on to


@lru_cache(maxsize=None)
def hull():
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=60.0, name="Marram"))


@lru_cache(maxsize=None)
def taut():
    return taut_between_ends(hull(), 800.0, 900.0)


def of_taut(offset=0.0):
    """The taut line as an edge, lifted off the hull along its normal; bow and stern as cut."""
    c = taut().curve
    table = {}

    def points(t):
        missing = [x for x in t.tolist() if x not in table]
        if missing:
            at = c.at(np.array(missing))
            for x, p in zip(missing, hull().frame.points_to_model(at.p + offset * at.n)):
                table[x] = p
        return np.array([table[x] for x in t.tolist()])

    return DrawnPiece(points, tuple(c.s_breaks))


def off(line, other, n=101):
    share = np.linspace(0.0, 1.0, n)
    return np.linalg.norm(line.points(share * line.length) - other.points(share * other.length), axis=1).max()


# --- closed forms ------------------------------------------------------------------------------
@pytest.mark.parametrize("rho, height", [(5100.0, 300.0), (6000.0, -900.0), (4600.0, 700.0)])
def test_circle_about_a_torus_along_the_normal(rho, height):
    """Its feet lie on the parallel whose angle is that of the drawn circle seen from the tube's middle."""
    torus = surfaces.torus(big=4000.0, small=1500.0)
    q = np.arctan2(height, rho - 4000.0)
    p0, p1 = -0.3, 1.6
    angle = lambda t: p0 + (p1 - p0) * t  # noqa: E731
    curve = lambda t: np.stack([rho * np.cos(angle(t)), rho * np.sin(angle(t)), np.full(len(t), height)], axis=1)  # noqa: E731
    projection = Projection(torus.patch, [curve])
    start = np.array([float(np.atleast_1d(x)[0]) for x in torus.uv(p0 + 0.1, q + 0.02)])
    t0 = 0.1 / (p1 - p0)
    uv, t, _ = projection.at(start[None], np.array([0]), np.array([t0]))
    inside = lambda u, v: np.ones(len(u))  # noqa: E731
    run = follow(projection, uv[0], 0, float(t[0]), 1.0, 100.0, inside, 1e5)
    nodes, _, _, error, _ = fit_elements(projection, run.uv, run.t, run.piece, 1e-7)
    line = SurfaceCurve(torus.patch, nodes)
    c = line.sample(200)
    ring = 4000.0 + 1500.0 * np.cos(q)
    away = np.hypot(np.hypot(c.p[:, 0], c.p[:, 1]) - ring, c.p[:, 2] - 1500.0 * np.sin(q)).max()
    length = ring * (p1 - p0 - 0.1)
    print(f"angle {np.degrees(q):.2f} deg, ended {run.ended!r}: off the parallel {away:.1e} mm, "
          f"length {line.length - length:+.1e} mm, stated {error:.1e}")
    assert run.ended == "end"
    assert away < POSITION and abs(line.length - length) < POSITION


@pytest.mark.parametrize("degrees", [20.0, 45.0, 60.0])
def test_diagonal_of_circular_sections_is_a_line_of_constant_angle(degrees):
    """Sections are quarter circles about one axis; the surface has knots of full multiplicity."""
    arcs = planked_surface(hulls.arc_hull(), SurfaceSettings(name="arcs"))
    a = np.radians(degrees)
    drawn = DrawnPiece.polyline([(0.0, 0.0, 0.0), (0.0, 1200.0 * np.cos(a), -1200.0 * np.sin(a))])
    line = drawn_line(arcs, [drawn], "body plan")
    c = line.curve.sample(300)
    angle = np.arctan2(-c.p[:, 2], c.p[:, 1])
    ends = arcs.patch.points(arcs.patch.u_range, line.curve.nodes[[0, -1], [0, -1], 1])
    print(f"{degrees:g} deg: off by {np.abs(angle - a).max() * 900:.1e} mm; ends off the face's edges by "
          f"{np.linalg.norm(ends - c.p[[0, -1]], axis=1)} mm; {line.notes[0]}")
    assert np.abs(angle - a).max() * 900.0 < POSITION
    assert np.linalg.norm(ends - c.p[[0, -1]], axis=1).max() < POSITION


# --- a line that lies on the hull ---------------------------------------------------------------
@pytest.mark.parametrize("way", ["normal", "profile", "half-breadth", (0.2, 1.0, 0.3)])
def test_line_on_the_hull_stays_where_it_is(way):
    line = drawn_line(hull(), [of_taut()], way)
    away = off(line.curve, taut().curve)
    print(f"{way}: {away:.1e} mm, length {line.curve.length - taut().curve.length:+.1e}, moved {line.moved:.1e}; "
          f"stated {line.error_position:.1e}, {line.error_length:.1e}; hood ends "
          f"{line.s_bow - taut().s_bow:+.1e} {line.s_stern - taut().s_stern:+.1e}")
    assert away < POSITION and abs(line.curve.length - taut().curve.length) < POSITION
    assert line.moved < POSITION and line.error_position < POSITION
    assert abs(line.s_bow - taut().s_bow) < POSITION and abs(line.s_stern - taut().s_stern) < POSITION


@pytest.mark.parametrize("offset", [25.0, -40.0])
def test_line_lifted_off_comes_back_along_the_normal(offset):
    line = drawn_line(hull(), [of_taut(offset)])
    away = off(line.curve, taut().curve)
    print(f"lifted {offset:g} mm: {away:.1e} mm off, moved {line.moved:.9f} to {line.moved_least:.9f}")
    assert away < POSITION
    assert abs(line.moved - abs(offset)) < POSITION and abs(line.moved_least - abs(offset)) < POSITION


def test_tolerance_is_kept_on_a_wavy_edge():
    """A height that waves four times: elements are halved until the edge is met."""
    wave = DrawnPiece(lambda t: np.stack([-200 + 11500 * t, 0 * t, 500 + 60 * np.sin(25 * t)], axis=1))
    line = drawn_line(hull(), [wave], "profile")
    c = line.curve.sample(3000)
    z = 500 + 60 * np.sin(25 * (c.p[:, 0] + 200) / 11500)
    print(f"{line.curve.pieces} elements; off the drawn height {np.abs(c.p[:, 2] - z).max():.1e}, stated {line.error_position:.1e}")
    assert np.abs(c.p[:, 2] - z).max() < POSITION and line.error_position < POSITION


# --- views ---------------------------------------------------------------------------------------
PROFILE = [(-500.0, 0.0, 500.0), (5000.0, 0.0, 300.0), (12000.0, 0.0, 500.0)]


def test_profile_line_keeps_its_height_and_tells_its_corner():
    line = drawn_line(hull(), [DrawnPiece.polyline(PROFILE)], "profile")
    c = line.curve.sample(2001)
    z = np.interp(c.p[:, 0], *np.array(PROFILE)[:, [0, 2]].T)
    print(f"off the drawn height {np.abs(c.p[:, 2] - z).max():.1e} mm; half-breadth at the bow {c.p[0, 1] - 60:.1e} over 60")
    print(*line.notes, sep="\n")
    assert np.abs(c.p[:, 2] - z).max() < POSITION
    assert abs(c.p[0, 1] - 60.0) < POSITION
    transom = hull().boundary.points([line.s_stern])[0]
    assert np.linalg.norm(transom - c.p[-1]) < POSITION
    # the greatest half-breadth is what the line was moved by
    assert abs(line.moved - c.p[:, 1].max()) < 1e-3 and abs(line.moved_least - c.p[:, 1].min()) < 1e-6
    assert len(line.corners) == 1
    s, turn = line.corners[0]
    assert abs(line.curve.points([s])[0, 0] - 5000.0) < 1e-6
    # the two arms' tangents, from the surface's own plane at the corner
    n = line.curve.at([s]).n[0]
    arms = [np.cross(n, [a[0], 0.0, a[1]]) for a in ((200.0, 5500.0), (-200.0, 7000.0))]
    true = np.arccos(arms[0] @ arms[1] / np.linalg.norm(arms[0]) / np.linalg.norm(arms[1]))
    print(f"corner {np.degrees(turn):.6f} degrees, from the tangent plane {np.degrees(true):.6f}")
    assert abs(turn - true) < 1e-8


def test_diagonal_runs_through_fore_and_aft_body():
    a, b = np.array([0.0, 0.0, 700.0]), np.array([0.0, 2000.0, -200.0])
    line = drawn_line(hull(), [DrawnPiece.polyline([a, b])], "body plan")
    c = line.curve.sample(2001)
    away = np.abs(c.p[:, 2] - np.interp(c.p[:, 1], [0.0, 2000.0], [700.0, -200.0])).max()
    widest = c.p[int(np.argmax(c.p[:, 1])), 0]
    print(f"off the drawn line {away:.1e} mm; x {c.p[0, 0]:.0f} to {c.p[-1, 0]:.0f}, widest at {widest:.0f}; {line.notes[0]}")
    assert away < POSITION
    assert np.all(np.diff(c.p[:, 0]) > 0.0) and 5000.0 < widest < 7000.0
    assert "runs on behind it" in line.notes[0]


def test_half_breadth_line_keeps_its_breadth():
    at = [(600.0, -60.0, 0.0), (2500.0, 850.0, 0.0), (5500.0, 1350.0, 0.0), (8500.0, 1050.0, 0.0), (11500.0, 350.0, 0.0)]
    piece = DrawnPiece.through(at)
    line = drawn_line(hull(), [piece], "half-breadth")
    c = line.curve.sample(1001)
    t = np.linspace(piece.breaks[0], piece.breaks[-1], 200001)
    p = piece.points_of(t)
    away = np.abs(np.interp(c.p[:, 0], p[:, 0], p[:, 1]) - c.p[:, 1]).max()
    print(f"off the drawn half-breadth {away:.1e} mm (the comparison's own chords about 2e-7)")
    assert away < 2.0 * POSITION


# --- order, sides, orientations ------------------------------------------------------------------
def test_order_and_sense_of_the_edges_do_not_matter():
    p = np.array([(-500.0, 0.0, 500.0), (3000.0, 0.0, 330.0), (7000.0, 0.0, 310.0), (12000.0, 0.0, 500.0)])
    straight = drawn_line(hull(), [DrawnPiece.polyline(p)], "profile")
    mixed = drawn_line(hull(), [DrawnPiece.polyline(p[[2, 1]]), DrawnPiece.polyline(p[[3, 2]]), DrawnPiece.polyline(p[:2])], "profile")
    print(f"length {mixed.curve.length - straight.curve.length:+.1e}, off {off(mixed.curve, straight.curve):.1e} mm")
    assert off(mixed.curve, straight.curve) < POSITION


def test_line_drawn_on_the_other_side_is_carried_over():
    c = taut().curve
    piece = of_taut(30.0)
    over = DrawnPiece(lambda t: piece.points_of(t) * [1.0, -1.0, 1.0], piece.breaks)
    line = drawn_line(hull(), [over])
    print(f"off {off(line.curve, c):.1e} mm; {line.notes[0]}")
    assert off(line.curve, c) < POSITION and "port" in line.notes[0]


def test_every_way_a_face_may_come():
    lengths = []
    for k, (label, turn, m) in enumerate(hulls.orientations()):
        if k % 5:
            continue
        turned = planked_surface(turn(hulls.demo()), SurfaceSettings(half_siding=60.0, name=label))
        line = drawn_line(turned, [DrawnPiece.polyline(np.array(PROFILE) @ m.T)], "profile")
        lengths.append(line.curve.length)
        assert np.linalg.norm(m @ [0, 1, 0] - turned.frame.outboard) < 1e-12, label
    print(f"{len(lengths)} ways, length {min(lengths):.9f} to {max(lengths):.9f} mm")
    assert len(lengths) == 13 and np.ptp(lengths) < POSITION


# --- ends ------------------------------------------------------------------------------------------
def test_line_a_little_short_is_run_on_straight():
    p = [(430.0, 0.0, 500.0), (10700.0, 0.0, 480.0)]
    full = drawn_line(hull(), [DrawnPiece.polyline([(-500.0, 0.0, 500.0 + 20.0 * 930 / 10270), (11000.0, 0.0, 480.0 - 20 * 300 / 10270)])], "profile")
    bow = full.curve.points([0.0])[0]
    p[0] = (float(bow[0]) + 90.0, 0.0, p[0][2])
    line = drawn_line(hull(), [DrawnPiece.polyline(p)], "profile")
    print(*line.notes, sep="\n")
    first, last = line.curve.at([5.0]), line.curve.at([line.curve.length - 5.0])
    print(f"edgewise curvature in the run-on {first.kappa_g[0]:.1e}, {last.kappa_g[0]:.1e} per mm, "
          f"in the middle {line.curve.at([5000.0]).kappa_g[0]:.1e}")
    assert sum("was run on straight" in n for n in line.notes) == 2
    assert abs(first.kappa_g[0]) < 1e-9 and abs(last.kappa_g[0]) < 1e-9
    ends = hull().boundary.points([line.s_bow, line.s_stern])
    assert np.linalg.norm(ends - line.curve.points([0.0, line.curve.length]), axis=1).max() < POSITION
    # where it is run on it goes on in the same direction
    c = line.curve.at_local(np.arange(line.curve.pieces - 1), np.ones(line.curve.pieces - 1))
    d = line.curve.at_local(np.arange(1, line.curve.pieces), -np.ones(line.curve.pieces - 1))
    turn = np.linalg.norm(c.t - d.t, axis=1).max()
    print(f"greatest turn between elements {turn:.1e}")
    assert turn < 1e-6


def test_line_that_all_but_reaches_the_ends_is_met_without_a_note():
    piece = of_taut()
    lo, hi = piece.breaks[0] + 0.05, piece.breaks[-1] - 0.03
    short = DrawnPiece(piece.points_of, (lo, *piece.breaks[1:-1], hi))
    line = drawn_line(hull(), [short])
    print(f"{lo:.2f} mm short: off {off(line.curve, taut().curve):.1e} mm; {line.notes}")
    assert off(line.curve, taut().curve) < POSITION
    assert not any("run on" in n for n in line.notes)


@pytest.mark.parametrize("points, way, says", [
    ([(900.0, 0, 500), (5000, 0, 300), (12000, 0, 500)], "profile", "short of the stem"),
    ([(-500.0, 0, 500), (5000, 0, 300), (9000, 0, 400)], "profile", "short of the stern"),
    ([(-500.0, 0, 1000), (5000, 0, 1100), (12000, 0, 500)], "profile", "climbs over the sheer"),
    ([(-500.0, 0, 500), (5000, 0, -1500), (12000, 0, 500)], "profile", "runs under the rabbet"),
    ([(-500.0, 0, 5000), (12000, 0, 5000)], "profile", "does not meet"),
    ([(-500.0, 2500, 0), (12000, 2500, 0)], "half-breadth", "does not meet"),
    ([(0.0, 0, 0), (0, 0, 0.05)], "profile", "closed, or has no length"),
    ([(0.0, 0, 0), (float("nan"), 0, 5)], "profile", "no row of points"),
    ([(-500.0, 0, 500), (12000, 0, 500)], "sideways", "not a direction"),
])  # fmt: skip
def test_errors_say_what_where_and_what_to_do(points, way, says):
    with pytest.raises(PlanError) as caught:
        drawn_line(hull(), [DrawnPiece.polyline(points)], way)
    print(caught.value)
    assert says in str(caught.value) and caught.value.remedy
    assert caught.value.where or says in ("no row of points", "not a direction")


def test_half_breadth_outside_the_outline_amidships_is_an_error():
    at = [(-200.0, 10.0, 0.0), (2000.0, 900.0, 0.0), (6000.0, 1900.0, 0.0), (11500.0, 700.0, 0.0)]
    with pytest.raises(PlanError) as caught:
        drawn_line(hull(), [DrawnPiece.polyline(at)], "half-breadth")
    print(caught.value)
    assert caught.value.where and caught.value.remedy


@pytest.mark.parametrize("rows, says", [
    ([[(-500.0, 0, 500), (5000, 0, 300)], [(5000.2, 0, 300), (12000, 0, 500)]], "gap of 0.20 mm"),
    ([[(-500.0, 0, 500), (5000, 0, 300)], [(5000, 0, 300), (12000, 0, 500)], [(5000, 0, 300), (5000, 0, 900)]], "forks"),
    ([[(0.0, 0, 500), (5000, 0, 300)], [(5000, 0, 300), (5000, 0, 900), (0, 0, 500)]], "closed"),
    ([[(-500.0, 0, 500), (12000, 0, 500)], [(0.0, 0, 0), (500, 0, 30)], [(500, 0, 30), (50, 0, 900), (0, 0, 0)]], "closed"),
    ([], "no edge"),
])  # fmt: skip
def test_edges_that_make_no_line(rows, says):
    with pytest.raises(PlanError) as caught:
        drawn_line(hull(), [DrawnPiece.polyline(r) for r in rows], "profile")
    print(caught.value)
    assert says in str(caught.value)


def test_gap_below_a_tenth_is_bridged():
    rows = [[(-500.0, 0, 500), (5000, 0, 300)], [(5000.05, 0, 300), (12000, 0, 500)]]
    line = drawn_line(hull(), [DrawnPiece.polyline(r) for r in rows], "profile")
    whole = drawn_line(hull(), [DrawnPiece.polyline([(-500.0, 0, 500), (5000, 0, 300), (12000, 0, 500)])], "profile")
    print(f"a gap of 0.05 mm moves the line by {off(line.curve, whole.curve):.3f} mm")
    assert off(line.curve, whole.curve) < 0.1
