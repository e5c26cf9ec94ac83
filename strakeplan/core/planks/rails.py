# SPDX-License-Identifier: LGPL-2.1-or-later
"""Rails: the edges of a plank on the moulded surface and at the layer's other side.

A seam is turned into splines once; both planks that meet on it take their edges from the
same poles, so that neighbours share them to the last digit.
"""

from dataclasses import dataclass

import numpy as np

from ..curve import SurfaceCurve
from .splines import greville, interpolate, segment, uniform_knots

__all__ = ["DEGREE", "Rail", "rail_of"]

DEGREE = 5
_SPAN = 1.0 / 66.0  # of the hull's size, about the length of a knot span at the standard density
_MOST_SPANS = 64


@dataclass(frozen=True, eq=False)
class Rail:
    """A curve on the surface as two splines on one knot vector.

    Attributes
    ----------
    curve : SurfaceCurve
    knots : (k,)
        On [0, 1], the share of the curve's length.
    poles : (n, 2, 3)
        [:, 0] on the moulded surface, [:, 1] at the other side of the layer, mm.
    """

    curve: SurfaceCurve
    knots: np.ndarray
    poles: np.ndarray

    def part(self, a, b):
        """Knots on [0, 1] and poles of the stretch between shares a and b of the length."""
        if a <= 0.0 and b >= 1.0:
            return self.knots, self.poles
        return segment(self.knots, DEGREE, self.poles, a, b)


def rail_of(curve, offset, density=1):
    """Make the rail of a seam or of a stretch of the rabbet.

    Parameters
    ----------
    curve : SurfaceCurve
    offset : float
        Signed distance along the outward normal to the layer's other side, mm.
    density : int
        Multiplies the number of knot spans (a power of two, so that knots stay nested).

    Returns
    -------
    Rail
    """
    spans = 4
    while spans < _MOST_SPANS and spans * _SPAN * curve.patch.size < curve.length:
        spans *= 2
    knots = uniform_knots(spans * density, DEGREE)
    c = curve.at(greville(knots, DEGREE) * curve.length)
    values = np.stack([c.p, c.p + offset * c.n], axis=1)
    return Rail(curve, knots, interpolate(knots, DEGREE, values))
