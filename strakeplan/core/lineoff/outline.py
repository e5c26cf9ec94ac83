# SPDX-License-Identifier: LGPL-2.1-or-later
"""What bounds each plank: seams above and below, stem, rabbet, stern and nibs at the ends."""

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
    along : SurfaceCurve
        The curve that it is a stretch of, as other planks have it too.
    a, b : float
        Shares of that curve's length at which the stretch begins and ends.
    middle : SurfaceCurve or None
        Where the plank has taken over the breadth of the strake below it: the run that the
        seam between them would have had.
    nib : SurfaceCurve or None
        Nib that ends such a stretch, from the middle down to the lower edge.
    nib_end : 'fore', 'aft' or ''
        At which end of the stretch the nib stands.
    """

    kind: str
    curve: SurfaceCurve
    along: SurfaceCurve
    a: float = 0.0
    b: float = 1.0
    middle: Optional[SurfaceCurve] = None
    nib: Optional[SurfaceCurve] = None
    nib_end: str = ""


@dataclass(frozen=True, eq=False)
class PlankOutline:
    """The edges of one plank, as long as the strake runs unbroken.

    Attributes
    ----------
    upper : SeamPart
    lower : tuple of LowerPiece
        From fore aft; the rabbet of the keel is part of the lower edge.
    fore, aft : SurfaceCurve or None
        Ends along the stem, the stern or a nib, from the upper seam down; None where the
        plank runs out to a point on the rabbet.
    part : int
        1, 2, ... from the bow where the rabbet cuts the strake; 0 for an uncut one.
    fore_parts, aft_parts : (SurfaceCurve or None, SurfaceCurve or None)
        The same ends above and below the middle of a stretch that the plank has taken over.
    fore_kind, aft_kind : 'hood', 'nib' or 'point'
    """

    upper: SeamPart
    lower: Tuple[LowerPiece, ...]
    fore: Optional[SurfaceCurve]
    aft: Optional[SurfaceCurve]
    part: int = 0
    fore_parts: tuple = (None, None)
    aft_parts: tuple = (None, None)
    fore_kind: str = "hood"
    aft_kind: str = "hood"


def outlines(hull, upper, lower, next_lower=None):
    """Outlines of the planks between two seams.

    Parameters
    ----------
    hull : PlankedSurface
    upper : Seam
    lower : Seam or None
        None: the strake goes down to the rabbet, a garboard.
    next_lower : Seam or None
        The seam below the lower one: where the strake below ends in a nib, the stretch of it
        that becomes this strake's edge.

    Returns
    -------
    tuple of PlankOutline, from the bow aft
    """
    below = () if lower is None else lower.parts
    beyond = () if next_lower is None else next_lower.parts
    out = []
    for k, part in enumerate(upper.parts):
        mine = [b for b in below if part.s_fore <= b.s_fore and b.s_aft <= part.s_aft]
        number = k + 1 if len(upper.parts) > 1 else 0
        out.append(_Walk(hull, part, mine, below, beyond).outline(number))
    return tuple(out)


class _Walk:
    """Along the lower edge of one plank from fore aft."""

    def __init__(self, hull, part, below, all_below, beyond):
        self.border = hull.boundary
        self.stem, self.stern = hull.s_stem_end, hull.s_stern_start
        self.part, self.below, self.all_below, self.beyond = part, below, all_below, beyond
        self.pieces = []

    def outline(self, number):
        part = self.part
        start, end = part.fore, part.aft
        first, last = 0, len(self.below) - 1
        at = part.s_fore
        if start is not None:
            if start.onto is None:
                at = start.s_onto
            else:
                first = self.below.index(self.all_below[start.onto])
                at = None
        stop = part.s_aft
        if end is not None:
            if end.onto is None:
                stop = end.s_onto
            else:
                last = self.below.index(self.all_below[end.onto])
                stop = None
        for k in range(first, last + 1):
            b = self.below[k]
            a_cut = start.s_onto if start is not None and start.onto is not None and k == first else None
            b_cut = end.s_onto if end is not None and end.onto is not None and k == last else None
            if at is not None:
                self._rabbet(at, b.s_fore)
            self._fore_of(b)
            self._seam(b, a_cut, b_cut)
            self._aft_of(b)
            at = b.s_aft
        if stop is not None and at is not None:
            self._rabbet(at, stop)
        return self._ends(number)

    # --- stretches ------------------------------------------------------------------------
    def _rabbet(self, s0, s1, **more):
        s0, s1 = max(s0, self.stem), min(s1, self.stern)
        if s1 - s0 > _TOUCH:
            curve = self.border.between(s0, s1)
            self.pieces.append(LowerPiece("rabbet", curve, curve, **more))

    def _seam(self, b, a_cut, b_cut, **more):
        """A part of a seam, between cuts that count along its whole; None is its own end."""
        curve = b.curve
        if a_cut is None and b_cut is None:
            self.pieces.append(LowerPiece("seam", curve, curve))
            return
        s0 = 0.0 if b.fore is None else b.fore.s
        lo = 0.0 if a_cut is None else a_cut - s0
        hi = curve.length if b_cut is None else b_cut - s0
        self.pieces.append(
            LowerPiece("seam", curve.between(lo, hi), curve, lo / curve.length, hi / curve.length, **more)
        )

    def _fore_of(self, b):
        """The stretch that this plank takes over before the fore nib of the strake below."""
        cut = b.fore
        if cut is None:
            return
        more = dict(middle=b.beyond_fore, nib=cut.across, nib_end="aft")
        if cut.onto is None:
            self._rabbet(b.s_fore, cut.s_onto, **more)
        else:
            self._seam(self.beyond[cut.onto], None, cut.s_onto, **more)

    def _aft_of(self, b):
        """The same after its aft nib."""
        cut = b.aft
        if cut is None:
            return
        more = dict(middle=b.beyond_aft, nib=cut.across, nib_end="fore")
        if cut.onto is None:
            self._rabbet(cut.s_onto, b.s_aft, **more)
        else:
            self._seam(self.beyond[cut.onto], cut.s_onto, None, **more)

    # --- ends -----------------------------------------------------------------------------
    def _ends(self, number):
        part, below = self.part, self.below
        fore_parts = aft_parts = (None, None)
        if part.fore is not None:
            fore, fore_kind = part.fore.across, "nib"
        else:
            split = low = below[0].s_fore if below else part.s_aft
            if below and below[0].fore is not None:
                cut = below[0].fore
                low = self.beyond[cut.onto].s_fore if cut.onto is not None else self.stem
            low = min(low, self.stem)
            fore = self._between(part.s_fore, low)
            fore_kind = "hood" if fore is not None else "point"
            fore_parts = (self._between(part.s_fore, min(split, self.stem)), self._between(split, low))
        if part.aft is not None:
            aft, aft_kind = part.aft.across, "nib"
        else:
            split = low = below[-1].s_aft if below else part.s_fore
            if below and below[-1].aft is not None:
                cut = below[-1].aft
                low = self.beyond[cut.onto].s_aft if cut.onto is not None else self.stern
            low = max(low, self.stern)
            aft = self._between(low, part.s_aft, turned=True)
            aft_kind = "hood" if aft is not None else "point"
            aft_parts = (
                self._between(max(split, self.stern), part.s_aft, turned=True),
                self._between(low, split, turned=True),
            )
        return PlankOutline(
            part, tuple(self.pieces), fore, aft, number, fore_parts, aft_parts, fore_kind, aft_kind
        )

    def _between(self, s0, s1, turned=False):
        if s1 - s0 <= _TOUCH:
            return None
        curve = self.border.between(s0, s1)
        return curve.reversed() if turned else curve
