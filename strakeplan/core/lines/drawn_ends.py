# SPDX-License-Identifier: LGPL-2.1-or-later
"""The ends of a drawn line: cut off where it leaves over stem or stern, run on where it is short."""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..spline.lobatto import lobatto
from .chain import GAP
from .line import LEAVES, edge_left, nearest_on_boundary
from .run_on import Words, run_on

__all__ = ["FOLLOWED", "crossing", "to_edge", "with_end"]

#: of the patch's size: how far a line is followed at a time
FOLLOWED = 1.0 / 100.0
_SHORT = 0.02  # of the ship's length: farther short of an end the line is not run on


def crossing(hull, curve, end, edge, label, run):
    """Arc lengths on the curve and on the boundary where the curve's end has left the hull."""
    length = curve.length
    ladder = np.linspace(0.0, min(length, 4.0 * FOLLOWED * hull.patch.size), 41)
    s = ladder if end == 0 else length - ladder
    uv = curve.uv_local(*curve.locate(s))
    within = np.flatnonzero(hull.inside(uv[:, 0], uv[:, 1]) >= 0.0)
    k = int(within[0]) if len(within) else len(s) - 1
    out, near = float(s[max(k - 1, 0)]), float(s[k])
    for _ in range(12):
        middle = 0.5 * (out + near)
        uv = curve.uv_local(*curve.locate([middle]))
        out, near = (out, middle) if hull.inside(uv[:, 0], uv[:, 1])[0] >= 0.0 else (middle, near)
    outside = curve.uv_local(*curve.locate([out]))[0]
    left = edge_left(hull, outside)
    if left != edge:
        raise _wrong_edge(hull, left, edge, curve, out, label, run)
    return _meet(hull, curve, 0.5 * (out + near), outside)


def _wrong_edge(hull, left, edge, curve, s, label, run):
    p = curve.points([s])[0]
    if len(run.turned):
        return PlanError(
            f"{hull.name}: the drawn line misses the hull {label}; it passes outside the hull's outline",
            hull.frame.place(run.turned[0]), "draw it inside the outline, or choose another view",
        )  # fmt: skip
    return PlanError(
        f"{hull.name}: the drawn line {LEAVES[left]} before it reaches the {edge}",
        hull.frame.place(p), f"draw it so that {label} it ends on the {edge}",
    )  # fmt: skip


def _meet(hull, curve, s, uv):
    """Newton's method for the crossing of curve and boundary near an arc length."""
    b = nearest_on_boundary(hull, uv)
    for _ in range(20):
        c, e = curve.at([s]), hull.boundary.at([b])
        step, *_ = np.linalg.lstsq(np.stack([c.t[0], -e.t[0]], axis=1), e.p[0] - c.p[0], rcond=None)
        s, b = s + step[0], b + step[1]
        if np.max(np.abs(step)) < 1e-11 * hull.patch.size:
            break
    return float(np.clip(s, 0.0, curve.length)), float(np.clip(b, 0.0, hull.boundary.length))


def with_end(curve, end, uv):
    nodes = curve.nodes.copy()
    nodes[-end, -end] = uv
    return SurfaceCurve(curve.patch, nodes)


def to_edge(hull, curve, end, edge, label):
    """Carry on an end that lies short of stem or stern: curve, boundary arc length, note."""
    here = curve.reversed() if end == 0 else curve
    uv, p = here.nodes[-1, -1], here.points([here.length])[0]
    b = nearest_on_boundary(hull, uv)
    gap = float(np.linalg.norm(hull.boundary.points([b])[0] - p))
    x0, x1 = hull.x_range
    note = ""
    if gap <= GAP:
        out, b = _lengthened(hull, here, b)
        on_edge = b <= hull.s_stem_end if edge == "stem" else b >= hull.s_stern_start
        if out is not None and on_edge:
            return (out.reversed() if end == 0 else out), b, note
    words = Words(f"the drawn line, run on straight to the {edge},", *3 * (f"draw it on to the {edge}",))
    try:
        if gap > _SHORT * (x1 - x0):
            raise _falls_short(hull, edge, gap, p)
        more, b = run_on(hull, uv, here.at([here.length]).t[0], edge, words)
    except PlanError as error:
        if error.what.startswith(f"{hull.name}: the drawn line ends"):
            raise
        raise PlanError(
            f"{hull.name}: the drawn line ends {gap:.1f} mm short of the {edge} and cannot be run on",
            hull.frame.place(p), f"draw it on to the {edge}",
        ) from error  # fmt: skip
    if more.length > _SHORT * (x1 - x0):
        raise _falls_short(hull, edge, more.length, p)
    note = f"The drawn line ends {more.length:.1f} mm short of the {edge} and was run on straight."
    out = SurfaceCurve.joined([here, more])
    return (out.reversed() if end == 0 else out), b, note


def _falls_short(hull, edge, far, p):
    return PlanError(
        f"{hull.name}: the drawn line ends {far:.0f} mm short of the {edge}",
        hull.frame.place(p), f"draw it on to the {edge}; up to 2 % of the length is run on straight",
    )  # fmt: skip


def _lengthened(hull, curve, b):
    """The last polynomial carried on by a hair on to the boundary, or None."""
    piece, x = np.array([curve.pieces - 1]), 1.0
    for _ in range(20):
        uv, d = curve.uv_local(piece, np.array([x]))[0], curve.uv_local(piece, np.array([x]), 1)[0]
        jet, e = hull.patch.jets(uv[:1], uv[1:], 1), hull.boundary.at([b])
        pace = jet.su[0] * d[0] + jet.sv[0] * d[1]
        step, *_ = np.linalg.lstsq(np.stack([pace, -e.t[0]], axis=1), e.p[0] - jet.p[0], rcond=None)
        x, b = x + step[0], b + step[1]
        if abs(step[0]) < 1e-14:
            break
    if not abs(x - 1.0) < 0.1 or not 0.0 <= b <= hull.boundary.length:
        return None, b
    nodes = curve.nodes.copy()
    nodes[-1] = _stretched(curve, x)
    nodes[-1, -1] = hull.boundary_uv_at(b)[0]
    return SurfaceCurve(curve.patch, nodes), float(b)


def _stretched(curve, x):
    """Nodes of the last piece over [-1, x]."""
    xi = -1.0 + 0.5 * (lobatto(curve.degree).nodes + 1.0) * (x + 1.0)
    return curve.uv_local(np.full(len(xi), curve.pieces - 1), xi)


# --- what is told -----------------------------------------------------------------------------
