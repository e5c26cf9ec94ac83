# SPDX-License-Identifier: LGPL-2.1-or-later
"""Belts: the hull's side is cut by lines, and each part has its own rule.

A belt that is *divided* takes its seams at shares of the girth between its two lines; in a
*parallel* one the strakes have one width.
"""

from dataclasses import dataclass
from numbers import Real
from typing import Optional, Tuple

import numpy as np
from scipy.interpolate import make_interp_spline

from ..errors import PlanError
from ..lines.line import HullLine

__all__ = ["MOST_STRAKES", "EqualBelt", "GradedBelt", "ParallelBelt", "StationBelt", "is_divided", "is_divided_rule"]

MOST_STRAKES = 200  # of one belt; more is a slip of the pen on any boat


def _is_number(value):
    return isinstance(value, Real) and not isinstance(value, bool) and np.isfinite(value)


def _require_count(count, what):
    if not (_is_number(count) and 1 <= count <= MOST_STRAKES and int(count) == count):
        raise PlanError(
            f"{count} strakes cannot be lined off in the {what} belt", "",
            f"give a whole number of strakes between 1 and {MOST_STRAKES}",
        )  # fmt: skip


def _require_width(width, what):
    if not (_is_number(width) and 1.0 <= width < 1e4):
        raise PlanError(f"a {what} of {width} mm is no width for a plank", "", f"give the {what} in mm")


@dataclass(frozen=True, eq=False)
class EqualBelt:
    """Equal strakes from the belt above (or the sheer) down to a line.

    Parameters
    ----------
    count : int or None
        Number of strakes; None takes the least number whose greatest width, by the tape,
        keeps below `greatest`.
    lower : HullLine or None
        None where the next belt is parallel to its own lower line, and so gives this one's.
    greatest : float or None
        mm.
    """

    count: Optional[int]
    lower: Optional[HullLine]
    greatest: Optional[float] = None

    rule = "equal"

    def __post_init__(self):
        if self.count is None:
            _require_width(self.greatest, "greatest width")
        elif self.greatest is not None:
            raise PlanError(
                "the equal belt has both a number of strakes and a greatest width", "", "give one of them"
            )
        else:
            _require_count(self.count, "equal")

    def counted(self, girth):
        """The same belt with a number of strakes for a greatest girth between its lines, mm."""
        if self.count is not None:
            return self
        count = max(1, int(np.ceil(girth / self.greatest - 1e-9)))
        return EqualBelt(count, self.lower)

    def shares(self, frame, parameter, ends):
        """Share (count - 1, m) of the girth between the lines above each seam.

        Parameters
        ----------
        frame : ShipFrame
        parameter : (m,) of the cross curves
        ends : (float, float), the first and the last parameter
        """
        return np.repeat((np.arange(1, self.count) / self.count)[:, None], len(parameter), axis=1)

    def knots(self, frame):
        """Ship positions where the shares are less smooth than elsewhere."""
        return ()


@dataclass(frozen=True, eq=False)
class GradedBelt:
    """Strakes whose widths keep a given proportion to one another.

    Parameters
    ----------
    weights : tuple of float
        One for every strake from above down; a sheer strake a fifth wider than the next
        has 1.2 where that has 1.
    lower : HullLine or None
        See `EqualBelt`.
    """

    weights: Tuple[float, ...]
    lower: Optional[HullLine]

    rule = "graded"

    def __post_init__(self):
        weights = tuple(self.weights)
        _require_count(len(weights), "graded")
        if not all(_is_number(w) and w > 0.0 for w in weights):
            raise PlanError("a weight of the graded belt is not above 0", "", "give every strake a weight above 0")
        object.__setattr__(self, "weights", tuple(float(w) for w in weights))

    @property
    def count(self):
        """Number of strakes."""
        return len(self.weights)

    def counted(self, girth):
        """Itself: the number of strakes is given."""
        return self

    def shares(self, frame, parameter, ends):
        """See `EqualBelt.shares`."""
        part = np.cumsum(self.weights)
        return np.repeat((part[:-1] / part[-1])[:, None], len(parameter), axis=1)

    def knots(self, frame):
        """None: the shares are the same everywhere."""
        return ()


@dataclass(frozen=True, eq=False)
class StationBelt:
    """Strakes whose widths are given at some stations.

    At a station the widths count in proportion, so that together they fill the girth
    between the lines; between stations the proportions run fair (a natural cubic spline
    over the ship's length). At an end that has no widths of its own they are those of the
    nearest station.

    Parameters
    ----------
    positions : (k,) model coordinates along the ship, mm
    widths : (k, count) mm, from above down
    lower : HullLine or None
        See `EqualBelt`.
    stem, stern : (count,) or None
        Widths at the hood ends.
    """

    positions: tuple
    widths: tuple
    lower: Optional[HullLine]
    stem: Optional[tuple] = None
    stern: Optional[tuple] = None

    rule = "by widths"

    def __post_init__(self):
        widths = np.atleast_2d(np.asarray(self.widths, float))
        positions = np.atleast_1d(np.asarray(self.positions, float))
        if widths.shape[0] != len(positions) or not len(positions):
            raise PlanError(
                f"the belt has widths at {widths.shape[0]} stations, but {len(positions)} stations", "",
                "give one row of widths for every station",
            )  # fmt: skip
        _require_count(widths.shape[1], "station")
        for name in ("stem", "stern"):
            own = getattr(self, name)
            if own is not None and len(own) != widths.shape[1]:
                raise PlanError(
                    f"the belt has {len(own)} widths at the {name} for {widths.shape[1]} strakes", f"at the {name}",
                    "give one for every strake",
                )  # fmt: skip
        rows = np.vstack([widths, *([own] for own in (self.stem, self.stern) if own is not None)])
        if not np.all(np.isfinite(rows)) or np.any(rows <= 0.0):
            raise PlanError("a width of the belt is not above 0", "", "give every strake a width at every station")
        if len(np.unique(positions)) != len(positions):
            raise PlanError("two stations of the belt are the same", "", "give each station once")
        object.__setattr__(self, "positions", tuple(positions))
        object.__setattr__(self, "widths", tuple(map(tuple, widths)))

    @property
    def count(self):
        """Number of strakes."""
        return len(self.widths[0])

    def counted(self, girth):
        """Itself: the number of strakes is given."""
        return self

    def knots(self, frame):
        """Ship positions of the stations."""
        return tuple(np.sort(frame.to_ship_station(np.array(self.positions))))

    def shares(self, frame, parameter, ends):
        """See `EqualBelt.shares`."""
        x = frame.to_ship_station(np.array(self.positions))
        order = np.argsort(x)
        x, rows = x[order], np.array(self.widths)[order]
        inner = (x > ends[0]) & (x < ends[1])
        if not inner.any():
            raise PlanError(
                "no station with widths stands between the belt's ends",
                f"between {frame.station_label(ends[0])} and {frame.station_label(ends[1])}",
                "give widths at a station there",
            )
        x, rows = x[inner], rows[inner]
        stem = rows[0] if self.stem is None else np.array(self.stem, float)
        stern = rows[-1] if self.stern is None else np.array(self.stern, float)
        x = np.concatenate([[ends[0]], x, [ends[1]]])
        rows = np.vstack([stem, rows, stern])
        rows = rows / rows.sum(axis=1, keepdims=True)
        part = make_interp_spline(x, rows, 3, bc_type="natural")(parameter)
        if np.any(part <= 0.0):
            k, j = np.unravel_index(np.argmin(part), part.shape)
            raise PlanError(
                f"strake {j + 1} of the belt by widths comes to nothing between the stations",
                f"at {frame.station_label(float(parameter[k]))}",
                "give widths there, or let them change less from station to station",
            )
        return np.cumsum(part, axis=1)[:, :-1].T


@dataclass(frozen=True, eq=False)
class ParallelBelt:
    """Strakes of one width.

    Parameters
    ----------
    width : float or None
        mm, square to the line. None takes the mean width that a strake of the belt above
        has amidships.
    garboard_least : float
        Least share of the width that the garboard must have at its widest; a narrower
        remainder is added to the strake above it (common practice, no source).
    count : int or None
        Number of strakes. None: as many as go down to the rabbet, the last of which, the
        garboard, takes up what is left; that belt is the last.
    lower : HullLine or None
        With `count`: the strakes run parallel to this line and end on it; without it they
        run parallel to the line above.
    """

    width: Optional[float] = None
    garboard_least: float = 0.5
    count: Optional[int] = None
    lower: Optional[HullLine] = None

    rule = "parallel"

    def __post_init__(self):
        if self.width is not None:
            _require_width(self.width, "strake width")
        if self.count is not None:
            _require_count(self.count, "parallel")
        elif self.lower is not None:
            raise PlanError(
                "a belt parallel to its lower line has no number of strakes", "", "say how many strakes it has"
            )


def is_divided(belt):
    """Whether a belt takes its seams at shares of the girth."""
    return isinstance(belt, (EqualBelt, GradedBelt, StationBelt))


def is_divided_rule(rule):
    """Whether a strake's rule is that of a divided belt."""
    return rule in (EqualBelt.rule, GradedBelt.rule, StationBelt.rule)
