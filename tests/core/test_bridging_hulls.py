# SPDX-License-Identifier: LGPL-2.1-or-later
"""A stretched string over the hollows of hulls: conditions of contact, an independent minimum, and
what must change nothing."""

import hulls
import numpy as np
import pytest
from hollows import AFT, DEEP, HULLS, TWO, contact, hollow_hull, marks, string
from scipy.optimize import minimize

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.bridging import bridge_on_patch, bridging_line
from strakeplan.core.lines.closest import closest_on_patch
from strakeplan.core.lines.taut import taut_line

EXACT = 1e-6  # mm


# --- hulls ------------------------------------------------------------------------------------
@pytest.mark.parametrize("name", HULLS)
def test_contact_conditions(name):
    """At every node: gap >= 0, force >= 0, one of them nothing, to 1e-6 of the length; the
    laid runs geodesic; no corner where the string lifts. The gap is measured anew from points
    of the string, the force is -kappa_n of a unit tension."""
    places, bow, stern, kinds = HULLS[name]
    hull, b = string(places, bow, stern)
    assert " ".join(r.kind for r in b.runs) == kinds
    gap, force, geodesic, corner, off = contact(hull.patch, b.bridge)
    both = np.minimum(gap / b.length, force * b.length).max()
    least = force.min()
    print(f"{name}: least gap {gap.min() / b.length:.1e} and greatest {gap.max():.2f} mm, least force "
          f"{least * b.length:.1e}, both {both:.1e}, kappa_g {np.abs(geodesic).max() * b.length:.1e}, "
          f"corner {corner:.1e}")  # fmt: skip
    assert gap.min() / b.length > -1e-6 and off < EXACT
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
def test_marks_without_a_line():
    hull = hollow_hull(AFT)
    with pytest.raises(PlanError) as error:
        bridging_line(hull, marks(hull, 0.05, 0.1))
    print(error.value)
    assert "Hollow" in str(error.value) and "X = " in error.value.where
