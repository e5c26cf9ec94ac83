# SPDX-License-Identifier: LGPL-2.1-or-later
"""What each rule of a belt needs in a recipe, nothing else may stand beside it, and which line bounds it."""

from ..core.errors import PlanError

__all__ = ["BELT_RULES", "check_belts", "check_nibs", "lower_lines", "simple"]

#: rule -> what it is
BELT_RULES = {
    "equal": "strakes of equal girth down to the line",
    "graded": "strakes whose widths keep a proportion",
    "by_widths": "strakes whose widths are given at stations",
    "parallel": "strakes of one width",
}

#: rule -> (groups of which exactly one key must be given, keys that may be)
_GROUPS = {
    "equal": ((("strakes", "greatest_width"),), ("line",)),
    "graded": ((("weights",),), ("line",)),
    "by_widths": ((("stations",), ("widths",)), ("stem_widths", "stern_widths", "line")),
    "parallel": ((), ("width", "strakes", "along", "garboard_least", "line")),
}


def simple(belts):
    """Whether belts are equal strakes to the line, and perhaps parallel ones below it down to the rabbet."""

    def only(belt, *names):
        return not [name for name, value in belt.items() if value is not None and name not in ("rule", *names)]

    if not belts or belts[0]["rule"] != "equal" or not only(belts[0], "strakes"):
        return False
    return len(belts) == 1 or (len(belts) == 2 and belts[1]["rule"] == "parallel" and only(belts[1], "width"))


def lower_lines(belts):
    """Which line each belt ends at: a name, "" for the [line], None for none of its own."""
    found = []
    for k, belt in enumerate(belts):
        below = belts[k + 1] if k + 1 < len(belts) else None
        given_below = below is not None and below["rule"] == "parallel" and below["along"] == "lower"
        if belt["rule"] == "parallel":
            wanted = belt["along"] == "lower"
        else:
            wanted = not given_below
        found.append((belt["line"] or "") if wanted else None)
    return found


def check_belts(belts, path, named):
    """Check the belts of a recipe.

    Parameters
    ----------
    belts : sequence of dict
    path : str
    named : sequence of str
        The lines of [[lines]].

    Raises
    ------
    PlanError
    """
    if not belts:
        raise PlanError(
            "The belts are missing", where=f"In [[belts]] of {path}",
            remedy='Give first one with rule = "equal" and strakes, then perhaps one with rule = "parallel"',
        )  # fmt: skip
    for number, belt in enumerate(belts, 1):
        _check_belt(belt, f"In [[belts]] number {number} of {path}", number == len(belts), named)
    for number, (belt, line) in enumerate(zip(belts, lower_lines(belts)), 1):
        if line is None and belt["line"] is not None:
            remedy = (
                'Leave line out, or say along = "lower"' if belt["rule"] == "parallel"
                else "Leave line out: the next belt, parallel to its own lower line, begins where this one ends"
            )  # fmt: skip
            raise PlanError(
                f"Belt {number} does not end at a line of its own", where=f"In [[belts]] of {path}", remedy=remedy
            )
    plain = [number for number, line in enumerate(lower_lines(belts), 1) if line == ""]
    if len(plain) != 1:
        what = (
            f"Belts {' and '.join(map(str, plain))} both end at the [line]" if plain else "No belt ends at the [line]"
        )
        raise PlanError(
            what, where=f"In [[belts]] of {path}",
            remedy="One belt ends there, and gives no line; every other one that ends at a line names one of [[lines]]",
        )  # fmt: skip


def _check_belt(belt, place, last, named):
    rule = belt["rule"]
    needed, allowed = _GROUPS[rule]
    given = {name for name, value in belt.items() if value is not None} - {"rule"}

    def fault(what, remedy):
        return PlanError(what, where=place, remedy=remedy)

    for group in needed:
        if not given & set(group):
            raise fault(f"A belt with the rule {rule!r} needs {' or '.join(group)}", "Give it, or choose another rule")
        if len(given & set(group)) > 1:
            raise fault(f"A belt with the rule {rule!r} takes one of {' and '.join(group)}", "Leave out one of them")
    known = {name for group in needed for name in group} | set(allowed)
    for name in sorted(given - known):
        raise fault(f"A belt with the rule {rule!r} has no {name}", f"Leave {name} out")
    if belt["line"] is not None and belt["line"] not in named:
        raise fault(
            f"There is no line {belt['line']!r}",
            ("Known are: " + ", ".join(named) if named else "Give it in [[lines]]") + "; without line it ends at the [line]",
        )
    if rule == "parallel":
        if belt["strakes"] is None and not last:
            raise fault("A parallel belt above another one needs strakes", "Say how many strakes it has")
        if belt["strakes"] is not None and belt["width"] is None:
            raise fault("A parallel belt with a number of strakes needs width", "Say how wide its strakes are")
        if belt["along"] == "lower" and belt["strakes"] is None:
            raise fault("A belt parallel to its lower line needs strakes", "Say how many strakes it has")
        if belt["garboard_least"] is not None and belt["strakes"] is not None:
            raise fault("A parallel belt with a number of strakes has no garboard", "Leave garboard_least out")
    if rule == "by_widths":
        rows = belt["widths"]
        if len(rows) != len(belt["stations"]) or len({len(row) for row in rows}) != 1:
            raise fault(
                f"There are {len(rows)} rows of widths for {len(belt['stations'])} stations, "
                f"of {' and '.join(map(str, sorted({len(row) for row in rows})))} widths",
                "Give a row for every station, with a width for every strake",
            )


def check_nibs(nibs, path):
    """Check the nibs of a recipe: each stands at one place.

    Raises
    ------
    PlanError
    """
    for number, nib in enumerate(nibs, 1):
        place = f"In [[nibs]] number {number} of {path}"
        if nib["position"] is not None and nib["station"] is not None:
            raise PlanError(
                "A nib takes one of position and station", where=place, remedy="Leave out one of them"
            )
        if nib["position"] is None and nib["station"] is None and nib["depth"] is None:
            raise PlanError(
                "A nib needs position, station or depth", where=place,
                remedy="Say where it stands; a depth alone will do below the divided belts",
            )  # fmt: skip
