# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a line of each kind has to meet, measured on the line itself.

Each function asserts and returns a dict of the figures it has looked at, as shares of their
limits.
"""

import demoplan
import numpy as np
from numpy.polynomial import legendre
from scipy.optimize import minimize_scalar

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.closest import closest_on_patch
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.marks import places
from strakeplan.core.lines.relax import end_pull
from strakeplan.core.sections import plane_crossings, sections_at

__all__ = ["batten", "bridging", "drawn", "eased", "nearest", "parallel", "refusal", "shortest", "taut"]

#: shares of the hull's size
PLACE = 1e-8  # a mark or an edge is met (1e-4 mm on a hull of 10 m)
STRAIGHT = 1e-6  # departure of the developed line from its chord (0.01 mm on a hull of 10 m)
TANGENT = 1e-4  # radians by which elements meet at an angle
BENT = 3e-3  # jump of kappa_g where elements of a batten meet, of its greatest (or 1 / length)
CORNER = 1e-8  # radians, where pieces meet
GAP = 1e-6  # of a string over a hollow: gap and force


def refusal(error):
    """A PlanError names what, where and what to do."""
    assert isinstance(error, PlanError)
    text = str(error)
    assert error.what.startswith("hull: "), text
    assert any(word in text.replace("At ", "at ") for word in ("X = ", "at (", "stem", "stern", "bow", "mark ", " side")), text
    assert len(error.remedy.split()) >= 3, text


class Figures(dict):
    """Figures as shares of their limits; each has to be below 1."""

    def add(self, name, value, limit):
        self[name] = max(self.get(name, 0.0), float(value) / limit)
        assert value < limit, f"{name}: {value:.3e}, limit {limit:.3e}"


def _common(h, line, on_edge=PLACE, sheer=False):
    """Finite, from the bow aft, inside, in one piece, ends on the boundary."""
    size, c = h.patch.size, line.curve
    out = Figures()
    places_on = c.sample(301)
    for name, values in zip(places_on._fields, places_on):
        assert np.isfinite(values).all(), name
    out.add("outside", max(0.0, -float(h.inside(*places_on.uv.T).min())), on_edge * size)
    jump = np.abs(c.nodes[1:, 0] - c.nodes[:-1, -1]).max(initial=0.0)
    assert jump < 1e-12, f"a gap in the line, {jump:.1e}"
    ends = c.points([0.0, c.length])
    assert ends[0, 0] < ends[1, 0], "the line does not run from the bow aft"
    for p, uv, s in zip(ends, (c.nodes[0, 0], c.nodes[-1, -1]), (line.s_bow, line.s_stern)):
        if s is None:
            assert sheer, "the line ends on the sheer"
            v0, v1 = h.patch.v_range
            out.add("end on the sheer", abs(uv[1] - v0) / (v1 - v0), 1e-9)
        else:
            out.add("ends", np.linalg.norm(h.boundary.points([s])[0] - p), on_edge * size)
    if not sheer:
        assert line.s_bow <= h.s_stem_end + 1e-6 and line.s_stern >= h.s_stern_start - 1e-6
    assert line.error_position >= 0.0 and line.error_length >= 0.0
    out.add("own error", line.error_position, 1e-5 * size)
    return out


def _corners(curve):
    """Greatest angle by which pieces meet, radians."""
    n = curve.pieces
    before = curve.at_local(np.arange(n - 1), np.ones(n - 1)).t
    after = curve.at_local(np.arange(1, n), -np.ones(n - 1)).t
    return float(np.max(np.linalg.norm(before - after, axis=1), initial=0.0))


def _at_marks(h, line, marks):
    """Distances (m,) of marks from the line."""
    return demoplan.distance_to(line.curve, np.array([m.p for m in places(h, marks)]), 800)[0]


def departure(curve, bend, points=12):
    """How far a curve of given edgewise bending departs, developed, from its chord at the
    elements' ends, mm.

    Parameters
    ----------
    bend : callable
        CurvePoints -> (n,) 1/mm
    """
    x, w = legendre.leggauss(points)
    piece, local = np.repeat(np.arange(curve.pieces), points), np.tile(x, curve.pieces)
    c = curve.at_local(piece, local)
    uv = curve.uv_local(piece, local, 1)
    jet = curve.patch.jets(*c.uv.T, 1)
    pace = np.linalg.norm(jet.su * uv[:, :1] + jet.sv * uv[:, 1:], axis=1)
    turn = (bend(c) * pace * np.tile(w, curve.pieces)).reshape(curve.pieces, points)
    before = np.concatenate([[0.0], np.cumsum(turn.sum(axis=1))])[:-1]
    lever = curve.s_breaks[1:, None] - c.s.reshape(turn.shape)
    rise = before * curve.piece_lengths + np.sum(turn * lever, axis=1)
    y = np.concatenate([[0.0], np.cumsum(rise)])
    return float(np.max(np.abs(y - y[-1] * curve.s_breaks / curve.length)))


def taut(h, line, marks, heading=None):
    out = _common(h, line)
    c = line.curve
    out.add("marks", _at_marks(h, line, marks).max(), PLACE * h.patch.size)
    out.add("edge set", departure(c, lambda at: at.kappa_g), STRAIGHT * h.patch.size)
    out.add("corner", _corners(c), TANGENT)
    if heading is not None:
        p = places(h, marks)[0]
        near = c.at(demoplan.distance_to(c, p.p[None], 800)[1])
        aft = np.array([1.0, 0.0, 0.0])
        square = aft - (aft @ near.n[0]) * near.n[0]
        square /= np.linalg.norm(square)
        found = np.arctan2(near.t[0] @ np.cross(near.n[0], square), near.t[0] @ square)
        out.add("heading", abs(found - heading), 1e-6)
    return out


def bridging(h, bridged, marks):
    out = _common(h, bridged.line)
    b, size = bridged.bridge, bridged.length
    p = b.points(np.linspace(0.0, size, 601))
    ends = np.array([m.p for m in places(h, marks)])
    out.add("marks", np.linalg.norm(p[[0, -1]] - ends, axis=1).max(), PLACE * h.patch.size)
    uv, _ = closest_on_patch(h.patch, p)
    g = h.patch.geometry(*uv.T)
    out.add("gap below nothing", max(0.0, -float(np.einsum("ij,ij->i", p - g.p, g.n).min())), GAP * size)
    last = None
    for run, foot in zip(bridged.runs, b.feet):
        if run.kind == "laid":
            c = foot.sample(401)
            # a stretch that pulls off over less than the least hollow is laid all the same
            hollow = np.where(c.kappa_n > 0.0, c.kappa_n, 0.0)
            lift = np.trapezoid(hollow, c.s) if hasattr(np, "trapezoid") else np.trapz(hollow, c.s)
            out.add("force below nothing", lift, 1e-3)
            out.add("edge set", departure(foot, lambda at: at.kappa_g), STRAIGHT * h.patch.size)
            t = c.t[[0, -1]]
        else:
            i, j = (int(np.searchsorted(np.linspace(0.0, size, 601), s)) for s in run.s)
            t = np.diff(np.stack([b.points([run.s[0]])[0], b.points([run.s[1] - 1e-9 * size])[0]]), axis=0)
            t = np.repeat(t / np.linalg.norm(t), 2, axis=0)
            assert run.gap > 0.0 and j >= i
        if last is not None:
            out.add("corner", np.linalg.norm(t[0] - last), GAP * 10.0)
        last = t[1]
    assert size <= bridged.laid.curve.length * (1.0 + 1e-9), "longer than laid"
    return out


def _datum(curve):
    """Datum of the heavy string's tension that fits its law best: z, or inf for a taut line."""
    # kappa_g (D - z) = -b_z, least squares for 1/D: kappa_g = -(b_z - kappa_g z) q
    x = curve.b[:, 2] - curve.kappa_g * curve.p[:, 2]
    return -float(x @ curve.kappa_g) / float(x @ x)


def eased(h, line, ends, slack=None, through=None):
    out = _common(h, line)
    c, size = line.curve, h.patch.size
    out.add("marks", _at_marks(h, line, ends).max(), PLACE * size)
    out.add("corner", _corners(c), TANGENT)
    q = _datum(c.at(np.linspace(0.0, c.length, 797)))
    law = departure(c, lambda at: at.kappa_g + (at.b[:, 2] - at.kappa_g * at.p[:, 2]) * q)
    out.add("law of tension", law, STRAIGHT * size)
    if slack is not None:
        uv = [m.uv for m in places(h, ends)]
        taut_length = geodesic_between(h.patch, *uv, elements=16).length
        out.add("slack", abs(c.length - taut_length - abs(slack)), PLACE * size)
        assert slack * q >= 0.0, "eased the wrong way"
    else:
        x = h.frame.to_ship_station([through.station])
        section = sections_at(h, x)
        k, piece, t = plane_crossings(c, x)
        girth = section.girth_at_v(k, c.uv_local(piece, t)[:, 1])
        out.add("girth", np.abs(girth - through.share * section.girth[0]).min(), PLACE * size)
    return out


def batten(h, line, marks, tolerance=0.0, hold_bow=None, hold_stern=None):
    out = _common(h, line)
    c, size = line.curve, h.patch.size
    found = places(h, marks)
    limits = np.array(np.broadcast_to(tolerance, len(marks)), float)
    limits[[0, -1]] = np.where([hold_bow is not None, hold_stern is not None], 0.0, limits[[0, -1]])
    off = _at_marks(h, line, marks)
    out.add("marks", (off - limits).max(), PLACE * size)
    assert np.all(np.abs([m.offset for m in line.marks]) <= limits + PLACE * size)
    out.add("corner", _corners(c), TANGENT)
    # held by the marks alone: kappa_g is continuous, and nothing beyond free ends
    n = c.pieces
    before = c.at_local(np.arange(n - 1), np.full(n - 1, 1.0)).kappa_g
    after = c.at_local(np.arange(1, n), np.full(n - 1, -1.0)).kappa_g
    greatest = max(1.0 / c.length, float(np.abs(np.concatenate([before, after])).max(initial=0.0)))
    inner = np.ones(n - 1, bool)
    for held, mark, place in ((hold_bow, line.marks[0], found[0]), (hold_stern, line.marks[-1], found[-1])):
        if held is not None:
            inner &= np.abs(c.s_breaks[1:-1] - mark.s) > 1e-6 * size
    out.add("kappa_g jumps", np.abs(before - after)[inner].max(initial=0.0), BENT * greatest)
    for held, at in ((hold_bow, 0.0), (hold_stern, c.length)):
        if held is None:
            out.add("kappa_g at a free end", abs(float(c.at([at]).kappa_g[0])), BENT * greatest)
    for held, mark, pair, sense in (
        (hold_bow, line.marks[0], found[:2], 1.0), (hold_stern, line.marks[-1], found[:-3:-1], -1.0),
    ):  # fmt: skip
        if held is not None:
            at = c.at([mark.s + sense * 1e-9 * size])
            # off the string to the next mark, towards the keel
            string = geodesic_between(h.patch, pair[0].uv, pair[1].uv, elements=16)
            pull = sense * end_pull(string, 0)
            down = np.cross(at.n[0], pull)
            angle = sense * np.arctan2(at.t[0] @ down, at.t[0] @ pull)
            out.add("held angle", abs(angle - held), 1e-5)
    return out


def nearest(curve, points):
    """Arc lengths (n,) of a curve's places nearest in space to points (n, 3)."""
    return demoplan.distance_to(curve, points, 800)[1]


def shortest(patch, uv, base, s):
    """Least distance on the surface from a place to a line, by relaxed strings; nan past its ends."""
    for _ in range(8):
        foot = base.at([s])
        path = geodesic_between(patch, uv, foot.uv[0], elements=4)
        along = float(end_pull(path, -1) @ foot.t[0])  # d(length)/ds
        s -= along * path.length
        if not 0.0 < s < base.length:
            return np.nan
        if abs(along) < 1e-8:
            return path.length
    return np.nan


def parallel(h, line, base, distance, count=4):
    size, c = h.patch.size, line.curve
    out = _common(h, line, on_edge=10.0 * PLACE, sheer=True)
    out.add("corner", _corners(c), TANGENT)
    s = np.linspace(0.0, c.length, count + 2)[1:-1]
    p = c.at(s)
    near = nearest(base.curve, p.p)
    told = [
        shortest(h.patch, uv, base.curve, b) for uv, b in zip(p.uv, near)
        if 0.03 * base.curve.length < b < 0.97 * base.curve.length
    ]  # fmt: skip
    looked_for, told = len(told), np.array(told)
    told = told[np.isfinite(told)]
    assert len(told) or not looked_for, "no distance could be measured"
    if len(told):
        out.add("distance", np.abs(told - abs(distance)).max(), 10.0 * PLACE * size)
    down = base.curve.at(near).b
    side = np.einsum("ij,ij->i", p.p - base.curve.points(near), down)
    assert np.all(side * distance > 0.0), "on the wrong side"
    out["places measured"] = 0.0 if len(told) else 1.0
    return out


def drawn(h, line, piece, way):
    out = _common(h, line, on_edge=10.0 * PLACE)
    size = h.patch.size
    c = line.curve.at(np.linspace(0.02, 0.98, 9) * line.curve.length)
    breaks = np.array(piece.breaks, float)
    t = np.linspace(breaks[0], breaks[-1], 501)

    def ship(t):
        return h.frame.points_to_ship(np.asarray(piece.points_of(np.atleast_1d(t)), float))

    def off(t, p, n):
        """Square of the distance from the hull's normal at p, or seen in profile."""
        r = ship(t) - p
        r = r - (r @ n)[:, None] * n
        return np.einsum("ij,ij->i", r, r)

    for p, n in zip(c.p, c.n if way == "normal" else np.tile([0.0, 1.0, 0.0], (9, 1))):
        k = int(np.argmin(off(t, p, n)))
        lo, hi = t[max(k - 1, 0)], t[min(k + 1, len(t) - 1)]
        least = minimize_scalar(lambda x, p=p, n=n: float(off(x, p, n)[0]), (lo, t[k], hi) if lo < t[k] < hi else None,
                                bounds=None if lo < t[k] < hi else (lo, hi), tol=1e-12)
        out.add("off what was drawn", np.sqrt(max(least.fun, 0.0)), 100.0 * PLACE * size)
    return out
