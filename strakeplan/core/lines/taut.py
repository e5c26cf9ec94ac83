# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line: where a string stretched round the hull lies, a geodesic.

A straight plank of any width whose middle lies on it needs no edge set.
"""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..sections import sections_at
from .line import LEAVES, HullLine, edge_left, lateral_distance, nearest_on_boundary, require_inside
from .march import march
from .relax import end_pull, geodesic_between, relax

__all__ = ["taut_between_ends", "taut_through_marks"]

_COARSE, _FINE = 8, 16  # least elements of the two runs that are compared
_LONGEST = 20  # tenths of the hull's size within which a line must reach an end
_ROUNDS = 6  # of sliding a free end and laying the elements again


def taut_between_ends(hull, bow_girth, stern_girth):
    """Taut line between two end marks.

    Parameters
    ----------
    hull : PlankedSurface
    bow_girth, stern_girth : float
        Girth below the sheer along the stem and along the stern edge, mm.

    Returns
    -------
    HullLine

    Raises
    ------
    PlanError
        A mark off its edge; a line that leaves the planked surface on its way.
    """
    s_bow = hull.arc_at_girth("stem", bow_girth)
    s_stern = hull.arc_at_girth("stern", stern_girth)
    ends = hull.boundary.at([s_bow, s_stern]).uv
    coarse = geodesic_between(hull.patch, ends[0], ends[1], elements=_COARSE)
    fine = geodesic_between(hull.patch, ends[0], ends[1], guess=coarse, elements=_FINE)

    def error(c, edge):
        return PlanError(
            f"{hull.name}: the taut line from {bow_girth:.0f} mm below the sheer at the stem to "
            f"{stern_girth:.0f} mm below it at the stern {LEAVES[edge]}",
            f"at {hull.frame.station_label(c.p[0, 0])}",
            "lower the end marks" if edge == "sheer" else "raise the end marks",
        )

    require_inside(hull, fine, error)
    return _line("Taut line between end marks", hull, coarse, fine, s_bow, s_stern)


def _line(kind, hull, coarse, fine, s_bow, s_stern):
    floor = 1e-13 * hull.patch.size  # rounding of the coordinates themselves
    return HullLine(
        kind, fine, float(s_bow), float(s_stern),
        max(lateral_distance(fine, coarse), floor), max(abs(fine.length - coarse.length), floor),
    )  # fmt: skip


def taut_through_marks(hull, mark1, mark2):
    """Taut line through two aim marks, run on to the stem and the stern.

    Parameters
    ----------
    hull : PlankedSurface
    mark1, mark2 : (station, girth)
        Position along the ship in the model's coordinate and girth below the sheer on that
        station's section, mm; in either order.

    Returns
    -------
    HullLine

    Raises
    ------
    PlanError
        Marks off the girth or at the same station; a line that leaves the planked surface
        before it reaches both ends, with the place.
    """
    uv, label = _aim_marks(hull, mark1, mark2)
    runs = []
    to_stern = to_stem = None
    for elements in (_COARSE, _FINE):
        middle = geodesic_between(hull.patch, uv[0], uv[1], elements=max(2, elements // 4))
        to_stern = _run_on(hull, middle, "stern", elements // 2, label, to_stern)
        to_stem = _run_on(hull, middle.reversed(), "stem", elements // 2, label, to_stem)
        (bow, s_bow), (stern, s_stern) = to_stem, to_stern
        runs.append(SurfaceCurve.joined([bow.reversed(), middle, stern]))

    def error(c, edge):
        return PlanError(
            f"{hull.name}: the taut line {label} {LEAVES[edge]}",
            f"at {hull.frame.station_label(c.p[0, 0])}",
            "lower the aim marks" if edge == "sheer" else "raise the aim marks",
        )

    require_inside(hull, runs[1], error)
    return _line("Taut line through aim marks", hull, runs[0], runs[1], s_bow, s_stern)


def _aim_marks(hull, mark1, mark2):
    """Parameters (2, 2) of the marks, fore one first, and how messages call them."""
    marks = np.array([mark1, mark2], float)
    if marks.shape != (2, 2) or not np.isfinite(marks).all():
        raise PlanError(
            f"{hull.name}: an aim mark needs a station and a girth, both numbers", "",
            "give each aim mark as two lengths",
        )  # fmt: skip
    x = hull.frame.to_ship_station(marks[:, 0])
    order = np.argsort(x)
    x, girth = x[order], marks[order, 1]
    if x[1] - x[0] < 1e-3 * hull.patch.size:
        raise PlanError(
            f"{hull.name}: both aim marks stand at {hull.frame.station_label(x[0])}", "",
            "set them apart, about equally far before and abaft the greatest girth",
        )  # fmt: skip
    sections = sections_at(hull, x)
    for k in (0, 1):
        if not 0.0 <= girth[k] <= sections.girth[k]:
            raise PlanError(
                f"{hull.name}: the aim mark {girth[k]:.1f} mm below the sheer is off the girth",
                f"at {hull.frame.station_label(x[k])} the girth is {sections.girth[k]:.1f} mm",
                "choose a girth between nothing and that",
            )
    label = "through the aim marks at " + " and ".join(
        f"{hull.frame.station_label(a)}, girth {g:.0f} mm" for a, g in zip(x, girth)
    )
    return sections.at_girth([0, 1], girth).uv, label


def _run_on(hull, middle, edge, elements, label, guess=None):
    """Go on from the end of a geodesic to the stem or stern edge.

    The far end slides along the edge until the string has no corner at the mark: a root in
    one unknown, each trial being a relaxed string.

    Returns
    -------
    SurfaceCurve from the mark on, and the boundary's arc length at its end
    """
    patch = hull.patch
    start = middle.nodes[-1, -1]
    jet = patch.jets(start[0], start[1], 1)
    pull = end_pull(middle, -1)
    n = np.cross(jet.su[0], jet.sv[0])
    across = np.cross(n / np.linalg.norm(n), pull)
    path, s = guess or _first_reach(hull, start, pull, edge, label)

    limit = hull.boundary.length
    end = hull.boundary.at([s]).uv[0]
    curve = geodesic_between(patch, start, end, guess=path, elements=elements)
    for _ in range(_ROUNDS):
        before = s
        s, curve = _straighten(hull, curve, s, across)
        # the far end has moved: lay the elements on the knot lines again
        curve = geodesic_between(patch, start, curve.nodes[-1, -1], guess=curve, elements=elements)
        if abs(s - before) < 1e-11 * patch.size:
            break
    else:
        raise PlanError(
            f"{hull.name}: the taut line {label} does not settle on the {edge} edge",
            f"near {hull.frame.station_label(float(curve.points([curve.length])[0, 0]))}",
            "move the aim marks a little",
        )
    low, high = {"stem": (0.0, hull.s_stem_end), "stern": (hull.s_stern_start, limit)}[edge]
    if not low <= s <= high:
        raise _leaves(hull, label, "rabbet", curve, edge)
    return curve, s


def _straighten(hull, curve, s, across):
    """Slide the far end along the boundary, on the same elements, until there is no corner.

    Secant steps on the pull's part across the line at the mark.
    """
    patch, limit = hull.patch, hull.boundary.length
    widths = curve.piece_lengths

    def corner(s, nodes):
        nodes = nodes.copy()
        nodes[-1, -1] = hull.boundary.at([s]).uv[0]
        nodes, _ = relax(patch, nodes, widths)
        curve = SurfaceCurve(patch, nodes)
        return float(end_pull(curve, 0) @ across), curve

    f0, curve = corner(s, curve.nodes)
    step = f0 * curve.length
    s1 = s - step if 0.0 <= s - step <= limit else s + step
    for _ in range(12):
        if s1 == s:
            break
        f1, curve = corner(s1, curve.nodes)
        if abs(s1 - s) < 1e-12 * patch.size or f1 == f0:
            break
        s, f0, s1 = s1, f1, float(np.clip(s1 - f1 * (s1 - s) / (f1 - f0), 0.0, limit))
    return s1, curve


def _leaves(hull, label, what, curve, edge):
    return PlanError(
        f"{hull.name}: the taut line {label} {LEAVES[what]} before it reaches the {edge}",
        f"at {hull.frame.station_label(curve.at([curve.length]).p[0, 0])}",
        "lower the aim marks" if what == "sheer" else "raise the aim marks",
    )


def _first_reach(hull, start, direction, edge, label):
    """Follow the geodesic coarsely to the boundary: the path and the arc length there."""
    patch = hull.patch
    step = patch.size / 100.0  # reaches the edge to a millimetre or so
    uv, t = start[None], direction[None]
    for _ in range(_LONGEST):
        run = march(patch, uv[-1:], t, step * np.arange(1, 11), step)
        uv, t = np.vstack([uv, run.uv[:, 0]]), run.t[-1]
        bad = ~np.isfinite(uv).all(axis=1)
        outside = np.flatnonzero(bad | (hull.inside(uv[:, 0], uv[:, 1]) < 0.0))
        outside = outside[outside > 0]
        if len(outside):
            break
    else:
        raise PlanError(
            f"{hull.name}: the taut line {label} does not reach the {edge}", "",
            "move the aim marks apart, fore and aft",
        )  # fmt: skip
    k = int(outside[0])
    lo, hi = 0.0, 1.0
    for _ in range(50):
        mid = 0.5 * (lo + hi)
        trial = uv[k - 1] + mid * (uv[k] - uv[k - 1])
        lo, hi = (mid, hi) if hull.inside(trial[:1], trial[1:])[0] >= 0.0 else (lo, mid)
    end = uv[k - 1] + hi * (uv[k] - uv[k - 1])
    left = edge_left(hull, uv[k - 1] + min(1.0, hi + 1e-6) * (uv[k] - uv[k - 1]))
    path = np.vstack([uv[:k], end])
    path = _polyline(patch, path)
    if left != edge:
        raise _leaves(hull, label, left, path, edge)
    return path, nearest_on_boundary(hull, end)


def _polyline(patch, uv):
    """Straight pieces in the parameter plane as a curve of degree 1."""
    return SurfaceCurve(patch, np.stack([uv[:-1], uv[1:]], axis=1))
