# SPDX-License-Identifier: LGPL-2.1-or-later
"""From a search's outcome to a line and its line-off in the document."""

from ..core.lines.marks import Mark
from ..core.lines.taut import taut_line
from .base import all_or_nothing
from .make import make_eased_line, make_line_off, make_taut_line
from .marked import SHARE
from .planked_surface import surface_of

__all__ = ["HEADINGS", "make_found", "outcome_rows"]

#: head of `outcome_rows`
HEADINGS = (
    "Kind", "Equal strakes", "Strakes in all", "Line at the stem, % of girth", "Line at the stern, % of girth",
    "Slack, mm", "Margin, %", "What binds", "On", "Least breadth at the stem, mm", "Greatest width, mm",
    "Least breadth at the stern, mm", "Spiled", "Nibs",
)  # fmt: skip


def slack_of(outcome):
    """How much longer than the taut line between its ends an outcome's line is, mm; 0 for a taut one."""
    design, plan = outcome.design, outcome.plan
    if not design.kind.eased:
        return 0.0
    marks = [Mark(edge="stem", share=design.bow), Mark(edge="stern", share=design.stern)]
    return float(plan.belts[0].lower.curve.length - taut_line(plan.hull, marks).curve.length)


def outcome_rows(outcomes):
    """A row for each outcome, under HEADINGS."""
    from ..core.tables.nibs import nib_table

    rows = []
    for o in outcomes:
        w, binds = o.checks.widths, o.binds
        least = [min([float(v) for v in end if v == v], default=None) for end in (w.bow, w.stern)]
        spiled = set(o.checks.strakes.number[o.checks.classes.method == "spile"].tolist())
        rows.append((
            o.design.kind.name, o.design.count, len(o.plan.strakes), round(100.0 * o.design.bow, 2),
            round(100.0 * o.design.stern, 2), round(slack_of(o), 2), round(100.0 * o.margin, 1),
            "" if binds is None else binds.item.title, "" if binds is None else binds.label,
            least[0] and round(least[0], 1), round(float(max(w.wide.worst)), 1), least[1] and round(least[1], 1),
            len(spiled), len(nib_table(o.plan)),
        ))  # fmt: skip
    return rows


def make_found(surface, outcome, limits, parallel_width=None):
    """Make the line and the line-off of an outcome, in one undo step.

    Parameters
    ----------
    surface : document object
        Planked surface that was searched on.
    outcome : Outcome
    limits : Limits
        The search's: they say where strakes end in nibs.
    parallel_width : float, optional
        mm.

    Returns
    -------
    document objects of the line and of the line-off
    """
    design, hull = outcome.design, surface_of(surface).value
    ends = {"BowGivenBy": SHARE, "BowShare": design.bow, "SternGivenBy": SHARE, "SternShare": design.stern}
    values = {"Strakes": design.count, "ParallelWidth": parallel_width or 0.0}
    if design.kind.stealers:
        values["NarrowestStrake"] = max([v for v in (limits.narrowest, limits.hood_end) if v], default=0.0)
    with all_or_nothing(surface.Document, f"Line-off found for {hull.name}"):
        if design.kind.eased:
            line = make_eased_line(surface, **ends, Slack=slack_of(outcome))
        else:
            line = make_taut_line(surface, **ends)
        return line, make_line_off(line, **values)
