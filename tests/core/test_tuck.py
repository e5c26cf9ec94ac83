# SPDX-License-Identifier: LGPL-2.1-or-later
"""The tuck line against sections whose curvature is a formula, and on other hulls.

`wineglass` has sections y = 60 + B(x) (1 - S(w)), z = 300 - D w with the quintic
S = 10 w^3 - 15 w^4 + 6 w^5, exact in degree 5: their curvature
y'' D / (D^2 + y'^2)^(3/2) peaks where y''' (D^2 + y'^2) = 3 y' y''^2, roots of a polynomial.
"""

from functools import lru_cache
from types import SimpleNamespace

import hulls
import numpy as np
import pytest
from numpy.polynomial import Polynomial
from scipy.integrate import quad
from scipy.optimize import brentq

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.closeness import distances_square_to
from strakeplan.core.lines.drawn import DrawnPiece, drawn_line
from strakeplan.core.lines.march import march
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.tuck import crossing_angles, tuck_line
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface

LENGTH, DEPTH, BOW, STERN = 8000.0, 1400.0, 200.0, 900.0
STEP = Polynomial([0, 0, 0, 10, -15, 6])


@lru_cache(maxsize=None)
def wineglass():
    ordinates = 1.0 - np.array([0, 0, 0, 1, 1, 1], float)  # Bezier form of 1 - S
    poles = np.empty((2, 6, 3))
    for i, (x, breadth) in enumerate(((0.0, BOW), (LENGTH, STERN))):
        poles[i, :, 0] = x
        poles[i, :, 1] = 60.0 + breadth * ordinates
        poles[i, :, 2] = 300.0 - DEPTH * np.linspace(0.0, 1.0, 6)
    ends = lambda p: np.repeat([0.0, 1.0], p + 1)  # noqa: E731
    # knots inserted, which changes nothing but the length of the pieces girths are summed over
    patch = SplinePatch(1, 5, ends(1), ends(5), poles).with_knots(v=np.linspace(0.0, 1.0, 9)[1:-1])
    return planked_surface(patch, SurfaceSettings(half_siding=60.0, name="wineglass"))


@lru_cache(maxsize=None)
def demo():
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=60.0, name="Marram"))


class Section:
    """One section of `wineglass` from its formula."""

    def __init__(self, x):
        self.y = 60.0 + (BOW + (STERN - BOW) * x / LENGTH) * (1.0 - STEP)
        self.d = [self.y.deriv(k) for k in (1, 2, 3)]

    def turn(self, w):
        """Round positive. Outboard is +y: a section that falls in ever faster is round."""
        return -self.d[1](w) * DEPTH / (DEPTH**2 + self.d[0](w) ** 2) ** 1.5

    def peak(self, which):
        roots = (self.d[2] * (DEPTH**2 + self.d[0] ** 2) - 3.0 * self.d[0] * self.d[1] ** 2).roots()
        real = np.real(roots[np.abs(np.imag(roots)) < 1e-12])
        real = real[(real > 1e-6) & (real < 1.0 - 1e-6)]
        return real[np.argmin(self.turn(real)) if which == "hollow" else np.argmax(self.turn(real))]

    def girth(self, w0, w1):
        return quad(lambda w: np.hypot(DEPTH, self.d[0](w)), w0, w1, epsabs=1e-11, epsrel=1e-12)[0]

    def peak_over(self, which, over):
        """Where the mean turn over a girth peaks: as much curvature before as behind."""

        def ends(w):
            lo = brentq(lambda a: self.girth(a, w) - 0.5 * over, 0.0, w, xtol=1e-14)
            hi = brentq(lambda b: self.girth(w, b) - 0.5 * over, w, 1.0, xtol=1e-14)
            return lo, hi

        at = self.peak(which)
        w = brentq(lambda w: self.turn(ends(w)[0]) - self.turn(ends(w)[1]), at - 0.06, at + 0.06, xtol=1e-13)
        slope = [np.arctan2(self.d[0](e), DEPTH) for e in ends(w)]
        return w, (slope[0] - slope[1]) / over

    def point(self, x, w):
        return np.array([x, self.y(w), 300.0 - DEPTH * w])


# --- where the ridge lies --------------------------------------------------------------------------
@pytest.mark.parametrize("which", ["hollow", "round"])
def test_ridge_of_the_curvature(which):
    """Located to 1e-3 mm, and its radius, at stations that are none of the line's nodes."""
    tuck = tuck_line(wineglass(), which, over=0.0, forward=2500.0)
    off, radius = [], []
    for x in np.linspace(2600.0, 7900.0, 13):
        at = tuck.curve.crossings(lambda uv, p, x=x: p[:, 0] - x)
        section = Section(x)
        w = section.peak(which)
        off.append(np.linalg.norm(tuck.curve.points(at)[0] - section.point(x, w)))
        radius.append(np.interp(x, tuck.station, tuck.turn) / section.turn(w) - 1.0)
    print(f"{which}: {tuck.curve.pieces} elements, off by {max(off):.1e} mm (stated {tuck.error_position:.1e}), "
          f"turn by {np.abs(radius).max():.1e} of itself; {tuck.notes}")
    assert max(off) < 1e-3 and not tuck.rough
    assert np.abs(radius).max() < 1e-3  # linear between nodes here
    assert np.all(tuck.turn < 0.0) if which == "hollow" else np.all(tuck.turn > 0.0)
    assert np.allclose(tuck.radius * np.abs(tuck.turn), 1.0)
    assert tuck.stations[0] == 2500.0 and tuck.stations[1] > 7980.0


@pytest.mark.parametrize("which", ["hollow", "round"])
@pytest.mark.parametrize("over", [60.0, 150.0])
def test_ridge_of_the_turn_over_a_width(which, over):
    tuck = tuck_line(wineglass(), which, over=over, forward=3000.0)
    off, turn = [], []
    for x in (3300.0, 5177.0, 7700.0):
        at = tuck.curve.crossings(lambda uv, p, x=x: p[:, 0] - x)
        section = Section(x)
        w, mean = section.peak_over(which, over)
        off.append(np.linalg.norm(tuck.curve.points(at)[0] - section.point(x, w)))
        turn.append(np.interp(x, tuck.station, tuck.turn) / mean - 1.0)
    print(f"{which} over {over:g} mm: off by {max(off):.1e} mm, turn by {np.abs(turn).max():.1e} of itself")
    assert max(off) < 1e-3 and np.abs(turn).max() < 1e-3


def test_orientation_changes_nothing():
    plain = tuck_line(demo(), "round")
    for k, (label, turn, _) in enumerate(hulls.orientations()):
        if k not in (21, 38):
            continue
        turned = planked_surface(turn(hulls.demo()), SurfaceSettings(half_siding=60.0, name=label))
        other = tuck_line(turned, "round")
        s = np.linspace(0.0, 1.0, 41)
        gap = other.curve.points([0.0])[0, 0] - plain.curve.points([0.0])[0, 0]
        away = np.linalg.norm(other.curve.points(s * other.curve.length) - plain.curve.points(s * plain.curve.length)
                              - [gap, 0.0, 0.0], axis=1)
        print(f"{label}: length {other.curve.length - plain.curve.length:+.1e}, off {away.max():.1e} mm, shift {gap:.3f}")
        assert away.max() < 1e-3


# --- other hulls -----------------------------------------------------------------------------------
def test_demonstration_hull_round_turn_over_a_planks_width():
    tuck = tuck_line(demo(), "round")
    c = tuck.curve.sample(200)
    print(*tuck.notes, sep="\n")
    print(f"stated {tuck.error_position:.1e} mm, rough {tuck.rough}, radius {tuck.radius.min():.0f} to {tuck.radius.max():.0f}")
    assert np.all(np.diff(c.p[:, 0]) > 0.0) and tuck.curve.length > 2000.0
    assert tuck.error_position < 1e-3 and not tuck.rough
    assert "Another round turn" in tuck.notes[1]


def test_curvature_at_a_point_runs_along_a_knot_line_of_a_cubic_surface():
    tuck = tuck_line(demo(), "round", over=0.0)
    v = tuck.curve.nodes[..., 1]
    print(f"v from {v.min():.12f} to {v.max():.12f}, a knot lies at {1 / 7:.12f}")
    assert np.abs(v - 1.0 / 7.0).max() < 1e-9


def test_hollow_that_is_hardest_at_the_rabbet_is_told():
    """The demonstration hull's hollow grows right down into the deadwood."""
    tuck = tuck_line(demo(), "hollow")
    print(*tuck.notes, sep="\n")
    assert tuck.curve is None and "grows to the section's end" in " ".join(tuck.notes)
    assert crossing_angles(demo(), tuck, [("sheer", demo().sheer)]) == ()


def test_hull_that_is_pinched_aft_has_a_hollow_tuck():
    pinched = planked_surface(hulls.lofted(hollow=0.35, keel_half=60.0, k=17), SurfaceSettings(half_siding=60.0, name="pinched"))
    tuck = tuck_line(pinched)
    print(*tuck.notes, sep="\n")
    c = tuck.curve.sample(50)
    print(f"v from {c.uv[:, 1].min():.3f} to {c.uv[:, 1].max():.3f}, radius {tuck.radius.min():.0f} to {tuck.radius.max():.0f} mm")
    # the formula pinches at 0.72 of the depth parameter
    assert np.all(np.abs(c.uv[:, 1] - 0.72) < 0.1)
    assert np.all(tuck.turn < 0.0)


def test_circular_sections_have_no_hardest_turn():
    arcs = planked_surface(hulls.arc_hull(), SurfaceSettings(name="arcs"))
    round_, hollow = tuck_line(arcs, "round", over=0.0), tuck_line(arcs, "hollow", over=0.0)
    wide = tuck_line(arcs, "round")
    print(*round_.notes, *wide.notes, *hollow.notes, sep="\n")
    assert round_.curve is None and any("too even" in n for n in round_.notes)
    assert wide.curve is None and any("too even" in n for n in wide.notes)
    assert hollow.curve is None and "no line of hardest hollow" in hollow.notes[0]


# --- crossings ---------------------------------------------------------------------------------------
@pytest.mark.parametrize("degrees", [3.0, 30.0, 85.0])
def test_crossing_at_a_given_angle(degrees):
    """A geodesic sent off from a place on the tuck at an angle, both ways, crosses it at that angle."""
    hull = wineglass()
    tuck = tuck_line(hull, "hollow", forward=2500.0)
    s = 0.45 * tuck.curve.length
    c = tuck.curve.at([s])
    a = np.radians(degrees)
    t = np.cos(a) * c.t + np.sin(a) * c.b
    ahead = march(hull.patch, c.uv, t, [180.0]).uv[0, 0]
    back = march(hull.patch, c.uv, -t, [180.0]).uv[0, 0]
    line = geodesic_between(hull.patch, back, ahead, elements=4)
    found = crossing_angles(hull, tuck, [("line", line), ("seam", SimpleNamespace(parts=(SimpleNamespace(curve=line),)))])
    print([(f.name, np.degrees(f.angle), f.s_tuck - s, f.s_line) for f in found])
    assert [f.name for f in found] == ["line", "seam"]
    for f in found:
        assert abs(f.angle - a) < 1e-8 and abs(f.s_tuck - s) < 1e-5 and abs(f.s_line - 180.0) < 1e-5
        assert np.linalg.norm(f.point - hull.frame.points_to_model(c.p[0])) < 1e-5


def test_strake_lines_that_cross_and_that_do_not():
    hull = demo()
    tuck = tuck_line(hull, "round")
    steep = drawn_line(hull, [DrawnPiece.polyline([(-500, 0, 700.0), (8000, 0, 380), (12000, 0, 1300)])], "profile")
    found = crossing_angles(hull, tuck, [("steep", steep), ("sheer", hull.sheer), ("itself", tuck)])
    print([(f.name, round(np.degrees(f.angle), 3), round(f.station), np.round(f.point)) for f in found])
    assert [f.name for f in found] == ["steep"]
    f = found[0]
    # the two tangents once more, by chords of a hundredth of a millimetre
    chords = [c.points([s + 0.005])[0] - c.points([s - 0.005])[0] for c, s in ((tuck.curve, f.s_tuck), (steep.curve, f.s_line))]
    true = np.arccos(chords[0] @ chords[1] / np.linalg.norm(chords[0]) / np.linalg.norm(chords[1]))
    print(f"angle {np.degrees(f.angle):.6f}, by chords {np.degrees(true):.6f} degrees")
    assert abs(f.angle - true) < 1e-6
    distance, _, _ = distances_square_to(steep.curve, tuck.curve, np.array([f.s_line]))
    assert abs(distance[0]) < 1e-6


@pytest.mark.parametrize("arguments, says", [
    ({"which": "flat"}, "no turn"),
    ({"over": -1.0}, "over -1"),
    ({"forward": 9000.0, "aft": 7000.0}, "between"),
    ({"forward": -5000.0}, "between"),
    ({"aft": float("nan")}, "between"),
])  # fmt: skip
def test_requests_that_make_no_sense(arguments, says):
    with pytest.raises(PlanError) as caught:
        tuck_line(demo(), **arguments)
    print(caught.value)
    assert says in str(caught.value) and caught.value.remedy
