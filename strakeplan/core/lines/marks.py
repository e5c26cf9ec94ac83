# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks on the hull: where a line is aimed or made fast."""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..errors import PlanError
from ..sections import sections_at
from .closest import closest_on_patch
from .line import nearest_on_boundary

__all__ = ["Mark", "Place", "places"]


@dataclass(frozen=True)
class Mark:
    """A mark as a builder gives it.

    Either `station` or `edge` with `girth` or `share`, or `point` alone.

    Parameters
    ----------
    station : float
        Model coordinate along the ship, mm.
    edge : 'stem' or 'stern'
        A hood end instead of a station.
    girth : float
        Girth below the sheer, mm.
    share : float
        The same as a share (0 to 1) of the whole girth there.
    point : (float, float, float)
        A picked point in model coordinates, mm; its nearest point on the hull is meant.
    """

    station: Optional[float] = None
    edge: Optional[str] = None
    girth: Optional[float] = None
    share: Optional[float] = None
    point: Optional[Tuple[float, float, float]] = None

    @staticmethod
    def at(station, girth):
        """Mark at a station and a girth below the sheer, both in mm."""
        return Mark(station=station, girth=girth)

    @staticmethod
    def end(edge, girth):
        """Mark on 'stem' or 'stern' at a girth below the sheer, mm."""
        return Mark(edge=edge, girth=girth)


@dataclass(frozen=True, eq=False)
class Place:
    """A mark found on the hull.

    Attributes
    ----------
    uv : (2,)
    p : (3,) ship coordinates, mm
    label : str
        How messages call it.
    edge : 'stem', 'stern' or None
    s : float or None
        Arc length on the boundary where the mark is on an end.
    """

    uv: np.ndarray
    p: np.ndarray
    label: str
    edge: Optional[str] = None
    s: Optional[float] = None


def places(hull, marks):
    """Find marks on the hull.

    Parameters
    ----------
    hull : PlankedSurface
    marks : sequence of Mark

    Returns
    -------
    list of Place, in the order of the marks

    Raises
    ------
    PlanError
        A mark that says too little or too much, is off the girth, or does not lie on the
        planked surface.
    """
    return [_place(hull, mark) for mark in marks]


def _place(hull, mark):
    given = [mark.station is not None, mark.edge is not None, mark.point is not None]
    numbers = [v for v in (mark.station, mark.girth, mark.share) if v is not None]
    if sum(given) != 1 or not all(_is_number(v) for v in numbers):
        raise PlanError(
            f"{hull.name}: a mark needs one of a station, an end or a point, and finite numbers",
            f"the mark given: {mark}",
            "give each mark as a station or an end with a girth or a share, or as a point",
        )  # fmt: skip
    if mark.point is not None:
        return _picked(hull, mark.point)
    if (mark.girth is None) == (mark.share is None):
        raise PlanError(
            f"{hull.name}: a mark needs either a girth below the sheer or a share of the girth", "",
            "give one of the two",
        )  # fmt: skip
    if mark.edge is not None:
        return _on_end(hull, mark)
    return _on_station(hull, mark)


def _is_number(value):
    return isinstance(value, (int, float, np.number)) and bool(np.isfinite(value))


def _on_end(hull, mark):
    if mark.edge not in ("stem", "stern"):
        raise PlanError(f"{hull.name}: {mark.edge!r} is no end of the hull", "", "give stem or stern")
    length = hull.stem_length if mark.edge == "stem" else hull.stern_length
    girth = mark.girth if mark.share is None else mark.share * length
    s = hull.arc_at_girth(mark.edge, girth)
    c = hull.boundary.at([s])
    return Place(c.uv[0], c.p[0], f"{girth:.0f} mm below the sheer at the {mark.edge}", mark.edge, s)


def _on_station(hull, mark):
    x = float(hull.frame.to_ship_station(mark.station))
    section = sections_at(hull, [x])
    whole = float(section.girth[0])
    girth = mark.girth if mark.share is None else mark.share * whole
    if not 0.0 <= girth <= whole:
        raise PlanError(
            f"{hull.name}: the mark {girth:.1f} mm below the sheer is off the girth",
            f"at {hull.frame.station_label(x)} the girth is {whole:.1f} mm",
            "choose a girth between nothing and that",
        )
    c = section.at_girth([0], np.array([girth]))
    return Place(c.uv[0], c.p[0], f"{girth:.0f} mm below the sheer at {hull.frame.station_label(x)}")


_ON_HULL = 50.0  # mm: a picked point farther than this from the hull was not picked on it
_ON_EDGE = 1.0  # mm: nearer than this to the stem or the stern means the edge


def _picked(hull, point):
    if len(point) != 3 or not all(_is_number(v) for v in point):
        raise PlanError(f"{hull.name}: a picked point is not three numbers", "", "pick it again")
    p = hull.frame.points_to_ship(np.array(point, float))
    uv, distance = closest_on_patch(hull.patch, p[None])
    where = hull.frame.place(p)
    if distance[0] > _ON_HULL or hull.inside(uv[:, 0], uv[:, 1])[0] < -_ON_EDGE:
        raise PlanError(
            f"{hull.name}: a picked point lies off the planked surface", where,
            "pick a point on the hull between sheer and rabbet",
        )  # fmt: skip
    s = _nearest_on_boundary(hull, uv[0])
    on = hull.boundary.at([s])
    near = np.linalg.norm(on.p[0] - hull.patch.points(uv[0, 0], uv[0, 1])[0])
    for edge, lo, hi in (
        ("stem", 0.0, hull.s_stem_end), ("stern", hull.s_stern_start, hull.boundary.length),
    ):  # fmt: skip
        if near < _ON_EDGE and lo <= s <= hi:
            return Place(on.uv[0], on.p[0], f"the point picked {where}", edge, s)
    return Place(uv[0], hull.patch.points(uv[0, 0], uv[0, 1])[0], f"the point picked {where}")


def _nearest_on_boundary(hull, uv):
    """Arc length of the boundary's point nearest to a point of the patch, to rounding."""
    p = hull.patch.points(uv[0], uv[1])[0]
    s = nearest_on_boundary(hull, uv)
    for _ in range(8):
        c = hull.boundary.at([s])
        step = float((p - c.p[0]) @ c.t[0])
        s = min(max(s + step, 0.0), hull.boundary.length)
        if abs(step) < 1e-9:
            break
    return s
