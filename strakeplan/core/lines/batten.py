# SPDX-License-Identifier: LGPL-2.1-or-later
"""The batten line: a stiff batten bent fair round the hull through any number of marks.

It takes the course of least edgewise bending, the least integral of kappa_g^2, and runs on
straight (kappa_g = 0) beyond its last marks to the stem and the stern.
"""

from dataclasses import dataclass
from typing import Tuple

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from .bend import bent
from .elastica import settle
from .elements import at_marks, raised
from .fairness import SEEN, Bearing, dropped, outlying
from .line import LEAVES, HullLine, lateral_distance, named, require_inside
from .marks import places
from .run_on import Words, run_on
from .ticks import Ticks, least_bending_within, stiffness

__all__ = ["BattenLine", "batten_line", "batten_on_patch"]

_DEGREES = (6, 8)  # of the two runs that are compared
_ELEMENTS = 24  # least number of elements of the whole line
_ROUGHLY = 1e-5  # of the line's length: where a line would lie that is only told of
_TRIES = 6  # steps towards it, after which the estimate stands
_FAR = 0.02  # of the line's length: a mark that far off is not looked into closely
_NONE = 1e-12  # of the bending through the marks: a line that bends less is straight
_SAME_PLACE = 1e-6  # of the hull's size: marks nearer together are one


@dataclass(frozen=True, eq=False)
class BattenLine(HullLine):
    """A batten's line and how it bears on its marks.

    Attributes
    ----------
    bending : float
        Integral of kappa_g^2 along it, 1/mm; times half the batten's E I it is the work
        done in bending it edgewise.
    marks : tuple of Bearing, from the bow aft
    """

    bending: float = 0.0
    marks: Tuple[Bearing, ...] = ()


def batten_on_patch(patch, marks, hold_start=None, hold_end=None, degree=_DEGREES[1],
                    elements=_ELEMENTS):
    """Batten through points of a patch, without any hull round it.

    Parameters
    ----------
    patch : SplinePatch
    marks : (m, 2) u, v; two or more
    hold_start, hold_end : float, optional
        Angle, towards n x t, by which the line near a held end lies off the string to the
        next mark, radians. None leaves the end free.
    degree : int
        Of the elements.
    elements : int
        Least number of elements; every mark and knot line adds one.

    Returns
    -------
    SurfaceCurve

    Raises
    ------
    PlanError
        The batten does not settle.
    """
    return bent(patch, np.asarray(marks, float), (hold_start, hold_end), degree, elements)[0].curve()



def batten_line(hull, marks, tolerance=0.0, hold_bow=None, hold_stern=None):
    """Batten through marks, from the stem to the stern.

    Parameters
    ----------
    hull : PlankedSurface
    marks : sequence of Mark
        Two or more, from the bow aft. Beyond a first mark that is not on the stem, or a last
        one not on the stern, the line runs on straight to the edge.
    tolerance : float or sequence of float
        How far the line may pass from the marks, mm, all or each: measured square to the line,
        at marks on the stem or stern along that edge. 0: through the marks exactly.
    hold_bow, hold_stern : float, optional
        Hold the batten at its first or last mark at this angle (radians) off the string to the
        next mark; positive where the line runs on the keel's side of that string, 0 along it.
        None leaves the end free, kappa_g = 0. A held end's mark is met exactly.

    Returns
    -------
    BattenLine

    Raises
    ------
    PlanError
        Fewer than two marks, marks out of order or at one place or off the hull; a tolerance
        or an angle that is none; a line that leaves the planked surface, or does not settle.
    """
    found = places(hull, marks)
    _require_order(hull, found)
    limit = _limits(hull, found, tolerance)
    holds = _holds(hull, hold_bow, hold_stern)
    limit[[0, -1]] = np.where([h is not None for h in holds], 0.0, limit[[0, -1]])
    label = f"the batten through {len(found)} marks"
    uv = np.array([place.uv for place in found])
    with named(hull, label, f"between {found[0].label} and {found[-1].label}"):
        coarse, fine, ticks, strange = _bent_within(hull, found, uv, holds, limit)

    runs, guess = [], {}
    for (inner, _, _, at), degree in zip((coarse, fine), _DEGREES):
        curve, s_ends, guess = _whole(hull, found, inner, ticks, at, degree, label, guess)
        runs.append(curve)
    _require_on_hull(hull, runs[1], label)
    batten, step, _, offset = fine
    moves = _moves(coarse, ticks, limit, strange)
    before = guess["stem"][0].length if "stem" in guess else 0.0
    s = before + np.concatenate([[0.0], np.cumsum(batten.length)])
    told = tuple(
        Bearing(place.label, float(s[k]), float(pull), float(offset[k]), float(moves[k]), k in strange)
        for k, (place, pull) in enumerate(zip(found, batten.pulls()))
    )
    floor = 1e-13 * hull.patch.size  # rounding of the coordinates themselves
    return BattenLine(
        "Batten line", runs[1], *s_ends,
        max(lateral_distance(runs[1], runs[0]), floor),
        max(abs(runs[1].length - runs[0].length), floor),
        _notes(told, strange), batten.bending(), told,
    )  # fmt: skip


def _bent_within(hull, found, uv, holds, limit):
    """The batten on elements of both degrees, its ticks, and the marks that stand out."""
    low, high = _DEGREES
    batten, step, ends = bent(hull.patch, uv, holds, low, _ELEMENTS)
    longest = float(batten.length.sum()) / _ELEMENTS
    ticks = Ticks(hull.patch, uv, at_marks(batten)[1], _edge_ticks(hull, found))
    offset = np.zeros(len(found))
    slope, second = stiffness(batten, step, ticks.at(offset)[1])
    spare = len(found) - 2 + sum(h is not None for h in holds)
    strange = outlying(slope, second, spare, np.maximum(limit, SEEN))
    none = _NONE * batten.bending()
    coarse = least_bending_within(batten, step, ends, ticks, limit, offset, longest, low, none)
    fine = settle(raised(coarse[0], high), coarse[2], longest, high)
    if fine[0] is None:
        raise PlanError("the batten does not settle", "", "move the marks a little")
    fine = least_bending_within(*fine, coarse[2], ticks, limit, coarse[3], longest, high, none)
    return coarse, fine, ticks, strange


def _require_on_hull(hull, curve, label):
    def error(c, edge):
        return PlanError(
            f"{hull.name}: {label} {LEAVES[edge]}",
            f"at {hull.frame.station_label(c.p[0, 0])}",
            "lower the marks next to it" if edge == "sheer" else "raise the marks next to it",
        )

    require_inside(hull, curve, error)


def _whole(hull, found, batten, ticks, offset, degree, label, guess):
    """The batten with what it runs on beyond its marks.

    Returns
    -------
    SurfaceCurve, (s_bow, s_stern) on the boundary, and the runs for the next call
    """
    t, _ = at_marks(batten)
    uv = ticks.at(offset)[0]
    parts, s_ends, runs = [raised(batten, _DEGREES[1]).curve()], [], {}
    elements = 4 if degree == _DEGREES[0] else 8
    for k, edge, sense in ((0, "stem", -1.0), (-1, "stern", 1.0)):
        if found[k].edge:
            sign = 1.0 if edge == "stem" else -1.0
            s_ends.append(float(found[k].s + sign * offset[k]))
            continue
        mark = f"the {'first' if k == 0 else 'last'} mark of the batten"
        words = Words(label, f"lower {mark}", f"raise {mark}", f"move {mark}, or give one on the {edge}")
        run, end = run_on(hull, uv[k], sense * t[k], edge, words, elements, guess.get(edge))
        runs[edge] = run, end
        parts = [run.reversed(), *parts] if k == 0 else [*parts, run]
        s_ends.append(float(end))
    return SurfaceCurve.joined(parts), tuple(s_ends), runs


def _moves(settled, ticks, limit, strange):
    """How far the line moves at every mark if that one is left out, mm.

    For marks that stand out the batten is bent again, on the same elements; for the others it
    is an estimate from the bending's second derivatives.
    """
    batten, step, ends, offset = settled
    slope, second = stiffness(batten, step, ticks.at(offset)[1])
    # a mark holds the line where it is met exactly, or the line lies hard against its tolerance
    firm = (np.abs(offset) >= limit * (1.0 - 1e-9)) & (np.abs(slope) > 1e-6 * np.diag(second))
    out = dropped(slope, second, firm)
    for k in strange:
        if not abs(out[k]) < _FAR * float(batten.length.sum()):
            continue  # no slip of the tape: the estimate will do
        without = limit.copy()
        without[k] = np.inf
        try:
            moved = least_bending_within(
                batten, step, ends, ticks, without, offset, None, None, still=_ROUGHLY, rounds=_TRIES
            )
        except PlanError:
            continue  # the estimate stands
        out[k] = moved[3][k] - offset[k]
    return out


def _notes(told, strange):
    """What a builder should know of the marks, the worst first."""
    out = []
    for k in sorted(strange, key=lambda k: -abs(told[k].moves)):
        side = "lower" if told[k].moves > 0.0 else "higher"
        out.append(
            f"Mark {k + 1}, {told[k].label}, makes the line unfair: without it the line lies "
            f"{abs(told[k].moves):.1f} mm {side} there."
        )
    return tuple(out)


def _require_order(hull, found):
    """Raise unless there are two marks or more, apart, and from the bow aft."""
    if len(found) < 2:
        raise PlanError(f"{hull.name}: a batten needs two marks at least", "", "give another mark")
    for k, place in enumerate(found):
        if (place.edge == "stem" and k > 0) or (place.edge == "stern" and k < len(found) - 1):
            raise PlanError(
                f"{hull.name}: {place.label} is mark {k + 1} of {len(found)} of the batten",
                f"at the {place.edge}", "give the marks from the stem aft to the stern",
            )  # fmt: skip
    for k, (a, b) in enumerate(zip(found[:-1], found[1:])):
        if np.linalg.norm(b.p - a.p) < _SAME_PLACE * hull.patch.size:
            raise PlanError(
                f"{hull.name}: marks {k + 1} and {k + 2} of the batten are at one place",
                f"{a.label}", "leave one of them out",
            )  # fmt: skip
        if b.p[0] <= a.p[0]:
            raise PlanError(
                f"{hull.name}: mark {k + 2} of the batten does not lie abaft mark {k + 1}",
                f"{b.label}, after {a.label}", "give the marks in order from the bow aft, one to a station",
            )  # fmt: skip


def _limits(hull, found, tolerance):
    """Greatest offset (m,) of every mark, mm."""
    given = np.atleast_1d(np.asarray(tolerance, float))
    fits = given.ndim == 1 and len(given) in (1, len(found))
    if not fits or not np.isfinite(given).all() or np.any(given < 0.0):
        raise PlanError(
            f"{hull.name}: the batten's tolerance is not a distance for each of its {len(found)} marks",
            "", "give one distance in mm, 0 or more, or one for each mark",
        )  # fmt: skip
    return np.array(np.broadcast_to(given, len(found)))


def _holds(hull, *angles):
    for angle, end in zip(angles, ("bow", "stern")):
        if angle is not None and not (np.isfinite(angle) and abs(angle) < np.pi / 2.0):
            raise PlanError(
                f"{hull.name}: the batten cannot be held at that angle", f"at the {end}",
                "give an angle of less than a right angle off the string to the next mark",
            )  # fmt: skip
    return angles


def _edge_ticks(hull, found):
    """Ticks of the marks on the stem and the stern, positive down the edge."""
    return {
        k: (hull.boundary, place.s, 1.0 if place.edge == "stem" else -1.0)
        for k, place in enumerate(found)
        if place.edge
    }
