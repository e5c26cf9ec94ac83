# SPDX-License-Identifier: LGPL-2.1-or-later
"""Hollow of the inner face (backing out), and the stock a strake is got out of."""

from dataclasses import dataclass

import numpy as np

from ..wood.mechanics import hollow_depth, stock_thickness
from .places import Along, greatest

__all__ = ["Hollows", "check_hollow"]


@dataclass(frozen=True, eq=False)
class Hollows:
    """Backing out along m strakes, mm.

    Attributes
    ----------
    hollow : Along
        Depth of the hollow in the inner face; negative where that face must be rounded
        instead. `worst` is the deepest hollow.
    stock : (m,)
        Thickness of the stock the strake is got out of: the finished thickness and the
        greatest depth of hollow or round, once, for the hollow of the inner face and the round
        of the outer share one chord.
    """

    hollow: Along
    stock: np.ndarray


def check_hollow(strakes, thickness):
    """Hollow and stock: a chord as long as the width on a circle of the curvature across.

    Parameters
    ----------
    strakes : StrakeSamples
    thickness : float
        Finished, mm.

    Returns
    -------
    Hollows
    """
    depth = hollow_depth(strakes.width, strakes.across)
    return Hollows(greatest(depth), np.max(stock_thickness(strakes.width, thickness, strakes.across), axis=-1))
