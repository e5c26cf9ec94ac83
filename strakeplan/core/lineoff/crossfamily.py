# SPDX-License-Identifier: LGPL-2.1-or-later
"""The family of cross curves along which a belt is divided.

Over most of the hull the cross curves are its transverse sections. Near a raked end the
sections no longer reach the belt's lower line, so from a stand-off on the cross curves lean
over, fanwise, until the last one is the stem (or stern) edge itself. With z the family's
parameter, counted from the last true section towards the end, reach the distance to the
nearest point of the edge and l = z / reach, the cross curve lies where

    x = x_section - z - l^3 (x_section - reach - x_edge)

(signs for the bow), x_edge being the edge's x at the same height of the surface. It agrees
with the sections to the second order at l = 0, so a line that divides all of them equally
keeps its direction and its curvature, and it is the edge at l = 1.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.interpolate import make_interp_spline

from ..errors import PlanError
from ..roots import bracketed_roots
from ..sections import CrossCurves, plane_crossings, sections_at, trace
from ..xtable import u_guess
from ..spline.lobatto import lobatto
from .resolution import EXACT

__all__ = ["CrossFamily", "Fan", "cross_curves", "cross_family", "line_on_family", "v_on_family"]

_LOOKS = 8  # of Newton's method, at most
_NEAR = 1e-6  # of the hull's length: a step of Newton's after which a first look is good enough
_LEAST_INTERVAL = 1e-3  # of an edge's length, between places where its spline is cut


@dataclass(frozen=True, eq=False)
class Fan:
    """Cross curves between the last true section and one end of the hull.

    Attributes
    ----------
    edge : 'stem' or 'stern'
    x_section : float
        Ship x of the last true section, mm.
    reach : float
        Length of the fan's parameter, mm; 0 where the sections reach the end themselves.
    spline : callable
        v (n,) -> ship x of the edge (n,).
    """

    edge: str
    x_section: float
    reach: float
    spline: object

    @property
    def sign(self):
        """-1.0 at the bow, where x falls towards the end, +1.0 at the stern."""
        return -1.0 if self.edge == "stem" else 1.0

    def slope(self, z, v):
        """Change of `level` with v."""
        return 0.0 * v if self.reach == 0.0 else (z / self.reach) ** 3 * self.spline.slope(v)

    def level(self, z, v):
        """Ship x of the cross curves z (n,) from the last section, at v (n,)."""
        if self.reach == 0.0:
            return self.x_section + 0.0 * v
        share = z / self.reach
        beyond = self.sign * (self.spline(v) - self.x_section) - self.reach
        return self.x_section + self.sign * (z + share**3 * beyond)


@dataclass(frozen=True, eq=False)
class CrossFamily:
    """Cross curves at the Gauss-Lobatto nodes of lengthwise elements.

    Attributes
    ----------
    breaks : (e + 1,) parameter at which the elements end; ship x between the fans
    degree : int
    parameter : (e * degree + 1,)
    curves : CrossCurves
    bow, stern : Fan
    resolution : Resolution
    """

    breaks: np.ndarray
    degree: int
    parameter: np.ndarray
    curves: CrossCurves
    bow: Fan
    stern: Fan
    resolution: object = EXACT

    def level(self, parameter, v):
        """Ship x of cross curves at v."""
        return _level(self.bow, self.stern, parameter, v)

    def elements(self, values):
        """Values (e * degree + 1, ...) at all nodes, gathered by element (e, degree + 1, ...)."""
        index = np.arange(len(self.breaks) - 1)[:, None] * self.degree + np.arange(self.degree + 1)
        return values[index]

    @property
    def exact_range(self):
        """(foremost, aftermost) ship x between which the cross curves are true sections."""
        return self.bow.x_section, self.stern.x_section


def _level(bow, stern, parameter, v):
    fore = bow.x_section - parameter
    aft = parameter - stern.x_section
    out = parameter + 0.0 * v
    k = fore > 0.0
    out[k] = bow.level(fore[k], v[k])
    k = aft > 0.0
    out[k] = stern.level(aft[k], v[k])
    return out


def cross_family(hull, lower, stand_off=None, parted=(), resolution=EXACT):
    """Cross curves from the sheer to the boundary for everything above a line.

    Parameters
    ----------
    hull : PlankedSurface
    lower : HullLine
        Lowest line that the cross curves have to reach.
    stand_off : float, optional
        Distance kept from a raked end, mm. Default: the mean girth from the sheer to the
        line there; none at an end whose edge is a transverse section itself.
    parted : sequence of float
        Ship positions at which elements have to end, where they lie among true sections.
    resolution : Resolution

    Returns
    -------
    CrossFamily

    Raises
    ------
    PlanError
        Where the stand-offs of both ends leave no true section between them.
    """
    patch = hull.patch
    ends = []
    for edge, s in (("stem", lower.s_bow), ("stern", lower.s_stern)):
        ends.append(_edge_table(hull, edge, s, resolution))
    mean_girth = 0.5 * (ends[0][2] + ends[1][2])
    if stand_off is None:
        stand_off = _mean_girth(hull, lower, mean_girth, resolution)
    fans = []
    for (edge, sign), (spline, x, length) in zip((("stem", -1.0), ("stern", 1.0)), ends):
        rake = np.ptp(x)
        if rake <= 1e-9 * patch.size:
            fans.append(Fan(edge, float(x[0]), 0.0, spline))
            continue
        inner = np.max(x) if edge == "stem" else np.min(x)
        fans.append(Fan(edge, float(inner - sign * stand_off), float(stand_off), spline))
    bow, stern = fans
    if stern.x_section - bow.x_section < 0.1 * (hull.x_range[1] - hull.x_range[0]):
        raise PlanError(
            f"{hull.name}: the stand-off of {stand_off:.0f} mm from the raked ends leaves no "
            "sections to divide equally",
            f"between {hull.frame.station_label(bow.x_section)} and "
            f"{hull.frame.station_label(stern.x_section)}",
            "give a smaller stand-off",
        )
    degree, fan = resolution.degree, resolution.fan_elements + 1
    longest = resolution.longest * (hull.x_range[1] - hull.x_range[0])
    parts = [np.array([bow.x_section])]
    if bow.reach:
        parts.insert(0, np.linspace(bow.x_section - bow.reach, bow.x_section, fan)[:-1])
    least = 1e-6 * patch.size
    inner = [x for x in np.unique(parted) if bow.x_section + least < x < stern.x_section - least]
    for a, b in pairwise([bow.x_section, *inner, stern.x_section]):
        parts.append(np.linspace(a, b, int(np.ceil((b - a) / longest - 1e-9)) + 1)[1:])
    if stern.reach:
        parts.append(np.linspace(stern.x_section, stern.x_section + stern.reach, fan)[1:])
    breaks = np.concatenate(parts)
    xi = lobatto(degree).nodes
    half = 0.5 * np.diff(breaks)[:, None]
    inner = 0.5 * (breaks[1:] + breaks[:-1])[:, None] + half * xi
    parameter = np.concatenate([inner[:, :-1].ravel(), breaks[-1:]])
    curves = cross_curves(hull, lower, parameter, bow, stern, resolution)
    return CrossFamily(breaks, degree, parameter, curves, bow, stern, resolution)


def cross_curves(hull, lower, parameter, bow, stern, resolution=EXACT):
    """Trace cross curves of given parameters (m,) from the sheer to a line."""
    patch = hull.patch
    v_line = v_on_family(lower.curve, parameter, bow, stern, resolution)
    guess = u_guess(patch)

    def level(k, v):
        return _level(bow, stern, parameter[k], v)

    return trace(
        patch, parameter, level, np.full(len(parameter), patch.v_range[0]), v_line,
        lambda k, v: guess(level(k, v), v), resolution.section_pieces, resolution.section_degree,
    )  # fmt: skip


def _edge_table(hull, edge, s_line, resolution):
    """x(v) of the edge, its x values from the sheer to the line's end, their arc's length.

    Between the ends of the hull the line may lie lower on the surface than at its ends: there
    the cross curves need the edge below the line's end too.
    """
    total = hull.boundary.length
    lo, hi = (0.0, hull.s_stem_end) if edge == "stem" else (hull.s_stern_start, total)
    near = (0.0, s_line) if edge == "stem" else (s_line, total)
    lo, hi = min(lo, near[0]), max(hi, near[1])
    # places on the curve's own pieces, the ends of the range included
    if resolution.section_pieces is None:
        inner = hull.boundary.s_breaks
        # an interval next to nothing would make the interpolation of high degree run wild
        own = np.unique([lo, s_line, hi])
        apart = np.abs(inner[:, None] - own).min(axis=1) > _LEAST_INTERVAL * (hi - lo)
        cuts = np.unique(np.concatenate([own, inner[(inner > lo) & (inner < hi) & apart]]))
        cuts = cuts[np.concatenate([[True], np.diff(cuts) > 1e-9 * (hi - lo)])]
        s = np.unique(np.concatenate([np.linspace(a, b, 33) for a, b in zip(cuts[:-1], cuts[1:])]))
        c = hull.boundary.at(s)
        v, x = c.uv[:, 1], c.p[:, 0]
    else:
        table = hull.boundary.table
        inner = table.start
        clear = (inner > lo + 1.0) & (inner < hi - 1.0) & (np.abs(inner - s_line) > 1.0)
        s = np.unique(np.concatenate([[lo, s_line, hi], inner[clear]]))
        k = np.zeros(len(s), int)
        v, x = table.parameters(k, s, 0)[0][:, 1], table.points(k, s, 0)[0][:, 0]
    if edge == "stern":
        s, v, x = s[::-1], v[::-1], x[::-1]
    own = (s >= near[0] - 1e-9) & (s <= near[1] + 1e-9)
    # below the line's end only as far as the edge goes on downwards
    falls = np.flatnonzero(np.diff(v) <= 0.0)
    if len(falls) and falls[0] + 1 >= np.count_nonzero(own):
        s, v, x, own = (a[: falls[0] + 1] for a in (s, v, x, own))
    if np.any(np.diff(v) <= 0.0):
        raise PlanError(
            f"{hull.name}: the {edge} edge does not run steadily down from the sheer",
            f"near {hull.frame.station_label(float(x[0]))}",
            "look for a fold in the surface there, or choose the stem edge by hand",
        )
    return _EdgePosition(make_interp_spline(v, x, k=5), float(v[-1])), x[own], near[1] - near[0]


@dataclass(frozen=True, eq=False)
class _EdgePosition:
    """Ship x (n,) of an edge at v (n,); below its end the parabola that fits it there."""

    spline: object
    v_end: float

    def __call__(self, v):
        past = np.maximum(v - self.v_end, 0.0)
        if not np.any(past):
            return self.spline(v)
        slope, bend = (float(self.spline(self.v_end, k)) for k in (1, 2))
        return self.spline(np.minimum(v, self.v_end)) + past * (slope + 0.5 * past * bend)

    def slope(self, v):
        """Its change with v."""
        past = np.maximum(v - self.v_end, 0.0)
        return self.spline(np.minimum(v, self.v_end), 1) + past * float(self.spline(self.v_end, 2))


def _mean_girth(hull, lower, fallback, resolution):
    """Mean girth from the sheer to the line over the ship's length, mm."""
    ends = lower.curve.nodes[[0, -1], [0, -1]]
    x0, x1 = hull.patch.points(ends[:, 0], ends[:, 1])[:, 0]
    x = np.linspace(x0, x1, 12)[1:-1]
    ends = hull.sheer.nodes[[0, -1], [0, -1]]
    first, last = hull.patch.points(ends[:, 0], ends[:, 1])[:, 0]
    if resolution.section_pieces is not None and first <= x[0] and x[-1] <= last:
        fans = (Fan("stem", x0, 0.0, None), Fan("stern", x1, 0.0, None))
        return float(np.mean(cross_curves(hull, lower, x, *fans, resolution).girth))
    sections = sections_at(hull, x)
    k, piece, t = plane_crossings(lower.curve, x)
    if not len(k):
        return fallback
    return float(np.mean(sections.girth_at_v(k, lower.curve.uv_local(piece, t)[:, 1])))


def v_on_family(curve, parameter, bow, stern, resolution=EXACT):
    """The surface's v (m,) where a line from stem to stern passes cross curves (m,)."""
    if resolution.section_pieces is not None:
        found = _near_v_on_family(curve, parameter, bow, stern)
        if found is not None:
            return found
    piece, x = line_on_family(curve, parameter, bow, stern)
    return curve.uv_local(piece, x)[:, 1]


def _near_v_on_family(curve, parameter, bow, stern):
    """The same by Newton's method in the curve's table; None where it does not settle."""
    table = curve.table
    length = table.length[0]
    knots = np.concatenate([table.start, [length]])
    none = np.zeros(len(knots), int)
    x = np.maximum.accumulate(table.points(none, knots, 0)[0][:, 0])
    inside = np.clip(parameter, bow.x_section, stern.x_section)
    s = np.interp(inside, x, knots)
    for fan, z, end in (
        (bow, bow.x_section - parameter, 0.0), (stern, parameter - stern.x_section, length)
    ):  # fmt: skip
        rows = z > 0.0
        if rows.any():
            s[rows] += z[rows] / fan.reach * (end - s[rows])
    k = np.zeros(len(s), int)
    for _ in range(_LOOKS):
        p, t = table.points(k, s)
        uv, d = table.parameters(k, s, 1)
        gap = p[:, 0] - _level(bow, stern, parameter, uv[:, 1])
        step = gap / (t[:, 0] - _slope(bow, stern, parameter, uv[:, 1]) * d[:, 1])
        s = np.clip(s - step, 0.0, length)
        if not np.all(np.isfinite(step)):
            return None
        if np.max(np.abs(step)) < _NEAR * length:
            v = table.parameters(k, s, 0)[0][:, 1]
            # the family's first and last curves meet the line in its very ends
            ends = curve.nodes[[0, -1], [0, -1], 1]
            v[parameter <= bow.x_section - bow.reach] = ends[0]
            v[parameter >= stern.x_section + stern.reach] = ends[1]
            return v
    return None


def _slope(bow, stern, parameter, v):
    """Change of `_level` with v."""
    out = np.zeros(len(v))
    for fan, z in ((bow, bow.x_section - parameter), (stern, parameter - stern.x_section)):
        rows = z > 0.0
        if rows.any():
            out[rows] = fan.slope(z[rows], v[rows])
    return out


def line_on_family(curve, parameter, bow, stern, per_piece=12):
    """Where a line from stem to stern passes the cross curves.

    Parameters
    ----------
    curve : SurfaceCurve
        Its ends lie on the edges that the fans end on.
    parameter : (m,)

    Returns
    -------
    piece : (m,) int
    x : (m,) local parameters
    """
    grid = np.linspace(-1.0, 1.0, per_piece + 1)
    e = np.repeat(np.arange(curve.pieces), per_piece + 1)
    g = np.tile(grid, curve.pieces)
    uv, jet = curve._jets(e, g, 0)
    m, n = len(parameter), len(e)

    def gap(k, uv, p):
        return p[:, 0] - _level(bow, stern, parameter[k], uv[:, 1])

    k = np.repeat(np.arange(m), n)
    f = gap(k, np.tile(uv, (m, 1)), np.tile(jet.p, (m, 1))).reshape(m, n)
    # x grows along the line: the crossing lies after the last sample that is before the curve
    before = f < 0.0
    last = np.where(before.any(axis=1), n - 1 - np.argmax(before[:, ::-1], axis=1), 0)
    last = np.minimum(last, n - 2)
    same = e[last] == e[last + 1]
    last = np.where(same, last, np.minimum(last + 1, n - 2))
    rows = np.arange(m)
    a, b = g[last], g[last + 1]
    piece = e[last]
    fa, fb = f[rows, last], f[rows, last + 1]

    def value(t):
        uv, jet = curve._jets(piece, t, 0)
        return gap(rows, uv, jet.p)

    t = bracketed_roots(value, a, b, fa, fb)
    # the family's first and last curves meet the line in its very ends
    fore = parameter <= bow.x_section - bow.reach
    piece[fore], t[fore] = 0, -1.0
    aft = parameter >= stern.x_section + stern.reach
    piece[aft], t[aft] = curve.pieces - 1, 1.0
    return piece, t

