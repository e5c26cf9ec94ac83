# SPDX-License-Identifier: LGPL-2.1-or-later
"""One page that a builder reads: the plan, its strakes, what binds, what to try, cautions."""

import textwrap

import numpy as np

from ..cautions import CAUTIONS
from .remedies import names, what_to_try, why_spiled
from .spring_or_spile import NEITHER, SPILE, SPRING

__all__ = ["checks_report", "plan_sentence", "strake_rows", "strake_verdict", "what_binds"]

HEADINGS = (
    "strake", "rule", "stem", "greatest", "stern", "edge set", "force", "strain", "stands off", "R/t", "twist",
    "hollow", "board", "got out", "margin", "by", "at",
)  # fmt: skip
UNITS = ("", "", "mm", "mm", "mm", "mm", "N", "%", "mm", "", "deg/m", "mm", "mm", "", "%", "", "mm")
_WAYS = {SPRING: "spring", SPILE: "spile", NEITHER: "will not go"}


def checks_report(checks, name="", notes=(), cautions=CAUTIONS):
    """The report.

    Parameters
    ----------
    checks : Checks
    name : str
        The boat's.
    notes : sequence of str
    cautions : sequence of str

    Returns
    -------
    str
    """
    job = checks.job
    rows = [HEADINGS, UNITS, *strake_rows(checks)]
    width = [max(len(row[k]) for row in rows) for k in range(len(HEADINGS))]
    left = {0, 1, 13, 15}
    table = []
    for row in rows:
        cells = (cell.ljust(w) if k in left else cell.rjust(w) for k, (cell, w) in enumerate(zip(row, width)))
        table.append("  ".join(cells).rstrip())
    page = max(map(len, table))
    under = (
        f"Edge set of planks of {job.plank_length / 1000.0:g} m. Force: one clamp at mid-length, ends free to turn. "
        "Strain: share of the breaking strain at the worst corner, edgewise bending left out where a strake is spiled "
        "and bend on the flat where it is steamed. Stands off: an edge, while the plank is sprung and held at its ends "
        "only. "
        "Board: width that spiling needs. Margin: what is left of the limit named beside it, at that place."
    )
    ways = what_to_try(checks)
    lines = [
        *_wrapped(plan_sentence(checks, name), page), "", *table, "", *_wrapped(under, page), "",
        "What binds", *(line for text in what_binds(checks) for line in _wrapped(text, page, "  ")), "",
        "What to try", *(line for text in ways or ("Nothing.",) for line in _wrapped(text, page, "  ")), "",
        "Limits are settings; their defaults are common practice, no source.",
    ]  # fmt: skip
    for label, texts in (("Note", notes), ("Caution", cautions)):
        lines += [line for text in texts for line in _wrapped(f"{label}: {text}", page)]
    return "\n".join(lines)


def _wrapped(text, width, indent=""):
    return textwrap.wrap(text, max(width, 60), initial_indent=indent, subsequent_indent=indent + "  " * bool(indent))


def plan_sentence(checks, name=""):
    """The plan in a sentence."""
    strakes, job = checks.strakes, checks.job
    numbers = len(set(strakes.number.tolist()))
    text = f"{name + ': ' if name else ''}{numbers} strakes a side, {job.thickness:g} mm {job.wood.name}, "
    text += f"planks of {job.plank_length / 1000.0:g} m on frames {job.frame_spacing:g} mm apart; widest "
    text += f"{np.max(checks.widths.wide.worst):.0f} mm"
    for end, girth in (("stem", checks.widths.bow), ("stern", checks.widths.stern)):
        some = girth[np.isfinite(girth)]
        if len(some):
            text += f", {some.min():.0f} to {some.max():.0f} mm at the {end}"
    parts = []
    for method, words in ((SPRING, "straight and tapered"), (SPILE, "spiled"), (NEITHER, "will not go")):
        count = len(set(strakes.number[checks.classes.method == method].tolist()))
        if count:
            parts.append(f"{count} {words}")
    if checks.steamed.any():
        parts.append(f"{len(set(strakes.number[checks.steamed].tolist()))} of them steamed")
    worst = checks.worst_margin
    text += "; " + ", ".join(parts)
    if not np.isfinite(worst):
        return text + "; no limit is looked at."
    return text + (
        f"; all limits kept, {100.0 * worst:.0f} % to spare."
        if worst >= 0.0
        else f"; a limit is passed by {-100.0 * worst:.0f} %."
    )


def strake_rows(checks):
    """Rows of text under HEADINGS, one for each strake or part of one."""
    w, s, b = checks.widths, checks.springing, checks.bending
    out = []
    for k in range(len(checks.strakes.number)):
        found = checks.binding(k)
        method = checks.classes.method[k]
        out.append((
            checks.label(k).replace("Strake ", "").replace(", part ", "/"), checks.strakes.rule[k],
            _mm(w.bow[k], w.pointed_bow[k]), f"{w.wide.worst[k]:.0f}", _mm(w.stern[k], w.pointed_stern[k]),
            f"{s.edge_set.worst[k]:.0f}", f"{s.force.worst[k]:.0f}", f"{100.0 * _share(checks, k):.0f}",
            f"{s.stand_off[k]:.0f}",
            f"{b.over_thickness.worst[k]:.0f}" if b.over_thickness.worst[k] < 1e5 else "flat",
            f"{abs(np.degrees(b.metre.worst[k])) * 1000.0:.1f}", f"{max(checks.hollows.hollow.worst[k], 0.0):.1f}",
            f"{checks.boards.plank[k]:.0f}", _WAYS[method] + (", steam" if checks.steamed[k] else ""),
            "" if found is None else f"{100.0 * found.margin:.0f}",
            "" if found is None else found.item.title,
            "" if found is None else f"{float(checks.strakes.frame.to_model_station(found.x)):.0f}",
        ))  # fmt: skip
    return out


def strake_verdict(checks, row):
    """A sentence on one strake: how it is got out, and what binds where."""
    method, found = checks.classes.method[row], checks.binding(row)
    text = f"{checks.label(row)} "
    if method == SPRING:
        text += "goes on straight and tapered" + (", steamed" if checks.steamed[row] else "")
    elif method == SPILE:
        text += f"is spiled from a board {np.ceil(checks.boards.plank[row]):.0f} mm wide" + (
            " and steamed" if checks.steamed[row] else ""
        )
        text += f" ({why_spiled(checks, row)})"
    else:
        text += "will go neither sprung nor spiled"
    if found is None:
        return text + "."
    place = checks.strakes.frame.station_label(found.x)
    return text + f"; {_beside(found)} at {place}, margin {100.0 * found.margin:.0f} %."


def what_binds(checks):
    """Sentences: every limit that is passed with the strakes that pass it, or the least margin."""
    out = []
    for table, seam in ((checks.strake_margins, False), (checks.seam_margins, True)):
        for k, item in enumerate(table.items):
            rows = np.flatnonzero(table.margin[k] < 0.0)
            if not seam and item.group != "any":  # asked only of those got out that way
                rows = rows[checks.classes.method[rows] == NEITHER]
            if not len(rows):
                continue
            row = rows[np.argmin(table.margin[k, rows])]
            x = (checks.seams if seam else checks.strakes).x[row, table.index[k, row]]
            who = ", ".join(checks.seams.name[r] for r in rows) if seam else names(checks, rows)
            out.append((float(table.margin[k, row]), (
                f"{item.title[:1].upper() + item.title[1:]}: {who}; worst {item.read(table.value[k, row])} where "
                f"{item.read(table.limit[k, row])} is {'wanted' if item.least else 'allowed'}, "
                f"{checks.label(row, seam)} at {checks.strakes.frame.station_label(x)}."
            )))  # fmt: skip
    if out:
        return tuple(text for _, text in sorted(out, key=lambda pair: pair[0]))
    found = checks.binds
    if found is None:
        return ("No limit is looked at.",)
    place = checks.strakes.frame.station_label(found.x)
    return (
        f"All limits are kept. The least margin, {100.0 * found.margin:.0f} %: {_beside(found)}, {found.label} "
        f"at {place}.",
    )


def _beside(found):
    item = found.item
    return f"{item.title} {item.read(found.value)} ({'at least' if item.least else 'at most'} {item.read(found.limit)})"


def _share(checks, row):
    sprung = checks.classes.method[row] == SPRING
    return (checks.springing.share if sprung else checks.springing.share_spiled).worst[row]


def _mm(girth, pointed):
    return f"{girth:.0f}" if np.isfinite(girth) else "point" if pointed else "-"
