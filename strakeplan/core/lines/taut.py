# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line: where a string stretched round the hull lies, a geodesic.

A straight plank of any width whose middle lies on it needs no edge set.
"""

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..spline.patch import geometry_of
from .alternatives import all_geodesics
from .line import LEAVES, HullLine, lateral_distance, named, require_inside
from .marks import Mark, places
from .geodesic import geodesic_between
from .relax import DEGREE, end_pull
from .run_on import Words, run_on

__all__ = ["taut_between_ends", "taut_line", "taut_through_marks"]

_ELEMENTS = 16, 32, 64  # at least; more until the line is good
_GOOD = 1e-8  # of the hull's size: error of a line, from degrees two apart, that is good
_APART = 1e-3  # of the hull's size: aim marks nearer together along the ship are one


def taut_line(hull, marks, heading=None, look_for_others=True):
    """Taut line through one or two marks.

    Parameters
    ----------
    hull : PlankedSurface
    marks : sequence of one or two Mark
        Two: hood ends, aim marks, or one of each; from an aim mark the line runs on to the
        end. One: with a heading.
    heading : float, optional
        Radians by which the line going aft through a single mark falls below square to the
        station's section; negative rises.
    look_for_others : bool
        Between two marks more than one string may lie taut: look for all, take the shortest
        and tell of the others in the notes. Takes a few tenths of a second.

    Returns
    -------
    HullLine

    Raises
    ------
    PlanError
        Marks off the girth or not apart; a line that leaves the planked surface before it
        reaches both ends, with the place and what to move.
    """
    marks = list(marks)
    if len(marks) == 1:
        if heading is None or not np.isfinite(heading) or abs(heading) >= 0.5 * np.pi:
            wrong = (
                "a taut line through one mark needs its heading" if heading is None
                else f"a heading of {np.degrees(heading):g} degrees does not run from bow to stern"
            )  # fmt: skip
            raise PlanError(f"{hull.name}: {wrong}", "", "give an angle between -90 and 90 degrees, or a second mark")
        return _headed(hull, places(hull, marks)[0], heading)
    if len(marks) != 2 or heading is not None:
        raise PlanError(
            f"{hull.name}: a taut line takes two marks, or one mark and a heading", "",
            "leave out what is too much",
        )  # fmt: skip
    ends = sorted(places(hull, marks), key=lambda place: place.p[0])
    _require_apart(hull, ends)
    if (ends[0].edge, ends[1].edge) == ("stem", "stern"):
        label = f"the taut line from {ends[0].label} to {ends[1].label}"
        moving, kind = "end marks", "Taut line between end marks"
    else:
        label = f"the taut line through the marks {ends[0].label} and {ends[1].label}"
        moving, kind = "aim marks", "Taut line through aim marks"
    if ends[0].edge == "stern" or ends[1].edge == "stem":
        raise PlanError(
            f"{hull.name}: both marks lie on one end of the hull", ends[0].label,
            "give marks that are apart along the ship",
        )  # fmt: skip
    if any(place.edge for place in ends):
        if moving == "aim marks":
            moving, kind = "marks", "Taut line from an end mark through an aim mark"
    words = Words(label, f"lower the {moving}", f"raise the {moving}", "move the marks apart, fore and aft")
    # between aim marks the string is a part of the line only
    share = 4 if moving == "aim marks" else 1
    place = f"between {ends[0].label} and {ends[1].label}"
    with named(hull, label, place):
        middle, notes = _shortest(hull, ends, _ELEMENTS[0] // share, look_for_others)
    to_stem = to_stern = None

    def line_with(elements, degree):
        nonlocal middle, to_stem, to_stern
        middle = geodesic_between(
            hull.patch, ends[0].uv, ends[1].uv, guess=middle, elements=elements // share, degree=degree
        )
        size = elements // 2, degree
        to_stem = _onward(hull, middle.reversed(), ends[0], "stem", words, size, to_stem)
        to_stern = _onward(hull, middle, ends[1], "stern", words, size, to_stern)
        return _joined(to_stem, middle, to_stern), to_stem[1], to_stern[1]

    with named(hull, label, place):
        return _line(kind, hull, line_with, label, moving, notes)


def _shortest(hull, ends, elements, look_for_others):
    """The shortest geodesic between two places, and notes on the others."""
    first = geodesic_between(hull.patch, ends[0].uv, ends[1].uv, elements=elements)
    if not look_for_others:
        return first, ()
    found = all_geodesics(hull, ends[0].uv, ends[1].uv, [first], elements)
    inside = [c for c in found if _stays_inside(hull, c)] or found
    best = inside[0]
    notes = []
    for other in found:
        if other is not best:
            c = other.sample(3)
            notes.append(
                f"Another string lies taut between the marks: {other.length - best.length:.1f} mm "
                f"longer, {c.p[1, 2] - best.sample(3).p[1, 2]:+.0f} mm in height at mid-length."
            )
    return best, tuple(notes)


def _stays_inside(hull, curve):
    c = curve.sample(200)
    return bool(np.all(hull.inside(c.uv[:, 0], c.uv[:, 1]) >= -1e-6))


def _onward(hull, middle, place, edge, words, size, guess):
    """From the end of the middle run to the hull's end: (curve or None, s)."""
    if place.edge == edge:
        return None, place.s
    pull = end_pull(middle, -1)
    elements, degree = size
    return run_on(hull, place.uv, pull, edge, words, elements, guess, degree)


def _joined(to_stem, middle, to_stern):
    parts = [middle] if middle is not None else []
    if to_stem[0] is not None:
        parts.insert(0, to_stem[0].reversed())
    if to_stern[0] is not None:
        parts.append(to_stern[0])
    return SurfaceCurve.joined(parts)


def _require_apart(hull, ends):
    if ends[1].p[0] - ends[0].p[0] < _APART * hull.patch.size:
        raise PlanError(
            f"{hull.name}: both marks stand at {hull.frame.station_label(ends[0].p[0])}", "",
            "set them apart, about equally far before and abaft the greatest girth",
        )  # fmt: skip


def _headed(hull, place, heading):
    """Through one mark with a heading."""
    g = geometry_of(hull.patch.jets(place.uv[:1], place.uv[1:], 2))
    n = g.n[0]
    aft = np.array([1.0, 0.0, 0.0])
    square = aft - (aft @ n) * n  # square to the section, whose tangent is square to aft and n
    square /= np.linalg.norm(square)
    down = np.cross(n, square)
    pull = np.cos(heading) * square + np.sin(heading) * down
    label = f"the taut line through the mark {place.label} with a heading of {np.degrees(heading):.2f} degrees"
    to_stem = to_stern = None
    # going forward the line rises where it falls going aft
    words = {
        edge: Words(
            label, f"lower the mark, or give a heading that falls {over} going aft",
            f"raise the mark, or give a heading that falls {under} going aft", "move the mark, or change the heading",
        ) for edge, over, under in (("stem", "less", "more"), ("stern", "more", "less"))
    }  # fmt: skip

    def line_with(elements, degree):
        nonlocal to_stem, to_stern
        if place.edge != "stem":
            to_stem = run_on(hull, place.uv, -pull, "stem", words["stem"], elements // 2, to_stem, degree)
        if place.edge != "stern":
            to_stern = run_on(hull, place.uv, pull, "stern", words["stern"], elements // 2, to_stern, degree)
        fore, aft = to_stem or (None, place.s), to_stern or (None, place.s)
        return _joined(fore, None, aft), fore[1], aft[1]

    with named(hull, label, place.label):
        return _line("Taut line from a heading", hull, line_with, label, "mark")


def _line(kind, hull, line_with, label, moving, notes=()):
    """Make the line well enough, check it, and say how good it is."""
    floor = 1e-13 * hull.patch.size  # rounding of the coordinates themselves
    for elements in _ELEMENTS:
        rough, _, _ = line_with(elements, DEGREE - 2)
        curve, s_bow, s_stern = line_with(elements, DEGREE)
        error = lateral_distance(curve, rough)
        if error < _GOOD * hull.patch.size:
            break

    def leaving(c, edge):
        return PlanError(
            f"{hull.name}: {label} {LEAVES[edge]}",
            f"at {hull.frame.station_label(c.p[0, 0])}",
            ("lower the " if edge == "sheer" else "raise the ") + moving,
        )

    require_inside(hull, curve, leaving)
    return HullLine(
        kind, curve, float(s_bow), float(s_stern),
        max(error, floor), max(abs(curve.length - rough.length), floor), tuple(notes),
    )  # fmt: skip


def taut_between_ends(hull, bow_girth, stern_girth):
    """Taut line between two end marks: girths below the sheer on stem and stern edge, mm."""
    return taut_line(hull, [Mark.end("stem", bow_girth), Mark.end("stern", stern_girth)])


def taut_through_marks(hull, mark1, mark2):
    """Taut line through two aim marks, each (station in model coordinates, girth), mm."""
    if len(mark1) != 2 or len(mark2) != 2:
        raise PlanError(
            f"{hull.name}: an aim mark needs a station and a girth", "", "give each as two lengths"
        )
    return taut_line(hull, [Mark.at(*mark1), Mark.at(*mark2)])
