# SPDX-License-Identifier: LGPL-2.1-or-later
"""What trial planks of a recipe need: one thing to lie on, and one place at most."""

from ..core.errors import PlanError
from .line_kinds import SHEER

__all__ = ["OWN", "check_trials"]

#: what a trial plank may be tried on besides the sheer and the named lines: the recipe's [line]
OWN = "line"


def check_trials(trials, path, named, has_wood):
    """Check the trial planks of a recipe.

    Parameters
    ----------
    trials : sequence of dict
    path : str
    named : sequence of str
        The lines of [[lines]].
    has_wood : bool

    Raises
    ------
    PlanError
    """
    if trials and not has_wood:
        raise PlanError(
            "Planks are tried only where the wood is known, and there is no [wood] beside [[trials]]",
            where=f"In {path}", remedy="Add [wood] with species and frame_spacing",
        )  # fmt: skip
    names = [trial["name"] for trial in trials if trial["name"] is not None]
    for number, trial in enumerate(trials, 1):
        place = f"In [[trials]] number {number} of {path}"
        if (trial["on"] is None) == (trial["strake"] is None):
            raise PlanError(
                "A trial plank lies on one thing", where=place, remedy="Give one of on, for a line, and strake"
            )
        if trial["on"] is not None and trial["on"] not in (OWN, SHEER, *named):
            raise PlanError(
                f"There is no line {trial['on']!r}", where=place,
                remedy="Known are: " + ", ".join((OWN, SHEER, *named)),
            )  # fmt: skip
        if trial["on"] is not None and trial["part"]:
            raise PlanError("Lines have no parts", where=place, remedy="Leave part out, or give a strake")
        if trial["position"] is not None and trial["station"] is not None:
            raise PlanError(
                "A trial plank takes one of position and station", where=place, remedy="Leave out one of them"
            )
        if names.count(trial["name"]) > 1:
            raise PlanError(
                f"There is another trial plank called {trial['name']!r}", where=place, remedy="Call it something else"
            )
