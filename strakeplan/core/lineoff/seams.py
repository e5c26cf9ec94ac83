# SPDX-License-Identifier: LGPL-2.1-or-later
"""Seams: the lines between strakes, each in one or several parts."""

from dataclasses import dataclass

from ..curve import SurfaceCurve

__all__ = ["Seam", "SeamPart"]


@dataclass(frozen=True, eq=False)
class SeamPart:
    """One unbroken run of a seam, from the bow aft.

    Attributes
    ----------
    curve : SurfaceCurve
    s_fore, s_aft : float
        Where it ends on the boundary: arc lengths from the stem head, mm.
    """

    curve: SurfaceCurve
    s_fore: float
    s_aft: float


@dataclass(frozen=True, eq=False)
class Seam:
    """A line between two strakes, or the sheer.

    Attributes
    ----------
    number : int
        0 is the sheer; seam j is the lower edge of strake j.
    name : str
    parts : tuple of SeamPart
        From the bow aft; more than one where the rabbet cuts the seam.
    """

    number: int
    name: str
    parts: tuple

    @property
    def length(self):
        """Length of all parts, mm."""
        return sum(part.curve.length for part in self.parts)
