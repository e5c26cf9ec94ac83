# SPDX-License-Identifier: LGPL-2.1-or-later
"""The line-off: belts made into seams and strakes."""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..errors import PlanError
from ..lines.march import march
from ..lines.parallel import clipped_parallels
from ..sections import plane_crossings, sections_at
from .belts import MOST_STRAKES, EqualBelt, ParallelBelt
from .crossfamily import CrossFamily, cross_family
from .equal import divide_equally
from .outline import PlankOutline, outlines
from .seams import Seam, SeamPart

__all__ = ["LineOff", "Strake", "line_off"]

_ON_BOUNDARY = 1e-7  # of the hull's size: a line's ends lie on stem and stern


@dataclass(frozen=True, eq=False)
class Strake:
    """A run of planking between two seams.

    Attributes
    ----------
    number : int
        Counted from the sheer down, 1 is the sheer strake.
    rule : str
        'equal', 'parallel' or 'garboard'.
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
    belts : tuple of EqualBelt and ParallelBelt
    seams : tuple of Seam
        Seam 0 is the sheer, seam j the lower edge of strake j; the rabbet is none of them.
    strakes : tuple of Strake
    family : CrossFamily or None
        Cross curves of the equal belts.
    exact_range : (float, float) or None
        Ship x between which the equal belts are divided equally on every section.
    parallel_width : float or None
        mm, square to the seams.
    notes : tuple of str
    """

    hull: object
    belts: tuple
    seams: Tuple[Seam, ...]
    strakes: Tuple[Strake, ...]
    family: Optional[CrossFamily]
    exact_range: Optional[Tuple[float, float]]
    parallel_width: Optional[float]
    notes: Tuple[str, ...]


def line_off(hull, belts, stand_off=None):
    """Line off one side of a hull.

    Parameters
    ----------
    hull : PlankedSurface
    belts : sequence of EqualBelt and ParallelBelt
        From the sheer down; a parallel belt can only be the last and goes to the rabbet.
    stand_off : float, optional
        Distance that the equal division keeps from raked ends, mm; see `cross_family`.

    Returns
    -------
    LineOff

    Raises
    ------
    PlanError
        Belts in an order that cannot be, lines that cross, or a stand-off too great.
    """
    belts = tuple(belts)
    _check_belts(belts)
    if stand_off is not None and not 0.0 <= stand_off < np.inf:
        raise PlanError(f"a stand-off of {stand_off:g} mm cannot be", "", "give 0 or more mm")
    seams = [Seam(0, "Sheer", (SeamPart(hull.sheer, 0.0, hull.boundary.length),))]
    rules, notes = [], []
    equal = [b for b in belts if isinstance(b, EqualBelt)]
    for belt in equal:
        _require_both_ends(hull, belt.lower)
    family = cross_family(hull, equal[-1].lower, stand_off) if equal else None
    upper = None
    for belt in equal:
        if upper is not None and not (upper.s_bow < belt.lower.s_bow and belt.lower.s_stern < upper.s_stern):
            raise PlanError(
                "the lines between the equal belts cross", "at the hood ends",
                "give the belts' lines in the order in which they follow from the sheer down",
            )  # fmt: skip
        for part in divide_equally(hull, family, upper, belt.lower, int(belt.count)):
            _add_seam(seams, (part,))
        line = belt.lower
        _add_seam(seams, (SeamPart(line.curve, line.s_bow, line.s_stern),), line.kind)
        rules += ["equal"] * int(belt.count)
        upper = line
    width = None
    if isinstance(belts[-1], ParallelBelt):
        belt = belts[-1]
        width = belt.width if belt.width is not None else _width_amidships(hull, equal[-1], seams)
        parts, note = _parallel_parts(hull, upper.curve, width, belt.garboard_least)
        notes += note
        for some in parts:
            _add_seam(seams, some)
        rules += ["parallel"] * len(parts)
    rules.append("garboard")
    strakes = tuple(
        Strake(
            j + 1, rule, seams[j], seams[j + 1] if j + 1 < len(seams) else None,
            outlines(hull, seams[j], seams[j + 1] if j + 1 < len(seams) else None),
        )
        for j, rule in enumerate(rules)
    )  # fmt: skip
    exact = family.exact_range if family is not None else None
    return LineOff(hull, belts, tuple(seams), strakes, family, exact, width, tuple(notes))


def _check_belts(belts):
    if not belts or not isinstance(belts[0], EqualBelt):
        raise PlanError(
            "the line-off has no equal belt", "below the sheer",
            "begin with a belt of equal strakes from the sheer down to a line",
        )  # fmt: skip
    for k, belt in enumerate(belts):
        if not isinstance(belt, (EqualBelt, ParallelBelt)):
            raise PlanError(f"belt {k + 1} has no known rule", "", "give an equal or a parallel belt")
        if isinstance(belt, ParallelBelt) and k != len(belts) - 1:
            raise PlanError(
                "a parallel belt stands above another belt", f"belt {k + 1} from the sheer",
                "put the parallel belt last: it runs down to the rabbet",
            )  # fmt: skip


def _require_both_ends(hull, line):
    if line.s_bow is None or line.s_stern is None:
        raise PlanError(
            f"{hull.name}: the {line.kind.lower()} ends on the sheer and cannot bound a belt",
            "at the bow" if line.s_bow is None else "at the stern",
            "choose a line that runs from the stem to the stern",
        )
    ends = line.curve.points([0.0, line.curve.length])
    off = np.linalg.norm(ends - hull.boundary.points([line.s_bow, line.s_stern]), axis=1)
    if np.max(off) > _ON_BOUNDARY * hull.patch.size:
        raise PlanError(
            f"{hull.name}: the {line.kind.lower()} does not end on this hull", "at stem or stern",
            "make the line again on this hull",
        )  # fmt: skip


def _add_seam(seams, parts, name=None):
    number = len(seams)
    seams.append(Seam(number, name or f"Seam {number:02d}", tuple(parts)))


def _width_amidships(hull, belt, seams):
    """Mean girthwise width of the lowest equal belt's strakes amidships, mm."""
    lower, upper = seams[-1], seams[-1 - int(belt.count)]
    x = 0.5 * (hull.x_range[0] + hull.x_range[1])
    section = sections_at(hull, [x])
    girths = []
    for seam in (upper, lower):
        curve = seam.parts[0].curve
        k, piece, t = plane_crossings(curve, [x])
        girths.append(float(section.girth_at_v([0], curve.uv_local(piece, t)[:1, 1])[0]))
    return (girths[1] - girths[0]) / belt.count


def _parallel_parts(hull, base, width, garboard_least):
    """Parts of every parallel seam down to the garboard."""
    depth = _depth_below(hull, base)
    count = int(np.floor(depth / width + 1e-9))
    if count > MOST_STRAKES:
        raise PlanError(
            f"{count} strakes of {width:.1f} mm would go below the line", "",
            "give a greater width for the parallel strakes",
        )  # fmt: skip
    notes = []
    rest = depth - count * width
    if count and rest < garboard_least * width:
        count -= 1
        notes.append(
            f"The last {rest:.0f} mm above the rabbet would make too narrow a garboard; "
            f"it is {rest + width:.0f} mm wide at its widest."
        )
    if not count:
        return [], notes
    parts = []
    for found in clipped_parallels(hull, base, width * np.arange(1, count + 1)):
        if not found:
            break
        parts.append(tuple(SeamPart(*one) for one in found))
    return parts, notes


def _depth_below(hull, base):
    """Greatest distance from a line down to the rabbet, square to the line, mm.

    Found by bisection on the distance at which the last point of a parallel leaves the
    planking; to a tenth of a millimetre.
    """
    s = np.linspace(0.0, base.length, 81)[1:-1]
    c = base.at(s)
    step = hull.patch.size / 100.0
    distances = step * np.arange(1, 100)
    lo = 0.0
    uv, t = c.uv, c.b
    for distance in distances:
        run = march(hull.patch, uv, t, [step], step, rough=True)
        uv, t = run.uv[0], run.t[0]
        still = hull.inside(uv[:, 0], uv[:, 1]) > 0.0
        if not still.any():
            break
        uv, t = uv[still], t[still]
        lo, start = distance, (uv, t)
    if lo == 0.0:
        start = (c.uv, c.b)
    a, b = 0.0, step
    while b - a > 0.1:
        mid = 0.5 * (a + b)
        run = march(hull.patch, *start, [mid], step, rough=True)
        if (hull.inside(run.uv[0][:, 0], run.uv[0][:, 1]) > 0.0).any():
            a = mid
        else:
            b = mid
    return lo + a
