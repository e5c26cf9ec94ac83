# SPDX-License-Identifier: LGPL-2.1-or-later
"""Stealers and shared ends found from the narrowest breadth that a strake may have.

Where all strakes run to the end of the hull and are too narrow there, some of a divided
belt end in nibs, so that one plank takes over from two; strakes that run out to a point on
the rabbet end in nibs as well.
"""

from dataclasses import dataclass
from typing import Tuple

import numpy as np

from ..errors import PlanError
from ..strakes.samples import strake_samples
from .belts import ParallelBelt, is_divided, is_divided_rule
from .lineoff import LineOff, line_off, with_nibs
from .nibs import Nib
from .resolution import EXACT, QUICK

__all__ = ["WithStealers", "joined_strakes", "line_off_with_stealers"]

_STEP = 1.0 / 60.0  # of the hull's length: nibs are tried at such steps where no stations are given
_INWARD = 0.42  # of the hull's length: no nib farther from its end than this
_SLACK = 1e-3  # of the narrowest breadth, within which a breadth counts as reached
_MARGIN = 1.02  # breadth that a stealer should have where it ends, over the narrowest


@dataclass(frozen=True, eq=False)
class WithStealers:
    """A line-off whose strakes keep to a narrowest breadth.

    Attributes
    ----------
    lineoff : LineOff
    nibs : tuple of Nib
    narrowest : float
        Least breadth square to the middle line that any strake has in the end, mm; the
        garboard's, and those in the notes, left out.
    notes : tuple of str
        What could not be reached.
    """

    lineoff: LineOff
    nibs: Tuple[Nib, ...]
    narrowest: float
    notes: Tuple[str, ...]


def joined_strakes(count, ended):
    """Which strakes of a belt end, spread evenly.

    Parameters
    ----------
    count : int
        Strakes of the belt.
    ended : int
        How many of them end.

    Returns
    -------
    tuple of int
        Counted from 0; never the first, never two side by side.
    """
    if ended > count // 2:
        raise ValueError(f"{ended} of {count} strakes cannot end without lying side by side")
    # in each of `ended` equal groups of at least two the one in the middle, the lower of two
    bounds = np.round(np.linspace(0, count, ended + 1)).astype(int)
    return tuple(int(max(a + 1, (a + b) // 2)) for a, b in zip(bounds[:-1], bounds[1:]))


def line_off_with_stealers(hull, belts, narrowest, stations=(), stand_off=None, nibs=(), resolution=EXACT):
    """Line off a hull so that no strake falls below a breadth.

    Parameters
    ----------
    hull : PlankedSurface
    belts : sequence
        See `line_off`.
    narrowest : float
        mm, square to the middle line.
    stations : sequence of Station
        Nibs stand at these, where any are given; anywhere otherwise. Nibs of strakes that
        run out on the rabbet stand where the breadth is the narrowest.
    stand_off : float, optional
    nibs : sequence of Nib
        Set by hand; strakes and ends that have one are left as they are.
    resolution : Resolution
        Of the line-off. Stations are always looked for by first looks.

    Returns
    -------
    WithStealers

    Raises
    ------
    PlanError
        Where even with every second strake ended the ends are too narrow, or no station
        keeps all strakes wide enough.
    """
    if not (np.isfinite(narrowest) and narrowest > 0.0):
        raise PlanError(f"a narrowest breadth of {narrowest} mm cannot be", "", "give it in mm, above 0")
    given = tuple(nibs)
    # what lies below the lines has no say in the belts above: trials go without it
    upper = [b for b in belts if not (isinstance(b, ParallelBelt) and b.count is None)] or belts
    plain = line_off(hull, upper, stand_off, resolution=QUICK)
    above = tuple(n for n in given if n.strake < len(plain.strakes))
    if above:
        plain = line_off(hull, upper, stand_off, above, QUICK)
    found = list(above)
    # a first look may be off by its error: the strakes found by it are that much broader
    wanted = narrowest + QUICK.error
    for end in ("bow", "stern"):
        ended = [k for first, count in _divided(plain) for k in _ended(plain, first, count, wanted, end, given)]
        if ended:
            found += _placed(hull, upper, wanted, stations, stand_off, tuple(found), ended, end)
    rest = tuple(n for n in given if n not in above)
    best = line_off(hull, belts, stand_off, (*found, *rest), resolution)
    best, notes = _without_points(best, narrowest)
    notes += _still_narrow(best, narrowest)
    return WithStealers(best, best.nibs, _least(best, best.strakes[:-1]), tuple(notes))


def _divided(plan):
    """(number of its first strake, count) of every divided belt."""
    out, first = [], 1
    for belt in plan.belts:
        if is_divided(belt):
            out.append((first, int(belt.count)))
        first += int(belt.count or 0)
    return out


def _end_breadths(samples, numbers, end):
    """Breadth (k,) square to the middle line of strakes at an end of the hull, mm."""
    column = 0 if end == "bow" else -1
    out = []
    for number in numbers:
        rows = np.flatnonzero(samples.number == number)
        out.append(samples.width[rows[column], column])
    return np.array(out)


def _ended(plan, first, count, narrowest, end, given):
    """Strakes of a belt that have to end, by number."""
    numbers = np.arange(first, first + count)
    if any(n.end == end and n.strake in numbers for n in given):
        return ()
    widths = _end_breadths(strake_samples(plan, girths=False), numbers, end)
    if np.min(widths) >= narrowest * (1.0 - _SLACK):
        return ()
    left = int(np.floor(count * np.min(widths) / narrowest + _SLACK))
    if count - left > count // 2:
        raise PlanError(
            f"{plan.hull.name}: {count} strakes are {np.min(widths):.0f} mm wide at the {end}, and with every second "
            f"one ended still narrower than {narrowest:.0f} mm",
            f"strakes {first} to {first + count - 1}, {plan.hull.frame.side} side",
            f"line off fewer strakes, or let the line end lower at the {end}",
        )
    return tuple(first + k for k in joined_strakes(count, count - left))


def _placed(hull, belts, narrowest, stations, stand_off, others, ended, end):
    """Nibs of the strakes that end, as near to the end as all breadths allow."""
    worst = None
    places = [float(hull.frame.to_model_station(x)) for x in _places(hull, stations, end)]
    # neighbouring nibs stand at different stations: in one line they would weaken the side
    for near, far in zip(places, places[1:]):
        trial = tuple(Nib(k, end, far if i % 2 else near) for i, k in enumerate(ended))
        try:
            plan = line_off(hull, belts, stand_off, (*others, *trial), QUICK)
        except PlanError as fault:
            worst = worst or fault
            continue
        depths = [_cut(plan, nib).across.length for nib in trial]
        low = [nib for nib, depth in zip(trial, depths) if depth < narrowest * (1.0 - _SLACK)]
        if low:
            trial = tuple(Nib(n.strake, n.end, n.position, _MARGIN * narrowest) if n in low else n for n in trial)
            try:
                plan = line_off(hull, belts, stand_off, (*others, *trial), QUICK)
            except PlanError as fault:
                worst = worst or fault
                continue
        numbers = [n for first, count in _divided(plan) for n in range(first, first + count)]
        if _least(plan, [s for s in plan.strakes if s.number in numbers], end) >= narrowest * (1.0 - _SLACK):
            return trial
    raise PlanError(
        f"{hull.name}: with strakes {', '.join(map(str, ended))} ended in nibs there is no station at which all "
        f"strakes are {narrowest:.0f} mm wide",
        f"at the {end}, {hull.frame.side} side",
        f"allow narrower strakes, line off fewer, or let the line end lower at the {end}"
        + (f" ({worst})" if worst else ""),
    )


def _places(hull, stations, end):
    """Ship positions at which nibs may stand, from an end inwards."""
    low, high = hull.x_range
    length = high - low
    if len(stations):
        x = np.sort(hull.frame.to_ship_station(np.array([s.x for s in stations])))
    else:
        x = low + length * np.arange(_STEP, 1.0 - 0.5 * _STEP, _STEP)
    if end == "bow":
        return [v for v in x if low < v <= low + _INWARD * length]
    return [v for v in x[::-1] if high - _INWARD * length <= v < high]


def _cut(plan, nib):
    part = plan.seams[int(nib.strake) - 1].parts[0 if nib.end == "bow" else -1]
    return part.fore if nib.end == "bow" else part.aft


def _least(plan, strakes, end=None):
    """Least breadth of some strakes, mm; of the half of the hull towards an end."""
    samples = strake_samples(plan, girths=False)
    mine = np.isin(samples.number, [s.number for s in strakes])
    width, x = samples.width[mine], samples.x[mine]
    if end is not None:
        middle = 0.5 * sum(plan.hull.x_range)
        width = width[(x <= middle) if end == "bow" else (x >= middle)]
    return float(np.nanmin(width, initial=np.inf))


def _still_narrow(plan, narrowest):
    """Notes of strakes that are narrower all the same; the garboard takes what is left."""
    samples, notes = strake_samples(plan, girths=False), []
    for number in np.unique(samples.number[samples.number < len(plan.strakes)]):
        rows = np.flatnonzero(samples.number == number)
        width = np.where(np.isfinite(samples.width[rows]), samples.width[rows], np.inf)
        row, k = np.unravel_index(np.argmin(width), width.shape)
        if width[row, k] < narrowest * (1.0 - _SLACK) - 0.05:
            place = plan.hull.frame.station_label(float(samples.x[rows[row], k]))
            notes.append(f"Strake {number:02d} is only {width[row, k]:.1f} mm wide, {place}.")
    return notes


def _without_points(plan, narrowest):
    """The same line-off, its strakes that run out on the rabbet or nearly ended in nibs."""
    notes = []
    have = {(n.strake, n.end) for n in plan.nibs}
    for strake in plan.strakes[1:]:
        for end, outline in (("bow", strake.planks[0]), ("stern", strake.planks[-1])):
            tip = outline.fore if end == "bow" else outline.aft
            broad = tip is not None and tip.length >= narrowest * (1.0 - _SLACK)
            if broad or is_divided_rule(strake.rule) or (strake.number, end) in have:
                continue
            try:
                plan = with_nibs(plan, [Nib(strake.number, end, None, narrowest)])
            except PlanError as fault:
                what = "runs out to a point" if tip is None else f"is only {tip.length:.0f} mm broad"
                notes.append(f"{strake.name} still {what} at the {end}: {fault}")
    return plan, notes
