# SPDX-License-Identifier: LGPL-2.1-or-later
"""Samples of strakes and seams: closed forms on strips, and by other routes on real hulls."""

from types import SimpleNamespace

import demoplan
import numpy as np
import pytest
import surfaces

from strakeplan.core.curve import curve_through
from strakeplan.core.frame import ShipFrame
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.lineoff.lineoff import LineOff, Strake, line_off
from strakeplan.core.lineoff.nibs import Nib
from strakeplan.core.lineoff.outline import LowerPiece, PlankOutline
from strakeplan.core.lineoff.seams import Seam, SeamPart
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.planks.across import square_across
from strakeplan.core.sections import plane_crossings, sections_at
from strakeplan.core.strakes.samples import seam_samples, strake_samples


def strip(known, upper, lower, n=41):
    """Samples of one strake between two curves q -> (p, q') of a known surface's parameters."""
    patch = known.patch

    def seam(number, place):
        curve = curve_through(patch, lambda t: np.stack(known.uv(*place(t)), axis=1), np.linspace(0.0, 1.0, 17))
        return Seam(number, f"seam {number}", (SeamPart(curve, 0.0, 0.0),))

    top, bottom = seam(0, upper), seam(1, lower)
    curve = bottom.parts[0].curve
    outline = PlankOutline(top.parts[0], (LowerPiece("seam", curve, curve),), None, None)
    frame = ShipFrame((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    hull = SimpleNamespace(patch=patch, frame=frame, name=known.name)
    plan = LineOff(hull, (), (top, bottom), (Strake(1, "parallel", top, bottom, (outline,)),), None, None, None, ())
    return strake_samples(plan, n), seam_samples(plan, n)


def close(what, found, wanted, tolerance):
    off = float(np.max(np.abs(found - wanted)))
    print(f"{what}: off by {off:.3g} of {float(np.max(np.abs(wanted))):.6g}")
    assert off < tolerance, what


def test_strip_between_two_latitudes_of_a_sphere():
    """Latitude f: kappa_g = tan f / R, normal curvature 1 / R every way, K = 1 / R^2 (closed forms)."""
    radius, low, high = 3000.0, 0.30, 0.34
    known = surfaces.sphere(radius, b_lo=-0.9, b_hi=0.9, lo=0.2, hi=1.7, pieces=1)
    run = lambda f: lambda t: (np.full(len(t), f), 0.3 + 1.2 * t)  # noqa: E731
    a, seams = strip(known, run(high), run(low))
    f = 0.5 * (low + high)
    side = np.sign(a.bend[0, 0])  # which way the patch's normal points
    close("length", a.s[:, -1], radius * np.cos(f) * 1.2, 0.05)
    close("width", a.width, radius * (high - low), 0.01)
    # the middle of the parameters lies a little off the middle of the latitudes, 3e-5 radians
    close("edgewise", np.abs(a.edgewise), np.tan(f) / radius, 2e-8)
    close("bend", side * a.bend, 1.0 / radius, 1e-12)
    close("across", side * a.across, 1.0 / radius, 1e-12)
    close("gauss", a.gauss, 1.0 / radius**2, 1e-13)
    close("twist", a.twist, 0.0, 1e-12)
    for row, f in enumerate((high, low)):
        close(f"seam {row} edgewise", np.abs(seams.edgewise[row]), np.tan(f) / radius, 1e-9)
        close(f"seam {row} length", seams.s[row, -1], radius * np.cos(f) * 1.2, 1e-4)


def test_slanting_strip_on_a_cylinder():
    """Helices at an angle w to the axis unroll to straight lines: no edge set, bend sin^2 w / R,
    twist sin w cos w / R, across cos^2 w / R (closed forms)."""
    radius, length = 1500.0, 6000.0
    known = surfaces.cylinder(radius, 8000.0, lo=0.5, hi=2.2, pieces=1)
    turn, apart = 0.6, 0.08  # radians along the strip, and between the edges
    w = np.arctan(radius * turn / length)
    run = lambda q0: lambda t: (1000.0 + length * t, q0 + turn * t)  # noqa: E731
    a, _ = strip(known, run(1.0), run(1.0 + apart))
    inside = slice(3, -3)
    # where the lower edge ends, the upper one is cut off square to it: half of that is missing
    close("length", a.s[:, -1], np.hypot(length, radius * turn) - 0.5 * radius * apart * np.sin(w), 0.1)
    close("width", a.width[:, inside], radius * apart * np.cos(w), 1e-3)
    # the parameter is not the angle itself: the middle line is off the helix by 6e-5 radians
    close("edgewise", a.edgewise, 0.0, 5e-9)
    close("bend", np.abs(a.bend), np.sin(w) ** 2 / radius, 3e-8)
    close("twist", np.abs(a.twist), np.sin(w) * np.cos(w) / radius, 6e-8)
    close("across", np.abs(a.across), np.cos(w) ** 2 / radius, 3e-8)
    close("gauss", a.gauss, 0.0, 1e-15)


def test_strip_round_a_cone():
    """The circle at slant r: kappa_g = 1 / r, normal curvature cot(a) / r, none across (closed forms)."""
    half, near = np.radians(20.0), 2000.0
    known = surfaces.cone(half, near, lo=0.2, hi=1.9, pieces=1)
    run = lambda r: lambda t: (np.full(len(t), r), 0.3 + 1.5 * t)  # noqa: E731
    a, _ = strip(known, run(3000.0), run(3120.0))
    r = 3060.0
    close("length", a.s[:, -1], r * np.sin(half) * 1.5, 1e-2)
    close("width", a.width, 120.0, 1e-3)
    close("edgewise", np.abs(a.edgewise), 1.0 / r, 1e-9)
    close("bend", np.abs(a.bend), 1.0 / (r * np.tan(half)), 1e-9)
    close("across", a.across, 0.0, 1e-12)
    close("gauss", a.gauss, 0.0, 1e-15)


PLANS = {"demonstration": demoplan.demo_plan, "cut by the rabbet": demoplan.cut_plan}


@pytest.mark.parametrize("name", PLANS)
def test_curvatures_by_differences_of_points(name):
    """Curvature and torsion from differences of points and normals 2 mm apart or so.

    The middle line of a piecewise polynomial has corners of curvature: medians and a share of
    the greatest are compared.
    """
    plan = PLANS[name]()
    a = strake_samples(plan, 3001, girths=False)
    g = plan.hull.patch.geometry(a.uv[..., 0].ravel(), a.uv[..., 1].ravel())
    n = g.n.reshape(a.point.shape)
    h = a.s[:, 1:2, None]
    k = 20  # places apart: rounding falls with the square
    t = (a.point[:, 2 * k :] - a.point[:, : -2 * k]) / (2 * k * h)
    c = (a.point[:, 2 * k :] - 2.0 * a.point[:, k:-k] + a.point[:, : -2 * k]) / (k * h) ** 2
    dn = (n[:, 2 * k :] - n[:, : -2 * k]) / (2 * k * h)
    n = n[:, k:-k]
    b = np.cross(n, t)
    dot = lambda x, y: np.einsum("mni,mni->mn", x, y)  # noqa: E731
    for what, found, mine in (
        ("edgewise", dot(c, b), a.edgewise), ("bend", -dot(c, n), a.bend), ("twist", -dot(dn, b), a.twist),
    ):  # fmt: skip
        off = np.abs(found - mine[:, k:-k])
        scale = np.abs(mine).max()
        print(f"{name}, {what}: median off by {np.median(off):.2e}, 99 of 100 within {np.quantile(off, 0.99):.2e}, "
              f"worst {off.max():.2e}, greatest value {scale:.2e}")  # fmt: skip
        assert np.median(off) < 1e-3 * scale and np.quantile(off, 0.99) < 0.03 * scale
    chord = np.linalg.norm(np.diff(a.point, axis=1), axis=2)
    print(f"{name}: places are {np.max(np.abs(chord / h[..., 0] - 1.0)):.1e} from equal spacing")
    assert np.max(np.abs(chord / h[..., 0] - 1.0)) < 1e-4


@pytest.mark.parametrize("name", PLANS)
def test_widths_against_another_route(name):
    """Square widths by planes and chains of chords over straight runs of the parameters.

    Where the plane misses an edge the other route has none, and these are passed over.
    """
    plan = PLANS[name]()
    a = strake_samples(plan, 60)
    worst, compared = 0.0, 0
    row = 0
    curves = {}
    for strake in plan.strakes:
        for outline in strake.planks:
            for piece in [p for p in outline.lower if p.kind == "seam"] or outline.lower:
                curves[row] = outline.upper.curve, piece.curve
                row += 1
    assert row == len(a.number)
    for row, edges in curves.items():
        p = a.point[row, 3:-3]
        t = strake_tangents(plan, a, row)[3:-3]
        feet = []
        for edge in edges:
            which, s = square_across([edge], p, t)
            uv = edge.at(s).uv
            uv[which < 0] = np.nan
            feet.append(uv)
        whole = np.isfinite(feet[0] + feet[1]).all(axis=1)
        share = np.linspace(0.0, 1.0, 41)[:, None, None]
        uv = feet[0][whole] + share * (feet[1][whole] - feet[0][whole])
        q = plan.hull.patch.points(uv[..., 0].ravel(), uv[..., 1].ravel()).reshape(*uv.shape[:2], 3)
        for j in range(q.shape[1]):
            worst = max(worst, abs(demoplan.simpson_length(q[:, j]) - a.width[row, 3:-3][whole][j]))
        compared += int(whole.sum())
    print(f"{name}: {compared} widths, off by {worst:.5f} mm")
    assert compared > 900 and worst < 0.05


def strake_tangents(plan, a, row):
    """Unit tangents (n, 3) of a middle line, from its points by differences of the fourth order."""
    p, h = a.point[row], a.s[row, 1]
    t = np.gradient(p, h, axis=0)
    t[0], t[-1] = -1.5 * p[0] + 2.0 * p[1] - 0.5 * p[2], 1.5 * p[-1] - 2.0 * p[-2] + 0.5 * p[-3]
    t[2:-2] = (8.0 * (p[3:-1] - p[1:-3]) - (p[4:] - p[:-4])) / (12.0 * h)
    return t / np.linalg.norm(t, axis=1)[:, None]


@pytest.mark.parametrize("name", PLANS)
def test_girthwise_widths_are_the_tapes(name):
    """Against girths of exact sections between exact crossings of the seams."""
    plan = PLANS[name]()
    a = strake_samples(plan, 40)
    worst, compared = 0.0, 0
    for row in range(0, len(a.number), 3):
        strake = plan.strakes[a.number[row] - 1]
        if strake.lower is None or a.part[row] or len(strake.upper.parts) > 1 or len(strake.lower.parts) > 1:
            continue
        for k in (5, 20, 34):
            if not np.isfinite(a.girth_width[row, k]):
                continue
            x = a.x[row, k : k + 1]
            section = sections_at(plan.hull, x)
            girth = []
            for seam in (strake.upper, strake.lower):
                curve = seam.parts[0].curve
                _, piece, t = plane_crossings(curve, x)
                girth.append(section.girth_at_v([0], curve.uv_local(piece, t)[:1, 1])[0])
            worst = max(worst, abs(girth[1] - girth[0] - a.girth_width[row, k]))
            compared += 1
    print(f"{name}: {compared} girthwise widths, off by {worst:.5f} mm")
    assert compared >= 6 and worst < 0.02


def test_hood_ends():
    plan = demoplan.demo_plan()
    a = strake_samples(plan, 400)
    for row in (0, 5, 12):
        outline = plan.strakes[row].planks[0]
        for found, end, column in ((a.bow_girth[row], outline.fore, 0), (a.stern_girth[row], outline.aft, -1)):
            p = end.points(np.linspace(0.0, end.length, 201))
            assert abs(found - demoplan.simpson_length(p)) < 1e-6
            t = strake_tangents(plan, a, row)[column]
            d = p[-1] - p[0]
            square = np.linalg.norm(d - (d @ t) * t)
            print(f"strake {row + 1}: {found:.3f} mm along the edge, {a.width[row, column]:.3f} square ({square:.3f})")
            assert abs(a.width[row, column] - square) < 0.01
            # and the widths beside it lead up to it
            assert abs(a.width[row, column] - 2.0 * a.width[row, 1 if column == 0 else -2]
                       + a.width[row, 2 if column == 0 else -3]) < 0.05  # fmt: skip


def test_pointed_planks_come_to_nothing():
    plan = demoplan.demo_plan()
    a = strake_samples(plan, 60)
    print(f"garboard: {a.width[-1, 0]:.2g} and {a.width[-1, -1]:.2g} mm at its ends, {a.width[-1].max():.2f} greatest")
    assert a.rule[-1] == "garboard" and max(a.width[-1, 0], a.width[-1, -1]) < 1e-6
    assert a.bow_girth[-1] == a.stern_girth[-1] == 0.0 and np.all(a.width[-1, 1:-1] > 0.0)


def test_a_strake_that_takes_over_another_counts_twice():
    """Before the nib it is as wide as both; its run abaft the nib is its own breadth."""
    hull = demoplan.demo_hull()
    line = taut_between_ends(hull, 0.65 * hull.stem_length, 0.65 * hull.stern_length)
    x = float(hull.frame.to_model_station(hull.x_range[0] + 1800.0))
    plan = line_off(hull, [EqualBelt(14, line), ParallelBelt()], nibs=[Nib(5, "bow", x)])
    a = strake_samples(plan, 80)
    rows = np.flatnonzero(a.number == 4)
    ended = np.flatnonzero(a.number == 5)
    print(f"strake 4: parts {a.part[rows]}, {a.width[rows[0]].max():.1f} then {a.width[rows[1]].max():.1f} mm wide; "
          f"strake 5 begins {a.width[ended[0], 0]:.1f} mm wide, nib {a.bow_girth[ended[0]]:.1f}")  # fmt: skip
    assert list(a.part[rows]) == [1, 2] and len(ended) == 1 and a.part[ended[0]] == 0
    # at the nib the plank's breadth falls by the nib's depth
    fall = a.width[rows[0], -1] - a.width[rows[1], 0]
    assert abs(fall - a.bow_girth[ended[0]]) < 0.05 * a.bow_girth[ended[0]]
    assert a.s[rows[1], -1] > a.s[rows[0], -1] and a.stern_girth[rows[0]] == 0.0 == a.bow_girth[rows[1]]


def test_seam_samples_are_the_seams():
    plan = demoplan.cut_plan()
    a = seam_samples(plan, 50)
    parts = [(seam, k, part) for seam in plan.seams for k, part in enumerate(seam.parts)]
    assert len(a.number) == len(parts)
    worst = [0.0, 0.0, 0.0]
    for row, (seam, k, part) in enumerate(parts):
        c = part.curve.at(a.s[row])
        assert a.number[row] == seam.number and a.part[row] == (k + 1 if len(seam.parts) > 1 else 0)
        worst[0] = max(worst[0], abs(part.curve.length - a.s[row, -1]))
        worst[1] = max(worst[1], float(np.linalg.norm(c.p - a.point[row], axis=1).max()))
        worst[2] = max(worst[2], float(np.quantile(np.abs(c.kappa_g - a.edgewise[row]), 0.9)))
        assert np.abs(c.kappa_n + a.bend[row]).max() < 1e-6
    # pieces that pass a knot line within: no quadrature is exact there
    print(f"{len(parts)} parts: lengths off by {worst[0]:.2e}, places by {worst[1]:.2e} mm, edgewise by {worst[2]:.2e}")
    assert worst[0] < 5e-3 and worst[1] < 5e-3 and worst[2] < 1e-7
