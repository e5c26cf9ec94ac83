# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a line on the hull asks of a plank that follows it, and where it runs."""

from dataclasses import dataclass
from typing import NamedTuple, Tuple

import numpy as np

from ..curve import SurfaceCurve
from ..develop import edge_set
from ..errors import PlanError
from ..sections import plane_crossings, sections_at
from .closeness import Closeness, distances_square_to

__all__ = ["Extreme", "LineReport", "StationGirth", "line_report"]

_PLACES = 201
_APART = 33  # places at which the distance to another line is taken


class Extreme(NamedTuple):
    """A figure, and the model coordinate along the ship where it is."""

    value: float
    station: float


class StationGirth(NamedTuple):
    """Girth of the line below the sheer at a station.

    ``girth`` mm, nan where the station does not cross the line; ``whole`` the whole girth
    there; ``s`` the arc length along the line from the bow.
    """

    name: str
    x: float
    girth: float
    whole: float
    s: float


@dataclass(frozen=True, eq=False)
class LineReport:
    """Figures of a line.

    Attributes
    ----------
    kind : str
    length : float
        mm.
    bow_girth, stern_girth : float
        Below the sheer along the stem and stern edge, mm; nan for a curve that is no HullLine.
    girths : tuple of StationGirth
    s, station : (n,) places along the line: arc length from the bow, model coordinate, mm
    edgewise : (n,) kappa_g, 1/mm, positive where the line turns towards the keel going aft
    flatwise : (n,) bend across the flat, 1/mm, positive where the hull is round along the line
    twist : (n,) degrees per metre, the rate at which a plank on the line turns about it
    edgewise_most, flatwise_most, flatwise_least, twist_most : Extreme
        The first and the last of the size.
    plank_length : float
        mm.
    edge_set : Extreme
        Greatest edge set of a plank of that length, mm, and the middle of its place.
    closeness : tuple of Closeness
    error_position, error_length : float
        The line's own, mm.
    error_edge_set : float
        mm: the change when the places compared lie twice as close.
    notes : tuple of str
    """

    kind: str
    length: float
    bow_girth: float
    stern_girth: float
    girths: Tuple[StationGirth, ...]
    s: np.ndarray
    station: np.ndarray
    edgewise: np.ndarray
    flatwise: np.ndarray
    twist: np.ndarray
    edgewise_most: Extreme
    flatwise_most: Extreme
    flatwise_least: Extreme
    twist_most: Extreme
    plank_length: float
    edge_set: Extreme
    closeness: Tuple[Closeness, ...]
    error_position: float
    error_length: float
    error_edge_set: float
    notes: Tuple[str, ...] = ()

def line_report(hull, line, stations=(), plank_length=5000.0, others=(), places=_PLACES):
    """Report on a line.

    Parameters
    ----------
    hull : PlankedSurface
    line : HullLine
    stations : sequence of Station
    plank_length : float
        mm: length of the plank whose edge set is wanted.
    others : sequence of (name, line)
        HullLine, TuckLine or SurfaceCurve each.
    places : int
        How many places along the line the arrays hold.

    Returns
    -------
    LineReport

    Raises
    ------
    PlanError
        A plank length that is no length.
    """
    if not np.isfinite(plank_length) or plank_length <= 0.0:
        raise PlanError(
            f"{hull.name}: a plank of {plank_length:g} mm has no length", "", "give a length above 0 mm"
        )
    curve = getattr(line, "curve", line)
    model = hull.frame.to_model_station
    c = curve.sample(places)
    twist = np.degrees(c.tau_g) * 1000.0
    # every knot span is looked at for the extremes, both sides of every joint
    dense = _dense(curve)
    at = lambda k: float(model(dense.p[k, 0]))  # noqa: E731
    most = lambda f: Extreme(float(f[np.argmax(np.abs(f))]), at(np.argmax(np.abs(f))))  # noqa: E731
    flat = -dense.kappa_n  # kappa_n counts with the outward normal
    notes = []
    value, where = edge_set(curve, plank_length)
    finer, _ = edge_set(curve, plank_length, spacing=12.5)
    middle = float(model(curve.points([where])[0, 0]))
    if plank_length >= curve.length:
        notes.append(f"The line is {curve.length:.0f} mm long, shorter than the plank; the edge set is the whole line's.")
    girths, missing = _girths(hull, curve, stations)
    if missing:
        notes.append("The line does not cross " + ", ".join(missing) + ".")
    closeness = tuple(_closeness(hull, curve, name, getattr(o, "curve", o)) for name, o in others)
    floor = 1e-13 * hull.patch.size
    return LineReport(
        kind=getattr(line, "kind", "Line"), length=curve.length,
        bow_girth=_end_girth(hull, "stem", getattr(line, "s_bow", None)),
        stern_girth=_end_girth(hull, "stern", getattr(line, "s_stern", None)),
        girths=girths, s=c.s, station=model(c.p[:, 0]),
        edgewise=c.kappa_g, flatwise=-c.kappa_n, twist=twist,
        edgewise_most=most(dense.kappa_g),
        flatwise_most=Extreme(float(flat.max()), at(int(np.argmax(flat)))),
        flatwise_least=Extreme(float(flat.min()), at(int(np.argmin(flat)))),
        twist_most=most(np.degrees(dense.tau_g) * 1000.0),
        plank_length=float(plank_length), edge_set=Extreme(value, middle), closeness=closeness,
        error_position=float(getattr(line, "error_position", np.nan)),
        error_length=float(getattr(line, "error_length", np.nan)),
        error_edge_set=max(abs(finer - value), floor), notes=tuple(notes),
    )  # fmt: skip


def _end_girth(hull, end, s):
    """Girth where a line ends; nan for a curve that knows no end, or a line that ends on the sheer."""
    return float("nan") if s is None else float(getattr(hull, f"{end}_girth")(s))


def _dense(curve, per_piece=24):
    x = np.tile(np.linspace(-1.0, 1.0, per_piece + 1), curve.pieces)
    return curve.at_local(np.repeat(np.arange(curve.pieces), per_piece + 1), x)


def _girths(hull, curve, stations):
    """Girths of the line at the stations, and the names of those it does not cross."""
    stations = tuple(stations)
    if not stations:
        return (), []
    x = hull.frame.to_ship_station(np.array([s.x for s in stations], float))
    sections = sections_at(hull, x)
    whole = sections.girth
    k, piece, local = _crossings(hull, curve, x)
    girth, s = np.full(len(x), np.nan), np.full(len(x), np.nan)
    if len(k):
        found = sections.girth_at_v(k, curve.uv_local(piece, local)[:, 1])
        arcs = curve.arc_length(piece, local)
        for row in range(len(k) - 1, -1, -1):  # the first crossing from the bow counts
            girth[k[row]], s[k[row]] = found[row], arcs[row]
    out = tuple(
        StationGirth(st.name, float(st.x), float(g), float(w), float(a))
        for st, g, w, a in zip(stations, girth, whole, s)
    )
    return out, [f"station {st.name}" for st in out if not np.isfinite(st.girth)]


def _crossings(hull, curve, x):
    """Where the line passes stations: as `plane_crossings`, in the order of the line.

    A station just where two pieces of the line meet (an aim mark) may fall by rounding
    between the end of one and the start of the next.
    """
    k, piece, local = plane_crossings(curve, x)
    joints = curve.points(curve.s_breaks)[:, 0]
    for row in np.setdiff1d(np.arange(len(x)), k):
        near = int(np.argmin(np.abs(joints - x[row])))
        if abs(joints[near] - x[row]) < 1e-12 * hull.patch.size:
            last = min(near, curve.pieces - 1)
            k, piece = np.append(k, row), np.append(piece, last)
            local = np.append(local, -1.0 if last == near else 1.0)
    return k, piece, local


def _closeness(hull, curve, name, other):
    if not isinstance(other, SurfaceCurve):
        raise PlanError(f"{hull.name}: {name} is no line on the hull", "", "give lines or curves on this hull")
    s = np.linspace(0.0, curve.length, _APART)
    distance, _, slope = distances_square_to(curve, other, s)
    station = hull.frame.to_model_station(curve.points(s)[:, 0])
    met = np.flatnonzero(np.isfinite(distance))
    nothing = (float("nan"), float("nan"))
    least = greatest = nothing
    per_metre, crossings = float("nan"), np.empty(0)
    if len(met):
        size = np.abs(distance[met])
        least = (float(size.min()), float(station[met[np.argmin(size)]]))
        greatest = (float(size.max()), float(station[met[np.argmax(size)]]))
        if len(met) > 1:
            per_metre = float(np.ptp(distance[met]) / (s[met[-1]] - s[met[0]]) * 1000.0)
        a, b = distance[:-1], distance[1:]
        change = np.flatnonzero(np.isfinite(a) & np.isfinite(b) & ((a >= 0.0) != (b >= 0.0)))
        share = a[change] / (a[change] - b[change])
        crossings = station[change] + share * (station[change + 1] - station[change])
    return Closeness(name, s, station, distance, slope, least, greatest, per_metre, crossings)
