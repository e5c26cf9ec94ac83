# SPDX-License-Identifier: LGPL-2.1-or-later
"""Whether a strake goes on straight and tapered, or has to be cut to shape.

*Spring*: a straight plank, tapered to the widths, is pulled home edgewise. *Spile*: its
developed shape is cut out of a wider board. A strake that neither way keeps its limits is
*neither*: the line-off, the wood or the limits have to change.
"""

from dataclasses import dataclass

import numpy as np

__all__ = ["NEITHER", "SPILE", "SPRING", "Classes", "classed"]

SPRING, SPILE, NEITHER = "spring", "spile", "neither"


@dataclass(frozen=True, eq=False)
class Classes:
    """How m strakes are got out.

    Attributes
    ----------
    method : (m,) str
        'spring', 'spile' or 'neither'.
    margin, item : (m,)
        The worst margin of a strake so got out, and its row in the margins; of the better way
        where neither keeps the limits.
    sprung, sprung_item : (m,)
        The worst margin and its row were it sprung.
    spiled, spiled_item : (m,)
        Were it spiled.
    """

    method: np.ndarray
    margin: np.ndarray
    item: np.ndarray
    sprung: np.ndarray
    sprung_item: np.ndarray
    spiled: np.ndarray
    spiled_item: np.ndarray


def classed(margins, rules, always_spiled=()):
    """Class strakes by their margins.

    A strake is sprung where all that springing asks keeps its limits, whatever its widths,
    bend or twist are like, for spiling mends none of these; otherwise spiled, where a board on
    hand is wide enough.

    Parameters
    ----------
    margins : Margins
    rules : (m,) sequence of str
        Rule of every strake.
    always_spiled : tuple of str
        Rules of strakes that are never sprung.

    Returns
    -------
    Classes
    """
    never = np.isin(np.asarray(rules, str), list(always_spiled))
    asks, _ = margins.worst(("spring",))
    board, _ = margins.worst(("spile",))
    sprung, sprung_item = margins.worst(("any", "spring"))
    spiled, spiled_item = margins.worst(("any", "spile"))
    method = np.where((asks >= 0.0) & ~never, SPRING, np.where(board >= 0.0, SPILE, NEITHER))
    by_spring = (method == SPRING) | ((method == NEITHER) & (sprung > spiled) & ~never)
    return Classes(
        method, np.where(by_spring, sprung, spiled), np.where(by_spring, sprung_item, spiled_item), sprung,
        sprung_item, spiled, spiled_item,
    )  # fmt: skip
