# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines at a constant distance, measured square to another line on the surface.

Geodesics are sent off square to the line; their ends at equal distances lie on a curve that
they meet squarely again (Gauss's lemma), so that one set of geodesics gives all parallels.
"""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..recut import recut
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of
from .line import nearest_on_boundary
from .march import march

__all__ = ["clip_to_boundary", "parallels"]

DEGREE = 8
_ELEMENT = 1.0 / 24.0  # of the line's length: longest element of a parallel


def parallels(hull, base, distances, overrun):
    """Curves parallel to a line, on its keel side, before they are cut at the boundary.

    Parameters
    ----------
    hull : PlankedSurface
    base : SurfaceCurve
        From the bow aft.
    distances : (k,) increasing, mm
    overrun : float
        How far the line is run on, straight, past both its ends, mm: over the surface's
        own continuation, so that parallels near raked ends have somewhere to start from.

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
    run = march(patch, uv, np.cross(n, t), distances)
    index = np.arange((len(uv) - 1) // DEGREE)[:, None] * DEGREE + np.arange(DEGREE + 1)
    out = []
    for k, distance in enumerate(distances):
        _require_apart(hull, run, k, distance)

        def places(s, distance=distance):
            uv, t = _feet(patch, base, s)
            n = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2)).n
            return march(patch, uv, np.cross(n, t), [distance]).uv[0]

        out.append(recut(SurfaceCurve(patch, run.uv[k][index]), breaks, places))
    return out


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


def _require_apart(hull, run, k, distance):
    """Raise where neighbouring geodesics have met, on the planked surface."""
    p, uv = run.p[k], run.uv[k]
    g = geometry_of(hull.patch.jets(uv[:, 0], uv[:, 1], 2))
    along = np.cross(run.t[k], g.n)
    ahead = np.einsum("ij,ij->i", np.diff(p, axis=0), along[:-1] + along[1:])
    with np.errstate(invalid="ignore"):
        bad = (ahead <= 0.0) & (hull.inside(uv[:-1, 0], uv[:-1, 1]) > 0.0)
    if bad.any():
        x = float(p[int(np.argmax(bad)), 0])
        raise PlanError(
            f"{hull.name}: lines parallel to the line above cross one another {distance:.0f} mm "
            "below it",
            f"at {hull.frame.station_label(x)}",
            "run the strakes there parallel to another line, or choose a lower line",
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
    list of (SurfaceCurve, s_fore, s_aft); arc lengths on the boundary at both ends

    Raises
    ------
    PlanError
        If an end of the curve still lies inside.
    """
    ends = curve.nodes[[0, -1], [0, -1]]
    inside = hull.inside(ends[:, 0], ends[:, 1])
    if np.any(inside > 1e-6):
        where = "bow" if inside[0] > 1e-6 else "stern"
        raise PlanError(
            f"{hull.name}: a line parallel to the line above ends before it reaches the {where}",
            f"at {hull.frame.station_label(float(curve.points([0.0 if where == 'bow' else curve.length])[0, 0]))}",
            "give the surface more run there, or choose another line to run parallel to",
        )
    s = curve.crossings(lambda uv, p: hull.inside(uv[:, 0], uv[:, 1]))
    if len(s) % 2:
        s = s[:-1]
    out = []
    for s0, s1 in zip(s[0::2], s[1::2]):
        if s1 - s0 < shortest:
            continue
        s0, b0 = _meet(hull, curve, s0)
        s1, b1 = _meet(hull, curve, s1)
        if b1 <= b0:
            raise PlanError(
                f"{hull.name}: a line parallel to the line above meets the boundary twice on its way",
                f"at {hull.frame.station_label(float(curve.points([s0])[0, 0]))}",
                "choose another line to run parallel to",
            )
        part = curve.between(s0, s1)
        nodes = part.nodes.copy()
        nodes[0, 0], nodes[-1, -1] = hull.boundary.at([b0, b1]).uv
        out.append((SurfaceCurve(hull.patch, nodes), b0, b1))
    return out


def _meet(hull, curve, s):
    """Arc lengths, on the curve and on the boundary, of the crossing near s (Newton)."""
    b = nearest_on_boundary(hull, curve.at([s]).uv[0])
    for _ in range(20):
        c, e = curve.at([s]), hull.boundary.at([b])
        gap = e.p[0] - c.p[0]
        step, *_ = np.linalg.lstsq(np.stack([c.t[0], -e.t[0]], axis=1), gap, rcond=None)
        s, b = s + step[0], b + step[1]
        if np.max(np.abs(step)) < 1e-11 * hull.patch.size:
            break
    return float(s), float(b)
