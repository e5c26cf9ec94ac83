# SPDX-License-Identifier: LGPL-2.1-or-later
"""From a recipe's lines to the document's objects."""

from ..core.errors import PlanError
from ..host.files import read_drawing
from ..objects import drawn_line, make
from ..objects.eased_line import BY_GIRTH, BY_SLACK
from ..objects.marked import BOW, GIRTH, MARK_1, MARK_2, POINT, SHARE, STERN
from ..objects.taut_line import BETWEEN_ENDS, END_AND_MARK, HEADING, STEM, STERN_END, THROUGH_MARKS
from .line_kinds import SHEER, Share

__all__ = ["TAUT", "make_line"]

#: kinds of line that are taut -> what the object calls them
TAUT = {"ends": BETWEEN_ENDS, "marks": THROUGH_MARKS, "end_and_mark": END_AND_MARK, "heading": HEADING}
_WAYS = {core: shown for shown, core in drawn_line.WAYS.items()}


def make_line(recipe, keys, surface, lines):
    """Make one line of a recipe.

    Parameters
    ----------
    recipe : Recipe
    keys : dict
        Its [line], or one of its [[lines]].
    surface : document object
    lines : dict of str -> document object
        Those made so far, by name.

    Returns
    -------
    document object

    Raises
    ------
    PlanError
    """
    kind = keys["kind"]
    if kind in TAUT:
        return make.make_taut_line(surface, **_taut(keys))
    if kind == "eased":
        return make.make_eased_line(surface, **_eased(keys))
    if kind == "batten":
        return make.make_batten_line(surface, **_batten(keys))
    if kind == "parallel":
        line = surface if keys["of"] == SHEER else lines[keys["of"]]
        return make.make_parallel_line(line, keys["distance"])
    return _drawn(recipe, keys, surface)


def _end(keys, end, marked):
    """Properties of a mark on the stem ("bow") or the stern; none where it is not given."""
    if keys[f"{end}_point"] is not None:
        return _mark(marked, keys[f"{end}_point"])
    girth = keys[f"{end}_girth"]
    return {} if girth is None else _mark(marked, (None, girth))


def _mark(marked, mark):
    """Properties of a mark: (position, girth or Share), or a point (x, y, z)."""
    name = marked.name
    if len(mark) == 3:
        return {name("GivenBy"): POINT, name("Point"): mark}
    position, girth = mark
    values = {} if position is None else {name("Position"): position}
    if isinstance(girth, Share):
        return {**values, name("GivenBy"): SHARE, name("Share"): girth.value}
    return {**values, name("GivenBy"): GIRTH, name("Girth"): girth}


def _taut(keys):
    bow, stern = _end(keys, "bow", BOW), _end(keys, "stern", STERN)
    values = {"Marks": TAUT[keys["kind"]], "Bridge": bool(keys["bridge"]), **bow, **stern}
    if keys["kind"] == "end_and_mark":
        values["End"] = STEM if bow else STERN_END
    for marked, mark in zip((MARK_1, MARK_2), keys["marks"] or ()):
        values.update(_mark(marked, mark))
    if keys["heading"] is not None:
        values["Heading"] = keys["heading"]
    return values


def _eased(keys):
    values = {**_end(keys, "bow", BOW), **_end(keys, "stern", STERN)}
    if keys["slack"] is not None:
        return {**values, "EasedBy": BY_SLACK, "Slack": keys["slack"]}
    position, girth = keys["through"]
    values.update(EasedBy=BY_GIRTH, PassPosition=position)
    if isinstance(girth, Share):
        return {**values, "PassGivenBy": SHARE, "PassShare": girth.value}
    return {**values, "PassGivenBy": GIRTH, "PassGirth": girth}


def _batten(keys):
    bow, stern = _end(keys, "bow", BOW), _end(keys, "stern", STERN)
    values = {**bow, **stern, "BowEnd": bool(bow), "SternEnd": bool(stern), "Tolerance": keys["tolerance"] or 0.0}
    marks = keys["marks"] or ()
    tape = [mark for mark in marks if len(mark) == 2]
    shares = [isinstance(girth, Share) for _, girth in tape]
    if any(shares) and not all(shares):
        raise PlanError(
            "The batten's marks are girths and shares", where="In its marks", remedy="Give them all as the one or the other"
        )
    values["MarkPositions"] = [position for position, _ in tape]
    if tape and all(shares):
        values.update(MarksGivenBy=SHARE, MarkShares=[girth.value for _, girth in tape])
    else:
        values["MarkGirths"] = [girth for _, girth in tape]
    values["MarkPoints"] = [mark for mark in marks if len(mark) == 3]
    for name, held, angle in (("hold_bow", "BowHeld", "BowAngle"), ("hold_stern", "SternHeld", "SternAngle")):
        if keys[name] is not None:
            values.update({held: True, angle: keys[name]})
    return values


def _drawn(recipe, keys, surface):
    path = recipe.hull_file if keys["file"] is None else recipe.beside(keys["file"])
    label, shape = read_drawing(path, keys["object"], keys["edges"] or ())
    drawn = surface.Document.addObject("Part::Feature", "Drawn")
    drawn.Label, drawn.Shape = label, shape
    values = {}
    if keys["way"] == "direction":
        values = {"Way": drawn_line.ALONG, "Direction": _vector(keys["direction"])}
    elif keys["way"] is not None:
        values = {"Way": _WAYS[keys["way"]]}
    return make.make_drawn_line(surface, drawn, **values)


def _vector(direction):
    """Three numbers of a direction that may be written as an axis."""
    if not isinstance(direction, str):
        return direction
    sign, axis = (-1.0, direction[1:]) if direction.startswith("-") else (1.0, direction.lstrip("+"))
    axis = axis.strip().upper()
    if axis not in ("X", "Y", "Z"):
        raise PlanError(
            f"{direction!r} is no direction", where="In the drawn line", remedy='Write "Y", "-Z" or three numbers'
        )
    return tuple(sign * float(axis == letter) for letter in "XYZ")
