# SPDX-License-Identifier: LGPL-2.1-or-later
"""A search for a better line-off: from a recipe to its table, and to the plan where wanted."""

import contextlib
import signal
import threading
from dataclasses import replace

from ..core.errors import PlanError
from ..core.search.space import EFFORTS
from ..core.search.words import HEADINGS, outcome_row, search_words
from ..host.tables import Table
from ..objects.base import recompute
from ..objects.found import make_found, quest_of
from ..objects.members import members_of
from .checked import checked_of
from .search_keys import space_of

__all__ = ["FILE", "searched"]

FILE = "search.csv"
_SHARES = 8  # parts of the search after each of which it tells how far it is


def searched(recipe, line, line_off, checked, clock):
    """Search for a better line-off than the recipe's own, and plan by it where that is wanted.

    Parameters
    ----------
    recipe : Recipe
    line, line_off : document objects
        The recipe's own.
    checked : Checked
        Its checks, from which the search starts.
    clock : object with step(name) and say(text)

    Returns
    -------
    document objects of the line and the line-off, and the Checked to go on with

    Raises
    ------
    PlanError
        Where nothing at all could be lined off.
    """
    keys, space, quest = recipe.search, space_of(recipe.search, recipe.path), quest_of(checked.object)
    with clock.step("search"), _interruptible(clock.say) as stop:
        found = quest.search(space, keys["seed"], EFFORTS[keys["tries"]], _teller(clock.say), stop)
    if not found.best:
        raise PlanError(f"{quest.hull.name}: no line-off was found. {found.reason}", f"In [search] of {recipe.path}",
                        "Widen what may be chosen from")  # fmt: skip
    present = quest.present(space)
    rows = (present, *map(outcome_row, found.best))
    said = ["Search: " + text if k == 0 else text for k, text in enumerate(search_words(found, present))]
    if keys["use"]:
        own, best = rows[0][HEADINGS.index("Margin, %")], rows[1][HEADINGS.index("Margin, %")]
        if best > own:
            with clock.step("line-off found"):
                old = checked.object
                line, line_off, new = _replaced(old, line, make_found(old, found.best[0], space))
                checked = checked_of(new)
        else:
            said.append("None leaves more margin than the recipe's own line-off, which is kept.")
    checked.tables[FILE] = Table(HEADINGS, (None,) * len(HEADINGS), rows)
    return line, line_off, replace(checked, said=tuple(said))


def _replaced(old, line, made):
    """Take what was made in place of the checks, the line-off and the line that are there, which are removed."""
    document, line_off, tuck = old.Document, old.LineOff, old.Tuck
    members = members_of(old)
    labels = {key: member.Label for key, member in members.items()}
    names = line_off.Label, old.Label
    if tuck is not None:
        tuck.Lines = [made[1] if one is line_off else one for one in tuck.Lines]
    gone = [old, line_off, *line_off.Belts, line]
    for member in members.values():
        document.removeObject(member.Name)
    for obj in gone:
        if not obj.InList:  # a line may be there for others as well
            document.removeObject(obj.Name)
    made[0].Label = made[0].Label.rstrip("0123456789")
    for obj, name in zip(made[1:], names):
        obj.Label = name
    for key, member in members_of(made[2]).items():
        member.Label = labels[key]
    recompute(document, *made)
    return made


def _teller(say):
    """A function that tells of a search sparingly."""
    told = [0]

    def tell(tried, about, top):
        share = _SHARES * tried // max(about, 1)
        if share > told[0]:
            told[0] = share
            best = "none yet" if top is None else f"{100.0 * top.margin:.0f} %"
            say(f"    {tried} of about {about} line-offs tried, best margin {best}")

    return tell


@contextlib.contextmanager
def _interruptible(say):
    """Gives a function that says whether Ctrl-C was pressed; pressed again it interrupts as ever."""
    pressed = []
    if threading.current_thread() is not threading.main_thread():
        yield lambda: False
        return

    def note(number, frame):
        pressed.append(number)
        signal.signal(signal.SIGINT, before)
        say("    stopping: the best found so far is worked out")

    before = signal.signal(signal.SIGINT, note)
    try:
        yield lambda: bool(pressed)
    finally:
        signal.signal(signal.SIGINT, before)
