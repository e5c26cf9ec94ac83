# SPDX-License-Identifier: LGPL-2.1-or-later
"""A search for the best line-off: from a recipe to its table, and to the plan where wanted."""

import math

from ..core.checks.limits import Limits
from ..core.checks.verdict import Job
from ..core.errors import PlanError
from ..core.search.search import search
from ..core.search.space import Space
from ..core.wood.handbook import HANDBOOK, species_named
from ..host.tables import Table
from ..host.woods import read_species
from ..objects.found import HEADINGS, make_found, outcome_rows
from ..objects.job import LIMITS

__all__ = ["FILE", "recipe_job", "recipe_limits", "run_search", "search_lines", "search_table", "use_best"]

FILE = "search.csv"


def recipe_job(recipe):
    """The core's job of a recipe."""
    keys = recipe.wood
    table = read_species(recipe.beside(keys["file"])) if keys["file"] is not None else HANDBOOK
    wood = species_named(keys["species"], table).wood(keys["moisture"], keys["grade"], keys["sawn"])
    return Job(wood, recipe.planks["thickness"], recipe.checks["plank_length"], keys["frame_spacing"], keys["steam"])


def recipe_limits(recipe):
    """The core's limits of a recipe."""
    keys = recipe.limits or {}
    found = {}
    for limited in LIMITS:
        value = keys.get(limited.field)
        if value is not None:
            if limited.type.endswith("Angle"):
                value = math.radians(value) / (1000.0 if limited.per_metre else 1.0)
            found[limited.field] = value or None
    if keys.get("spile_garboard") is False:
        found["always_spiled"] = ()
    return Limits(**found)


def run_search(recipe, hull):
    """Search as a recipe asks.

    Returns
    -------
    Found

    Raises
    ------
    PlanError
        Where nothing at all could be lined off.
    """
    keys = recipe.search
    space = Space(
        counts=(keys["fewest"], keys["most"]), easing=keys["easing"], stealers=keys["stealers"],
        spiling=keys["spiling"], parallel_width=keys["parallel_width"],
    )  # fmt: skip
    found = search(hull, recipe_job(recipe), recipe_limits(recipe), space, keys["seed"])
    if not found.best:
        raise PlanError(f"{hull.name}: no line-off was found. {found.reason}", f"In [search] of {recipe.path}",
                        "Widen what may be chosen from")  # fmt: skip
    return found


def use_best(recipe, surface, found):
    """Make the line and the line-off of the best one found."""
    return make_found(surface, found.best[0], recipe_limits(recipe), recipe.search["parallel_width"])


def search_table(found):
    """The best of every kind, the greatest margin first."""
    return Table(HEADINGS, (None,) * len(HEADINGS), tuple(outcome_rows(found.best)))


def search_lines(found):
    """Lines of text for the screen."""
    best = found.best[0]
    lines = [f"Search: {found.tried} line-offs tried; the best of each kind, the greatest margin first:"]
    lines += [f"    {row[6]:6.1f} %  {row[0]}, {row[1]} equal strakes, {row[7]} binds ({row[8]})" for row in outcome_rows(found.best)]
    if not found.satisfies and best.binds is not None:
        b = best.binds
        lines.append(f"No line-off keeps all limits: {b.item.title} of {b.label} is {b.item.read(b.value)}, the limit is "
                     f"{b.item.read(b.limit)}; passed by {-100.0 * b.margin:.0f} %.")  # fmt: skip
    return lines
