# SPDX-License-Identifier: LGPL-2.1-or-later
"""Bevels: closed form on a circular cylinder, and from the plank's own faces on a real hull."""

from types import SimpleNamespace

import demoplan
import numpy as np
import pytest
import surfaces

from strakeplan.core.curve import curve_through
from strakeplan.core.frame import ShipFrame
from strakeplan.core.lineoff.lineoff import LineOff, Strake
from strakeplan.core.lineoff.outline import LowerPiece, PlankOutline
from strakeplan.core.lineoff.seams import Seam, SeamPart
from strakeplan.core.planks.measure import measure_planks
from strakeplan.core.stations import Station, stations_spaced
from strakeplan.core.tables.bevels import bevel_table

RADIUS = 1200.0


def cylinder_plan(width):
    """One strake of a round hull, seams along its length, `width` mm round the outside.

    The cylinder lies along x with its middle at y = z = 0; q is the angle below the horizontal,
    so that the normal points outboard.
    """
    known = surfaces.cylinder(RADIUS, 4000.0, lo=-1.2, hi=0.2, pieces=1)
    patch = known.patch.transformed(np.diag([1.0, 1.0, 1.0]))
    if patch.geometry(*known.uv(np.array([2000.0]), np.array([-0.5]))).n[0, 1] < 0.0:
        patch = patch.reversed_u()
    angles = -0.4, -0.4 - width / RADIUS

    def seam(number, q):
        v = known.uv(np.array([0.0]), np.array([q]))[1][0]
        lo, hi = patch.u_range
        return Seam(number, "seam", (SeamPart(_along(patch, lo, hi, v), 0.0, 0.0),))

    upper, lower = seam(0, angles[0]), seam(1, angles[1])
    outline = PlankOutline(upper.parts[0], (LowerPiece("seam", lower.parts[0].curve, lower.parts[0].curve),), None, None)
    frame = ShipFrame((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    hull = SimpleNamespace(patch=patch, frame=frame, name="cylinder")
    strake = Strake(1, "parallel", upper, lower, (outline,))
    return LineOff(hull, (), (upper, lower), (strake,), None, None, None, ())


def _along(patch, lo, hi, v):
    curve = curve_through(patch, lambda u: np.stack([u, np.full(len(u), v)], axis=1), [lo, hi])
    return curve if curve.points([0.0])[0, 0] < curve.points([curve.length])[0, 0] else curve.reversed()


STATIONS = (Station("1", 1000.0), Station("2", 2500.0))


@pytest.mark.parametrize("width", [60.0, 130.0, 240.0])
@pytest.mark.parametrize("thickness", [0.0, 32.0])
def test_bevel_on_a_cylinder(width, thickness):
    """asin(chord / 2R), with chord and R those of the plank's inner face (closed form).

    Planks outside the cylinder have their inner face on it; inside, their inner face lies on
    the circle of radius R - t. On the outside of a round bilge edges stand: positive.
    """
    plan = cylinder_plan(width)
    rows = bevel_table(plan, STATIONS, -thickness)
    inner = RADIUS - thickness
    chord = 2.0 * inner * np.sin(0.5 * width / RADIUS)
    want = np.degrees(np.arcsin(0.5 * chord / inner))
    got = np.array([row.bevels for row in rows], float)
    print(f"strake of {width:.0f} mm, {thickness:.0f} mm inside R {RADIUS:.0f}: {got.ravel()[0]:.6f}, "
          f"closed form {want:.6f} degrees")  # fmt: skip
    assert [row.edge for row in rows] == ["upper", "lower"]
    assert np.abs(got - want).max() < 1e-9


def test_hollow_sections_have_under_bevels():
    """The same cylinder planked from its other side: hollow, so inner face and edge are acute."""
    plan = cylinder_plan(130.0)
    patch = plan.hull.patch.reversed_u()  # su x sv now points to the cylinder's axis
    assert patch.geometry([0.5], [0.5]).n[0] @ plan.hull.patch.geometry([0.5], [0.5]).n[0] < 0.0
    seams = []
    for seam in plan.seams:
        uv = seam.parts[0].curve.nodes.copy()
        uv[..., 0] = sum(patch.u_range) - uv[..., 0]
        curve = type(seam.parts[0].curve)(patch, uv)
        seams.append(Seam(seam.number, seam.name, (SeamPart(curve, 0.0, 0.0),)))
    outline = PlankOutline(seams[0].parts[0], (LowerPiece("seam", seams[1].parts[0].curve, seams[1].parts[0].curve),), None, None)
    strake = Strake(1, "parallel", seams[0], seams[1], (outline,))
    hollow = LineOff(plan.hull, (), tuple(seams), (strake,), None, None, None, ())
    got = np.array([row.bevels for row in bevel_table(hollow, STATIONS)], float)
    want = -np.degrees(0.5 * 130.0 / RADIUS)
    print(f"hollow: {got.ravel()[0]:.6f}, closed form {want:.6f} degrees")
    assert np.abs(got - want).max() < 1e-9


# --- on the demonstration hull -----------------------------------------------------------------
@pytest.mark.parametrize("layer", ["outside", "inside"])
def test_bevels_against_the_planks_own_faces(layer):
    """Angle between the chord of the inner face and the edge face, measured on the shapes.

    The table's stations are those of the moulded surface; the planes here are laid through the
    same places, so layers inside are compared where the moulded seam crosses the station.
    """
    plan = demoplan.demo_plan()
    hull = plan.hull
    stations = stations_spaced(hull, 1500.0)
    offset = 0.0 if layer == "outside" else -32.0
    table = {(r.strake, r.edge): r.bevels for r in bevel_table(plan, stations, offset)}
    shapes = {s.strake: s for s in demoplan.demo_shapes(32.0, layer)}
    worst, count, signs = 0.0, 0, set()
    for number in (1, 8, 14, 18, 21, 23):
        roles = {face.role: face.patch for face in shapes[number].faces}
        assert len(shapes[number].faces) == 6
        for k, station in enumerate(stations):
            for edge, other in (("upper", "lower"), ("lower", "upper")):
                told = table[number, edge][k]
                if told is None:
                    continue
                own, far = roles[edge + " edge"], roles[other + " edge"]
                # moulded row: inner edge for planks outside, outer edge for planks inside
                inner = 0.0 if edge == "upper" else 1.0
                mould = inner if layer == "outside" else 1.0 - inner
                u = _u_at(own, mould, station.x)
                jet = own.jets([u], [mould], 1)
                t = jet.su[0] / np.linalg.norm(jet.su[0])
                a, b = own.points([u, u], [inner, 1.0 - inner])
                q = _square_to(far, 1.0 - mould, jet.p[0], t)
                c = far.points([q], [1.0 - inner])[0]
                chord, line = c - a, b - a
                chord = chord - (chord @ t) * t
                chord, line = chord / np.linalg.norm(chord), line / np.linalg.norm(line)
                bevel = np.degrees(np.arccos(chord @ line)) - 90.0
                worst = max(worst, abs(bevel - told))
                signs.add(np.sign(told))
                count += 1
    print(f"{layer}: {count} bevels, standing and under; apart {worst:.1e} degrees at most")
    assert count > 60 and worst < 0.01 and signs == {1.0, -1.0}


def _u_at(patch, row, x):
    """u at which a long side of an edge face passes the plane."""
    u = np.linspace(*patch.u_range, 300)
    p = patch.points(u, np.full(len(u), row))[:, 0]
    u = float(np.interp(x, p, u)) if p[-1] > p[0] else float(np.interp(-x, -p, u))
    for _ in range(8):
        jet = patch.jets([u], [row], 1)
        u -= (jet.p[0, 0] - x) / jet.su[0, 0]
    return u


def _square_to(patch, row, p, t):
    """u at which a long side of an edge face passes the plane through p square to t."""
    u = np.linspace(*patch.u_range, 300)
    f = (patch.points(u, np.full(len(u), row)) - p) @ t
    u = float(u[np.argmin(np.abs(f))])
    for _ in range(8):
        jet = patch.jets([u], [row], 1)
        u -= ((jet.p[0] - p) @ t) / (jet.su[0] @ t)
    return u


def test_bevels_of_neighbours_add_up():
    """On a seam both neighbours' edge faces are the same: their two bevels are the turn of the flats."""
    plan = demoplan.demo_plan()
    stations = stations_spaced(plan.hull, 1000.0)
    table = {(r.strake, r.edge): r.bevels for r in bevel_table(plan, stations)}
    worst = 0.0
    for j in range(1, 20):
        lower = np.array(table[j, "lower"], float)
        upper = np.array(table[j + 1, "upper"], float)
        both = np.isfinite(lower) & np.isfinite(upper)
        # equal strakes of nearly equal width on a fair hull: nearly equal bevels
        worst = max(worst, np.abs(lower - upper)[both].max())
    print(f"bevels on either side of a seam differ by {worst:.2f} degrees at most")
    assert 0.0 < worst < 3.0


def test_widths_on_a_cylinder():
    """Width square to the middle line on the surface: R dq (closed form)."""
    plan = cylinder_plan(130.0)
    (m,) = measure_planks(plan, 1000.0)
    print(f"greatest width {m.greatest:.9f} mm (130), edge set {m.edge_set:.1e} mm (0), length {m.length:.6f}")
    assert abs(m.greatest - 130.0) < 1e-6 and m.edge_set < 1e-6 and abs(m.length - 4000.0) < 1e-6
