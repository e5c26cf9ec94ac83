# SPDX-License-Identifier: LGPL-2.1-or-later
"""One page that a builder reads: the plan, its strakes, what binds, what to try, cautions."""

import textwrap

import numpy as np

from ..cautions import CAUTIONS
from ..tables.units import metres
from .remedies import names, what_to_try, why_spiled
from .spring_or_spile import NEITHER, SPILE, SPRING

__all__ = ["checks_report", "plan_sentence", "strake_rows", "strake_verdict", "what_binds"]

HEADINGS = (
    "strake", "rule", "stem", "greatest", "stern", "edge set", "force", "strain", "stands off", "hold down", "R/t",
    "twist", "hollow", "board", "got out", "margin", "by", "at",
)  # fmt: skip
UNITS = ("", "", "mm", "mm", "mm", "mm", "N", "%", "mm", "N", "", "deg/m", "mm", "mm", "", "%", "", "mm")
_LEFT = (0, 1, HEADINGS.index("got out"), HEADINGS.index("by"))
#: what has no column: told by its worst
_REST = ("taper", "buckling", "frame_force", "twist_in_all", "shear", "compound")
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
    table = []
    for row in rows:
        cells = (cell.ljust(w) if k in _LEFT else cell.rjust(w) for k, (cell, w) in enumerate(zip(row, width)))
        table.append("  ".join(cells).rstrip())
    page = max(map(len, table))
    under = (
        f"Wood: {job.wood.in_words()}. Stem and stern: breadth along the edge there. Edge set of planks of "
        f"{metres(job.plank_length)}. Force: one clamp at mid-length, ends free to turn. "
        "Strain: share of the breaking strain at the worst corner, edgewise bending left out where a strake is spiled "
        "and bend on the flat where it is steamed. Stands off: the upper or the lower edge, while the plank is sprung "
        "and held at its ends only. Hold down: clamp at every frame that lays that edge down. "
        "Board: width that spiling needs. Margin: what is left of the limit named beside it, at that place. Steamed "
        "strakes are not held to the limits of shear and of the force that bends and twists them home cold."
    )
    rest = _rest(checks)
    ways = what_to_try(checks)
    lines = [
        *_wrapped(plan_sentence(checks, name), page), "", *table, "", *_wrapped(under, page), *_wrapped(rest, page), "",
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
    text += f"planks of {metres(job.plank_length)} on frames {job.frame_spacing:g} mm apart; widest "
    text += f"{np.max(checks.widths.wide.worst):.0f} mm"
    divided = np.array([rule not in ("parallel", "garboard") for rule in strakes.rule])
    for end, girth in (("stem", checks.widths.bow), ("stern", checks.widths.stern)):
        rows = np.flatnonzero(np.isfinite(girth) & (divided | ~divided.any()))
        if len(rows):
            low, high = (f"{value:.0f}" for value in (girth[rows].min(), girth[rows].max()))
            text += f", {low if low == high else f'{low} to {high}'} mm at the {end}"
            text += f" ({names(checks, rows)})" if end == "stem" and not divided.all() and divided.any() else ""
    ways = {}
    for number in sorted(set(strakes.number.tolist())):
        own = set(checks.classes.method[strakes.number == number].tolist())
        way = own.pop() if len(own) == 1 else ""
        ways[way] = ways.get(way, 0) + 1
    told = ((SPRING, "straight and tapered"), (SPILE, "spiled"), (NEITHER, "will not go"), ("", "partly one, partly another"))
    parts = [f"{ways[way]} {words}" for way, words in told if way in ways]
    if checks.steamed.any():
        parts.append(f"{len(set(strakes.number[checks.steamed].tolist()))} of them steamed")
    worst = checks.worst_margin
    text += "; " + ", ".join(parts)
    if not np.isfinite(worst):
        return text + "; no limit is looked at."
    return text + (
        f"; all limits kept, {percent(worst)} % to spare."
        if worst >= 0.0
        else f"; a limit is passed by {percent(-worst)} %."
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
            _mm(w.bow[k], w.nib_bow[k], w.pointed_bow[k]), f"{w.wide.worst[k]:.0f}",
            _mm(w.stern[k], w.nib_stern[k], w.pointed_stern[k]),
            f"{s.edge_set.worst[k]:.0f}", f"{s.force.worst[k]:.0f}" if np.isfinite(s.force.worst[k]) else "-",
            f"{100.0 * _share(checks, k):.0f}",
            f"{'upper' if s.upper_off[k] else 'lower'} {s.stand_off[k]:.0f}" if s.stand_off[k] >= 0.5 else "0",
            f"{s.hold_down.worst[k]:.0f}" if np.isfinite(s.hold_down.worst[k]) else "-",
            f"{b.over_thickness.worst[k]:.0f}" if b.over_thickness.worst[k] < 1e5 else "flat",
            f"{abs(np.degrees(b.metre.worst[k])) * 1000.0:.1f}", f"{max(checks.hollows.hollow.worst[k], 0.0):.1f}",
            f"{checks.boards.plank[k]:.0f}", _WAYS[method] + (", steam" if checks.steamed[k] else ""),
            "" if found is None else percent(found.margin),
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
    return text + f"; {_beside(found)} at {place}, margin {percent(found.margin)} %."


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
        f"All limits are kept. The least margin, {percent(found.margin)} %: {_beside(found)}, {found.label} "
        f"at {place}.",
    )


def _beside(found):
    item = found.item
    return f"{item.title} {item.read(found.value)} ({'at least' if item.least else 'at most'} {item.read(found.limit)})"


def _share(checks, row):
    sprung = checks.classes.method[row] == SPRING
    return (checks.springing.share if sprung else checks.springing.share_spiled).worst[row]


def _mm(girth, nib, pointed):
    if np.isfinite(nib):
        return f"nib {nib:.0f}"
    return f"{girth:.0f}" if np.isfinite(girth) else "point" if pointed else "-"


def percent(share):
    """A share in whole per cent: '12', never '-0'."""
    return f"{round(100.0 * share) + 0:d}" if abs(share) < 1e4 else f"{100.0 * share:.0e}"


def _rest(checks):
    """The worst of what has no column of its own, in a sentence."""
    told = []
    for table, seam, keys in (
        (checks.strake_margins, False, _REST), (checks.seam_margins, True, ("fairness", "tuck_angle")),
    ):  # fmt: skip
        for k, item in enumerate(table.items):
            some = np.flatnonzero(np.isfinite(table.value[k]))
            if item.key in keys and len(some):
                row = some[np.argmax(np.abs(table.value[k, some]))]
                told.append(f"{item.title} {item.read(table.value[k, row])} ({checks.label(row, seam)})")
    return "Worst of the rest: " + ", ".join(told) + "."
