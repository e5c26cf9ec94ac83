# SPDX-License-Identifier: LGPL-2.1-or-later
"""From a recipe's belts and nibs to the document's objects."""

from ..objects import belt as rules
from ..objects import make
from ..objects.nibs import BOW, STERN
from .belt_rules import lower_lines, simple

__all__ = ["make_line_off"]


def make_line_off(recipe, line, others):
    """Make the line-off of a recipe, with its belts.

    Parameters
    ----------
    recipe : Recipe
    line : document object
        Of the recipe's [line].
    others : dict of str -> document object
        Of its [[lines]], by name.

    Returns
    -------
    document object

    Raises
    ------
    PlanError
    """
    values = _nib_values(recipe)
    belts = recipe.belts
    if simple(belts):
        values.update(Strakes=belts[0]["strakes"], ParallelBelt=len(belts) > 1)
        if len(belts) > 1:
            values["ParallelWidth"] = belts[1]["width"] or 0.0
        return make.make_line_off(line, **values)
    made = []
    for number, (keys, name) in enumerate(zip(belts, lower_lines(belts)), 1):
        below = None if name is None else others.get(name, line)
        obj = make.make_belt(line.Document, Line=below, **_belt_values(keys))
        obj.Label = f"Belt {number}"
        made.append(obj)
    return make.make_line_off(line, made, **values)


def _belt_values(keys):
    """Properties of a belt's document object."""
    rule = keys["rule"]
    if rule == "equal" and keys["strakes"] is not None:
        return {"Rule": rules.EQUAL, "Strakes": keys["strakes"]}
    if rule == "equal":
        return {"Rule": rules.BY_GREATEST, "GreatestWidth": keys["greatest_width"]}
    if rule == "graded":
        return {"Rule": rules.GRADED, "Weights": list(keys["weights"])}
    if rule == "by_widths":
        return {
            "Rule": rules.BY_WIDTHS,
            "StationPositions": list(keys["stations"]),
            "Widths": [width for row in keys["widths"] for width in row],
            "StemWidths": list(keys["stem_widths"] or ()),
            "SternWidths": list(keys["stern_widths"] or ()),
        }
    values = {"Rule": rules.PARALLEL, "Width": keys["width"] or 0.0, "ToRabbet": keys["strakes"] is None}
    if keys["strakes"] is not None:
        values["Strakes"] = keys["strakes"]
        values["RunsParallelTo"] = rules.ALONG_LOWER if keys["along"] == "lower" else rules.ALONG_UPPER
    if keys["garboard_least"] is not None:
        values["GarboardLeast"] = keys["garboard_least"]
    return values


def _nib_values(recipe):
    """Properties of the line-off that say which strakes end in nibs."""
    values = {}
    if recipe.stealers is not None:
        values["NarrowestStrake"] = recipe.stealers["narrowest"]
    if recipe.nibs:
        values.update(
            NibStrakes=[nib["strake"] for nib in recipe.nibs],
            NibEnds=[{"bow": BOW, "stern": STERN}[nib["end"]] for nib in recipe.nibs],
            NibStations=[_place(nib) for nib in recipe.nibs],
            NibDepths=[nib["depth"] or 0.0 for nib in recipe.nibs],
        )
    return values


def _place(nib):
    if nib["station"] is not None:
        return f"station {nib['station']}"
    return "" if nib["position"] is None else f"{nib['position']!r} mm"
