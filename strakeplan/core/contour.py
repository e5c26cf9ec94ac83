# SPDX-License-Identifier: LGPL-2.1-or-later
"""The curve on a patch where the half-breadth equals the half siding.

F(u, v) = y - h(x) is followed by a predictor and Newton corrector in arc length, then
laid down again piece by piece as polynomials whose nodes lie on F = 0.

References
----------
E. L. Allgower and K. Georg, *Introduction to Numerical Continuation Methods*, SIAM 2003,
chapters 2 and 6 (predictor-corrector path following).
"""

from dataclasses import dataclass

import numpy as np

from .errors import PlanError
from .siding import HalfSiding
from .spline.lobatto import lobatto
from .spline.patch import SplinePatch
from .tolerances import SURFACE

__all__ = ["Contour", "Level", "break_points", "fit_pieces", "follow", "root"]

DEGREE = 8  # of the curves' pieces; the same as curve_through's
_MAX_TURN = 0.25  # rad in one step
_PIECE_TURN = 0.6  # rad in one piece before it is checked


@dataclass(frozen=True, eq=False)
class Level:
    """F = y - h(x) on a patch in ship coordinates; mm, positive inside the planking."""

    patch: SplinePatch
    siding: HalfSiding
    name: str = "hull"

    def value(self, u, v):
        """F (n,)."""
        p = self.patch.points(u, v)
        return p[:, 1] - self.siding.at(p[:, 0])

    def gradient(self, u, v):
        """F (n,), dF/du (n,), dF/dv (n,) and the first-order Jet."""
        jet = self.patch.jets(u, v, 1)
        x, slope = jet.p[:, 0], self.siding.slope(jet.p[:, 0])
        return (
            jet.p[:, 1] - self.siding.at(x),
            jet.su[:, 1] - slope * jet.su[:, 0],
            jet.sv[:, 1] - slope * jet.sv[:, 0],
            jet,
        )


@dataclass(frozen=True, eq=False)
class Contour:
    """Points of F = 0 one after another, from one edge of the patch to another.

    Attributes
    ----------
    uv : (n, 2)
    turn : (n,) turning since the start, rad
    exit : str
        Edge 'u0', 'u1', 'v0', 'v1' at which it ends.
    """

    uv: np.ndarray
    turn: np.ndarray
    exit: str


def follow(level, start):
    """Follow F = 0 from a point on an edge of the patch until it meets an edge again.

    The side of greater half-breadth stays on the right of the walk (u aft, v down), which
    takes it down the stem, along the keel and up the stern.

    Parameters
    ----------
    level : Level
    start : (2,) u, v on an edge, with F = 0

    Raises
    ------
    PlanError
        The curve cannot be followed: the surface lies flat against the half siding.
    """
    patch = level.patch
    lo = np.array([patch.u_range[0], patch.v_range[0]])
    hi = np.array([patch.u_range[1], patch.v_range[1]])
    longest = patch.size / 120.0
    uv = np.array(start, float)
    direction, tangent = _direction(level, uv, start)
    points, turns, step, run = [uv], [0.0], longest / 4.0, 0.0
    while run < 6.0 * patch.size:
        middle, _ = _direction(level, uv + 0.5 * step * direction, uv)
        new, moved = _correct(level, uv + step * middle, uv)
        new_direction, new_tangent = _direction(level, new, uv)
        turn = np.arccos(np.clip(np.dot(tangent, new_tangent), -1.0, 1.0))
        if turn > _MAX_TURN or moved > 0.2 * step:
            step *= 0.5
            if step < 1e-7 * patch.size:
                raise _lost(level, uv)
            continue
        out = (new < lo) | (new > hi)
        if out.any():
            end, edge = _leave(level, uv, new, lo, hi)
            points.append(end)
            turns.append(turns[-1] + turn)
            return Contour(np.array(points), np.array(turns), edge)
        run += step
        points.append(new)
        turns.append(turns[-1] + turn)
        uv, direction, tangent = new, new_direction, new_tangent
        if turn < 0.4 * _MAX_TURN and moved < 0.05 * step:
            step = min(2.0 * step, longest)
    raise _lost(level, uv)


def _direction(level, uv, near):
    """Direction in (u, v) per mm along the curve, and its unit vector in space."""
    _, fu, fv, jet = level.gradient(uv[:1], uv[1:])
    d = np.array([-fv[0], fu[0]])
    tangent = jet.su[0] * d[0] + jet.sv[0] * d[1]
    size = np.linalg.norm(tangent)
    if not np.isfinite(size) or size == 0.0:
        raise _lost(level, near)
    return d / size, tangent / size


def _correct(level, uv, near):
    """Newton's way back to F = 0 along the gradient on the surface; (uv, mm moved)."""
    start = None
    for _ in range(12):
        f, fu, fv, jet = level.gradient(uv[:1], uv[1:])
        g = np.array([fu[0], fv[0]])
        su, sv = jet.su[0], jet.sv[0]
        metric = np.array([[su @ su, su @ sv], [su @ sv, sv @ sv]])
        det = metric[0, 0] * metric[1, 1] - metric[0, 1] ** 2
        if not det > 0.0:
            raise _lost(level, near)
        way = np.array(
            [metric[1, 1] * g[0] - metric[0, 1] * g[1], metric[0, 0] * g[1] - metric[0, 1] * g[0]]
        )
        slope = g @ way
        start = jet.p[0] if start is None else start
        if slope <= 0.0:
            raise _lost(level, near)
        uv = uv - f[0] / slope * way
        if abs(f[0]) < 0.1 * SURFACE.contour_node:
            break
    return uv, np.linalg.norm(level.patch.points(uv[:1], uv[1:])[0] - start)


def _leave(level, uv, new, lo, hi):
    """Where the step from uv to new leaves the patch: (uv on the edge, edge)."""
    tries = []
    for k in range(2):
        for side, limit in ((0, lo[k]), (1, hi[k])):
            if (new[k] < limit) if side == 0 else (new[k] > limit):
                tries.append(((limit - uv[k]) / (new[k] - uv[k]), k, limit, side))
    tries.sort()
    # beside a corner the step may leave by one edge and the curve by the other
    other = 1 - tries[0][1]
    if len(tries) == 1:
        side = int(new[other] - lo[other] > hi[other] - new[other])
        tries.append((1.0, other, (lo, hi)[side][other], side))
    for _, k, limit, side in tries:
        # F = 0 inside here and outside there, so it changes sign on the edge between
        a, b = (min(max(w[1 - k], lo[1 - k]), hi[1 - k]) for w in (uv, new))

        def on_edge(t, k=k, limit=limit):
            where = np.full((2, len(t)), limit)
            where[1 - k] = t
            return level.value(*where)

        fa, fb = on_edge(np.array([a, b]))
        if fa * fb <= 0.0 and a != b:
            end = np.empty(2)
            end[k], end[1 - k] = limit, root(on_edge, a, b)
            return end, "uv"[k] + str(side)
    share, k, limit, side = tries[0]
    end = uv + share * (new - uv)
    end[k] = limit
    for _ in range(30):
        f, fu, fv, _ = level.gradient(end[:1], end[1:])
        end[1 - k] -= f[0] / (fv if k == 0 else fu)[0]
        if abs(f[0]) < 0.1 * SURFACE.contour_node:
            break
    if not lo[1 - k] <= end[1 - k] <= hi[1 - k]:
        raise _lost(level, uv)
    return end, "uv"[k] + str(side)


def _lost(level, uv):
    p = level.patch.points(uv[:1], uv[1:])[0]
    return PlanError(
        f"{level.name}: the rabbet line cannot be followed; the surface lies flat against the half siding "
        f"{float(level.siding.at(p[0])):.1f} mm",
        f"about {p[0]:.0f} mm aft of the ship's origin at height {p[2]:.0f} mm",
        "change the half siding a little, or end the face at the rabbet",
    )


def root(function, a, b):
    """Root of a function (n,) -> (n,) between a and b, of unlike signs: Illinois' method."""
    fa, fb = (float(function(np.array([t]))[0]) for t in (a, b))
    if fa == 0.0:
        return float(a)
    if fb == 0.0:
        return float(b)
    for _ in range(100):
        m = b - fb * (b - a) / (fb - fa)
        fm = float(function(np.array([m]))[0])
        if (fm > 0.0) == (fb > 0.0):
            fa *= 0.5
        else:
            a, fa = b, fb
        b, fb = m, fm
        if abs(fm) < 0.05 * SURFACE.contour_node or a == b:
            break
    return float(b)


# --- from points to polynomials -----------------------------------------------------------
def break_points(level, contour, functions):
    """Where a contour crosses given lines.

    Parameters
    ----------
    level : Level
    contour : Contour
    functions : list of callables
        Each takes (u, v, Jet) of arrays and gives value (n,), d/du (n,), d/dv (n,).

    Returns
    -------
    list of (place, uv (2,), index of the function); place is the contour's running index
    with a fraction, increasing.
    """
    out = []
    uv = contour.uv
    jet = level.patch.jets(uv[:, 0], uv[:, 1], 1)
    for index, function in enumerate(functions):
        g = function(uv[:, 0], uv[:, 1], jet)[0]
        sign = g >= 0.0
        for i in np.nonzero(sign[:-1] != sign[1:])[0]:
            share = g[i] / (g[i] - g[i + 1])
            d = uv[i + 1] - uv[i]
            found = _meet(level, function, uv[i] + share * d)
            if np.max(np.abs(found - uv[i])) > 3.0 * np.max(np.abs(d)):
                continue  # all but tangent: left to the check of the pieces
            k = int(np.argmax(np.abs(d)))
            place = i + min(max((found[k] - uv[i, k]) / d[k], 0.0), 1.0)
            out.append((float(place), found, index))
    return sorted(out, key=lambda b: b[0])


def _meet(level, function, uv):
    """Newton for F = 0 and g = 0 together."""
    for _ in range(30):
        f, fu, fv, jet = level.gradient(uv[:1], uv[1:])
        g, gu, gv = function(uv[:1], uv[1:], jet)
        det = fu[0] * gv[0] - fv[0] * gu[0]
        if det == 0.0:
            break
        step = np.array([gv[0] * f[0] - fv[0] * g[0], fu[0] * g[0] - gu[0] * f[0]]) / det
        uv = uv - step
        if np.max(np.abs(step)) < 1e-15 * np.max(np.abs(uv)) or (
            abs(f[0]) < 0.1 * SURFACE.contour_node and abs(g[0]) < 1e-15
        ):
            break
    return uv


def fit_pieces(level, contour, breaks):
    """Polynomial pieces of a contour.

    Parameters
    ----------
    level : Level
    contour : Contour
    breaks : list of (place, uv)
        Where pieces must end; the contour's own ends need not be among them.

    Returns
    -------
    nodes : (k, DEGREE + 1, 2)
    places : (k + 1,) running index of every piece's ends
    """
    uv, last = contour.uv, len(contour.uv) - 1
    ends = [(0.0, uv[0])]
    gap = 1e-6
    for place, where in breaks:
        if place > ends[-1][0] + gap and place < last - gap:
            ends.append((place, where))
    ends.append((float(last), uv[-1]))
    # no piece may turn so far that it stops being a graph over its chord
    full = [ends[0]]
    for here, there in zip(ends, ends[1:]):
        t0, t1 = np.interp([here[0], there[0]], np.arange(last + 1), contour.turn)
        parts = int(np.ceil((t1 - t0) / _PIECE_TURN))
        for k in range(1, parts):
            place = round(float(np.interp(t0 + (t1 - t0) * k / parts, contour.turn, np.arange(last + 1))))
            if full[-1][0] + 0.5 < place < there[0] - 0.5:
                full.append((float(place), uv[place]))
        full.append(there)
    nodes, places = [], [0.0]
    for here, there in zip(full, full[1:]):
        inner = [i for i in range(last + 1) if here[0] < i < there[0]]
        guide = np.vstack([here[1], uv[inner], there[1]])
        done = 0.0
        for piece, share in _fit(level, guide, 0):
            done += share
            nodes.append(piece)
            places.append(here[0] + done * (there[0] - here[0]))
        places[-1] = there[0]
    return np.array(nodes), np.array(places)


def _fit(level, guide, depth):
    """Nodes of one piece, or of its halves where one will not do: list of (nodes, share)."""
    a, b = guide[0], guide[-1]
    element = lobatto(DEGREE)
    t = 0.5 * (element.nodes + 1.0)
    _, _, _, jet = level.gradient(guide[:1, 0], guide[:1, 1])
    scale = np.array([np.linalg.norm(jet.su[0]), np.linalg.norm(jet.sv[0])])
    chord = (b - a) * scale
    length2 = chord @ chord
    normal = np.array([-chord[1], chord[0]])
    rel = (guide - a) * scale
    gt, gw = rel @ chord / length2, rel @ normal / length2

    def solve(t):
        w = np.interp(t, gt, gw)
        for _ in range(40):
            uv = a + (t[:, None] * chord + w[:, None] * normal) / scale
            f, fu, fv, _ = level.gradient(uv[:, 0], uv[:, 1])
            step = f / (fu * normal[0] / scale[0] + fv * normal[1] / scale[1])
            w = w - step
            if np.max(np.abs(f)) < 0.1 * SURFACE.contour_node:
                break
        return a + (t[:, None] * chord + w[:, None] * normal) / scale

    nodes = None
    if np.all(np.diff(gt) > 0):
        nodes = solve(t)
        nodes[0], nodes[-1] = a, b
        middle = 0.5 * (element.nodes[1:] + element.nodes[:-1])
        between = element.values(middle) @ nodes
        worst = np.max(np.abs(level.value(between[:, 0], between[:, 1])))
        ends = np.max(np.abs(level.value(nodes[:, 0], nodes[:, 1])))
        if worst < SURFACE.contour_between and ends < SURFACE.contour_node:
            return [(nodes, 1.0)]
    if depth >= 10:
        raise _lost(level, a)
    if nodes is not None:
        half = solve(np.array([0.5]))[0]
        k = int(np.searchsorted(gt, 0.5))
        left = np.vstack([guide[:k][gt[:k] < 0.5 - 1e-9], half])
        right = np.vstack([half, guide[k:][gt[k:] > 0.5 + 1e-9]])
    else:
        k = len(guide) // 2
        if k < 1 or k > len(guide) - 2:
            raise _lost(level, a)
        left, right = guide[: k + 1], guide[k:]
    out = [(n, 0.5 * s) for n, s in _fit(level, left, depth + 1)]
    return out + [(n, 0.5 + 0.5 * s) for n, s in _fit(level, right, depth + 1)]
