# SPDX-License-Identifier: LGPL-2.1-or-later
"""Seams: the lines between strakes, each in one or several parts."""

from dataclasses import dataclass
from functools import cached_property
from typing import Optional

from ..curve import SurfaceCurve

__all__ = ["NibCut", "Seam", "SeamPart"]


@dataclass(frozen=True, eq=False)
class NibCut:
    """Where a seam stops short of its end because the strake below it ends in a nib.

    Attributes
    ----------
    s : float
        Arc length on the whole seam, mm.
    across : SurfaceCurve
        The nib: square from the seam down to the ended strake's lower edge.
    onto : int or None
        Which part of the seam below it ends on; None: on the hull's boundary.
    s_onto : float
        Arc length there, mm.
    asked : object
        The `Nib` that was asked for.
    """

    s: float
    across: SurfaceCurve
    onto: Optional[int]
    s_onto: float
    asked: object = None


@dataclass(frozen=True, eq=False)
class SeamPart:
    """One unbroken run of a seam, from the bow aft.

    Attributes
    ----------
    whole : SurfaceCurve
        From end to end on the hull's boundary.
    s_fore, s_aft : float
        Where the whole ends on the boundary: arc lengths from the stem head, mm.
    fore, aft : NibCut or None
        Where the seam itself stops short of those ends: beyond, the strake above takes over
        the breadth of the one below, and nothing is cut along the seam.
    """

    whole: SurfaceCurve
    s_fore: float
    s_aft: float
    fore: Optional[NibCut] = None
    aft: Optional[NibCut] = None

    @cached_property
    def curve(self):
        """The seam itself, from nib to nib."""
        if self.fore is None and self.aft is None:
            return self.whole
        return self.whole.between(
            0.0 if self.fore is None else self.fore.s,
            self.whole.length if self.aft is None else self.aft.s,
        )

    @cached_property
    def beyond_fore(self):
        """The stretch before the fore nib along which nothing is cut; None without one."""
        return None if self.fore is None else self.whole.between(0.0, self.fore.s)

    @cached_property
    def beyond_aft(self):
        """The stretch after the aft nib along which nothing is cut; None without one."""
        return None if self.aft is None else self.whole.between(self.aft.s, self.whole.length)


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
