# SPDX-License-Identifier: LGPL-2.1-or-later
"""Eased lines: a heavy string against catenaries, an independent solver and its own law."""

import numpy as np
import pytest
from demoplan import demo_hull
from scipy.integrate import solve_bvp
from scipy.optimize import fsolve
from surfaces import cylinder, sphere

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.eased import eased_line
from strakeplan.core.lines.line import lateral_distance
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.relax import Tension
from strakeplan.core.lines.taut import taut_line
from strakeplan.core.sections import plane_crossings, sections_at
from strakeplan.core.spline.patch import SplinePatch

BOW, STERN = Mark(edge="stem", share=0.65), Mark(edge="stern", share=0.65)


def wall(width=4000.0, height=3000.0):
    """A plane patch in x and z."""
    poles = np.zeros((2, 2, 3))
    poles[1, :, 0], poles[:, 1, 2] = width, height
    return SplinePatch(1, 1, [0, 0, 1, 1], [0, 0, 1, 1], poles)


@pytest.mark.parametrize("elements", [4, 8])
def test_in_a_plane_it_is_a_catenary(elements):
    # closed form: z + 1000 = c cosh((x - x0) / c) where the tension is proportional to z + 1000
    a, b = (800.0, 2100.0), (3200.0, 1800.0)

    def through(q):
        return [q[0] * np.cosh((x - q[1]) / q[0]) - 1000.0 - z for x, z in (a, b)]

    c, x0 = fsolve(through, [2300.0, 2000.0], xtol=1e-14)
    line = geodesic_between(
        wall(), (0.2, 0.7), (0.8, 0.6), elements=elements, tension=Tension(-1e-3, 0.0)
    )
    p = line.sample(101).p
    off = float(np.max(np.abs(c * np.cosh((p[:, 0] - x0) / c) - 1000.0 - p[:, 2])))
    print(f"{elements} elements: greatest distance from the catenary {off:.1e} mm")
    assert off < 1e-6


def bvp(rate, start, end, guess, length):
    """Solve for three states over an unknown length by scipy's collocation."""
    t = np.linspace(0.0, 1.0, guess.shape[1])

    def right(t, y, p):
        return p[0] * rate(y)

    def ends(ya, yb, p):
        return np.array([ya[0] - start[0], ya[1] - start[1], yb[0] - end[0], yb[1] - end[1]])

    done = solve_bvp(right, ends, t, guess, p=[length], tol=1e-10, max_nodes=200000)
    assert done.success, done.message
    return done


@pytest.mark.parametrize("slope", [8e-5, -8e-5])
def test_on_a_cylinder_against_collocation(slope):
    radius, reference = 1500.0, 1000.0
    known = cylinder(radius)
    a, b = (1000.0, 0.6), (6500.0, 1.0)  # x, angle from y; z = radius sin(angle)

    def rate(y):
        x, q, h = y  # h: heading from x towards growing angle
        tension = 1.0 - slope * (radius * np.sin(q) - reference)
        # b = n x t with n inward keeps (x, angle) right-handed; kappa_g b_z from dT/db = -slope b_z
        return np.stack([np.cos(h), np.sin(h) / radius, -slope * np.cos(h) * np.cos(q) / tension])

    ends = [np.array([float(x) for x in known.uv(*p)]) for p in (a, b)]
    line = geodesic_between(known.patch, *ends, tension=Tension(slope, reference))
    c = line.sample(41)
    angle = np.arctan2(c.p[:, 2], c.p[:, 1])
    t = c.t
    heading = np.arctan2(t[:, 2] * np.cos(angle) - t[:, 1] * np.sin(angle), t[:, 0])
    straight = np.hypot(b[0] - a[0], radius * (b[1] - a[1]))
    share = np.linspace(0.0, 1.0, 41)
    guess = np.stack([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), 0.0 * share])
    done = bvp(rate, a, b, guess, straight)
    y = done.sol(c.s / line.length)
    off = max(np.max(np.abs(y[0] - c.p[:, 0])), radius * np.max(np.abs(y[1] - angle)))
    print(f"slope {slope:g}: position {off:.1e} mm, heading {np.max(np.abs(y[2] - heading)):.1e}, "
          f"length {done.p[0] - line.length:.1e} mm; {line.length - straight:.2f} mm slack")
    assert line.length - straight > 1.0
    assert off < 1e-4 and abs(done.p[0] - line.length) < 1e-4


def test_on_a_sphere_against_collocation():
    radius, slope, reference = 3000.0, 1e-4, 1500.0
    known = sphere(radius)
    a, b = (np.radians(-50.0), 1.0), (np.radians(40.0), 1.3)

    def rate(y):
        p, q, h = y  # latitude, longitude, heading from growing latitude to growing longitude
        tension = 1.0 - slope * (radius * np.cos(p) * np.sin(q) - reference)
        b_z = -np.cos(h) * np.cos(q) - np.sin(h) * np.sin(p) * np.sin(q)
        bend = -slope * b_z / tension
        return np.stack([
            np.cos(h) / radius, np.sin(h) / (radius * np.cos(p)),
            np.tan(p) * np.sin(h) / radius - bend,
        ])  # fmt: skip

    ends = [np.array([float(x) for x in known.uv(*e)]) for e in (a, b)]
    line = geodesic_between(known.patch, *ends, elements=12, tension=Tension(slope, reference))
    c = line.sample(41)
    share = np.linspace(0.0, 1.0, 41)
    guess = np.stack([a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), 0.2 + 0.0 * share])
    done = bvp(rate, a, b, guess, radius * (b[0] - a[0]))
    p, q, _ = done.sol(c.s / line.length)
    off = float(np.max(np.linalg.norm(known.exact(p, q) - c.p, axis=1)))
    print(f"position {off:.1e} mm, length {done.p[0] - line.length:.1e} mm")
    assert off < 1e-4 and abs(done.p[0] - line.length) < 1e-4


def test_law_on_the_demonstration_hull():
    # kappa_g T = dT/db: its own definition, with the datum that the notes tell
    hull = demo_hull()
    line = eased_line(hull, BOW, STERN, slack=5.0)
    datum = float(line.notes[0].split("z = ")[1].split(" mm")[0])
    c = line.curve.sample(301)
    law = c.kappa_g * (datum - c.p[:, 2]) + c.b[:, 2]
    print(f"greatest departure from kappa_g T = dT/db: {np.max(np.abs(law)):.1e}, "
          f"dT/db up to {np.max(np.abs(c.b[:, 2])):.2f}; {line.notes[0]}")
    # kappa_g is of order 1e-5 here; between element ends it is good to about 2e-9 1/mm, and
    # the datum, told to the millimetre, adds 1 in 85000
    assert np.max(np.abs(law)) < 85140.0 * 4e-9


def test_length_grows_with_slack_and_meets_it():
    hull = demo_hull()
    taut = taut_line(hull, [BOW, STERN], look_for_others=False)
    middle = 0.5 * float(np.sum(taut.curve.points([0.0, taut.curve.length])[:, 0]))
    section = sections_at(hull, [middle])
    lengths, girths = [], []
    slacks = (-20.0, -5.0, -1.0, 0.0, 1.0, 5.0, 20.0)
    for slack in slacks:
        line = eased_line(hull, BOW, STERN, slack=slack)
        lengths.append(line.curve.length - taut.curve.length)
        k, piece, t = plane_crossings(line.curve, [middle])
        girths.append(float(section.girth_at_v(k, line.curve.uv_local(piece, t)[:, 1])[0]))
    print("slack asked, found, girth amidships:",
          [(s, round(x, 7), round(g, 1)) for s, x, g in zip(slacks, lengths, girths)])
    assert np.max(np.abs(np.array(lengths) - np.abs(slacks))) < 1e-5
    # common practice, no source: eased towards the sheer, the middle planks get narrower
    assert np.all(np.diff(girths) < 0.0)


def test_no_slack_is_the_taut_line_and_little_slack_is_near_it():
    hull = demo_hull()
    taut = taut_line(hull, [BOW, STERN], look_for_others=False)
    off = [lateral_distance(taut.curve, eased_line(hull, BOW, STERN, slack=s).curve)
           for s in (0.0, 1e-6, 1e-4, 1e-2)]
    print("distance from the taut line at slack 0, 1e-6, 1e-4, 1e-2 mm:", [f"{x:.3g}" for x in off])
    assert off[0] < 1e-5
    # slack grows with the square of the distance: a hundredfold slack, ten times as far
    assert off[2] / off[1] == pytest.approx(10.0, rel=0.02)
    assert off[3] / off[2] == pytest.approx(10.0, rel=0.02)


@pytest.mark.parametrize("girth", [1300.0, 1600.0, 1900.0, 2300.0])
def test_a_girth_to_pass_is_passed(girth):
    hull = demo_hull()
    station = 5500.0
    line = eased_line(hull, BOW, STERN, through=Mark.at(station, girth))
    section = sections_at(hull, hull.frame.to_ship_station([station]))
    k, piece, t = plane_crossings(line.curve, hull.frame.to_ship_station([station]))
    found = float(section.girth_at_v(k, line.curve.uv_local(piece, t)[:, 1])[0])
    print(f"{girth} mm wanted, {found - girth:+.1e} mm found; {line.notes[0]}")
    assert abs(found - girth) < 1e-6
    assert line.error_position < 1e-4


@pytest.mark.parametrize("kwargs, words", [
    (dict(slack=1.0, through=Mark.at(5500.0, 1600.0)), ["either its slack or a girth"]),
    (dict(), ["either its slack or a girth"]),
    (dict(slack=float("nan")), ["slack is not a number"]),
    (dict(through=Mark.at(5500.0, 9000.0)), ["off the girth", "5500"]),
    (dict(slack=4000.0), ["cannot be eased so far", "4000.0 mm slack"]),
    (dict(through=BOW), ["must be at a station"]),
])  # fmt: skip
def test_what_cannot_be_is_refused(kwargs, words):
    with pytest.raises(PlanError) as caught:
        eased_line(demo_hull(), BOW, STERN, **kwargs)
    print(caught.value)
    assert caught.value.remedy
    assert all(word in str(caught.value) for word in words)


def test_ends_must_be_on_stem_and_stern():
    with pytest.raises(PlanError, match="one mark on the stem and one on the stern"):
        eased_line(demo_hull(), Mark.at(3000.0, 1200.0), STERN, slack=1.0)
