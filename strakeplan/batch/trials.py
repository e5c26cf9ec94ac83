# SPDX-License-Identifier: LGPL-2.1-or-later
"""Planks tried on the hull: from a recipe to the documents' objects, to the page and to plain data."""

import math
from dataclasses import dataclass

from ..core.errors import PlanError
from ..core.tables.units import metres
from ..core.wood.trial import newtons
from ..host.export import write_text
from ..objects import make
from ..objects.line import surface_object_of_line
from ..objects.trial_plank import AT_POSITION, TRIAL_LIMITS, trial_of, trial_text_of
from ..objects.wood_choice import WOOD_PROPERTIES
from .line_kinds import SHEER
from .trial_rules import OWN

__all__ = ["FILE", "Tried", "make_trials", "trials_data", "trials_summary", "write_trials"]

FILE = "trials.txt"


@dataclass(frozen=True, eq=False)
class Tried:
    """One plank tried: its name, where its middle lies in the model, the core's Trial, and the page to read."""

    name: str
    position: float
    trial: object
    text: str


def make_trials(recipe, checked, line, line_off, lines, stations, clock):
    """Make the document objects of a recipe's trial planks.

    Parameters
    ----------
    recipe : Recipe
    checked : Checked
        Its checks: trial planks have their wood and their limits.
    line, line_off : document objects
        Those that the plan is made by.
    lines : dict of str -> document object
        Lines of the recipe by name.
    stations : sequence of Station
    clock : object with step(name)

    Returns
    -------
    tuple of Tried
    """
    if not recipe.trials:
        return ()
    job = checked.object
    names = [p.name for p in WOOD_PROPERTIES] + [limited.name for limited in TRIAL_LIMITS]
    shared = {name: getattr(job, name) for name in names}
    grounds = {OWN: line, SHEER: surface_object_of_line(line), **lines}
    found = []
    with clock.step("trial planks"):
        for number, keys in enumerate(recipe.trials, 1):
            name = keys["name"] or f"Trial {number}"
            values = {**shared, **_values(recipe, keys, stations, f"In [[trials]] number {number} of {recipe.path}")}
            on = line_off if keys["on"] is None else grounds[keys["on"]]
            obj = make.make_trial_plank(on, Label=name, **values)
            found.append(Tried(name, obj.MiddleAt.Value, trial_of(obj).value, trial_text_of(obj)))
    return tuple(found)


def _values(recipe, keys, stations, place):
    """Properties of one trial plank."""
    planks, checks, wood = recipe.planks, recipe.checks, recipe.wood
    values = {
        "Width": keys["width"],
        "Thickness": planks["thickness"] if keys["thickness"] is None else keys["thickness"],
        "PlankLength": checks["plank_length"] if keys["length"] is None else keys["length"],
        "FrameSpacing": wood["frame_spacing"],
        "Steamed": keys["steamed"],
    }
    if keys["strake"] is not None:
        values.update(Strake=keys["strake"], Part=keys["part"])
    position = keys["position"]
    if keys["station"] is not None:
        there = {s.name: s.x for s in stations}
        if keys["station"] not in there:
            raise PlanError(
                f"There is no station {keys['station']!r}", place, "Stations are " + ", ".join(there)
            )
        position = there[keys["station"]]
    if position is not None:
        values.update(PlacedBy=AT_POSITION, Position=position)
    return values


def trials_summary(tried):
    """Lines of text for the screen."""
    lines = []
    for one in tried:
        t, p = one.trial, one.trial.plank
        lines.append(
            f"{one.name}: {p.width:.0f} x {p.thickness:.0f} mm, {metres(p.length)} on {t.place.where} at "
            f"{one.position:.0f} mm, edge set {t.edge_set:.0f} mm, one clamp {newtons(t.one_clamp)}. {t.verdict[0]}"
        )  # fmt: skip
    return lines


def write_trials(path, tried):
    """Write the pages of all trial planks, one below the other."""
    write_text(path, ("\n\n" + "-" * 72 + "\n\n").join(f"{one.name}\n\n{one.text}" for one in tried))


def trials_data(tried):
    """The same as plain data: mm, N, degrees, shares; null for what there is not."""
    return {"trials": [_data(one) for one in tried]}


def _data(one):
    t, p = one.trial, one.trial.plank
    degrees = math.degrees
    return {
        "name": one.name,
        "on": t.place.where,
        "position": one.position,
        "width": p.width,
        "thickness": p.thickness,
        "length": p.length,
        "frame_spacing": p.frame_spacing,
        "steamed": p.steamed,
        "wood": p.wood.in_words(),
        "edge_set": t.edge_set,
        "towards": t.towards or None,
        "one_clamp": t.one_clamp,
        "three_clamps": list(t.three_clamps),
        "per_clamp": t.per_clamp,
        "tip_force": t.tip,
        "roll": _finite(degrees(t.roll)),
        "edge_off": t.edge_off or None,
        "stand_off": _finite(t.stand_off),
        "hold_down": t.hold_down,
        "hold_down_edge": t.hold_down_edge or None,
        "buckling": t.buckling,
        "bend_ratio": _finite(t.bend_ratio),
        "frame_force": t.frame_force,
        "twist_per_metre": degrees(t.twist) * 1000.0,
        "twist_in_all": degrees(t.twist_in_all),
        "share_edgewise": t.edgewise,
        "share_flatwise": t.flatwise,
        "share_compound": t.compound,
        "share_corner": t.corner,
        "share_shear": _finite(t.shear),
        "hollow": t.hollow,
        "stock": t.stock,
        "margins": {m.key: _finite(m.margin) for m in t.margins},
        "verdict": list(t.verdict),
    }


def _finite(value):
    return float(value) if math.isfinite(value) else None
