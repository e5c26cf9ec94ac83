# SPDX-License-Identifier: LGPL-2.1-or-later
"""A stretched string over hollows: closed forms, conditions of contact, independent minimum.

Sources beside each check. The conditions are those of a string on an obstacle: gap >= 0,
force >= 0, gap x force = 0, no corner at lift-off.
"""


import numpy as np
import pytest
import surfaces
from hollows import contact
from scipy.optimize import brentq

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.bridging import bridge_on_patch
from strakeplan.core.lines.closest import closest_on_patch
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.spline.patch import SplinePatch


EXACT = 1e-6  # mm, against closed forms


def in_contact(patch, bridge):
    """At every node gap >= 0, force >= 0 and one of them nothing, to 1e-6 of the length."""
    gap, force, _, corner, _ = contact(patch, bridge)
    size = bridge.length
    both = np.minimum(gap / size, force * size).max()
    print(f"  at {len(gap)} nodes: least gap {gap.min() / size:.1e}, least force {force.min() * size:.1e}, "
          f"both {both:.1e}, corner {corner:.1e}")  # fmt: skip
    assert gap.min() / size > -1e-6 and force.min() * size > -1e-6 and both < 1e-6 and corner < 1e-6


# --- cylinders joined by a hollow fillet ------------------------------------------------------
class Cylinders:
    """Two parallel cylinders along x, the hollow between them a third: exact rational arcs.

    Centres of the first and the second at (y, z) = (0, 0) and (apart, 0); the fillet touches
    both from above.
    """

    length = 8000.0

    def __init__(self, first, second, apart, fillet):
        d1, d2 = first + fillet, second + fillet
        y = (apart**2 + d1**2 - d2**2) / (2.0 * apart)
        z = np.sqrt(d1**2 - y**2)
        a1, a2 = np.arctan2(z, y), np.arctan2(z, y - apart)
        self.middle, self.fillet = np.array([y, z]), fillet
        arcs = [((0.0, 0.0), first, np.pi, a1), ((y, z), fillet, a1 - np.pi, a2 - np.pi),
                ((apart, 0.0), second, a2, 0.0)]  # fmt: skip
        poles, weights, breaks = [], [], [0.0]
        for centre, radius, start, end in arcs:
            cut = np.linspace(start, end, int(np.ceil(abs(end - start) / (np.pi / 2) - 1e-9)) + 1)
            for lo, hi in zip(cut[:-1], cut[1:]):
                c = np.cos(0.5 * (hi - lo))
                at = lambda a, f: np.array(centre) + radius * f * np.array([np.cos(a), np.sin(a)])  # noqa: E731, B023
                if not poles:
                    poles, weights = [at(lo, 1.0)], [1.0]
                poles += [at(0.5 * (lo + hi), 1.0 / c), at(hi, 1.0)]
                weights += [c, 1.0]
                breaks.append(breaks[-1] + radius * abs(hi - lo))
        grid = np.zeros((2, len(poles), 3))
        grid[:, :, 1:] = poles
        grid[1, :, 0] = self.length
        knots = np.concatenate([[0.0], np.repeat(breaks, 2), [breaks[-1]]])
        self.patch = SplinePatch(1, 2, [0, 0, 1, 1], knots, grid, np.tile(weights, (2, 1)))

    def uv(self, x, y, z):
        """Parameters of a point of the surface."""
        uv, distance = closest_on_patch(self.patch, [[x, y, z]])
        assert distance[0] < 1e-9
        return uv[0]

    def string(self, start, end):
        return bridge_on_patch(self.patch, self.uv(*start), self.uv(*end))


def on_first(radius, angle):
    return radius * np.cos(angle), radius * np.sin(angle)


@pytest.mark.parametrize("x_end", [1000.0, 2600.0, 6500.0])
@pytest.mark.parametrize("radii", [(1000.0, 1000.0), (1200.0, 700.0), (500.0, 1500.0)])
def test_over_two_cylinders(radii, x_end):
    """Square to the axes the straight middle is D for equal radii, else sqrt(D^2 - (R1 - R2)^2)
    (plane geometry of the outer tangent of two circles); oblique: the taut section unrolls, so
    that everything grows by the same share."""
    first, second = radii
    apart, start_angle, end_angle = 2600.0, np.radians(165.0), np.radians(15.0)
    c = Cylinders(first, second, apart, 900.0)
    b = c.string(
        (1000.0, *on_first(first, start_angle)),
        (x_end, apart + second * np.cos(end_angle), second * np.sin(end_angle)),
    )  # fmt: skip
    straight = np.sqrt(apart**2 - (first - second) ** 2)
    touch = np.arccos((first - second) / apart)  # angle of both points of contact from +y
    section = first * (start_angle - touch) + straight + second * (touch - end_angle)
    slope = np.hypot(section, x_end - 1000.0) / section
    free = b.free_runs[0]
    off_length = b.length - slope * section
    off_straight = free.s[1] - free.s[0] - slope * straight
    lift = (1000.0 + (x_end - 1000.0) * first * (start_angle - touch) / section, *on_first(first, touch))
    off_lift = np.linalg.norm(free.ends[0] - lift)
    # greatest gap: from the fillet's centre to the tangent line, off its radius
    n = np.array([np.cos(touch), np.sin(touch)])
    off_gap = free.gap - (c.fillet - (c.middle @ n - first))
    print(f"R {first:.0f}/{second:.0f} to x {x_end:.0f}: length {off_length:.1e}, straight "
          f"{off_straight:.1e}, lift-off {off_lift:.1e}, gap {off_gap:.1e} mm")  # fmt: skip
    assert [r.kind for r in b.runs] == ["laid", "free", "laid"]
    assert max(abs(off_length), abs(off_straight), off_lift, abs(off_gap)) < EXACT
    in_contact(c.patch, b)


def test_straight_from_a_mark_in_the_hollow():
    """From a mark at the bottom of the hollow: tangent from a point to a circle,
    sqrt(d^2 - R^2), d the distance from its centre."""
    c = Cylinders(1000.0, 1000.0, 2600.0, 900.0)
    low = c.middle - [0.0, c.fillet]
    end = np.radians(15.0)
    b = c.string((2000.0, *low), (2000.0, 2600.0 + 1000.0 * np.cos(end), 1000.0 * np.sin(end)))
    d = low - [2600.0, 0.0]
    tangent = np.sqrt(d @ d - 1000.0**2)
    at = np.arctan2(d[1], d[0]) - np.arccos(1000.0 / np.sqrt(d @ d))
    off = b.runs[0].s[1] - tangent, b.length - tangent - 1000.0 * (at - end)
    print(f"tangent {off[0]:.1e}, whole string {off[1]:.1e} mm")
    assert [r.kind for r in b.runs] == ["free", "laid"]
    assert max(np.abs(off)) < EXACT


def ruled(section):
    """Quadratic section through control points (y, z), drawn out along x."""
    section = np.array(section, float)
    way = np.linalg.norm(np.diff(section, axis=0), axis=1)
    breaks = np.concatenate([[0.0], np.cumsum(way[::2] + way[1::2])])
    grid = np.zeros((2, len(section), 3))
    grid[:, :, 1:] = section
    grid[1, :, 0] = 4000.0
    knots = np.concatenate([[0.0], np.repeat(breaks, 2), [breaks[-1]]])
    return SplinePatch(1, 2, [0, 0, 1, 1], knots, grid)


@pytest.mark.parametrize("aft", [0.0, 0.1])
def test_dip_in_a_flat(aft):
    """On the flat before and behind the dip it does not matter where the string is said to
    lift: it runs as over the same flat without a dip, 120 mm above its bottom."""
    start, end = [(-1000, -1000), (-1000, 0), (0, 0)], [(2000, 0), (3000, 0), (3000, -1000)]
    dip = [(250, 0), (500, 0), (700, 0), (800, -60), (900, -120), (1000, -120), (1100, -120), (1200, -60),
           (1300, 0), (1500, 0), (1750, 0)]  # fmt: skip
    strings = []
    for section in (start + dip + end, start + [(1000, 0)] + end):
        patch = ruled(section)
        up = int(np.sign(patch.geometry([0.5], [patch.breaks_v[1]]).n[0, 2]))
        ends = np.array([0.3, 300.0]), np.array([0.3 + aft, patch.v_range[1] - 200.0])
        strings.append(bridge_on_patch(patch, *ends, outward=up))
    dipped, flat = strings
    off = dipped.length - flat.length, dipped.free_runs[0].gap - 120.0
    print("length less the flat's %.1e, gap less the depth %.1e mm" % off)
    assert [r.kind for r in dipped.runs] == ["laid", "free", "laid"] and not flat.free_runs
    assert max(np.abs(off)) < EXACT


def test_no_hollow_no_free_run():
    c = Cylinders(1000.0, 1000.0, 2600.0, 900.0)
    ends = c.uv(500.0, *on_first(1000.0, 3.0)), c.uv(3000.0, *on_first(1000.0, 1.6))
    b = bridge_on_patch(c.patch, *ends)
    laid = geodesic_between(c.patch, *ends)
    print(f"length less the geodesic's {b.length - laid.length:.1e} mm")
    assert [r.kind for r in b.runs] == ["laid"] and not b.free_runs
    assert abs(b.length - laid.length) < EXACT


def test_the_inside_of_a_cylinder_is_all_hollow():
    """On its hollow side a string square to the axis is a chord, 2 R sin(angle / 2)."""
    known = surfaces.cylinder(radius=1500.0)
    ends = [np.array(known.uv(np.array(4000.0), np.array(q))) for q in (0.9, 2.1)]
    n = known.patch.geometry(ends[0][:1], ends[0][1:]).n[0]
    inside = -1 if n[1:] @ [np.cos(0.9), np.sin(0.9)] > 0 else 1
    b = bridge_on_patch(known.patch, *ends, outward=inside)
    off = b.length - 3000.0 * np.sin(0.6), b.runs[0].gap - 1500.0 * (1.0 - np.cos(0.6))
    over = bridge_on_patch(known.patch, *ends, outward=-inside)
    off += (over.length - 1500.0 * 1.2,)
    print("chord %.1e, gap %.1e, over the outside %.1e mm" % off)
    assert [r.kind for r in b.runs] == ["free"] and [r.kind for r in over.runs] == ["laid"]
    assert max(np.abs(off)) < EXACT


# --- torus ------------------------------------------------------------------------------------
BIG, SMALL = 4000.0, 1500.0


def torus():
    """Inner side; its knot line lies off the inner equator q = pi."""
    return surfaces.torus(BIG, SMALL, u_lo=-1.5, u_hi=1.5, v_lo=np.radians(85), v_hi=np.radians(265))


def test_chord_along_the_inner_equator():
    """A circle of radius R - r: chord 2 (R - r) sin a, gap (R - r)(1 - cos a)."""
    known = torus()
    ends = [np.array(known.uv(np.array(p), np.array(np.pi))) for p in (-0.8, 0.8)]
    b = bridge_on_patch(known.patch, *ends)
    off = b.length - 2 * (BIG - SMALL) * np.sin(0.8), b.runs[0].gap - (BIG - SMALL) * (1 - np.cos(0.8))
    print("chord %.1e, gap %.1e mm" % off)
    assert max(np.abs(off)) < EXACT


@pytest.mark.parametrize("p0,q0", [(-1.0, np.pi - 1.3), (-1.2, np.pi - 1.4), (-0.8, np.pi - 1.3), (-1.25, np.pi - 1.2)])
def test_across_the_inner_equator(p0, q0):
    """Ends point-symmetric about (p, q) = (0, pi). Lifting off at (p, q), the chord to
    (-p, 2 pi - q) is tangent where sin^2 p = -r sin^2 q / (rho cos q), rho = R + r cos q; the
    laid part has Clairaut's constant rho (chord . parallel), and its sweep of p is a quadrature
    (do Carmo, section 4-4): one equation in q."""
    nodes, weights = np.polynomial.legendre.leggauss(200)

    def lift(q):
        rho = BIG + SMALL * np.cos(q)
        p = -np.arcsin(np.sqrt(-SMALL * np.sin(q) ** 2 / (rho * np.cos(q))))
        half = np.array([0.0, -rho * np.sin(p), -SMALL * np.sin(q)])
        c = rho * (half[1] * np.cos(p)) / np.linalg.norm(half)
        x = q0 + (q - q0) * 0.5 * (nodes + 1.0)
        r = BIG + SMALL * np.cos(x)
        root = np.sqrt(r * r - c * c)
        w = 0.5 * (q - q0) * weights * SMALL
        return p, w @ (c / (r * root)), w @ (r / root), 2.0 * np.linalg.norm(half)

    def miss(q):
        p, swept, _, _ = lift(q)
        return p - swept - p0

    qs = np.linspace(q0, np.pi - 1e-9, 2001)
    qs = qs[np.cos(qs) * (BIG + SMALL * np.cos(qs)) < -SMALL * np.sin(qs) ** 2]
    f = np.array([miss(q) for q in qs])
    k = np.flatnonzero((f[:-1] < 0) != (f[1:] < 0))
    assert len(k) == 1
    q = brentq(miss, qs[k[0]], qs[k[0] + 1], xtol=1e-15)
    p, _, laid, chord = lift(q)
    known = torus()
    ends = [np.array(known.uv(np.array(a), np.array(b))) for a, b in ((p0, q0), (-p0, 2 * np.pi - q0))]
    b = bridge_on_patch(known.patch, *ends)
    assert [r.kind for r in b.runs] == ["laid", "free", "laid"]
    off = np.linalg.norm(b.free_runs[0].ends[0] - known.exact(p, q)), b.length - 2 * laid - chord
    print("laid %.1f, free %.1f mm; lift-off %.1e, length %.1e mm" % (laid, chord, *off))
    assert max(np.abs(off)) < EXACT
    in_contact(known.patch, b)


# --- requests that cannot be ------------------------------------------------------------------
def test_hollow_deeper_than_its_radius():
    """A fillet of 600 mm whose centre lies under the string: its normals cross below it."""
    c = Cylinders(1000.0, 1000.0, 2600.0, 600.0)
    ends = (1000.0, *on_first(1000.0, 2.8)), (1500.0, 2600.0 + 1000.0 * np.cos(0.3), 1000.0 * np.sin(0.3))
    with pytest.raises(PlanError) as error:
        bridge_on_patch(c.patch, *(c.uv(*e) for e in ends), name="Trough")
    print(error.value)
    assert "Trough" in error.value.what and error.value.where.startswith("at (") and error.value.remedy
