# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where an edge meets the stations, its own ends among them."""

import numpy as np

from ..sections import plane_crossings

__all__ = ["station_crossings"]

_AT_END = 1e-6  # mm: an edge that ends this near to a station ends at it
_INSIDE = 1e-7  # mm that such a station is moved into the edge


def station_crossings(curve, x):
    """Crossings of a curve with the planes of stations.

    A nib at a station ends its seam there: whether rounding leaves the end before or beyond
    the plane must not decide whether the seam has a mark.

    Parameters
    ----------
    curve : SurfaceCurve
    x : (n,) ship positions, mm

    Returns
    -------
    k, piece, t : see `plane_crossings`
    """
    x = np.array(x, float)
    ends = curve.at([0.0, curve.length])
    for place, inwards in zip(ends.p[:, 0], np.sign(ends.t[:, 0]) * (1.0, -1.0)):
        x[np.abs(x - place) < _AT_END] = place + _INSIDE * inwards
    return plane_crossings(curve, x)
