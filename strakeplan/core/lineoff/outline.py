# SPDX-License-Identifier: LGPL-2.1-or-later
"""What bounds each plank: seams above and below, stem, rabbet and stern at the ends."""

from dataclasses import dataclass
from typing import Optional, Tuple

from ..curve import SurfaceCurve
from .seams import SeamPart

__all__ = ["LowerPiece", "PlankOutline", "outlines"]

_TOUCH = 1e-6  # mm along the boundary below which an end has no length


@dataclass(frozen=True, eq=False)
class LowerPiece:
    """One stretch of a plank's lower edge, from fore aft.

    Attributes
    ----------
    kind : 'seam' or 'rabbet'
    curve : SurfaceCurve
    """

    kind: str
    curve: SurfaceCurve


@dataclass(frozen=True, eq=False)
class PlankOutline:
    """The edges of one plank, as long as the strake runs unbroken.

    Attributes
    ----------
    upper : SeamPart
    lower : tuple of LowerPiece
        From fore aft; the rabbet of the keel is part of the lower edge.
    fore, aft : SurfaceCurve or None
        Hood ends along the stem and the stern, from the upper seam down; None where the
        plank runs out to a point on the rabbet.
    part : int
        1, 2, ... from the bow where the rabbet cuts the strake; 0 for an uncut one.
    """

    upper: SeamPart
    lower: Tuple[LowerPiece, ...]
    fore: Optional[SurfaceCurve]
    aft: Optional[SurfaceCurve]
    part: int = 0


def outlines(hull, upper, lower):
    """Outlines of the planks between two seams.

    Parameters
    ----------
    hull : PlankedSurface
    upper : Seam
    lower : Seam or None
        None: the strake goes down to the rabbet, a garboard.

    Returns
    -------
    tuple of PlankOutline, from the bow aft
    """
    below = () if lower is None else lower.parts
    out = []
    for k, part in enumerate(upper.parts):
        mine = [b for b in below if part.s_fore <= b.s_fore and b.s_aft <= part.s_aft]
        number = k + 1 if len(upper.parts) > 1 else 0
        out.append(_outline(hull, part, mine, number))
    return tuple(out)


def _outline(hull, part, below, number):
    border = hull.boundary
    stem, stern = hull.s_stem_end, hull.s_stern_start

    def rabbet(pieces, s0, s1):
        s0, s1 = max(s0, stem), min(s1, stern)
        if s1 - s0 > _TOUCH:
            pieces.append(LowerPiece("rabbet", border.between(s0, s1)))

    pieces = []
    at = part.s_fore
    for b in below:
        rabbet(pieces, at, b.s_fore)
        pieces.append(LowerPiece("seam", b.curve))
        at = b.s_aft
    rabbet(pieces, at, part.s_aft)
    first = below[0].s_fore if below else part.s_aft
    last = below[-1].s_aft if below else part.s_fore
    fore_end, aft_start = min(first, stem), max(last, stern)
    fore = border.between(part.s_fore, fore_end) if fore_end - part.s_fore > _TOUCH else None
    aft = border.between(aft_start, part.s_aft).reversed() if part.s_aft - aft_start > _TOUCH else None
    return PlankOutline(part, tuple(pieces), fore, aft, number)
