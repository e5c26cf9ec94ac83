# SPDX-License-Identifier: LGPL-2.1-or-later
"""What each kind of line needs in a recipe, and nothing else may stand beside it."""

from dataclasses import dataclass

from ..core.errors import PlanError
from .keys import LINE_KINDS

__all__ = ["SHEER", "Share", "check_line"]

#: what a parallel line may run along besides the named lines
SHEER = "sheer"


@dataclass(frozen=True)
class Share:
    """A girth given as a share (0 to 1) of the whole girth there."""

    value: float


_BOW, _STERN = ("bow_girth", "bow_point"), ("stern_girth", "stern_point")

#: kind -> (groups of which exactly one key must be given, groups of which at most one may be)
_GROUPS = {
    "ends": ((_BOW, _STERN), (("bridge",),)),
    "marks": ((("marks",),), (("bridge",),)),
    "end_and_mark": (((*_BOW, *_STERN), ("marks",)), (("bridge",),)),
    "heading": ((("marks",), ("heading",)), (("bridge",),)),
    "eased": ((_BOW, _STERN, ("slack", "through")), ()),
    "batten": ((), (_BOW, _STERN, ("marks",), ("tolerance",), ("hold_bow",), ("hold_stern",))),
    "parallel": ((("of",), ("distance",)), ()),
    "drawn": ((("object",),), (("file",), ("edges",), ("way",), ("direction",))),
}

#: kind -> number of marks
_MARKS = {"marks": 2, "end_and_mark": 1, "heading": 1}


def check_line(line, place, named):
    """Check that a line of a recipe has what its kind needs, and nothing more.

    Parameters
    ----------
    line : dict
    place : str
        "In [line] of ...", for messages.
    named : sequence of str
        Lines that it may run parallel to.

    Raises
    ------
    PlanError
    """
    kind = line["kind"]
    needed, allowed = _GROUPS[kind]
    given = {name for name, value in line.items() if value is not None} - {"kind", "name"}

    def fault(what, remedy):
        return PlanError(what, where=place, remedy=remedy)

    for group in needed:
        if not given & set(group):
            raise fault(f"A line of the kind {kind!r} needs {' or '.join(group)}", "Give it, or choose another kind")
    for group in (*needed, *allowed):
        if len(given & set(group)) > 1:
            several = [name for name in group if name in given]
            raise fault(f"A line of the kind {kind!r} takes one of {' and '.join(several)}", "Leave out one of them")
    known = {name for group in (*needed, *allowed) for name in group}
    for name in sorted(given - known):
        raise fault(f"A line of the kind {kind!r} ({LINE_KINDS[kind]}) has no {name}",
                    "Leave it out, or choose another kind")  # fmt: skip
    if kind in _MARKS and len(line["marks"]) != _MARKS[kind]:
        raise fault(f"A line of the kind {kind!r} takes {_MARKS[kind]} mark(s), not {len(line['marks'])}",
                    "Leave out what is too much, or choose another kind")  # fmt: skip
    if kind == "parallel" and line["of"] not in (*named, SHEER):
        raise fault(
            f"There is no line {line['of']!r} before this one",
            "Known are: " + ", ".join((*named, SHEER)) + "; lines stand in [[lines]], in their order",
        )
    if kind == "drawn" and (line["way"] == "direction") != (line["direction"] is not None):
        raise fault("A drawn line has a direction with way = 'direction', and only then", "Give both, or neither")
