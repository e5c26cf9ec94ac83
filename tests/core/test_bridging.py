# SPDX-License-Identifier: LGPL-2.1-or-later
"""A stretched string over hollows: closed forms, conditions of contact, independent minimum.

Sources beside each check. The conditions are those of a string on an obstacle: gap >= 0,
force >= 0, gap x force = 0, no corner at lift-off.
"""

from functools import lru_cache

import hulls
import numpy as np
import pytest
import surfaces
from scipy.optimize import brentq, minimize

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.bridging import bridge_on_patch, bridging_line
from strakeplan.core.lines.closest import closest_on_patch
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.taut import taut_line
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface

EXACT = 1e-6  # mm, against closed forms


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


# --- hulls ------------------------------------------------------------------------------------
@lru_cache(maxsize=None)
def hollow_hull(places=(), mirror=False):
    """The demonstration hull pinched at places (x, share, half width)."""
    p = hulls.demo()
    p = p.with_knots(u=0.5 * (p.breaks_u[1:] + p.breaks_u[:-1]))
    poles = p.poles.copy()
    for x, share, width in places:
        poles[..., 1] *= 1.0 - share * np.exp(-(((poles[..., 0] - x) / width) ** 2))
    p = SplinePatch(p.degree_u, p.degree_v, p.knots_u, p.knots_v, poles)
    if mirror:
        p = p.transformed(np.diag([1.0, -1.0, 1.0]))
    return planked_surface(p, SurfaceSettings(half_siding=60.0, name="Hollow"))


AFT = ((7600.0, 0.12, 900.0),)
DEEP = ((7600.0, 0.25, 900.0),)
TWO = ((7600.0, 0.1, 500.0), (6200.0, 0.1, 500.0))
STERN = ((9800.0, 0.2, 900.0),)


def marks(hull, bow, stern):
    return [Mark.end("stem", bow * hull.stem_length), Mark.end("stern", stern * hull.stern_length)]


def string(places, bow, stern, mirror=False):
    hull = hollow_hull(places, mirror)
    return hull, bridging_line(hull, marks(hull, bow, stern))


HULLS = {
    "one hollow aft": (AFT, 0.5, 0.65, "laid free laid"),
    "deep hollow aft": (DEEP, 0.7, 0.6, "laid free laid"),
    "two hollows": (TWO, 0.5, 0.65, "laid free laid free laid"),
    "hollow up to the stern": (STERN, 0.7, 0.6, "laid free laid"),
    "hollow entrance": ((), 0.8, 0.2, "free laid"),
}


@pytest.mark.parametrize("name", HULLS)
def test_contact_conditions(name):
    """At every node: gap >= 0, force >= 0, one of them nothing, to 1e-6 of the length; the
    laid runs geodesic; no corner where the string lifts. The gap is measured anew from points
    of the string, the force is -kappa_n of a unit tension."""
    places, bow, stern, kinds = HULLS[name]
    hull, b = string(places, bow, stern)
    assert " ".join(r.kind for r in b.runs) == kinds
    s = np.unique(np.concatenate([np.linspace(0, b.length, 1501), [e for r in b.runs for e in r.s]]))
    p = b.bridge.points(s)
    uv, distance = closest_on_patch(hull.patch, p)
    g = hull.patch.geometry(uv[:, 0], uv[:, 1])
    gap = np.einsum("ij,ij->i", p - g.p, g.n)
    force, geodesic, least = np.zeros(len(s)), np.zeros(len(s)), np.inf
    for run, foot in zip(b.runs, b.bridge.feet):
        rows = (s >= run.s[0]) & (s <= run.s[1])
        if run.kind == "laid":
            c = foot.at(s[rows] - run.s[0])
            force[rows], geodesic[rows] = -c.kappa_n, c.kappa_g
            least = min(least, -c.kappa_n.max())
    corner, last = 0.0, None
    for run, foot in zip(b.runs, b.bridge.feet):
        chord = (run.ends[1] - run.ends[0]) / np.linalg.norm(run.ends[1] - run.ends[0])
        t = foot.at([0.0, foot.length]).t if run.kind == "laid" else (chord, chord)
        corner = corner if last is None else max(corner, np.linalg.norm(t[0] - last))
        last = t[1]
    both = np.minimum(gap / b.length, force * b.length).max()
    print(f"{name}: least gap {gap.min() / b.length:.1e} and greatest {gap.max():.2f} mm, least force "
          f"{least * b.length:.1e}, both {both:.1e}, kappa_g {np.abs(geodesic).max() * b.length:.1e}, "
          f"corner {corner:.1e}")  # fmt: skip
    assert gap.min() / b.length > -1e-6 and np.max(np.abs(distance - np.abs(gap))) < EXACT
    assert least * b.length > -1e-6 and both < 1e-6
    assert np.abs(geodesic).max() * b.length < 1e-3 and corner < 1e-6
    assert abs(gap.max() - b.greatest_gap) < 1e-3 * b.greatest_gap


@pytest.mark.parametrize("name", HULLS)
def test_foot_of_the_string(name):
    """The foot runs from stem to stern under the string, on the line's ends."""
    places, bow, stern, _ = HULLS[name]
    hull, b = string(places, bow, stern)
    foot, s = b.line.curve, np.linspace(0.0, b.length, 801)
    p = b.bridge.points(s)
    uv, _ = closest_on_patch(hull.patch, p)
    under = hull.patch.points(uv[:, 0], uv[:, 1])
    c = foot.sample(1001)
    at = c.s[np.argmin(np.linalg.norm(c.p[None] - under[:, None], axis=2), axis=1)]
    for _ in range(4):
        c = foot.at(at)
        at = at + np.einsum("ij,ij->i", under - c.p, c.t)
    off = np.linalg.norm(under - foot.points(at), axis=1).max()
    ends = hull.boundary.at([b.line.s_bow, b.line.s_stern]).p - foot.at([0.0, foot.length]).p
    jump = np.abs(foot.nodes[1:, 0] - foot.nodes[:-1, -1]).max()
    print(f"{name}: beside the foot {off:.1e}, at the ends {np.abs(ends).max():.1e} mm, jump {jump:.1e}; "
          f"own error {b.line.error_position:.1e} mm")  # fmt: skip
    assert off < 1e-5
    assert np.abs(ends).max() < EXACT and jump < 1e-12
    assert b.line.error_position < 1e-3 and b.error_length < EXACT


def test_what_the_planker_is_told():
    hull, b = string(DEEP, 0.5, 0.65)
    run, laid = b.free_runs[0], b.laid.curve
    x = hull.frame.to_model_station(run.ends[:, 0])
    shorter = laid.length - b.length
    print(f"gap {run.gap:.2f} mm at {run.gap_station:.0f}, off the laid line {b.off_laid:.2f} mm at "
          f"{b.off_laid_station:.0f}, {shorter:.3f} mm shorter; {b.line.notes[-1]}")  # fmt: skip
    assert np.allclose(run.stations, x) and x[0] < run.gap_station < x[1]
    assert shorter > 0.0
    # the foot's greatest distance, against a plain search among points 1 mm apart
    a, c = b.line.curve.sample(401).p, laid.points(np.arange(0.0, laid.length, 1.0))
    far = max(np.linalg.norm(c - q, axis=1).min() for q in a)
    assert abs(far - b.off_laid) < 0.02
    assert f"{run.gap:.1f} mm" in b.line.notes[-1]
    assert np.allclose(b.points([run.s[0]])[0], run.ends[0])


def test_laid_line_itself_where_there_is_no_hollow():
    hull = hollow_hull()
    line = taut_line(hull, marks(hull, 0.5, 0.65), look_for_others=False)
    b = bridging_line(hull, line)
    print(f"greatest kappa_n {line.curve.sample(1000).kappa_n.max():.1e} per mm")
    assert b.line is line and not b.free_runs and b.off_laid == 0.0 and b.greatest_gap == 0.0
    assert b.length == line.curve.length and [r.kind for r in b.runs] == ["laid"]


# --- independent minimum ----------------------------------------------------------------------
def plain_minimum(patch, uv0, n):
    """Nodes (n + 1) of a chain S(u, v) + h n with h >= 0 whose energy scipy's L-BFGS-B makes
    least, from nodes laid on the patch: it knows nothing of lift-off places."""
    scale = np.array([*np.linalg.norm(np.stack(patch.jets(*uv0.T, 1)[1:3]), axis=2).mean(axis=1), 1.0])

    def place(q):
        g = patch.geometry(q[:, 0], q[:, 1])
        return g.p + q[:, 2:] * g.n

    def whole(x):
        return np.vstack([[*uv0[0], 0.0], x.reshape(-1, 3) / scale, [*uv0[-1], 0.0]])

    def energy(x):
        q = whole(x)
        p = place(q)
        pull = 2.0 * p[1:-1] - p[:-2] - p[2:]
        slope = np.empty((n - 1, 3))
        for k in range(3):
            step = np.zeros(3)
            step[k] = 1e-2 / scale[k]
            d = (place(q[1:-1] + step) - place(q[1:-1] - step)) / 2e-2
            slope[:, k] = np.einsum("ij,ij->i", pull, d)
        return 0.5 * np.sum(np.diff(p, axis=0) ** 2) / 1e3, slope.ravel() / 1e3

    start = np.hstack([uv0[1:-1] * scale[:2], np.zeros((n - 1, 1))]).ravel()
    bounds = [(None, None), (None, None), (0.0, None)] * (n - 1)
    options = {"maxiter": 4000, "maxfun": 6000, "maxcor": 40, "ftol": 1e-15, "gtol": 1e-7}
    found = minimize(energy, start, jac=True, method="L-BFGS-B", bounds=bounds, options=options)
    q = whole(found.x)
    return place(q), q[:, 2]


@pytest.mark.parametrize("name", ["deep hollow aft", "hollow entrance"])
def test_against_a_plain_minimisation(name):
    """The chain of `plain_minimum` lies on the string, nearer with the square of its spacing."""
    places, bow, stern, _ = HULLS[name]
    hull, b = string(places, bow, stern)
    mine = b.bridge.points(np.linspace(0.0, b.length, 20001))
    off, short = [], []
    for n in (24, 48):
        p, h = plain_minimum(hull.patch, b.laid.curve.sample(n + 1).uv, n)
        near = mine[[int(np.argmin(np.linalg.norm(mine - x, axis=1))) for x in p]]
        off.append(np.linalg.norm(p - near, axis=1).max())
        short.append(b.length - np.linalg.norm(np.diff(p, axis=0), axis=1).sum())
    lifted = p[h > 1e-3 * h.max(), 0]
    best = (4.0 * short[1] - short[0]) / 3.0
    print(f"{name}: nodes off the string {off[0]:.2f}, {off[1]:.2f} mm; chain shorter by {short[0]:.3f}, "
          f"{short[1]:.3f}, extrapolated {best:.4f} mm (laid {b.laid.curve.length - b.length:.3f} mm longer); "
          f"lifted {lifted.min():.0f} to {lifted.max():.0f}, gap {h.max():.2f} mm")  # fmt: skip
    assert off[1] < 1.0 and off[1] < 0.4 * off[0]
    # chords are shorter than their arcs by kappa^2 spacing^2 / 24 of the length
    assert 0.0 < short[1] < 0.4 * short[0] and abs(best) < 0.02
    spacing = b.length / n
    assert np.abs(lifted.min() - b.free_runs[0].ends[0, 0]) < 2.0 * spacing
    assert np.abs(lifted.max() - b.free_runs[0].ends[1, 0]) < 2.0 * spacing


# --- invariances ------------------------------------------------------------------------------
def figures(b):
    return np.array([b.length, *(x for r in b.runs for x in (*r.s, r.gap))])


def test_swapped_ends_and_other_parameters():
    hull, b = string(TWO, 0.5, 0.65)
    uv = b.line.curve.nodes[0, 0], b.line.curve.nodes[-1, -1]
    there = figures(b.bridge)
    back = bridge_on_patch(hull.patch, uv[1], uv[0])
    back = np.array([back.length, *(x for r in back.runs[::-1] for x in (back.length - r.s[1], back.length - r.s[0], r.gap))])
    turned = bridge_on_patch(hull.patch.swapped(), uv[0][::-1], uv[1][::-1], outward=-1)
    m = hulls.rotation(3)
    moved = bridge_on_patch(hull.patch.transformed(m, (10.0, -20.0, 30.0)), *uv)
    finer = bridge_on_patch(hull.patch.with_knots(u=[0.37], v=[0.41]), *uv)
    off = [np.abs(f - there).max() for f in (back, figures(turned), figures(moved), figures(finer))]
    print("ends swapped %.1e, u and v exchanged %.1e, moved %.1e, a knot more %.1e mm" % tuple(off))
    assert max(off) < 1e-5  # along the string a lift-off is known less well than anything else


def test_mirror_image():
    _, b = string(DEEP, 0.5, 0.65)
    _, m = string(DEEP, 0.5, 0.65, mirror=True)
    off = np.abs(figures(b) - figures(m)).max()
    place = np.abs(b.free_runs[0].gap_place * [1, -1, 1] - m.free_runs[0].gap_place).max()
    print(f"figures {off:.1e}, place of the greatest gap {place:.1e} mm")
    assert off < EXACT and place < 1e-4


# --- requests that cannot be ------------------------------------------------------------------
def test_hollow_deeper_than_its_radius():
    """A fillet of 600 mm whose centre lies under the string: its normals cross below it."""
    c = Cylinders(1000.0, 1000.0, 2600.0, 600.0)
    ends = (1000.0, *on_first(1000.0, 2.8)), (1500.0, 2600.0 + 1000.0 * np.cos(0.3), 1000.0 * np.sin(0.3))
    with pytest.raises(PlanError) as error:
        bridge_on_patch(c.patch, *(c.uv(*e) for e in ends), name="Trough")
    print(error.value)
    assert "Trough" in error.value.what and error.value.where.startswith("at (") and error.value.remedy


def test_marks_without_a_line():
    hull = hollow_hull(AFT)
    with pytest.raises(PlanError) as error:
        bridging_line(hull, marks(hull, 0.05, 0.1))
    print(error.value)
    assert "Hollow" in str(error.value) and "X = " in error.value.where
