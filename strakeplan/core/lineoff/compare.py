# SPDX-License-Identifier: LGPL-2.1-or-later
"""Numbers of strakes side by side: what each comes to on the same hull and lines."""

from dataclasses import dataclass, replace
from typing import Optional, Tuple

import numpy as np

from ..checks.widths import check_widths
from ..develop import edge_sets, laid_flat
from ..errors import PlanError
from ..strakes.samples import strake_samples
from .belts import MOST_STRAKES, EqualBelt
from .figures import Place, RunOut, line_off_figures
from .lineoff import line_off
from .resolution import EXACT

__all__ = ["MOST_COUNTS", "CountFigures", "compare_counts", "compared_belt", "counts_around"]

MOST_COUNTS = 40
_SLACK = 1e-3  # of the narrowest breadth, within which a breadth counts as reached


@dataclass(frozen=True)
class CountFigures:
    """What one number of strakes comes to; None for all figures where it cannot be.

    Attributes
    ----------
    count : int
        Strakes of the belt that is changed.
    fault : str
        Why it cannot be lined off so; empty where it can.
    strakes : int
        In all, down to the garboard.
    stem, stern : (float, float)
        Least and greatest breadth of the belt's strakes along the stem and the stern, mm.
    greatest : Place
        Greatest breadth of the belt's strakes, square to their middle lines.
    least : Place
        Least breadth of all strakes but the garboard, points on the rabbet left out.
    too_narrow : int or None
        Strakes narrower than the narrowest breadth; None where none was given.
    edge_set : Place
        Greatest edge set of all strakes over the plank's length.
    parallel_width : float or None
        mm; None without parallel strakes.
    garboard : Place
        Greatest breadth of the garboard.
    sharpest : RunOut or None
        The strake that runs out on the rabbet at the smallest angle.
    """

    count: int
    fault: str = ""
    strakes: Optional[int] = None
    stem: Optional[Tuple[float, float]] = None
    stern: Optional[Tuple[float, float]] = None
    greatest: Optional[Place] = None
    least: Optional[Place] = None
    too_narrow: Optional[int] = None
    edge_set: Optional[Place] = None
    parallel_width: Optional[float] = None
    garboard: Optional[Place] = None
    sharpest: Optional[RunOut] = None


def counts_around(count, to=3):
    """Whole numbers from `to` below a number of strakes to as many above it, 1 the least."""
    return tuple(range(max(1, count - to), count + to + 1))


def compared_belt(belts):
    """Which belt's number of strakes is changed: the first of equal strakes.

    Raises
    ------
    PlanError
    """
    for k, belt in enumerate(belts):
        if isinstance(belt, EqualBelt):
            return k
    raise PlanError(
        "no belt has equal strakes, so there is no number to change", "",
        "compare numbers in a line-off with a belt of equal strakes",
    )  # fmt: skip


def compare_counts(hull, belts, counts, plank_length, narrowest=None, stand_off=None, resolution=EXACT):
    """Line off a hull with several numbers of strakes.

    All are lined off without nibs, so that like is compared with like.

    Parameters
    ----------
    hull : PlankedSurface
    belts : sequence
        See `line_off`; the number of the first equal belt is changed.
    counts : sequence of int
    plank_length : float
        mm, for the edge set.
    narrowest : float, optional
        Breadth below which strakes count as too narrow, mm.
    stand_off : float, optional
    resolution : Resolution

    Returns
    -------
    tuple of CountFigures, in the order of `counts`

    Raises
    ------
    PlanError
        Numbers that are none, or belts that can be lined off with none of them.
    """
    counts = tuple(counts)
    if not counts or len(counts) > MOST_COUNTS:
        raise PlanError(
            f"{len(counts)} numbers of strakes cannot be compared", "", f"give between 1 and {MOST_COUNTS} numbers"
        )
    for count in counts:
        if isinstance(count, bool) or int(count) != count or not 1 <= count <= MOST_STRAKES:
            raise PlanError(
                f"{count} strakes cannot be lined off", "", f"give whole numbers between 1 and {MOST_STRAKES}"
            )
    if not (np.isfinite(plank_length) and plank_length > 0.0):
        raise PlanError(f"a plank {plank_length:g} mm long cannot be", "", "give a length above 0 mm")
    k = compared_belt(belts)
    found = []
    for count in counts:
        changed = list(belts)
        changed[k] = replace(belts[k], count=int(count), greatest=None)
        try:
            plan = line_off(hull, changed, stand_off, resolution=resolution)
        except PlanError as fault:
            found.append(CountFigures(int(count), str(fault)))
        else:
            found.append(_figures(plan, k, plank_length, narrowest))
    if all(one.fault for one in found):
        raise PlanError(f"{hull.name} can be lined off with none of these numbers: {found[0].fault}")
    return tuple(found)


def _figures(plan, k, plank_length, narrowest):
    """Figures of a line-off; its belt k is the one whose number is changed."""
    samples = strake_samples(plan, girths=False)
    widths = check_widths(samples)
    sets = edge_sets(laid_flat(samples.s, samples.edgewise), plank_length)
    figures = line_off_figures(plan, samples)
    station = plan.hull.frame.to_model_station
    first = 1 + sum(int(belt.count) for belt in plan.belts[:k])
    count = int(plan.belts[k].count)
    mine = np.flatnonzero((samples.number >= first) & (samples.number < first + count))

    def place(values, index, rows):
        row = rows[int(np.argmax(values[rows]))]
        return Place(float(values[row]), int(samples.number[row]), float(station(samples.x[row, index[row]])))

    def span(values):
        return float(np.min(values[mine])), float(np.max(values[mine]))

    others = samples.number != plan.strakes[-1].number
    narrow = None
    if narrowest:
        narrow = len(set(samples.number[others & (widths.narrow.worst < narrowest * (1.0 - _SLACK))]))
    sharpest = min(figures.run_outs, key=lambda r: r.angle, default=None)
    return CountFigures(
        count, "", len(plan.strakes), span(samples.bow_girth), span(samples.stern_girth),
        place(widths.wide.worst, widths.wide.index, mine), figures.least, narrow,
        place(sets.most, sets.index, np.arange(len(samples.number))), plan.parallel_width, figures.garboard, sharpest,
    )  # fmt: skip
