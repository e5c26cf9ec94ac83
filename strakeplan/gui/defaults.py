# SPDX-License-Identifier: LGPL-2.1-or-later
"""First figures in the panels of new lines: from the hull's own size, and from points selected."""

from ..core.errors import PlanError
from ..core.lines.marks import Mark, places
from ..core.sections import sections_at
from ..objects.eased_line import BY_SLACK
from ..objects.marked import BOW, GIRTH, MARK_1, MARK_2, POINT, STERN
from ..objects.taut_line import BETWEEN_ENDS, END_AND_MARK, STEM, STERN_END, THROUGH_MARKS

__all__ = ["batten", "eased", "taut"]


def taut(hull, picks=()):
    """A new taut line's properties: two thirds down both ends, aim marks amidships.

    Parameters
    ----------
    hull : PlankedSurface
    picks : sequence of Pick
        Points selected, two at most: they are marks.

    Returns
    -------
    dict

    Raises
    ------
    PlanError
        Points that are too many, or off the hull.
    """
    values = {"Marks": BETWEEN_ENDS, **_ends(hull), "End": STEM, "Heading": 0.0, "Bridge": False}
    aims = _tape_marks(hull, (0.35, 0.65))
    for marked, (position, girth) in zip((MARK_1, MARK_2), aims):
        values.update(_mark(marked, 0.55, Girth=girth, Position=position))
    if len(picks) > 2:
        raise PlanError(
            f"{len(picks)} points are selected, and a taut line takes two marks at most",
            remedy="Select two points, or run a batten line through all of them",
        )
    inner = []
    for pick, edge in _in_order(hull, picks):
        if edge is None:
            inner.append(pick)
        else:
            values.update(_picked(BOW if edge == "stem" else STERN, pick))
            values["End"] = STEM if edge == "stem" else STERN_END
    for marked, pick in zip((MARK_1, MARK_2), inner):
        values.update(_picked(marked, pick))
    if inner:
        values["Marks"] = THROUGH_MARKS if len(inner) == 2 else END_AND_MARK
    return values


def eased(hull, picks=()):
    """A new eased line's: the same ends, and a thousandth of its length slack."""
    first, last = hull.x_range
    (position, girth), = _tape_marks(hull, (0.5,))
    values = {
        **_ends(hull), "EasedBy": BY_SLACK, "Slack": round(1e-3 * (last - first), 0),
        "PassGivenBy": GIRTH, "PassPosition": position, "PassGirth": girth, "PassShare": 0.5,
    }  # fmt: skip
    for pick, edge in _in_order(hull, picks):
        if edge is not None:
            values.update(_picked(BOW if edge == "stem" else STERN, pick))
    return values


def batten(hull, picks=()):
    """A new batten line's: the same ends, and what is selected as marks; a few by the tape without."""
    values = {
        **_ends(hull), "BowEnd": True, "SternEnd": True, "Tolerance": 0.0, "BowHeld": False, "BowAngle": 0.0,
        "SternHeld": False, "SternAngle": 0.0, "MarksGivenBy": GIRTH, "MarkPositions": [], "MarkGirths": [],
        "MarkShares": [], "MarkPoints": [], "MarkVertices": [],
    }  # fmt: skip
    if not picks:
        marks = _tape_marks(hull, (0.25, 0.5, 0.75), share=0.6)
        values.update(MarkPositions=[x for x, _ in marks], MarkGirths=[girth for _, girth in marks])
        return values
    for pick, edge in _in_order(hull, picks):
        if edge is not None:
            values.update(_picked(BOW if edge == "stem" else STERN, pick))
        elif pick.vertex:
            values["MarkVertices"].append(pick.link)
        else:
            values["MarkPoints"].append(pick.point)
    return values


def _ends(hull):
    ends = ((BOW, hull.stem_length), (STERN, hull.stern_length))
    values = {}
    for marked, length in ends:
        values.update(_mark(marked, 2.0 / 3.0, Girth=round(length * 2.0 / 3.0, -1)))
    return values


def _mark(marked, share, **parts):
    """Properties of one mark, given by its girth."""
    parts = {"GivenBy": GIRTH, "Share": round(share, 2), "Point": (0.0, 0.0, 0.0), "Vertex": None, **parts}
    return {marked.name(part): value for part, value in parts.items()}


def _picked(marked, pick):
    """Properties of one mark that was picked."""
    return {
        marked.name("GivenBy"): POINT, marked.name("Point"): pick.point, marked.name("Vertex"): pick.link,
    }  # fmt: skip


def _tape_marks(hull, where, share=None):
    """(model coordinate, girth) at some shares of the length, in round figures.

    At a share of the girth there, or all at one girth that every one of the sections has.
    """
    first, last = hull.x_range
    x = [first + part * (last - first) for part in where]
    whole = sections_at(hull, x).girth
    girths = 0.55 * min(whole) + 0.0 * whole if share is None else share * whole
    return [
        (round(float(hull.frame.to_model_station(a)), -1), round(float(girth), -1))
        for a, girth in zip(x, girths)
    ]


def _in_order(hull, picks):
    """(pick, 'stem', 'stern' or None) from the bow aft."""
    found = places(hull, [Mark(point=tuple(pick.point)) for pick in picks]) if picks else []
    pairs = sorted(zip(found, picks), key=lambda pair: pair[0].p[0])
    return [(pick, place.edge) for place, pick in pairs]
