# SPDX-License-Identifier: LGPL-2.1-or-later
"""Stations: the transverse planes at which girths are taken and marks are given."""

import re
from dataclasses import dataclass

import numpy as np

from .errors import PlanError

__all__ = ["Station", "add_half_stations", "stations_at", "stations_spaced"]

_MOST = 1000  # stations of one hull; more is a spacing in the wrong unit


@dataclass(frozen=True)
class Station:
    """One transverse plane.

    Attributes
    ----------
    name : str
    x : float
        The model's coordinate along the ship's length, mm.
    """

    name: str
    x: float


def stations_at(hull, positions, half=False):
    """Stations at given positions.

    Parameters
    ----------
    hull : PlankedSurface
    positions : sequence
        Numbers (model coordinates along the ship's length, mm), 'name: position' texts,
        (name, position) pairs, or one text of such entries parted by semicolons or
        commas. In order along the ship, either way. Without names they are numbered 1, 2, ...
        from the bow aft.
    half : bool
        Half stations between neighbours too.

    Returns
    -------
    tuple of Station, from the bow aft

    Raises
    ------
    PlanError
        An entry that cannot be read, positions out of order, given twice or outside the
        hull, or a name given twice.
    """
    if isinstance(positions, str):
        positions = [p for p in re.split(r"[;,\n]", positions) if p.strip()]
    entries = [_entry(p, hull.name) for p in positions]
    if not entries:
        raise PlanError(
            f"{hull.name}: no stations are given", "", "give positions along the ship in mm, or a spacing"
        )
    x = np.array([e[1] for e in entries])
    step = np.diff(x)
    if np.any(step == 0.0):
        k = int(np.nonzero(step == 0.0)[0][0])
        raise PlanError(
            f"{hull.name}: two stations lie at the same place",
            f"stations {k + 1} and {k + 2} of the list, at {x[k]:g} mm", "leave one of them out",
        )  # fmt: skip
    if np.any(step > 0.0) and np.any(step < 0.0):
        sense = np.sign(step[0])
        k = int(np.nonzero(np.sign(step) != sense)[0][0])
        raise PlanError(
            f"{hull.name}: the stations are not in order along the ship",
            f"{x[k + 1]:g} mm follows {x[k]:g} mm in the list", "sort the positions from bow to stern",
        )  # fmt: skip
    ship = hull.frame.to_ship_station(x)
    order = np.argsort(ship)
    named = [(entries[k][0] or str(i + 1), float(ship[k])) for i, k in enumerate(order)]
    names = [n for n, _ in named]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise PlanError(
            f"{hull.name}: two stations are called {twice[0]!r}", "", "give every station its own name"
        )
    _check_inside(hull, named)
    return _finish(hull, named, half)


def stations_spaced(hull, spacing, origin=None, half=False):
    """Stations at equal distances, numbered from the bow aft.

    Parameters
    ----------
    hull : PlankedSurface
    spacing : float
        mm.
    origin : float, optional
        Model coordinate of station 0; the stem head of the face, before any trimming to the
        half siding, where not given.
    half : bool
        Half stations too.

    Returns
    -------
    tuple of Station
        Those that cut the planking. Station 0 at the stem head does not, so the first
        is usually station 1 (or 1/2); before a given origin the numbers are negative.

    Raises
    ------
    PlanError
        A spacing that is not positive, or longer than the hull, or an origin off the hull.
    """
    try:
        spacing = float(spacing)
    except (TypeError, ValueError):
        spacing = float("nan")
    lo, hi = hull.x_range
    if not (np.isfinite(spacing) and spacing > 0.0):
        raise PlanError(
            f"{hull.name}: a station spacing of {spacing:g} mm is no distance", "",
            "give a spacing above 0 mm",
        )  # fmt: skip
    if spacing > hi - lo or (hi - lo) / spacing > _MOST:
        raise PlanError(
            f"{hull.name}: a station spacing of {spacing:g} mm does not suit a hull "
            f"{hi - lo:.0f} mm long", "",
            f"give a spacing between {np.ceil((hi - lo) / _MOST):.0f} and {np.floor(hi - lo):.0f} mm",
        )  # fmt: skip
    if origin is None:
        # the face's own stem head: trimming to the siding must not move the stations
        stem_head = float(hull.patch.points([hull.patch.u_range[0]], [hull.patch.v_range[0]])[0, 0])
        start = round(stem_head, 9)  # rounding of the surface's evaluation is no place on a hull
    else:
        start = float(hull.frame.to_ship_station(float(origin)))
        if not np.isfinite(start) or not lo - spacing <= start <= hi:
            raise PlanError(
                f"{hull.name}: station 0 at {float(origin):g} mm is off the hull, "
                f"which lies between {_span(hull)}",
                "", "give an origin on the hull, or none to count from the stem head",
            )  # fmt: skip
    clear = _clearance(hull)
    first = int(np.ceil((lo + clear - start) / spacing))
    last = int(np.floor((hi - clear - start) / spacing))
    named = [(str(k), start + k * spacing) for k in range(first, last + 1)]
    if not half:
        return _finish(hull, named, False)
    # a half station may lie in the planking where a whole one beside it does not
    halves = [(_half_name(str(k)), start + (k + 0.5) * spacing) for k in range(first - 1, last + 1)]
    halves = [s for s in halves if lo + clear <= s[1] <= hi - clear]
    return _finish(hull, sorted(named + halves, key=lambda s: s[1]), False)


def add_half_stations(stations):
    """The stations with one more midway between every two neighbours.

    Returns
    -------
    tuple of Station; '3 1/2' lies between '3' and the next aft of it.
    """
    out = list(stations[:1])
    for a, b in zip(stations, stations[1:]):
        out += [Station(_half_name(a.name), 0.5 * (a.x + b.x)), b]
    return tuple(out)


# --- helpers ----------------------------------------------------------------------------
def _half_name(name):
    if name == "0":
        return "1/2"
    if re.fullmatch(r"-\d+", name):  # half way from -1 to 0 is -1/2
        whole = int(name[1:]) - 1
        return f"-{whole} 1/2" if whole else "-1/2"
    return f"{name} 1/2"


def _entry(value, hull):
    """(name or None, position) of one entry."""
    name, text = None, value
    if isinstance(value, Station):
        name, text = value.name, value.x
    elif isinstance(value, str):
        head, colon, tail = value.rpartition(":")
        name, text = (head.strip() or None, tail) if colon else (None, value)
        text = re.sub(r"\s*mm\s*$", "", text)
    elif isinstance(value, (tuple, list)) and len(value) == 2:
        name, text = str(value[0]).strip() or None, value[1]
    try:
        x = float(text)
    except (TypeError, ValueError):
        x = float("nan")
    if not np.isfinite(x):
        raise PlanError(
            f"{hull}: the station {value!r} has no position", "",
            "write it as a number in mm, or as 'name: number'",
        )  # fmt: skip
    return name, x


def _clearance(hull):
    """A plane nearer to the hull's tip than this cuts nothing that can be measured, mm."""
    lo, hi = hull.x_range
    return 1e-6 * (hi - lo)


def _span(hull):
    a, b = sorted(float(hull.frame.to_model_station(x)) for x in hull.x_range)
    return f"{a:.0f} and {b:.0f} mm"


def _check_inside(hull, named):
    lo, hi = hull.x_range
    clear = _clearance(hull)
    for name, x in named:
        if not lo + clear <= x <= hi - clear:
            raise PlanError(
                f"{hull.name}: station {name!r} at {float(hull.frame.to_model_station(x)):g} mm "
                f"cuts no planking; the planking lies between {_span(hull)}",
                "ahead of the stem" if x < lo + clear else "abaft the stern",
                "move the station onto the hull, or leave it out",
            )


def _finish(hull, named, half):
    out = tuple(Station(n, float(hull.frame.to_model_station(x))) for n, x in named)
    return add_half_stations(out) if half else out
