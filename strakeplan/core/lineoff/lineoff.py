# SPDX-License-Identifier: LGPL-2.1-or-later
"""The line-off: belts made into seams and strakes."""

from dataclasses import dataclass, replace
from typing import Optional, Tuple

import numpy as np

from ..errors import PlanError
from .belts import is_divided, is_divided_rule
from .bounds import check_belts, parallel_between, resolved
from .crossfamily import CrossFamily, cross_curves, cross_family
from .divide import girths_between
from .ends import EndPlan
from .nibs import check_nibs, cut_nib
from .outline import PlankOutline, outlines
from .parallels import parallel_seams
from .resolution import EXACT, Resolution
from .seams import Seam, SeamPart

__all__ = ["LineOff", "Strake", "line_off", "with_nibs"]

_NIBS_APART = 1.0  # mm along a seam


@dataclass(frozen=True, eq=False)
class Strake:
    """A run of planking between two seams.

    Attributes
    ----------
    number : int
        Counted from the sheer down, 1 is the sheer strake.
    rule : str
        'equal', 'graded', 'by widths', 'parallel' or 'garboard'.
    upper : Seam
    lower : Seam or None
        None: the strake ends on the rabbet.
    planks : tuple of PlankOutline
        One, or more where the rabbet cuts the strake.
    """

    number: int
    rule: str
    upper: Seam
    lower: Optional[Seam]
    planks: Tuple[PlankOutline, ...]

    @property
    def name(self):
        """'Strake 07'."""
        return f"Strake {self.number:02d}"


@dataclass(frozen=True, eq=False)
class LineOff:
    """Seams and strakes of one side.

    Attributes
    ----------
    hull : PlankedSurface
    belts : tuple
        With their numbers of strakes and lines found.
    seams : tuple of Seam
        Seam 0 is the sheer, seam j the lower edge of strake j; the rabbet is none of them.
    strakes : tuple of Strake
    family : CrossFamily or None
        Cross curves of the divided belts.
    exact_range : (float, float) or None
        Ship x between which the divided belts keep their shares on every section.
    parallel_width : float or None
        mm, square to the seams.
    notes : tuple of str
    nibs : tuple of Nib
    resolution : Resolution
        How finely it is worked out.
    """

    hull: object
    belts: tuple
    seams: Tuple[Seam, ...]
    strakes: Tuple[Strake, ...]
    family: Optional[CrossFamily]
    exact_range: Optional[Tuple[float, float]]
    parallel_width: Optional[float]
    notes: Tuple[str, ...]
    nibs: tuple = ()
    resolution: Resolution = EXACT


def line_off(hull, belts, stand_off=None, nibs=(), resolution=EXACT):
    """Line off one side of a hull.

    Parameters
    ----------
    hull : PlankedSurface
    belts : sequence of EqualBelt, GradedBelt, StationBelt and ParallelBelt
        From the sheer down. The last may be a parallel belt without a number of strakes, which
        goes on to the rabbet; without one the garboard takes all that is left below the lines.
    stand_off : float, optional
        Distance that the division keeps from raked ends, mm; see `cross_family`.
    nibs : sequence of Nib
        Strakes that end before the hull does.
    resolution : Resolution
        EXACT, or QUICK for a first look.

    Returns
    -------
    LineOff

    Raises
    ------
    PlanError
        Belts in an order that cannot be, lines that cross, a stand-off too great, nibs that
        cannot stand where they are wanted.
    """
    belts, nibs = tuple(belts), tuple(nibs)
    check_belts(belts)
    check_nibs(nibs)
    if stand_off is not None and not 0.0 <= stand_off < np.inf:
        raise PlanError(f"a stand-off of {stand_off:g} mm cannot be", "", "give 0 or more mm")
    belts, lines = resolved(hull, belts)
    divided = [k for k, belt in enumerate(belts) if is_divided(belt)]
    first = np.cumsum([0] + [belt.count or 0 for belt in belts])  # strakes above each belt
    family, plans = None, {}
    if divided:
        plans = {
            k: EndPlan(hull, belts[k], int(first[k]), nibs, lines[k], lines[k + 1]) for k in divided
        }
        parted = [x for plan in plans.values() for x in plan.parted()]
        family = cross_family(hull, lines[divided[-1] + 1], stand_off, parted, resolution)
    seams = [Seam(0, "Sheer", (SeamPart(hull.sheer, 0.0, hull.boundary.length),))]
    rules, notes = [], []
    width = None
    for k, belt in enumerate(belts):
        if k in plans:
            for part in plans[k].divided(family):
                _add_seam(seams, (part,))
        elif belt.count is not None:
            width = belt.width
            for line in parallel_between(hull, belt, lines[k], lines[k + 1]):
                _add_seam(seams, (SeamPart(line.curve, line.s_bow, line.s_stern),))
        else:
            width = belt.width if belt.width is not None else _width_amidships(
                hull, belts[k - 1], family, lines[k - 1], lines[k]
            )
            parts, note = parallel_seams(hull, lines[k].curve, width, belt.garboard_least, resolution)
            notes += note
            for some in parts:
                _require_below_sheer(hull, some, len(seams))
                _add_seam(seams, some)
            rules += ["parallel"] * len(parts)
            break
        line = lines[k + 1]
        _add_seam(seams, (SeamPart(line.curve, line.s_bow, line.s_stern),), line.kind)
        rules += [belt.rule] * int(belt.count)
    rules.append("garboard")
    for nib in nibs:
        seams[int(nib.strake) - 1] = cut_nib(hull, seams, nib)
    strakes = _strakes(hull, seams, rules)
    exact = None
    if family is not None:
        starts = [[zone.start for zone in plan.zones(family) if zone.edge == edge]
                  for edge in ("stem", "stern") for plan in plans.values()]  # fmt: skip
        low, high = family.exact_range
        half = len(plans)
        exact = (
            max([low, *(x for some in starts[:half] for x in some)]),
            min([high, *(x for some in starts[half:] for x in some)]),
        )
    return LineOff(
        hull, belts, tuple(seams), strakes, family, exact, width, tuple(notes), nibs, resolution
    )


def _require_below_sheer(hull, parts, number):
    """Raise where a parallel seam comes out on the sheer."""
    for part in parts:
        for s, k, end in ((part.s_fore, 0, "bow"), (part.s_aft, -1, "stern")):
            if s is None:
                x = float(hull.patch.points(*part.whole.nodes[k, k][:, None])[0, 0])
                raise PlanError(
                    f"{hull.name}: parallel seam {number} comes out on the sheer towards the {end}",
                    f"at {hull.frame.station_label(x)}, {hull.frame.side} side",
                    f"let the line above end lower at the {end}, or give narrower parallel strakes",
                )


def with_nibs(plan, nibs):
    """A line-off with further strakes ended in nibs, below its divided belts.

    Parameters
    ----------
    plan : LineOff
    nibs : sequence of Nib
        Of strakes below the divided belts: their seams stay where they are.

    Returns
    -------
    LineOff

    Raises
    ------
    PlanError
    """
    nibs = tuple(nibs)
    check_nibs((*plan.nibs, *nibs))
    seams = list(plan.seams)
    for nib in nibs:
        if nib.strake <= len(plan.strakes) and is_divided_rule(plan.strakes[int(nib.strake) - 1].rule):
            raise PlanError(
                "a strake of a divided belt cannot end in a nib afterwards", nib.name,
                "give its nib when the hull is lined off: the seams beside it give way",
            )  # fmt: skip
        seams[int(nib.strake) - 1] = cut_nib(plan.hull, seams, nib)
    rules = [strake.rule for strake in plan.strakes]
    strakes = _strakes(plan.hull, seams, rules)
    return replace(plan, seams=tuple(seams), strakes=strakes, nibs=(*plan.nibs, *nibs))


def _strakes(hull, seams, rules):
    """Strakes between seams, their nibs clear of one another."""
    _require_clear(hull, seams)
    out = []
    for j, rule in enumerate(rules):
        lower, beyond = (seams[i] if i < len(seams) else None for i in (j + 1, j + 2))
        out.append(Strake(j + 1, rule, seams[j], lower, outlines(hull, seams[j], lower, beyond)))
    return tuple(out)


def _require_clear(hull, seams):
    """Raise where one nib falls on the stretch that another one has taken over."""
    for number, seam in enumerate(seams[1:-1], 1):
        for here in seam.parts:
            for fore, cut in ((True, here.fore), (False, here.aft)):
                if cut is None:
                    continue
                below = seams[number + 1]
                for part in below.parts:
                    other = part.fore if fore else part.aft
                    if other is None or cut.onto is None:
                        continue
                    if (other.s > cut.s_onto - _NIBS_APART) == fore:
                        raise PlanError(
                            f"the nibs of strakes {number + 1} and {number + 2} stand too near each other",
                            f"at the {'bow' if fore else 'stern'}, {hull.frame.side} side",
                            "let another strake end, or move one of the nibs",
                        )


def _add_seam(seams, parts, name=None):
    number = len(seams)
    seams.append(Seam(number, name or f"Seam {number:02d}", tuple(parts)))


def _width_amidships(hull, belt, family, upper, lower):
    """Mean girthwise width of an equal belt's strakes amidships, mm."""
    x = np.array([0.5 * (hull.x_range[0] + hull.x_range[1])])
    curves = cross_curves(hull, lower, x, family.bow, family.stern, family.resolution)
    top, bottom = girths_between(family, curves, x, upper, lower)
    return float(bottom[0] - top[0]) / belt.count
