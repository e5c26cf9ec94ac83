# SPDX-License-Identifier: LGPL-2.1-or-later
"""How finely a line-off is worked out: to the end, or for a first look.

There is one way of lining off; a resolution says with how many elements it goes.
"""

from dataclasses import dataclass
from typing import Optional

__all__ = ["EXACT", "QUICK", "Resolution"]


@dataclass(frozen=True)
class Resolution:
    """Numbers of elements and their degrees.

    Attributes
    ----------
    name : str
    longest : float
        Lengthwise elements of divided belts are no longer than this, as a share of the
        hull's length.
    degree : int
        Of seams.
    fan_elements : int
        Lengthwise elements between the last section and an end of the hull.
    section_pieces : int or None
        Pieces of every cross curve; None cuts them on the knot lines.
    section_degree : int
    parallel_elements : int
        Elements along a line of its parallels.
    march_steps : int or None
        Steps of geodesics over the hull's length, regardless of knot lines; None: as many as
        they need to be exact, handed over from span to span.
    places : float
        Distance of the places at which strakes are sampled, as a share of the hull's length.
    line_elements, line_degree : int
        Of taut lines.
    error : float
        Bound of the seams' error on hulls of a boat's size, mm, that tests hold the resolution
        to.
    """

    name: str
    longest: float
    degree: int
    fan_elements: int
    section_pieces: Optional[int]
    section_degree: int
    parallel_elements: int
    march_steps: Optional[int]
    places: float
    line_elements: int
    line_degree: int
    error: float


EXACT = Resolution("exact", 0.055, 8, 6, None, 8, 40, None, 0.009, 16, 8, 1e-3)
QUICK = Resolution("quick", 0.08, 6, 3, 8, 4, 20, 50, 0.0175, 12, 6, 0.2)
