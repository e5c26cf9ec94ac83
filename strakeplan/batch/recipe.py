# SPDX-License-Identifier: LGPL-2.1-or-later
"""Read a recipe (TOML) and check it against the table of keys."""

import difflib
import math
import os
import re
import tomllib
from dataclasses import dataclass
from typing import Optional

from ..core.errors import PlanError
from .belt_rules import check_belts, check_nibs
from .keys import ARRAYS, KEYS, OPTIONAL, REQUIRED, SECTIONS
from .lengths import length_mm
from .line_kinds import SHEER, Share, check_line
from .trial_rules import check_trials

__all__ = ["Recipe", "read_recipe", "recipe_from"]


@dataclass(frozen=True)
class Recipe:
    """A checked recipe: every key is there, lengths in mm, defaults filled in.

    Attributes
    ----------
    path : str
        File it came from; relative names in it count from there.
    hull, stations, line, planks, checks : dict
    lines, belts : tuple of dict
    nibs, trials : tuple of dict
    stealers, wood, limits, search, as_built, half_model : dict or None
        None where the recipe has no such part.
    """

    path: str
    hull: dict
    stations: dict
    lines: tuple
    line: dict
    belts: tuple
    planks: dict
    checks: dict
    nibs: tuple = ()
    trials: tuple = ()
    stealers: Optional[dict] = None
    wood: Optional[dict] = None
    limits: Optional[dict] = None
    search: Optional[dict] = None
    as_built: Optional[dict] = None
    half_model: Optional[dict] = None

    @property
    def hull_file(self):
        """The hull's file, absolute."""
        return self.beside(self.hull["file"])

    def beside(self, name):
        """A file named in the recipe, absolute."""
        return os.path.join(os.path.dirname(os.path.abspath(self.path)), name)


def read_recipe(path):
    """Read and check a recipe file.

    Parameters
    ----------
    path : str

    Returns
    -------
    Recipe

    Raises
    ------
    PlanError
        Missing or unreadable file, TOML that does not parse, unknown key, wrong value.
    """
    try:
        with open(path, "rb") as handle:
            data = tomllib.load(handle)
    except FileNotFoundError:
        raise PlanError(f"The recipe {path} does not exist", remedy="Check its name") from None
    except OSError as fault:
        raise PlanError(
            f"The recipe {path} cannot be read: {fault.strerror}", remedy="Check its name"
        ) from fault
    except UnicodeDecodeError:
        raise PlanError(
            f"The recipe {path} is not a text file", remedy="Write it as TOML in UTF-8"
        ) from None
    except tomllib.TOMLDecodeError as fault:
        raise PlanError(
            f"The recipe {path} is not TOML: {fault}", remedy="Mend the line it names"
        ) from fault
    return recipe_from(data, path)


def recipe_from(data, path="recipe"):
    """Check a recipe given as the plain data of its TOML.

    Parameters
    ----------
    data : dict
    path : str
        What messages call it.
    """
    for name in data:
        if name not in SECTIONS:
            raise PlanError(
                f"The recipe {path} has an unknown part [{name}]",
                remedy=_nearest(name, SECTIONS),
            )
    parts = {}
    for section in SECTIONS:
        if section in OPTIONAL and section not in data:
            parts[section] = None
            continue
        given = data.get(section, [] if section in ARRAYS else {})
        if section in ARRAYS:
            if not isinstance(given, list) or not all(isinstance(g, dict) for g in given):
                raise PlanError(
                    f"{section} in {path} is not a list of tables",
                    remedy=f"Write each as [[{section}]]",
                )
            parts[section] = tuple(
                _checked(section, table, f"[[{section}]] number {i} of {path}")
                for i, table in enumerate(given, 1)
            )
        else:
            if not isinstance(given, dict):
                raise PlanError(
                    f"{section} in {path} is not a table", remedy=f"Write it as [{section}]"
                )
            parts[section] = _checked(section, given, f"[{section}] of {path}")
    recipe = Recipe(path=path, **parts)
    _check_together(recipe)
    return recipe


def _checked(section, table, place):
    """One table with every key of its section, checked."""
    known = {key.name: key for key in KEYS if key.section == section}
    for name in table:
        if name not in known:
            raise PlanError(
                f"Unknown key {name!r}", where=f"In {place}", remedy=_nearest(name, known)
            )
    values = {}
    for name, key in known.items():
        if name in table:
            values[name] = _value(key, table[name], place)
        elif key.default is REQUIRED:
            raise PlanError(f"The key {name!r} is missing", where=f"In {place}", remedy=key.doc)
        else:
            values[name] = key.default
    return values


def _nearest(name, known):
    """Remedy for an unknown name: the nearest known one, or all of them."""
    near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.5)
    if near:
        return f"The nearest known one is {near[0]!r}"
    return "Known are: " + ", ".join(known)


def _value(key, value, place):
    """The value as the kind asks for it."""

    def wrong(wanted):
        return PlanError(
            f"The value {key.name} = {value!r} is not {wanted}", where=f"In {place}", remedy=key.doc
        )

    def lengths(values):
        try:
            return tuple(length_mm(v) for v in values)
        except ValueError:
            raise wrong('lengths (numbers in mm, or texts like "1 1/4 in")') from None

    if key.kind == "text":
        if not isinstance(value, str) or not value.strip():
            raise wrong("a text")
        return value
    if key.kind == "texts":
        if not isinstance(value, list) or not all(isinstance(v, (str, int)) for v in value):
            raise wrong("a list of texts")
        return tuple(str(v) for v in value)
    if key.kind == "integer":
        if isinstance(value, bool) or not isinstance(value, int):
            raise wrong("a whole number")
        return value
    if key.kind == "boolean":
        if not isinstance(value, bool):
            raise wrong("true or false")
        return value
    if key.kind == "length":
        try:
            return length_mm(value)
        except ValueError:
            raise wrong('a length (a number in mm, or a text like "1 1/4 in")') from None
    if key.kind == "lengths":
        if not isinstance(value, list):
            raise wrong("a list of lengths")
        return lengths(value)
    if key.kind == "rows":
        if not isinstance(value, list) or not value or not all(isinstance(row, list) and row for row in value):
            raise wrong("a list of lists of lengths")
        return tuple(lengths(row) for row in value)
    if key.kind == "number":
        if not _is_number(value):
            raise wrong("a number")
        return float(value)
    if key.kind == "numbers":
        if not isinstance(value, list) or not value or not all(map(_is_number, value)):
            raise wrong("a list of numbers")
        return tuple(float(v) for v in value)
    if key.kind == "integers":
        if not isinstance(value, list) or not all(type(v) is int for v in value):
            raise wrong("a list of whole numbers")
        return tuple(value)
    if key.kind == "angle":
        if not _is_number(value):
            raise wrong("an angle (a number of degrees)")
        return float(value)
    if key.kind == "girth":
        return _girth(value, lambda: wrong('a length, or a share of the girth like "60 %"'))
    if key.kind == "point":
        if not isinstance(value, list) or len(value) != 3:
            raise wrong("a point [x, y, z]")
        return lengths(value)
    if key.kind == "mark":
        return _mark(value, lambda: wrong("a mark [coordinate, girth]"), points=False)
    if key.kind == "marks":
        wanted = "a list of marks [coordinate, girth] or points [x, y, z]"
        if not isinstance(value, list):
            raise wrong(wanted)
        return tuple(_mark(v, lambda: wrong(wanted)) for v in value)
    if key.kind == "direction":
        numbers = (
            isinstance(value, list)
            and len(value) == 3
            and all(isinstance(v, (int, float)) and not isinstance(v, bool) for v in value)
        )
        if numbers:
            return tuple(float(v) for v in value)
        if isinstance(value, str):
            return value
        raise wrong('a direction (a text like "-X", or three numbers)')
    if value not in key.choices:
        raise PlanError(
            f"The value {key.name} = {value!r} is none of " + ", ".join(map(repr, key.choices)),
            where=f"In {place}",
            remedy=_nearest(str(value), key.choices),
        )
    return value


def _is_number(value):
    return isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value)


_SHARE = re.compile(r"\s*(\d+\.?\d*|\.\d+)\s*%\s*")


def _girth(value, wrong):
    """A girth in mm, or its share of the whole girth where it ends in %."""
    share = _SHARE.fullmatch(value) if isinstance(value, str) else None
    if share:
        return Share(float(share.group(1)) / 100.0)
    try:
        return length_mm(value)
    except ValueError:
        raise wrong() from None


def _mark(value, wrong, points=True):
    """A mark: (coordinate, girth or Share), or a point (x, y, z)."""
    if not isinstance(value, list) or len(value) not in ((2, 3) if points else (2,)):
        raise wrong()
    try:
        if len(value) == 3:
            return tuple(length_mm(v) for v in value)
        return length_mm(value[0]), _girth(value[1], wrong)
    except ValueError:
        raise wrong() from None


def _check_together(recipe):
    """What no key can say alone."""
    path, line, stations = recipe.path, recipe.line, recipe.stations
    named = []
    for number, table in enumerate(recipe.lines, 1):
        place = f"In [[lines]] number {number} of {path}"
        if table["name"] in (*named, SHEER):
            raise PlanError(
                f"There is another line called {table['name']!r}", where=place, remedy="Call it something else"
            )
        check_line(table, place, named)
        named.append(table["name"])
    check_line(line, f"In [line] of {path}", named)
    if (stations["positions"] is None) == (stations["spacing"] is None):
        raise PlanError(
            "Stations have neither positions nor a spacing" if stations["spacing"] is None
            else "Stations have both positions and a spacing",
            where=f"In [stations] of {path}", remedy="Give one of the two",
        )  # fmt: skip
    names, positions = stations["names"], stations["positions"]
    if names is not None and (positions is None or len(names) != len(positions)):
        raise PlanError(
            f"There are {len(names)} names for {len(positions or ())} stations",
            where=f"In [stations] of {path}",
            remedy="Give as many names as positions, or leave the names out",
        )
    check_belts(recipe.belts, path, named)
    check_nibs(recipe.nibs, path)
    check_trials(recipe.trials, path, named, recipe.wood is not None)
    given = (("[limits]", recipe.limits), ("[search]", recipe.search), ("clear_of", recipe.checks["clear_of"]))
    part = next((name for name, values in given if values), None)
    if recipe.wood is None and part is not None:
        raise PlanError(
            f"Strakes are checked only where the wood is known, and there is no [wood] beside {part}",
            where=f"In {path}", remedy="Add [wood] with species and frame_spacing",
        )  # fmt: skip
    if recipe.search is not None:
        from .search_keys import space_of  # numpy is loaded only where there is a search

        space_of(recipe.search, path)
    for name, value in (recipe.limits or {}).items():
        if value is not None and value < 0:
            raise PlanError(
                f"The limit {name} = {value:g} cannot be kept", where=f"In [limits] of {path}",
                remedy="Give a figure above 0, or 0 where it is not to be looked at",
            )  # fmt: skip
    for name in recipe.checks["clear_of"] or ():
        if name not in named:
            raise PlanError(
                f"There is no line {name!r}", where=f"In [checks] of {path}", remedy=_nearest(name, named or ("none",))
            )
