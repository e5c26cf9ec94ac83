# SPDX-License-Identifier: LGPL-2.1-or-later
"""Belts: the hull's side is cut by lines, and each part has its own rule."""

from dataclasses import dataclass
from numbers import Real
from typing import Optional

from ..errors import PlanError
from ..lines.line import HullLine

__all__ = ["EqualBelt", "MOST_STRAKES", "ParallelBelt"]

MOST_STRAKES = 200  # of one belt; more is a slip of the pen on any boat


def _is_number(value):
    return isinstance(value, Real) and not isinstance(value, bool)


@dataclass(frozen=True, eq=False)
class EqualBelt:
    """Equal strakes from the belt above (or the sheer) down to a line.

    Parameters
    ----------
    count : int
        Number of strakes.
    lower : HullLine
    """

    count: int
    lower: HullLine

    def __post_init__(self):
        if not (_is_number(self.count) and 1 <= self.count <= MOST_STRAKES and int(self.count) == self.count):
            raise PlanError(
                f"{self.count} strakes cannot be lined off in the equal belt", "",
                f"give a whole number of strakes between 1 and {MOST_STRAKES}",
            )  # fmt: skip


@dataclass(frozen=True, eq=False)
class ParallelBelt:
    """Strakes of one constant width below a line, down to the rabbet.

    Parameters
    ----------
    width : float or None
        mm, square to the line. None takes the width that an equal strake of the belt
        above has amidships.
    garboard_least : float
        Least share of the width that the garboard must have at its widest; a narrower
        remainder is added to the strake above it (common practice, no source).
    """

    width: Optional[float] = None
    garboard_least: float = 0.5

    def __post_init__(self):
        if self.width is not None and not (_is_number(self.width) and 1.0 <= self.width < 1e4):
            raise PlanError(
                f"a strake width of {self.width} mm is no width for a plank", "",
                "give the width of the parallel strakes in mm",
            )  # fmt: skip
