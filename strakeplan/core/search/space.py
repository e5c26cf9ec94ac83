# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a search may choose from: where the line ends, how it is eased, how many strakes."""

from dataclasses import dataclass
from itertools import product
from typing import Optional, Tuple

import numpy as np

from ..errors import PlanError

__all__ = ["EFFORTS", "Design", "Effort", "Kind", "Space"]


@dataclass(frozen=True)
class Kind:
    """Line-offs that differ in kind, not only in figures.

    Attributes
    ----------
    eased : bool
        The line is eased towards the sheer; a taut line otherwise.
    stealers : bool
        Strakes end in nibs where they would be too narrow.
    spiled : bool
        Strakes that cannot be sprung may be spiled out of wider boards.
    """

    eased: bool
    stealers: bool
    spiled: bool

    @property
    def name(self):
        """'Eased line, stealers, all strakes sprung'."""
        parts = ["Eased line" if self.eased else "Taut line", "stealers" if self.stealers else "every strake whole",
                 "some strakes spiled" if self.spiled else "all strakes sprung"]  # fmt: skip
        return ", ".join(parts)


@dataclass(frozen=True)
class Design:
    """One choice.

    Attributes
    ----------
    kind : Kind
    bow, stern : float
        Where the line ends: shares of the stem's and the stern's girth.
    pull : float
        Easing: change of the heavy string's tension over a metre of height; 0 for a taut one.
        The plan's own line says how much longer than the taut one that makes it.
    count : int
        Equal strakes above the line.
    """

    kind: Kind
    bow: float
    stern: float
    pull: float
    count: int


@dataclass(frozen=True)
class Space:
    """Bounds of a search.

    Attributes
    ----------
    counts : (int, int)
        Fewest and most equal strakes.
    bow, stern : (float, float)
        Shares of the stem's and the stern's girth between which the line may end.
    pull : (float, float)
        Least and most easing: change of the heavy string's tension over a tenth of the hull's
        length in height.
    easing, stealers, spiling : bool
        Whether each is allowed.
    parallel_width : float or None
        mm; None: that of the equal strakes amidships.
    """

    counts: Tuple[int, int] = (8, 30)
    bow: Tuple[float, float] = (0.35, 0.92)
    stern: Tuple[float, float] = (0.35, 0.92)
    pull: Tuple[float, float] = (0.001, 0.05)
    easing: bool = True
    stealers: bool = False
    spiling: bool = True
    parallel_width: Optional[float] = None

    def __post_init__(self):
        low, high = self.counts
        if not (int(low) == low and int(high) == high and 1 <= low <= high <= 200):
            raise PlanError(
                f"{low} to {high} strakes cannot be searched", "", "give two whole numbers from 1 to 200, the less first"
            )
        for name in ("bow", "stern"):
            low, high = getattr(self, name)
            if not 0.0 < low < high < 1.0:
                raise PlanError(
                    f"the line cannot end between shares {low} and {high} of the girth", f"at the {name}",
                    "give two shares between 0 and 1, the less first",
                )  # fmt: skip
        low, high = self.pull
        if not (np.isfinite(low) and np.isfinite(high) and low < high):
            raise PlanError(f"easing from {low} to {high} is no range", "", "give the less first")
        width = self.parallel_width
        if width is not None and not (np.isfinite(width) and width > 0.0):
            raise PlanError(f"strakes below the line cannot be {width} mm wide", "", "give a width above 0, or none")

    @property
    def kinds(self):
        """Kinds that are allowed, the plainest first."""
        choices = [(False, True) if allowed else (False,) for allowed in (self.spiling, self.easing, self.stealers)]
        return tuple(Kind(eased, stealers, spiled) for spiled, eased, stealers in product(*choices))

    def design(self, hull, kind, point, count):
        """The design at a point of the unit cube.

        Parameters
        ----------
        point : (2,) or (3,) shares of the ranges of bow, stern and pull
        """
        values = [low + share * (high - low) for share, (low, high) in zip(point, (self.bow, self.stern, self.pull))]
        tenth = (hull.x_range[1] - hull.x_range[0]) / 10000.0  # metres
        pull = values[2] / tenth if kind.eased else 0.0
        return Design(kind, float(values[0]), float(values[1]), float(pull), int(count))

    def moved(self, point, factor):
        """The point of the unit cube at which the line's ends lie at so many times their shares, within the bounds."""
        out = np.array(point, float)
        for k, (low, high) in enumerate((self.bow, self.stern)):
            out[k] = np.clip((factor * (low + out[k] * (high - low)) - low) / (high - low), 0.0, 1.0)
        return out


@dataclass(frozen=True)
class Effort:
    """How many line-offs of each kind are tried.

    Attributes
    ----------
    spread : int
        Points spread over the ranges and numbers of strakes.
    climbs : int
        Of the best of them, from which to climb.
    climb : int
        Tries of each climb, about.
    again : int
        Tries of a climb with another number of strakes, about.
    """

    spread: int = 48
    climbs: int = 3
    climb: int = 26
    again: int = 10

    def __post_init__(self):
        least = (1, 1, 0, 0)
        for value, low in zip((self.spread, self.climbs, self.climb, self.again), least):
            if not (isinstance(value, (int, np.integer)) and value >= low):
                raise PlanError(f"{value} tries cannot be made", "", f"give whole numbers, {low} or more")


#: efforts by name
EFFORTS = {"few": Effort(12, 1, 12, 6), "usual": Effort(), "many": Effort(144, 4, 40, 16)}
