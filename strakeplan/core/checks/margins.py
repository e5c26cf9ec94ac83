# SPDX-License-Identifier: LGPL-2.1-or-later
"""Signed margins: how far figures lie inside their limits, as shares of the limits."""

from dataclasses import dataclass
from typing import NamedTuple, Tuple

import numpy as np

__all__ = ["Figure", "Item", "Margins", "margins"]


_NOTHING = 1e-9  # of a limit


class Item(NamedTuple):
    """A figure that has a limit.

    ``key`` names it, ``title`` is for readers, ``unit`` and ``scale`` turn it into what they
    read, ``least`` says that the limit is the least allowed, ``group`` is 'any', 'spring' or
    'spile': whom it concerns.
    """

    key: str
    title: str
    unit: str = "mm"
    scale: float = 1.0
    least: bool = False
    group: str = "any"

    def read(self, value):
        """'62.3 mm'."""
        value = value * self.scale
        text = f"{value:.0f}" if abs(value) >= 200.0 else f"{value:.1f}" if abs(value) >= 2.0 else f"{value:.2f}"
        return text + (f" {self.unit}" if self.unit not in ("", "%") else self.unit)


class Figure(NamedTuple):
    """A figure for an item: values (m,), their places (m,) int, and the limit (None, one or (m,))."""

    item: Item
    value: np.ndarray
    index: np.ndarray
    limit: object


@dataclass(frozen=True, eq=False)
class Margins:
    """Figures of m strakes or seams beside their limits.

    Attributes
    ----------
    items : tuple of c Item
    value, limit : (c, m)
        In the units of the checks; the limit is nan where it is not looked at.
    margin : (c, m)
        (limit - value) / limit, or (value - limit) / limit where the limit is the least
        allowed: below 0 beyond the limit; nan where there is no limit or no figure.
    index : (c, m) int
        Place of the figure on the strake or seam.
    """

    items: Tuple[Item, ...]
    value: np.ndarray
    limit: np.ndarray
    margin: np.ndarray
    index: np.ndarray

    def row(self, key):
        """Row of the item of that key."""
        return [item.key for item in self.items].index(key)

    def worst(self, groups=("any",)):
        """Least margins (m,) over the items of some groups, and their rows (m,); inf, -1 for none."""
        rows = np.array([k for k, item in enumerate(self.items) if item.group in groups], int)
        m = self.margin.shape[1]
        if not len(rows):
            return np.full(m, np.inf), np.full(m, -1)
        some = np.where(np.isnan(self.margin[rows]), np.inf, self.margin[rows])
        k = np.argmin(some, axis=0)
        least = some[k, np.arange(m)]
        return least, np.where(least < np.inf, rows[k], -1)


def margins(figures, count):
    """Put figures beside their limits.

    Parameters
    ----------
    figures : sequence of Figure
    count : int
        m, the number of strakes or seams.

    Returns
    -------
    Margins
    """
    shape = (len(figures), count)
    value, limit, index = np.full(shape, np.nan), np.full(shape, np.nan), np.zeros(shape, int)
    for k, figure in enumerate(figures):
        value[k] = figure.value
        index[k] = figure.index
        if figure.limit is not None:
            limit[k] = figure.limit
    sense = np.array([-1.0 if f.item.least else 1.0 for f in figures]).reshape(-1, 1)
    margin = sense * (limit - value) / limit
    margin[np.abs(margin) < _NOTHING] = 0.0  # a figure at its limit keeps it, whatever rounding says
    return Margins(tuple(f.item for f in figures), value, limit, margin, index)
