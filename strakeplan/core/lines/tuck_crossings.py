# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where lines cross the tuck, and at which angle: strakes should run along it, not across it."""

from typing import NamedTuple, Tuple

import numpy as np

from ..curve import SurfaceCurve

__all__ = ["TuckCrossing", "crossing_angles"]


class TuckCrossing(NamedTuple):
    """Where a line crosses the tuck.

    ``angle`` in radians, 0 along it and pi/2 square across; ``s_tuck`` and ``s_line`` arc
    lengths, mm; ``point`` and ``station`` in model coordinates.
    """

    name: str
    angle: float
    station: float
    point: Tuple[float, float, float]
    s_tuck: float
    s_line: float


def crossing_angles(hull, tuck, lines):
    """Where lines cross the tuck, and at what angle.

    Parameters
    ----------
    hull : PlankedSurface
    tuck : TuckLine
    lines : sequence of (name, line)
        SurfaceCurve, anything with a `curve` (HullLine), or with `parts` that have one each
        (Seam).

    Returns
    -------
    tuple of TuckCrossing
        By line, then from forward aft; none where the surface has no tuck. A line that runs
        along the tuck without crossing it is not among them.
    """
    if tuck.curve is None:
        return ()
    out = []
    for name, line in lines:
        found = []
        for curve in _curves(line):
            found += _crossings(hull, tuck.curve, name, curve)
        out += sorted(found, key=lambda c: c.s_tuck)
    return tuple(out)


def _curves(line):
    if isinstance(line, SurfaceCurve):
        return [line]
    if hasattr(line, "curve"):
        return [line.curve]
    return [part.curve for part in line.parts]


def _crossings(hull, tuck, name, curve):
    size = np.array([np.ptp(hull.patch.u_range), np.ptp(hull.patch.v_range)])
    s, a = _polyline(tuck, size)
    r, b = _polyline(curve, size)
    d, e = np.diff(a, axis=0)[:, None], np.diff(b, axis=0)[None]
    gap = b[None, :-1] - a[:-1, None]
    cross = lambda p, q: p[..., 0] * q[..., 1] - p[..., 1] * q[..., 0]  # noqa: E731
    det = cross(d, e)
    with np.errstate(divide="ignore", invalid="ignore"):
        along, other = cross(gap, e) / det, cross(gap, d) / det
        hit = (along >= 0.0) & (along < 1.0) & (other >= 0.0) & (other < 1.0)
    out = []
    for i, j in np.argwhere(hit):
        at = _meeting(hull, tuck, curve, s[i] + along[i, j] * (s[i + 1] - s[i]), r[j] + other[i, j] * (r[j + 1] - r[j]))
        if at is None:
            continue
        c, f = tuck.at([at[0]]), curve.at([at[1]])
        angle = float(np.arctan2(np.linalg.norm(np.cross(c.t[0], f.t[0])), abs(c.t[0] @ f.t[0])))
        p = hull.frame.points_to_model(c.p[0])
        out.append(
            TuckCrossing(
                name, angle, float(hull.frame.to_model_station(c.p[0, 0])), tuple(float(v) for v in p), *at
            )
        )
    return out


def _polyline(curve, size, per_piece=8):
    x = np.linspace(-1.0, 1.0, per_piece + 1)[:-1]
    e = np.repeat(np.arange(curve.pieces), per_piece)
    x = np.tile(x, curve.pieces)
    s = np.append(curve.arc_length(e, x), curve.length)
    return s, np.vstack([curve.uv_local(e, x), curve.nodes[-1:, -1]]) / size


def _meeting(hull, a, b, s, r):
    """Newton's method for the crossing of two curves; None where they miss each other."""
    for _ in range(20):
        c, d = a.at([s]), b.at([r])
        gap = d.p[0] - c.p[0]
        step, *_ = np.linalg.lstsq(np.stack([c.t[0], -d.t[0]], axis=1), gap, rcond=None)
        s = float(np.clip(s + step[0], 0.0, a.length))
        r = float(np.clip(r + step[1], 0.0, b.length))
        if np.max(np.abs(step)) < 1e-12 * hull.patch.size:
            break
    gap = np.linalg.norm(a.points([s])[0] - b.points([r])[0])
    return (s, r) if gap < 1e-8 * hull.patch.size else None
