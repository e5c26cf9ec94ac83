# SPDX-License-Identifier: LGPL-2.1-or-later
"""The lines between the belts: given, or found from the belts' own rules."""

from dataclasses import replace

import numpy as np

from ..errors import PlanError
from ..lines.line import HullLine
from ..lines.parallel import parallel_line
from ..sections import plane_crossings, sections_at
from .belts import ParallelBelt, is_divided

__all__ = ["check_belts", "parallel_between", "resolved"]

_ON_BOUNDARY = 1e-7  # of the hull's size: a line's ends lie on stem and stern
_LOOKED_AT = 81  # sections for the greatest girth between two lines


def check_belts(belts):
    """Check the order of belts.

    Raises
    ------
    PlanError
    """
    if not belts:
        raise PlanError(
            "the line-off has no belt", "below the sheer",
            "begin with a belt of equal strakes from the sheer down to a line",
        )  # fmt: skip
    for k, belt in enumerate(belts):
        where = f"belt {k + 1} from the sheer"
        last = k == len(belts) - 1
        if not (is_divided(belt) or isinstance(belt, ParallelBelt)):
            raise PlanError(f"belt {k + 1} has no known rule", "", "give an equal, a graded or a parallel belt")
        if isinstance(belt, ParallelBelt) and belt.count is None:
            if not last:
                raise PlanError(
                    "a parallel belt without a number of strakes stands above another belt", where,
                    "put it last, where it runs down to the rabbet, or say how many strakes it has",
                )  # fmt: skip
            if k == 0 and belt.width is None:
                raise PlanError("the strakes below the sheer have no width", where, "give a width")
        elif isinstance(belt, ParallelBelt) and belt.width is None:
            raise PlanError("a parallel belt with a number of strakes has no width", where, "give a width")
        follows = not last and isinstance(belts[k + 1], ParallelBelt) and belts[k + 1].lower is not None
        if is_divided(belt) and belt.lower is None and not follows:
            raise PlanError(
                "a divided belt has no lower line", where,
                "give the line that bounds it, or let a belt follow that is parallel to its own lower line",
            )  # fmt: skip
        if follows and is_divided(belt) and belt.lower is not None:
            raise PlanError(
                "two lines bound the same belts", where,
                "leave out this belt's lower line: the next belt, parallel to its own lower line, begins there",
            )  # fmt: skip
        if isinstance(belt, ParallelBelt) and belt.lower is not None and (k == 0 or not is_divided(belts[k - 1])):
            raise PlanError(
                "a belt parallel to its lower line has no divided belt above it", where,
                "put an equal or graded belt above it, which takes up what is left",
            )  # fmt: skip


def resolved(hull, belts):
    """Belts with their numbers of strakes, and the lines between them.

    Parameters
    ----------
    hull : PlankedSurface
    belts : sequence, checked

    Returns
    -------
    belts : tuple
    lines : list of HullLine or None
        lines[k] is above belt k; lines[0] is None, the sheer.
    """
    lines, out = [None], []
    for k, belt in enumerate(belts):
        upper = lines[-1]
        if is_divided(belt):
            lower = belt.lower
            if lower is None:
                following = belts[k + 1]
                _require_both_ends(hull, following.lower)
                lower = _parallel(hull, following.lower, -following.width * following.count, "belts' own")
            _require_both_ends(hull, lower)
            _require_below(hull, upper, lower)
            greatest = _greatest_girth(hull, upper, lower) if belt.count is None else 0.0
            out.append(replace(belt.counted(greatest), lower=lower))
            lines.append(lower)
        elif belt.count is not None:
            if belt.lower is not None:
                lower = belt.lower
            else:
                above = upper if upper is not None else _sheer(hull)
                lower = _parallel(hull, above, belt.width * belt.count, "last")
            _require_both_ends(hull, lower)
            _require_below(hull, upper, lower)
            out.append(belt)
            lines.append(lower)
        else:
            if upper is None:
                lines[-1] = _sheer(hull)
            out.append(belt)
    return tuple(out), lines


def parallel_between(hull, belt, upper, lower):
    """The seams between a parallel belt's two lines, from above down.

    Returns
    -------
    list of HullLine, count - 1 of them
    """
    steps = np.arange(1, belt.count)
    if belt.lower is not None:
        found = [_parallel(hull, lower, -belt.width * n, f"{n}.") for n in steps[::-1]]
    else:
        above = upper if upper is not None else _sheer(hull)
        found = [_parallel(hull, above, belt.width * n, f"{n}.") for n in steps]
    for line in found:
        _require_both_ends(hull, line)
    return found


def _sheer(hull):
    """The sheer as a line that others run parallel to."""
    return HullLine("Sheer", hull.sheer, 0.0, hull.boundary.length, 0.0, 0.0)


def _parallel(hull, line, distance, which):
    found = parallel_line(hull, line, distance)
    if found.s_bow is None or found.s_stern is None or not (
        found.s_bow <= hull.s_stem_end and found.s_stern >= hull.s_stern_start
    ):
        raise PlanError(
            f"{hull.name}: the {which} seam of a parallel belt, {abs(distance):.0f} mm from its line, does not run "
            f"from stem to stern: {found.notes[0][0].lower()}{found.notes[0][1:-1]}",
            f"{hull.frame.side} side",
            "give fewer or narrower strakes, or put a divided belt there",
        )
    return found


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


def _require_below(hull, upper, lower):
    if upper is not None and not (upper.s_bow < lower.s_bow and lower.s_stern < upper.s_stern):
        raise PlanError(
            "the lines between the belts cross", "at the hood ends",
            "give the belts' lines in the order in which they follow from the sheer down",
        )  # fmt: skip


def _greatest_girth(hull, upper, lower):
    """Greatest girth between two lines over all sections that cross both, mm."""
    ends = [lower.curve.points([0.0, lower.curve.length])[:, 0]]
    if upper is not None:
        ends.append(upper.curve.points([0.0, upper.curve.length])[:, 0])
    low, high = max(e[0] for e in ends), min(e[1] for e in ends)
    low, high = max(low, hull.x_range[0]), min(high, hull.x_range[1])
    x = np.linspace(low, high, _LOOKED_AT + 2)[1:-1]
    sections = sections_at(hull, x)

    def reading(line):
        if line is None:
            return np.zeros(len(x))
        out = np.full(len(x), np.nan)
        k, piece, t = plane_crossings(line.curve, x)
        out[k] = sections.girth_at_v(k, line.curve.uv_local(piece, t)[:, 1])
        return out

    girth = reading(lower) - reading(upper)
    k = int(np.nanargmax(girth))
    if 0 < k < len(x) - 1 and np.isfinite(girth[k - 1 : k + 2]).all():
        # the parabola through the three greatest
        a, b, c = girth[k - 1 : k + 2]
        bend = a - 2.0 * b + c
        return float(b - 0.125 * (c - a) ** 2 / bend) if bend < 0.0 else float(b)
    return float(girth[k])
