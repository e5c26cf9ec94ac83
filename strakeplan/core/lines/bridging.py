# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line over a hollow: what a real string does, and how far that is from laid.

Belts use the string's foot on the hull; where the string bridges, a plank laid on that line
has to be pulled in by the gap.
"""

from dataclasses import dataclass, replace
from typing import Optional, Tuple

import numpy as np
from scipy.spatial import cKDTree

from ..errors import PlanError
from .line import LEAVES, HullLine, require_inside
from .stretched import Bridge, Run, bridge_on_patch
from .taut import taut_line

__all__ = ["BridgedLine", "HullRun", "bridge_on_patch", "bridging_line"]

_SAMPLES = 2000  # of the laid line, among which the nearest place is looked for


@dataclass(frozen=True, eq=False)
class HullRun(Run):
    """A stretch of the string, in model coordinates.

    Attributes
    ----------
    stations : (2,)
        Of lift-off and touch-down, model coordinates along the ship, mm, bow end first.
    gap_station : float or None
        Of the greatest gap.
    """

    stations: Tuple[float, float] = (0.0, 0.0)
    gap_station: Optional[float] = None


@dataclass(frozen=True, eq=False)
class BridgedLine:
    """A taut string from stem to stern that bridges hollows.

    Attributes
    ----------
    line : HullLine
        The string's foot on the hull; the laid line itself where there is no hollow.
    runs : tuple of HullRun
        From the bow aft, laid and free in turn; places in model coordinates.
    length : float
        True length of the string, mm.
    error_length : float
        Bound of its numerical error, mm.
    laid : HullLine
        The geodesic between the same ends.
    off_laid : float
        Greatest distance on the hull between the foot and the laid line, mm.
    off_laid_place : (3,)
        Where on the foot, in model coordinates.
    off_laid_station : float
        The same as a model coordinate along the ship.
    bridge : Bridge
        The string in ship coordinates.
    """

    line: HullLine
    runs: Tuple[HullRun, ...]
    length: float
    error_length: float
    laid: HullLine
    off_laid: float
    off_laid_place: np.ndarray
    off_laid_station: float
    bridge: Bridge
    frame: object

    @property
    def free_runs(self):
        """The runs that bridge."""
        return tuple(r for r in self.runs if r.kind == "free")

    @property
    def greatest_gap(self):
        """Greatest distance of the string off the hull, mm."""
        return max((r.gap for r in self.runs), default=0.0)

    def points(self, s):
        """Points (n, 3) of the string, model coordinates, at lengths s (n,) from the bow."""
        return self.frame.points_to_model(self.bridge.points(s))


def bridging_line(hull, line):
    """The taut line as a string that bridges the hollows of a hull.

    Parameters
    ----------
    hull : PlankedSurface
    line : HullLine, or sequence of two Mark
        A laid taut line, whose ends the string keeps; or the marks to find it by. Of a line
        through aim marks the string keeps the ends: over a hollow it leaves the marks.

    Returns
    -------
    BridgedLine

    Raises
    ------
    PlanError
        Marks between which no line runs; a foot that leaves the planked surface; a hollow in
        which the string has no single foot.
    """
    laid = line if isinstance(line, HullLine) else taut_line(hull, line, look_for_others=False)
    uv = laid.curve.nodes
    bridge = bridge_on_patch(
        hull.patch, uv[0, 0], uv[-1, -1], laid=laid.curve, name=hull.name,
        place=lambda p: f"at {hull.frame.station_label(p[0])}",
    )  # fmt: skip
    runs = tuple(_in_model(hull.frame, r) for r in bridge.runs)
    if not bridge.free_runs:
        start = laid.curve.points([0.0])[0]
        return BridgedLine(
            laid, runs, laid.curve.length, laid.error_length, laid, 0.0,
            hull.frame.points_to_model(start), float(hull.frame.to_model_station(start[0])),
            replace(bridge, foot=laid.curve, feet=(laid.curve,)), hull.frame,
        )  # fmt: skip
    _require_foot_inside(hull, bridge.foot)
    foot = HullLine(
        "Bridging taut line", bridge.foot, laid.s_bow, laid.s_stern,
        max(bridge.error_position, laid.error_position), bridge.error_length,
        laid.notes + tuple(_note(hull, r) for r in runs if r.kind == "free"),
    )  # fmt: skip
    off, place = _greatest_distance(bridge.foot, laid.curve)
    return BridgedLine(
        foot, runs, bridge.length, bridge.error_length, laid, off,
        hull.frame.points_to_model(place), float(hull.frame.to_model_station(place[0])),
        bridge, hull.frame,
    )  # fmt: skip


def _in_model(frame, run):
    gap = run.gap_place
    return HullRun(
        run.kind, run.s, frame.points_to_model(run.ends), run.gap, run.gap_s,
        None if gap is None else frame.points_to_model(gap),
        tuple(float(x) for x in frame.to_model_station(run.ends[:, 0])),
        None if gap is None else float(frame.to_model_station(gap[0])),
    )  # fmt: skip


def _note(hull, run):
    label = lambda x: hull.frame.station_label(float(hull.frame.to_ship_station(x)))  # noqa: E731
    return (
        f"The string bridges a hollow from {label(run.stations[0])} to {label(run.stations[1])}: "
        f"a plank must be pulled in by up to {run.gap:.1f} mm, at {label(run.gap_station)}."
    )


def _require_foot_inside(hull, foot):
    def error(c, edge):
        return PlanError(
            f"{hull.name}: the foot of the string that bridges a hollow {LEAVES[edge]}",
            f"at {hull.frame.station_label(c.p[0, 0])}",
            "lower the marks" if edge == "sheer" else "raise the marks",
        )

    require_inside(hull, foot, error)


def _greatest_distance(curve, other):
    """Greatest distance (mm) from a curve to another, and the point (3,) of the first."""
    a = curve.sample(801)
    b = other.sample(_SAMPLES + 1)
    s = b.s[cKDTree(b.p).query(a.p)[1]]
    for _ in range(3):
        c = other.at(s)
        s = np.clip(s + np.einsum("ij,ij->i", a.p - c.p, c.t), 0.0, other.length)
    distance = np.linalg.norm(a.p - other.points(s), axis=1)
    k = int(np.argmax(distance))
    return float(distance[k]), a.p[k]
