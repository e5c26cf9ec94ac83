# SPDX-License-Identifier: LGPL-2.1-or-later
"""Half model: girths on a surface at a distance, against closed forms and by an independent route."""

from types import SimpleNamespace

import hulls
import numpy as np
import pytest
import surfaces
from demoplan import demo_hull, demo_plan
from scipy.optimize import brentq

from strakeplan.core.carried import Carried, carried_girths, carried_length
from strakeplan.core.curve import curve_through
from strakeplan.core.errors import PlanError
from strakeplan.core.halfmodel import HalfModel, half_model_marks, read_scale
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.stations import stations_spaced
from strakeplan.core.surface import SurfaceSettings, planked_surface
from strakeplan.core.tables.marks import marks_table


def drawn(known, of, lo, hi):
    """The curve of natural parameters of(t), a pair, from t = lo to hi."""
    return curve_through(known.patch, lambda t: np.stack(known.uv(*of(t)), axis=1), np.linspace(lo, hi, 13))


def outward(known, t):
    """A distance away from the axis, counted along the patch's own normal."""
    p, q = np.array([np.mean(known.p_range)]), np.array([0.7])
    g = known.patch.geometry(*known.uv(p, q))
    return t * np.sign(np.sum(g.n[:, 1:] * g.p[:, 1:]))


def sheered(known, q_sheer, q_keel, q_seams, p_lo, p_hi):
    """A stand-in for a hull on a closed form: sheer, seams and rabbet are lines of constant q."""
    frame = SimpleNamespace(station_label=lambda x: f"X = {x:.0f} mm", place=lambda p: f"at {p}")

    def along(q):
        return drawn(known, lambda p: (p, np.full(len(p), q)), p_lo, p_hi)

    hull = SimpleNamespace(patch=known.patch, sheer=along(q_sheer), boundary=along(q_keel), name="form", frame=frame)
    return hull, [[along(q)] for q in q_seams]


Q0, Q1 = 0.2, 1.5
SEAMS = np.array([0.5, 0.9, 1.3])


@pytest.mark.parametrize("t", [0.0, 25.0, 120.0, -60.0])
def test_cylinder(t):
    """A tape round a cylinder reads (R + t) q."""
    known = surfaces.cylinder(radius=900.0, lo=0.0, hi=1.6)
    hull, seams = sheered(known, Q0, Q1, SEAMS, 500.0, 7500.0)
    girths, error = carried_girths(hull, [1000.0, 3210.0, 7000.0], seams, outward(known, t))
    exact = (900.0 + t) * (np.append(SEAMS, Q1) - Q0)
    worst = np.max(np.abs(girths - exact))
    print(f"t = {t}: off by {worst:.1e} mm, error said {error:.1e}")
    assert worst < 1e-8 and error < 1e-8


@pytest.mark.parametrize("t", [25.0, 120.0, -60.0])
def test_cone(t):
    """At x the carried cone's radius is x tan a + t / cos a."""
    a = np.radians(20.0)
    known = surfaces.cone(half_angle=a, near=2000.0, far=9000.0, lo=0.0, hi=1.6)
    hull, seams = sheered(known, Q0, Q1, SEAMS, 2000.0, 9000.0)
    x = np.array([2500.0, 4321.0, 8000.0])
    girths, error = carried_girths(hull, x, seams, outward(known, t))
    exact = (x * np.tan(a) + t / np.cos(a))[:, None] * (np.append(SEAMS, Q1) - Q0)
    worst = np.max(np.abs(girths - exact))
    print(f"t = {t}: off by {worst:.1e} mm, error said {error:.1e}")
    assert worst < 1e-8 and error < 1e-8


@pytest.mark.parametrize("t", [30.0, -45.0])
def test_sphere(t):
    """At x the carried sphere's section is a circle of radius sqrt((R + t)^2 - x^2); longitudes stay."""
    known = surfaces.sphere(radius=3000.0, b_lo=np.radians(-70.0), b_hi=np.radians(70.0), lo=0.0, hi=1.6)
    hull, seams = sheered(known, Q0, Q1, SEAMS, -1.2, 1.2)
    x = np.array([-2000.0, -345.0, 0.0, 1700.0])
    girths, error = carried_girths(hull, x, seams, outward(known, t))
    exact = np.sqrt((3000.0 + t) ** 2 - x**2)[:, None] * (np.append(SEAMS, Q1) - Q0)
    worst = np.max(np.abs(girths - exact))
    print(f"t = {t}: off by {worst:.1e} mm, error said {error:.1e}")
    assert worst < 1e-7 and error < 1e-7


def test_length_of_a_carried_curve():
    """Along a great circle R + t, along a latitude f (R + t) cos f, along a helix on a cylinder."""
    known = surfaces.sphere(radius=3000.0, b_lo=-1.2, b_hi=1.2, lo=0.0, hi=1.6)
    for p in (0.0, 0.7):
        curve = drawn(known, lambda q, p=p: (np.full(len(q), p), q), 0.1, 1.5)
        got = carried_length(curve, [0.0, curve.length], outward(known, 50.0))
        exact = 3050.0 * np.cos(p) * 1.4
        print(f"latitude {p}: {got[1]:.9f}, exact {exact:.9f}")
        assert got[0] == 0.0 and abs(got[1] - exact) < 1e-6
    known = surfaces.cylinder(radius=900.0, lo=0.0, hi=1.6)
    curve = drawn(known, lambda q: (1000.0 + 2000.0 * q, q), 0.1, 1.5)
    got = carried_length(curve, [curve.length], outward(known, -40.0))[0]
    exact = 1.4 * np.hypot(860.0, 2000.0)
    print(f"helix: {got:.6f}, exact {exact:.6f}")
    assert abs(got - exact) < 1e-5


def test_fold_is_refused():
    """A cylinder of 900 mm has no surface 950 mm inside it."""
    known = surfaces.cylinder(radius=900.0, lo=0.0, hi=1.6)
    hull, seams = sheered(known, Q0, Q1, SEAMS, 500.0, 7500.0)
    with pytest.raises(PlanError) as fault:
        carried_girths(hull, [3000.0], seams, outward(known, -950.0))
    print(fault.value)
    assert "folds" in str(fault.value) and fault.value.where and fault.value.remedy


# --- on a hull --------------------------------------------------------------------------------
def stations():
    return stations_spaced(demo_hull(), 1000.0)


def flat(table):
    return np.array([[np.nan if v is None else v for v in (*r.readings, r.rabbet)] for r in table.rows], float)


def test_no_skin_is_the_moulded_table_at_scale():
    """And the surface at no distance, followed on its own, gives the same girths."""
    plan = demo_plan()
    full = flat(marks_table(plan, stations()))
    got = half_model_marks(plan, stations(), HalfModel(12.0))
    worst = np.nanmax(np.abs(flat(got.table) * 12.0 - full))
    x = plan.hull.frame.to_ship_station(np.array([s.x for s in stations()]))
    curves = [[part.curve for part in seam.parts] for seam in plan.seams[1:]]
    own, error = carried_girths(plan.hull, x, curves, 0.0)
    apart = np.nanmax(np.abs(own - full[1:-1]))
    print(f"scaled table off by {worst:.1e} mm; own sections off by {apart:.1e} mm, error said {error:.1e}")
    assert worst < 1e-9 and np.array_equal(np.isnan(own), np.isnan(full[1:-1])) and apart < 1e-6
    assert [r.position * 12.0 for r in got.table.rows[1:-1]] == pytest.approx([s.x for s in stations()])


def section_by_hand(hull, x0, d, n=4001):
    """(v, girth) of a section of the carried surface: for each v the u is bracketed, chords are added up.

    Richardson's rule on every and every second point.
    """
    patch = hull.patch

    def out(u, v):
        j = patch.jets(np.array([u]), np.array([v]), 1)
        c = np.cross(j.su, j.sv)
        return (j.p + d * c / np.linalg.norm(c, axis=1, keepdims=True))[0]

    v = np.linspace(*hull.patch.v_range, n)
    lo, hi = patch.u_range
    u = np.array([brentq(lambda t: out(t, b)[0] - x0, lo, hi, xtol=1e-14) for b in v])
    p = np.array([out(a, b) for a, b in zip(u, v)])
    fine = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(p, axis=0), axis=1))])
    coarse = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(p[::2], axis=0), axis=1))])
    return v[::2], fine[::2] + (fine[::2] - coarse) / 3.0


@pytest.mark.parametrize("d", [36.0, -24.0])
def test_against_sections_by_hand(d):
    """Girths at two stations against chords of points found one by one."""
    plan = demo_plan()
    hull = plan.hull
    x = hull.frame.to_ship_station(np.array([3000.0, 8000.0]))
    curves = [[part.curve for part in plan.seams[j].parts] for j in (5, 20, 24)]
    got, error = carried_girths(hull, x, curves, d)
    worst = 0.0
    for row, x0 in enumerate(x):
        v, girth = section_by_hand(hull, x0, d, 801)
        for column, parts in enumerate(curves):
            _, at = Carried(hull, d).crossings(parts[0], [x0])
            worst = max(worst, abs(float(np.interp(at[0], v, girth)) - got[row, column]))
    print(f"d = {d}: off by {worst:.2e} mm; error said {error:.1e}")
    # between points 400 to the section, straight interpolation is good to some 1e-3 mm
    assert worst < 5e-3 and error < 1e-5


def test_carried_points_lie_at_the_distance():
    """The carried seam's crossing lies in the station's plane and at the distance from the seam."""
    plan = demo_plan()
    curve = plan.seams[10].parts[0].curve
    x = plan.hull.frame.to_ship_station(np.array([2000.0, 5000.0, 9000.0]))
    k, v = Carried(plan.hull, 36.0).crossings(curve, x)
    for j, b in zip(k, v):
        s = curve.crossings(lambda uv, p, b=b: uv[:, 1] - b)
        c = curve.at(s)
        q = c.p + 36.0 * c.n
        off = np.min(np.abs(q[:, 0] - x[j]))
        print(f"plane at {x[j]:.0f}: off by {off:.1e} mm")
        assert off < 1e-6


def test_skin_on_the_demonstration_hull():
    """1.5 mm of skin at 1:12: all marks further down outside, further up inside, by some tenths of a mm.

    Own arithmetic: a section that turns through an angle a from the sheer to a mark grows by t a; a
    quarter turn and 1.5 mm make 2.36 mm, which no mark here exceeds by much.
    """
    plan = demo_plan()
    out = half_model_marks(plan, stations(), HalfModel(12.0, 1.5, "outside"))
    inside = half_model_marks(plan, stations(), HalfModel(12.0, 1.5, "inside"))
    print(out.notes, inside.notes, out.error)
    a, b = out.allowance[1:-1], inside.allowance[1:-1]
    print(f"outside {np.nanmin(a):.3f} .. {np.nanmax(a):.3f} mm, inside {np.nanmin(b):.3f} .. {np.nanmax(b):.3f} mm")
    assert np.nanmax(np.abs(a)) < 1.5 * np.pi and np.nanmax(np.abs(a)) > 0.5
    mid = np.isfinite(a) & np.isfinite(b)
    # to first order the two are each other's opposite
    assert np.max(np.abs(a[mid] + b[mid])) < 0.2 * np.max(np.abs(a[mid]))
    assert out.error < 1e-6
    rows = flat(out.table)
    for row in rows:
        assert np.all(np.diff(row[np.isfinite(row)]) > 0.0)


def test_marks_turn_with_the_hull():
    """A hull that is mirrored, reversed or turned has the same half model.

    Its seams come out the same to what their fairing is solved to; carrying them out adds nothing to that.
    """
    seen, plain = [], []
    for label, turn, _ in list(hulls.orientations())[::21]:
        hull = planked_surface(turn(hulls.demo()), SurfaceSettings(half_siding=60.0))
        line = taut_between_ends(hull, 900.0, 800.0)
        plan = line_off(hull, [EqualBelt(6, line), ParallelBelt(200.0)])
        some = stations_spaced(hull, 2500.0)
        got = half_model_marks(plan, some, HalfModel(10.0, 2.0))
        seen.append(flat(got.table))
        plain.append(flat(got.bare))
        own, of_seams = (float(np.nanmax(np.abs(t[-1] - t[0]))) for t in (seen, plain))
        print(f"{label}: {own:.1e} mm, the seams themselves {of_seams:.1e} mm")
        assert own <= 1e-8 + 2.0 * of_seams and of_seams < 1e-3


SCALES = [(12, 12.0), ("12", 12.0), ("1:12", 12.0), ("1 / 12", 12.0), ("1 in = 1 ft", 12.0), ("1\" = 1'", 12.0),
          ("3/4 in = 1 ft", 16.0), ("1 cm = 10 cm", 10.0), ("2:25", 12.5)]  # fmt: skip


def test_sections_of_exact_arcs():
    """A hull of quarter circles, joined by knots of full multiplicity: girths grow by t times a quarter turn.

    Only where the hull runs level, amidships: there its normals lie in the sections' planes.
    """
    hull = planked_surface(hulls.arc_hull(), SurfaceSettings())
    x0, _ = hull.greatest_half_breadth
    plain, _ = carried_girths(hull, [x0], [], 0.0)
    out, error = carried_girths(hull, [x0], [], 40.0)
    grown = float(out[0, -1] - plain[0, -1])
    print(f"grown by {grown:.4f} mm, 40 pi / 2 = {20.0 * np.pi:.4f}; error said {error:.1e}")
    assert abs(grown - 20.0 * np.pi) < 0.02 and error < 1e-6


@pytest.mark.parametrize("text, scale", SCALES)
def test_scales(text, scale):
    got = read_scale(text)
    print(text, got)
    assert got == pytest.approx(scale, rel=1e-12)


@pytest.mark.parametrize("text", ["", "twelve", "1:0", "0", "12:1", None, True, "1 in = ", "1 in = 1 ft = 2 ft", -3])
def test_no_scales(text):
    with pytest.raises(PlanError) as fault:
        read_scale(text)
    print(fault.value)
    assert fault.value.remedy


@pytest.mark.parametrize("bad", [dict(scale=0.5), dict(scale=float("nan")), dict(scale=12, skin=-1), dict(scale=12, side="on")])
def test_no_half_models(bad):
    with pytest.raises(PlanError) as fault:
        HalfModel(**bad)
    print(fault.value)
    assert fault.value.remedy
