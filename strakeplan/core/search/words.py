# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a search has found, in figures and in words: line-offs side by side, and what binds."""

import numpy as np

from ..lineoff.belts import EqualBelt
from ..tables.nibs import nib_table

__all__ = ["HEADINGS", "PRESENT", "binding_words", "outcome_row", "present_row", "search_words", "shortfall"]

#: heads of `outcome_row` and `present_row`
HEADINGS = (
    "Kind", "Margin, %", "What binds", "On", "At, mm", "Is", "Limit", "Equal strakes", "Strakes in all",
    "Line at the stem, % of girth", "Line at the stern, % of girth", "Slack, mm", "Least breadth at the stem, mm",
    "Least width amidships, mm", "Greatest width amidships, mm", "Least breadth at the stern, mm",
    "Greatest width, mm", "Spiled", "Nibs",
)  # fmt: skip

#: what a line-off is called that was there before the search
PRESENT = "Present line-off"


def outcome_row(outcome):
    """Figures of an outcome under HEADINGS; None where there is none.

    Parameters
    ----------
    outcome : Outcome
        With a plan.
    """
    d = outcome.design
    return _row(
        d.kind.name, outcome.plan, outcome.checks, outcome.margin, outcome.binds, d.kind.spiled, d.count,
        (d.bow, d.stern), outcome.slack,
    )  # fmt: skip


def present_row(plan, checks, spiled=True):
    """Figures of a line-off that is there, under HEADINGS.

    Parameters
    ----------
    plan : LineOff
    checks : Checks
    spiled : bool
        Its strakes got out as they are classed; or every one sprung that is not always spiled.
    """
    first, hull = plan.belts[0], plan.hull
    ends, lower = (None, None), getattr(first, "lower", None)
    if lower is not None and lower.s_bow is not None and lower.s_stern is not None:
        ends = (lower.s_bow / hull.stem_length, (hull.boundary.length - lower.s_stern) / hull.stern_length)
    count = first.count if isinstance(first, EqualBelt) else None
    margin, binds = (checks.worst_margin, checks.binds) if spiled else (checks.worst_sprung, checks.binds_sprung)
    margin = margin if np.isfinite(margin) else 1.0
    return _row(PRESENT, plan, checks, margin, binds, spiled, count, ends, None)


def _row(name, plan, checks, margin, binds, spiled, count, ends, slack):
    widths, strakes = checks.widths, checks.strakes
    if spiled:
        shaped = checks.classes.method == "spile"
    else:
        shaped = np.isin(np.asarray(strakes.rule, str), list(checks.limits.always_spiled))
    middle = widths_amidships(plan.hull, strakes)
    return (
        name, round(100.0 * margin, 1), *_binding_cells(binds, strakes.frame), count, len(plan.strakes),
        *(None if end is None else round(100.0 * float(end), 2) for end in ends), None if slack is None else round(slack, 2),
        _least(widths.bow), *middle, _least(widths.stern), round(float(np.max(widths.wide.worst)), 1),
        len(set(strakes.number[shaped].tolist())), len(nib_table(plan)),
    )  # fmt: skip


def _binding_cells(binds, frame):
    if binds is None:
        return (None,) * 5
    item = binds.item
    return (
        item.title, binds.label, round(float(frame.to_model_station(binds.x)), 0), item.read(binds.value),
        item.read(binds.limit),
    )  # fmt: skip


def _least(girth):
    some = girth[np.isfinite(girth)]
    return round(float(np.min(some)), 1) if len(some) else None


def widths_amidships(hull, strakes):
    """Least and greatest width (mm) half-way between stem and stern, the garboard left out; None for none."""
    x = 0.5 * sum(hull.x_range)
    rows = [
        k for k, rule in enumerate(strakes.rule) if rule != "garboard" and strakes.x[k, 0] <= x <= strakes.x[k, -1]
    ]
    found = [float(np.interp(x, strakes.x[k], strakes.width[k])) for k in rows]
    return (round(min(found), 1), round(max(found), 1)) if found else (None, None)


def binding_words(binds, frame):
    """'edge set of Strake 05 at X = 3200 mm is 92.3 mm, the limit is 80.0 mm'."""
    item = binds.item
    return (
        f"{item.title} of {binds.label} at {frame.station_label(binds.x)} is {item.read(binds.value)}, "
        f"the limit is {item.read(binds.limit)}"
    )


def shortfall(found):
    """Which limit binds and by how much where a search found nothing that keeps all; empty where it did.

    Parameters
    ----------
    found : Found
    """
    if found.satisfies:
        return ""
    if not found.best:
        return f"No line-off was found. {found.reason}".strip()
    best = found.best[0]
    text = "No line-off that was tried keeps all limits."
    if best.binds is None:
        return text
    words = binding_words(best.binds, best.checks.strakes.frame)
    return f"{text} The nearest passes one by {-100.0 * best.margin:.0f} %: {words}."


def search_words(found, present=None):
    """What a search found, as lines of text.

    Parameters
    ----------
    found : Found
    present : tuple, optional
        Of `present_row`.
    """
    lines = [
        f"{found.tried} line-offs tried{', stopped before the end' if found.stopped else ''}; "
        "the best of each kind, the greatest margin first:"
    ]
    rows = ([present] if present else []) + [outcome_row(o) for o in found.best]
    for row in rows:
        cell = dict(zip(HEADINGS, row))
        equal = "" if cell["Equal strakes"] is None else f", {cell['Equal strakes']} equal strakes"
        binds = "" if cell["What binds"] is None else f", {cell['What binds']} binds ({cell['On']}, at {cell['At, mm']:.0f} mm)"
        lines.append(f"    {cell['Margin, %']:6.1f} %  {cell['Kind']}{equal}{binds}")
    short = shortfall(found)
    return [*lines, short] if short else lines
