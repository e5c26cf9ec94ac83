# SPDX-License-Identifier: LGPL-2.1-or-later
"""The batten line: against independent solutions of the elastica, by its own equation and by
what must change nothing.

Source of the equation kappa_g'' + kappa_g^3/2 + K kappa_g = 0 and of its end conditions: J. Langer,
D. A. Singer, "The total squared curvature of closed curves", J. Differential Geom. 20 (1984).
The independent solutions integrate it in Cartesian coordinates by scipy's solvers, with no spline
surface in them.
"""

from batten_cases import SPHERE_MARKS, bending_of, crooked_plane, demo_marks, demo_uv, fitted, sphere_batten
import numpy as np
import pytest
from demoplan import demo_hull
from numpy.polynomial import legendre
from scipy.integrate import solve_bvp, solve_ivp
from scipy.optimize import root

from strakeplan.core.curve import SurfaceCurve
from strakeplan.core.lines.batten import batten_line, batten_on_patch
from strakeplan.core.lines.fairness import edgewise_bending
from strakeplan.core.lines.march import direction_uv
from strakeplan.core.spline.lobatto import lobatto

POSITION = 1e-4  # mm, asked for


# --- surfaces and independent solutions -----------------------------------------------------


def independent(marks, radius=None, angles=(None, None)):
    """Free or held batten through points of the plane z = 0 or of a sphere, by shooting.

    Unknowns are the first direction, the curvature at a held end, kappa_g' at the start of every
    stretch and the lengths; DOP853 integrates place and tangent in space, kappa_g and kappa_g',
    with b = n x tangent, n the sphere's normal outward or +z. A coarse solution of the same
    equations by solve_bvp is the first guess.

    Returns
    -------
    lengths (stretches,), function of (stretch, shares) answering points, bending
    """
    marks = np.asarray(marks, float)
    count = len(marks) - 1
    unit = np.linalg.norm(np.diff(marks, axis=0), axis=1).sum()
    marks = marks / unit
    chord = np.linalg.norm(np.diff(marks, axis=0), axis=1)
    inverse = 0.0 if radius is None else (unit / radius) ** 2

    def normal(p):
        return np.array([0.0, 0.0, 1.0]) if radius is None else p / np.linalg.norm(p)

    def rate(y):
        n = np.zeros_like(y[:3])
        n[2] = 1.0
        n = n if radius is None else y[:3] * np.sqrt(inverse)
        b = np.cross(n, y[3:6], axis=0)
        turn = y[6] * b - inverse * y[:3]
        return np.concatenate([y[3:6], turn, y[7:8], (-0.5 * y[6] ** 3 - inverse * y[6])[None]])

    def across(p, towards):
        """Two tangents at p, the first as near as may be to a direction."""
        a = towards - (towards @ normal(p)) * normal(p)
        a = a / np.linalg.norm(a)
        return a, np.cross(normal(p), a)

    frames = [across(p, d) for p, d in zip(marks, [*np.diff(marks, axis=0), marks[-1] - marks[-2]])]

    def ends(first, last):
        out = []
        for held, state, at in ((angles[0], first, marks[0]), (angles[1], last, marks[-1])):
            out.append(state[6] if held is None else state[3:6] @ np.cross(normal(at), held))
        return out

    # first guess
    def conditions(a, b, length):
        out = [*(a[:3] - marks[0]), a[3:6] @ a[3:6] - 1.0, a[3:6] @ normal(marks[0])] + ends(a[:8], b[-8:])
        for k in range(count):
            out += [(b[8 * k : 8 * k + 3] - marks[k + 1]) @ w for w in frames[k + 1]]
            if k < count - 1:
                out += [*(a[8 * k + 8 : 8 * k + 11] - marks[k + 1])]
                out += [*(a[8 * k + 11 : 8 * k + 15] - b[8 * k + 3 : 8 * k + 7])]
        return np.array(out)

    t = np.linspace(0.0, 1.0, 21)
    guess = np.zeros((8 * count, len(t)))
    for k in range(count):
        p = marks[k][:, None] + t * (marks[k + 1] - marks[k])[:, None]
        guess[8 * k : 8 * k + 3] = p if radius is None else radius / unit * p / np.linalg.norm(p, axis=0)
        guess[8 * k + 3 : 8 * k + 6] = frames[k][0][:, None]

    def rates(t, y, length):
        return np.concatenate([length[k] * rate(y[8 * k : 8 * k + 8]) for k in range(count)])

    rough = solve_bvp(rates, conditions, t, guess, chord, tol=1e-4, max_nodes=2000)
    assert rough.success, rough.message

    # shooting
    def run(x, dense=False):
        angle, kappa, rates_at, lengths = x[0], x[1], x[2 : 2 + count], x[2 + count :]
        a, b = frames[0]
        state = np.array([*marks[0], *(np.cos(angle) * a + np.sin(angle) * b), kappa, 0.0])
        runs, miss, first = [], [], None
        for k in range(count):
            state[7] = rates_at[k]
            first = state if first is None else first
            runs.append(solve_ivp(lambda s, y: rate(y), (0.0, lengths[k]), state, "DOP853",
                                  rtol=1e-13, atol=1e-15, dense_output=dense))
            state = runs[-1].y[:, -1].copy()
            miss += [(state[:3] - marks[k + 1]) @ w for w in frames[k + 1]]
        return runs, np.array(miss + ends(first, state))

    y = rough.y
    x0 = np.concatenate([
        [np.arctan2(y[3:6, 0] @ frames[0][1], y[3:6, 0] @ frames[0][0]), y[6, 0]], y[7::8, 0], rough.p])
    found = root(lambda x: run(x)[1], x0, tol=1e-14)
    runs, miss = run(found.x, True)
    assert np.abs(miss).max() * unit < 1e-8, found.message
    lengths = found.x[2 + count :]
    x, w = legendre.leggauss(60)
    bending = sum(
        0.5 * length * w @ r.sol(0.5 * length * (x + 1.0))[6] ** 2 for r, length in zip(runs, lengths))
    return unit * lengths, lambda k, share: unit * runs[k].sol(lengths[k] * share)[:3].T, bending / unit


def against(curve, lengths, at):
    """Greatest distance from the independent solution at equal arc lengths, mm."""
    share = np.linspace(0.0, 1.0, 41)
    start = np.concatenate([[0.0], np.cumsum(lengths)])
    return max(
        np.linalg.norm(curve.points(start[k] + share * length) - at(k, share), axis=1).max()
        for k, length in enumerate(lengths)
    )




PLANE_MARKS = {
    "a fair sweep": [(500, 200), (2500, 600), (4800, 350), (7400, -500)],
    "a strong bend": [(900, -900), (2600, 700), (4700, 500), (6200, -1000)],
    "an S of five": [(400, -300), (2000, 500), (3600, 100), (5300, -600), (7500, 300)],
}


@pytest.mark.parametrize("case", PLANE_MARKS)
def test_plane_against_elastica(case):
    patch, uv_of = crooked_plane()
    xy = np.array(PLANE_MARKS[case], float)
    curve = batten_on_patch(patch, uv_of(xy))
    lengths, at, bending = independent(np.column_stack([xy, 0.0 * xy[:, 0]]))
    off = against(curve, lengths, at)
    turn = np.degrees(np.ptp(np.unwrap(np.arctan2(*curve.sample(200).t[:, 1::-1].T))))
    print(f"{case}: turning {turn:.0f} deg, length {curve.length:.6f} mm, against shooting {off:.1e} mm, "
          f"bending {bending_of(curve):.12e}, there {bending:.12e} 1/mm")
    assert off < POSITION
    assert abs(bending_of(curve) / bending - 1.0) < 1e-8


def test_plane_held_ends_against_elastica():
    patch, uv_of = crooked_plane()
    xy = np.array(PLANE_MARKS["a fair sweep"], float)
    hold = 0.35, -0.2
    directions = []
    for (a, b), turn in (((xy[0], xy[1]), hold[0]), ((xy[-2], xy[-1]), -hold[1])):
        angle = np.arctan2(*(b - a)[::-1]) + turn
        directions.append(np.array([np.cos(angle), np.sin(angle), 0.0]))
    curve = batten_on_patch(patch, uv_of(xy), *hold)
    lengths, at, _ = independent(np.column_stack([xy, 0.0 * xy[:, 0]]), angles=directions)
    ends = curve.at([0.0, curve.length])
    off = against(curve, lengths, at)
    print(f"held: against shooting {off:.1e} mm, directions off {np.abs(ends.t - directions).max():.1e}")
    assert off < POSITION and np.abs(ends.t - directions).max() < 1e-7




@pytest.mark.parametrize("pieces", [None, 5])
def test_sphere_against_integration(pieces):
    known, curve = sphere_batten(pieces)
    lengths, at, bending = independent(known.exact(*np.array(SPHERE_MARKS).T), 3000.0)
    off = against(curve, lengths, at)
    print(f"sphere, {pieces} arcs: against shooting {off:.1e} mm, bending {bending_of(curve):.10e}, "
          f"there {bending:.10e} 1/mm")
    assert off < POSITION
    assert abs(bending_of(curve) / bending - 1.0) < 1e-8


# --- the equation itself ----------------------------------------------------------------------
def stationarity(curve, gauss):
    """Greatest kappa_g'' + kappa_g^3/2 + K kappa_g over greatest K kappa_g, and the piece's length there.

    The second derivative is that of the polynomial through kappa_g at Gauss points.
    """
    x, _ = legendre.leggauss(gauss)
    c = curve.at_local(np.repeat(np.arange(curve.pieces), gauss), np.tile(x, curve.pieces))
    half = 0.5 * curve.piece_lengths[:, None]
    z = (c.s.reshape(-1, gauss) - curve.s_breaks[:-1, None]) / half - 1.0
    kappa = c.kappa_g.reshape(z.shape)
    coef = np.linalg.solve(legendre.legvander(z, gauss - 1), kappa[..., None])[..., 0]
    second = np.array([legendre.legval(z[k], legendre.legder(coef[k], 2)) for k in range(len(z))]) / half**2
    K = curve.patch.geometry(*c.uv.T).K.reshape(z.shape)
    residual = np.abs(second + 0.5 * kappa**3 + K * kappa)
    worst = np.argmax(residual.max(axis=1))
    return residual.max() / np.abs(K * kappa).max(), curve.piece_lengths[worst]






@pytest.mark.parametrize("where, degree, counts", [
    ("sphere", 5, (12, 24, 48, 96)), ("sphere", 6, (12, 24, 48, 96)),
    ("demonstration hull", 4, (24, 48, 96, 192)), ("demonstration hull", 5, (24, 48, 96, 192)),
    ("demonstration hull", 6, (24, 48, 96)),
])
def test_stationarity_falls_with_the_elements(where, degree, counts):
    """(u, v) of degree p err by h^(p + 1); four derivatives leave the order p - 3."""
    sizes, residuals = [], []
    for elements in counts:
        if where == "sphere":
            _, curve = sphere_batten(elements=elements, degree=degree)
        else:
            curve = batten_on_patch(demo_hull().patch, demo_uv(), degree=degree, elements=elements)
        residual, size = stationarity(curve, degree - 1)
        residuals.append(residual)
        sizes.append(size)
    order = fitted(sizes, residuals)
    print(f"{where}, degree {degree}: residual over K kappa_g {['%.1e' % r for r in residuals]}, "
          f"fitted order {order:.2f}, expected {degree - 3}")
    assert order > degree - 3 - 0.25


@pytest.mark.parametrize("degree, counts", [(2, (16, 32, 64)), (3, (8, 16, 32))])
def test_place_converges_with_twice_the_degree(degree, counts):
    """Gauss collocation: order 2 p at the ends of the elements (Ascher, Mattheij and Russell 5.4)."""
    _, best = sphere_batten(degree=10, elements=24)
    sizes, errors = [], []
    for elements in counts:
        _, curve = sphere_batten(degree=degree, elements=elements)
        ends = curve.patch.points(*curve.nodes[:-1, -1].T)
        near = best.at(curve.s_breaks[1:-1])
        for _ in range(4):
            near = best.at(near.s + np.einsum("ij,ij->i", ends - near.p, near.t))
        sizes.append(curve.piece_lengths.max())
        errors.append(np.linalg.norm(near.p - ends, axis=1).max())
    order = fitted(sizes, errors)
    print(f"degree {degree}: place at the elements' ends off {['%.1e' % e for e in errors]} mm, order {order:.2f}")
    assert order > 2 * degree - 0.5


def test_no_line_through_the_marks_bends_less():
    """Bumps between the marks, to either side: bending rises, and has no slope."""
    curve = batten_on_patch(demo_hull().patch, demo_uv())
    inner = np.array([m.s for m in batten_line(demo_hull(), demo_marks()).marks])
    inner = inner - inner[0]
    least = bending_of(curve)
    piece = np.repeat(np.arange(curve.pieces), curve.degree + 1)
    x = np.tile(lobatto(curve.degree).nodes, curve.pieces)
    c = curve.at_local(piece, x)
    d = direction_uv(curve.patch.jets(*c.uv.T, 1), c.b)
    for k, (a, b) in enumerate(zip(inner[:-1], inner[1:])):
        t = np.clip((c.s - a) / (b - a), 0.0, 1.0)
        bump = (4.0 * t * (1.0 - t)) ** 3

        def moved(by, bump=bump):
            uv = c.uv + by * bump[:, None] * d
            return bending_of(SurfaceCurve(curve.patch, uv.reshape(curve.nodes.shape))) / least

        up, down = moved(2.0), moved(-2.0)
        print(f"stretch {k + 1}: bending 1 to {up:.9f} and {down:.9f} with bumps of 2 mm to either side")
        assert up > 1.0 and down > 1.0
        assert abs(up - down) < 1e-3 * (up + down - 2.0)


def test_free_ends_are_not_bent():
    line = batten_line(demo_hull(), demo_marks())
    inside, beyond = [m.s for m in line.marks], []
    e = edgewise_bending(line.curve)
    out = (e.s < inside[0]) | (e.s > inside[-1])
    beyond = np.abs(e.kappa_g[out]).max()
    ends = np.abs(line.curve.at([inside[0] + 1e-6, inside[-1] - 1e-6]).kappa_g).max()
    most = np.abs(e.kappa_g).max()
    print(f"kappa_g beyond the last marks {beyond:.1e}, at them {ends:.1e}, greatest {most:.1e} 1/mm")
    assert out.sum() > 10 and beyond < 1e-6 * most and ends < 1e-3 * most


def test_the_marks_hold_what_the_rate_jumps():
    """The pull told for every mark is the jump of kappa_g' read off the curve there."""
    line = batten_line(demo_hull(), demo_marks())
    e = edgewise_bending(line.curve)
    piece = np.repeat(np.arange(line.curve.pieces), 8)
    for m in line.marks:
        k = int(np.argmin(np.abs(line.curve.s_breaks - m.s)))
        jump = []
        for j in (k - 1, k):
            rows = piece == j
            jump.append(np.polyval(np.polyfit(e.s[rows] - m.s, e.rate[rows], 5), 0.0))
        print(f"{m.label}: pull {m.pull:+.6e}, jump read off {jump[1] - jump[0]:+.6e} 1/mm^2")
        assert abs(jump[1] - jump[0] - m.pull) < 1e-3 * max(abs(n.pull) for n in line.marks)
