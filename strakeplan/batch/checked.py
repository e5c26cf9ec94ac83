# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strakes checked against wood and limits: from a recipe to the document's object, and to files."""

from dataclasses import dataclass, fields
from typing import Any, Optional

from ..core.checks.report import plan_sentence, strake_verdict, what_binds
from ..core.checks.remedies import what_to_try
from ..objects import make
from ..objects.job import LIMITS, STEAM
from ..objects.strake_checks import check_tables_of, checks_of, report_of
from ..objects.wood_choice import MOISTURES, SAWN, make_wood_table

__all__ = ["Checked", "checked_data", "checked_of", "checked_summary", "make_checks"]

#: the report's file, and those of the tables
REPORT = "report.txt"
_FILES = {"Strakes": "strakes.csv", "Strakes at stations": "strakes-at-stations.csv"}


@dataclass(frozen=True, eq=False)
class Checked:
    """What the checks found; without checks where none were asked for.

    Attributes
    ----------
    checks : Checks or None
    tables : dict of str -> Table
        By the name of the file that each is written to.
    report : str
        The page to read; empty for none.
    said : sequence of str
        What a search found.
    object : document object or None
    """

    checks: Optional[Any]
    tables: dict
    report: str = ""
    said: tuple = ()
    object: Optional[Any] = None

    @property
    def files(self):
        """Names of its files."""
        return (*self.tables, REPORT) if self.report else ()


def make_checks(recipe, line_off, tuck_line, lines, clock):
    """Make the checks' document object where the recipe has a part [wood].

    Parameters
    ----------
    recipe : Recipe
    line_off : document object
    tuck_line : document object or None
    lines : dict of str -> document object
        Lines of the recipe by name.
    clock : object with step(name)

    Returns
    -------
    Checked
    """
    keys = recipe.wood
    if keys is None:
        return Checked(None, {})
    with clock.step("strake checks"):
        obj = make.make_strake_checks(line_off, **job_values(recipe, line_off.Document), Tuck=tuck_line,
                                      Lines=[lines[name] for name in recipe.checks["clear_of"] or ()])  # fmt: skip
        return checked_of(obj)


def checked_of(obj):
    """Checked of a document object."""
    tables = {_FILES[name]: table for name, table in check_tables_of(obj).items()}
    return Checked(checks_of(obj).value, tables, report_of(obj), object=obj)


def job_values(recipe, document):
    """Properties that say what is planked with, and the limits."""
    keys, limits = recipe.wood, recipe.limits or {}
    values = {
        "Moisture": next(shown for shown, core in MOISTURES.items() if core == keys["moisture"]),
        "Grade": keys["grade"],
        "Sawn": next(shown for shown, core in SAWN.items() if core == keys["sawn"]),
        "Thickness": recipe.planks["thickness"],
        "PlankLength": recipe.checks["plank_length"],
        "FrameSpacing": keys["frame_spacing"],
        "Steamed": next(shown for shown, core in STEAM.items() if core == keys["steam"]),
        "OwnWood": keys["species"],
    }
    if keys["file"] is not None:
        values["WoodTable"] = make_wood_table(document, recipe.beside(keys["file"]))
    for limited in LIMITS:
        value = limits.get(limited.field)
        if value is not None:
            values[limited.name] = f"{value!r} N" if limited.type.endswith("Force") else value
    if limits.get("spile_garboard") is not None:
        values["SpileGarboard"] = limits["spile_garboard"]
    return values


def checked_summary(checked):
    """Lines of text for the screen."""
    if checked.checks is None:
        return []
    lines = [*checked.said, "Checks: " + plan_sentence(checked.checks)]
    lines += [f"Binds: {text}" for text in what_binds(checked.checks)]
    return lines + [f"Try: {text}" for text in what_to_try(checked.checks)]


def checked_data(checked):
    """The same as plain data; lengths in mm, forces in N, margins as shares of the limits."""
    checks = checked.checks
    if checks is None:
        return {"checks": None}
    job, limits, frame = checks.job, checks.limits, checks.strakes.frame

    def found(binding):
        if binding is None:
            return None
        item = binding.item
        return {
            "what": item.title, "on": binding.label, "unit": item.unit, "value": _finite(binding.value * item.scale),
            "limit": _finite(binding.limit * item.scale), "margin": _finite(binding.margin),
            "position": float(frame.to_model_station(binding.x)),
        }  # fmt: skip

    rows = range(len(checks.strakes.number))
    return {
        "checks": {
            "sentence": plan_sentence(checks),
            "search": list(checked.said),
            "wood": job.wood.in_words(),
            "thickness": job.thickness,
            "plank_length": job.plank_length,
            "frame_spacing": job.frame_spacing,
            "steam": job.steam,
            "limits": {f.name: _limit(getattr(limits, f.name)) for f in fields(limits)},
            "margin": _finite(checks.worst_margin),
            "binds": found(checks.binds),
            "what_binds": list(what_binds(checks)),
            "what_to_try": list(what_to_try(checks)),
            "strakes": [
                {
                    "strake": int(checks.strakes.number[k]),
                    "part": int(checks.strakes.part[k]),
                    "got_out": str(checks.classes.method[k]),
                    "steamed": bool(checks.steamed[k]),
                    "board": _finite(checks.boards.plank[k]),
                    "edge_set": _finite(checks.springing.edge_set.worst[k]),
                    "force": _finite(checks.springing.force.worst[k]),
                    "hold_down": _finite(checks.springing.hold_down.worst[k]),
                    "binds": found(checks.binding(k)),
                    "verdict": strake_verdict(checks, k),
                }
                for k in rows
            ],
        }
    }


def _finite(value):
    value = float(value)
    return value if abs(value) < float("inf") else None


def _limit(value):
    return list(value) if isinstance(value, tuple) else value
