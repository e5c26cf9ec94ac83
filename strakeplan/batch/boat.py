# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a recipe asks for beside the plan: marks for the hull as built, and for a half model."""

from dataclasses import dataclass
from typing import Optional

from ..core.asbuilt.asbuilt import AsBuilt
from ..core.halfmodel import HalfModelMarks
from ..objects import make
from ..objects.as_built import ENDS, UNITS, built_of, built_tables_of
from ..objects.half_model import SIDES, half_model_of, half_model_tables_of

__all__ = ["Boat", "boat_data", "boat_notes", "boat_summary", "make_boat"]

#: what a recipe says of where a half model's marks are ticked -> the core's name
_TICKED = {"skin": "outside", "body": "inside"}


@dataclass(frozen=True, eq=False)
class Boat:
    """Marks for the hull as built and for a half model; None where not asked for.

    Attributes
    ----------
    built : AsBuilt or None
    model : HalfModelMarks or None
    tables : dict of str -> Table
        By the name of the file that each is written to.
    """

    built: Optional[AsBuilt]
    model: Optional[HalfModelMarks]
    tables: dict


def make_boat(recipe, line_off, clock):
    """Make the document objects that a recipe asks for.

    Parameters
    ----------
    recipe : Recipe
    line_off : document object
    clock : object with step(name)

    Returns
    -------
    Boat
    """
    built = model = None
    tables = {}
    keys = recipe.as_built
    if keys is not None:
        with clock.step("as built"):
            obj = make.make_as_built(
                line_off,
                file=recipe.beside(keys["file"]),
                Unit=_shown(UNITS, keys["unit"]),
                UnmeasuredEnds=_shown(ENDS, keys["ends"]),
            )
            built = built_of(obj).value
            named = built_tables_of(obj)
        tables["marks-as-built.csv"] = named["Marks as built"]
        tables["differences.csv"] = named["Differences"]
        tables["readings.csv"] = named["Readings"]
    keys = recipe.half_model
    if keys is not None:
        with clock.step("half model"):
            obj = make.make_half_model(
                line_off, Scale=keys["scale"], Skin=keys["skin"], Ticked=_shown(SIDES, _TICKED[keys["ticked"]])
            )
            model = half_model_of(obj).value
            named = half_model_tables_of(obj)
        tables["half-model.csv"] = named["Half model marks"]
        tables["skin-allowance.csv"] = named["Skin allowance"]
    return Boat(built, model, tables)


def _shown(choices, name):
    """What the document object calls a choice of the core."""
    return next(shown for shown, core in choices.items() if core == name)


def boat_summary(boat):
    """Lines of text for the screen."""
    lines = []
    if boat.built is not None:
        lines.append("As built: " + " ".join(boat.built.notes))
        lines += [f"Doubt: {j.reading.place}: {j.doubt}" for j in boat.built.doubts]
    if boat.model is not None:
        lines.append(" ".join(boat.model.notes))
    return lines


def boat_notes(boat):
    """What the page of the checks, which are those of the hull as drawn, says of the hull as built."""
    if boat.built is None:
        return ""
    text = "Note: The strakes are checked as drawn. As built: " + " ".join(boat.built.notes)
    return "\n".join([text, *(f"Note: Doubt: {j.reading.place}: {j.doubt}" for j in boat.built.doubts)]) + "\n"


def boat_data(boat):
    """The same as plain data, by section of the plan; lengths in mm, the half model's on the model."""
    found = {"as_built": None, "half_model": None}
    built, model = boat.built, boat.model
    if built is not None:
        found["as_built"] = {
            "ends": built.ends,
            "notes": list(built.notes),
            "readings": [
                {
                    "row": j.reading.row,
                    "station": j.reading.station,
                    "mark": j.reading.mark,
                    "written": j.reading.tape.text,
                    "measured": j.reading.mm,
                    "drawn": j.drawn,
                    "difference": j.difference,
                    "expected_difference": j.expected,
                    "in_use": j.used,
                    "set_aside": j.reading.aside or None,
                    "doubt": j.doubt or None,
                }
                for j in built.judged
            ],
            "seams": list(built.table.seams),
            "marks": _rows(built.table, built.how),
        }
    if model is not None:
        found["half_model"] = {
            "scale": model.model.scale,
            "skin": model.model.skin,
            "surface": model.model.distance,
            "error": model.error,
            "notes": list(model.notes),
            "seams": list(model.table.seams),
            "marks": _rows(model.table),
        }
    return found


def _rows(table, how=None):
    rows = [
        {
            "station": row.name,
            "position": row.position,
            "girths": list(row.readings),
            "rabbet": row.rabbet,
        }
        for row in table.rows
    ]
    for row, word in zip(rows, how or ()):
        row["how"] = word
    return rows
