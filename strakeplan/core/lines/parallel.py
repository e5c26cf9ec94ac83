# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines at a constant distance, measured square to another line on the surface.

Geodesics are sent off square to the line; their ends at equal distances lie on a curve that
they meet squarely again (Gauss's lemma), so that one set of geodesics gives all parallels.
"""

from typing import NamedTuple, Optional

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..recut import recut
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of
from .line import HullLine, nearest_on
from .march import march

__all__ = ["clip_to_boundary", "clipped_parallels", "parallel_line", "parallels"]

DEGREE = 8
_OVERRUNS = (0.1, 0.2, 0.35, 0.6, 1.0, 2.0)  # of the distance: how far lines are run on, in turn
_SHORTEST = 20.0  # mm; a line that touches the planking for less is none
_ELEMENT = 1.0 / 40.0  # of the line's length: longest element of a parallel


def parallel_line(hull, line, distance):
    """The line at a constant distance from another, measured square to it on the hull.

    Parameters
    ----------
    hull : PlankedSurface
    line : HullLine
    distance : float
        mm; positive towards the keel, negative towards the sheer.

    Returns
    -------
    HullLine
        Cut off at stem, rabbet, stern or sheer. Where the edge cuts it into several parts
        this is the longest; the notes name the others.

    Raises
    ------
    PlanError
        No distance; nothing of the line on the planked surface; parallels that cross.
    """
    if not np.isfinite(distance) or distance == 0.0:
        raise PlanError(f"{hull.name}: a parallel line needs a distance", "", "give it in mm, not 0")
    side, far = np.sign(distance), abs(distance)
    parts = clipped_parallels(hull, line.curve, [far], side)[0]
    if not parts:
        raise PlanError(
            f"{hull.name}: nothing of the line {far:.0f} mm "
            f"{'below' if side > 0.0 else 'above'} the given one lies on the planked surface",
            f"{hull.frame.side} side", "give a smaller distance",
        )  # fmt: skip
    parts.sort(key=lambda part: -part[0].length)
    notes = [_ends_note(hull, *parts[0])]
    notes += [f"Another part, not used: {_ends_note(hull, *part)}" for part in parts[1:]]
    longest = parts[0][0]
    error = _step_error(hull, line.curve, far, side) + line.error_position
    bend = float(np.max(np.abs(longest.sample(200).kappa_g)))
    return HullLine(
        "Parallel line", longest, parts[0][1], parts[0][2], error,
        error * bend * longest.length + line.error_length, tuple(notes),
    )  # fmt: skip


def clipped_parallels(hull, base, distances, side=1.0):
    """Parallel curves cut at the edges of the planking.

    The line is run on past its ends only as far as it needs to be: the surface's own
    continuation may run wild farther out.

    Returns
    -------
    list, one for each distance, of lists of parts as `clip_to_boundary` gives them
    """
    for share in _OVERRUNS:
        curves = parallels(hull, base, distances, share * distances[-1], side)
        ends = np.concatenate([curve.nodes[[0, -1], [0, -1]] for curve in curves])
        if share == _OVERRUNS[-1] or np.all(hull.inside(ends[:, 0], ends[:, 1]) <= 0.0):
            return [clip_to_boundary(hull, curve, _SHORTEST) for curve in curves]


def _step_error(hull, base, distance, side):
    """Error of the march's finite steps, mm: less than its change when they are halved."""
    c = base.sample(41)
    across = side * np.cross(c.n, c.t)
    fine, rough = (
        march(hull.patch, c.uv, across, [distance], hull.patch.size / n) for n in (80.0, 40.0)
    )
    inside = hull.inside(fine.uv[0][:, 0], fine.uv[0][:, 1]) > 0.0
    off = np.linalg.norm(fine.p[0] - rough.p[0], axis=1)[inside]
    return float(np.max(off, initial=0.0))


def _ends_note(hull, curve, s_fore, s_aft):
    """In words, where a part of a line ends."""
    x = curve.points([0.0, curve.length])[:, 0]
    where = []
    for at, s in zip(x, (s_fore, s_aft)):
        if s is None:
            edge = "sheer"
        elif s <= hull.s_stem_end:
            edge = "stem"
        else:
            edge = "stern" if s >= hull.s_stern_start else "rabbet"
        where.append(f"the {edge} at {hull.frame.station_label(at)}")
    return f"It runs from {where[0]} to {where[1]}."


def parallels(hull, base, distances, overrun, side=1.0):
    """Curves parallel to a line, before they are cut at the edges of the planking.

    Parameters
    ----------
    hull : PlankedSurface
    base : SurfaceCurve
        From the bow aft.
    distances : (k,) increasing, mm
    overrun : float
        How far the line is run on, straight, past both its ends, mm: over the surface's
        own continuation, so that parallels near raked ends have somewhere to start from.
    side : 1.0 or -1.0
        Towards the keel or towards the sheer.

    Returns
    -------
    list of SurfaceCurve, one for each distance

    Raises
    ------
    PlanError
        Where neighbouring geodesics cross before they reach a distance (a focal point).
    """
    patch = hull.patch
    breaks = _breaks(base, overrun)
    uv, t = _feet(patch, base, _nodes(breaks, lobatto(DEGREE).nodes))
    n = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2)).n
    run = march(patch, uv, side * np.cross(n, t), distances)
    index = np.arange((len(uv) - 1) // DEGREE)[:, None] * DEGREE + np.arange(DEGREE + 1)
    out = []
    for k, distance in enumerate(distances):
        _require_apart(hull, run, k, distance, side)

        def places(s, distance=distance):
            uv, t = _feet(patch, base, s)
            n = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2)).n
            return march(patch, uv, side * np.cross(n, t), [distance]).uv[0]

        # geodesics that ran wild past the hull's ends are no part of any line
        first, last = _finite_run(hull, run.uv[k][index], distance)
        curve = SurfaceCurve(patch, run.uv[k][index][first:last])
        out.append(recut(curve, breaks[first : last + 1], places))
    return out


def _finite_run(hull, nodes, distance):
    """First and last + 1 of the unbroken run of finite elements that holds the planking."""
    good = np.isfinite(nodes).all(axis=(1, 2))
    flat = nodes.reshape(-1, 2)
    with np.errstate(invalid="ignore"):
        inside = (hull.inside(flat[:, 0], flat[:, 1]) > 0.0).reshape(len(nodes), -1).any(axis=1)
    rows = np.flatnonzero(good & inside)
    if not len(rows):
        rows = np.flatnonzero(good)
    if not len(rows) or not good[rows[0] : rows[-1] + 1].all():
        raise PlanError(
            f"{hull.name}: the surface runs wild {distance:.0f} mm from the given line",
            f"{hull.frame.side} side",
            "choose a smaller distance, or another line to run parallel to",
        )
    first, last = int(rows[0]), int(rows[-1])
    while first > 0 and good[first - 1]:
        first -= 1
    while last + 1 < len(good) and good[last + 1]:
        last += 1
    return first, last + 1


def _breaks(base, overrun):
    """Arc lengths along the line, run on at both ends, at which pieces end."""
    longest = base.length * _ELEMENT
    inside = np.linspace(0.0, base.length, int(np.ceil(1.0 / _ELEMENT - 1e-9)) + 1)
    over = np.linspace(0.0, overrun, max(1, int(np.ceil(overrun / longest))) + 1)[1:]
    return np.concatenate([-over[::-1], inside, base.length + over])


def _feet(patch, base, s):
    """Parameters (n, 2) and tangents (n, 3) at arc lengths of the line and its run-on."""
    c = base.at(s)
    uv, t = c.uv.copy(), c.t.copy()
    for at, past in ((0.0, -s), (base.length, s - base.length)):
        rows = np.flatnonzero(past > 0.0)
        if not len(rows):
            continue
        order = rows[np.argsort(past[rows])]
        start = base.at([at])
        sign = -1.0 if at == 0.0 else 1.0
        distance, where = np.unique(past[order], return_inverse=True)
        run = march(patch, start.uv, sign * start.t, distance)
        uv[order], t[order] = run.uv[where, 0], sign * run.t[where, 0]
    return uv, t


def _nodes(breaks, xi):
    half = 0.5 * np.diff(breaks)[:, None]
    inner = 0.5 * (breaks[1:] + breaks[:-1])[:, None] + half * xi
    return np.concatenate([inner[:, :-1].ravel(), breaks[-1:]])


def _require_apart(hull, run, k, distance, side):
    """Raise where neighbouring geodesics have met, on the planked surface."""
    # at the elements' ends: nodes inside may lie nearer together than they are known
    p, uv, t = run.p[k][::DEGREE], run.uv[k][::DEGREE], run.t[k][::DEGREE]
    g = geometry_of(hull.patch.jets(uv[:, 0], uv[:, 1], 2))
    along = side * np.cross(t, g.n)
    ahead = np.einsum("ij,ij->i", np.diff(p, axis=0), along[:-1] + along[1:])
    with np.errstate(invalid="ignore"):
        bad = (ahead <= 0.0) & (hull.inside(uv[:-1, 0], uv[:-1, 1]) > 0.0)
    if bad.any():
        x = float(p[int(np.argmax(bad)), 0])
        raise PlanError(
            f"{hull.name}: lines parallel to the given line cross one another {distance:.0f} mm "
            + ("below it" if side > 0.0 else "above it"),
            f"at {hull.frame.station_label(x)}",
            "choose a smaller distance, or another line to run parallel to",
        )


def clip_to_boundary(hull, curve, shortest):
    """The parts of a curve that lie on the planked surface.

    Parameters
    ----------
    hull : PlankedSurface
    curve : SurfaceCurve
        From fore aft, both ends outside the planked surface.
    shortest : float
        Parts shorter than this are dropped, mm.

    Returns
    -------
    list of (SurfaceCurve, s_fore, s_aft)
        With the arc lengths on the boundary at both ends; None for an end on the sheer.

    Raises
    ------
    PlanError
        If an end of the curve still lies inside.
    """
    ends = curve.nodes[[0, -1], [0, -1]]
    inside = hull.inside(ends[:, 0], ends[:, 1])
    if np.any(inside > 1e-6):
        where, at = ("bow", 0.0) if inside[0] > 1e-6 else ("stern", curve.length)
        raise PlanError(
            f"{hull.name}: a parallel line ends before it reaches the {where}",
            f"at {hull.frame.station_label(float(curve.points([at])[0, 0]))}",
            "give the surface more run there, or choose another line to run parallel to",
        )
    s = curve.crossings(lambda uv, p: hull.inside(uv[:, 0], uv[:, 1]))
    if len(s) % 2:
        s = s[:-1]
    out = []
    for s0, s1 in zip(s[0::2], s[1::2]):
        if s1 - s0 < shortest:
            continue
        s0, fore = _meet(hull, curve, s0)
        s1, aft = _meet(hull, curve, s1)
        if fore.s is not None and aft.s is not None and aft.s <= fore.s:
            raise PlanError(
                f"{hull.name}: a parallel line meets the boundary twice on its way",
                f"at {hull.frame.station_label(float(curve.points([s0])[0, 0]))}",
                "choose another line to run parallel to",
            )
        part = curve.between(s0, s1)
        nodes = part.nodes.copy()
        nodes[0, 0], nodes[-1, -1] = fore.uv, aft.uv
        out.append((SurfaceCurve(hull.patch, nodes), fore.s, aft.s))
    return out


class _Meeting(NamedTuple):
    uv: np.ndarray
    s: Optional[float]  # on the boundary; None on the sheer


def _meet(hull, curve, s):
    """Arc length on the curve, and the place on the edge, of the crossing near s (Newton)."""
    uv = curve.at([s]).uv[0]
    sheer = uv[1] - hull.patch.v_range[0] < 1e-9 * np.diff(hull.patch.v_range)[0]
    edge = hull.sheer if sheer else hull.boundary
    b = nearest_on(edge, uv)
    for _ in range(20):
        c, e = curve.at([s]), edge.at([b])
        gap = e.p[0] - c.p[0]
        step, *_ = np.linalg.lstsq(np.stack([c.t[0], -e.t[0]], axis=1), gap, rcond=None)
        s, b = s + step[0], b + step[1]
        if np.max(np.abs(step)) < 1e-11 * hull.patch.size:
            break
    return float(s), _Meeting(edge.at([b]).uv[0], None if sheer else float(b))
