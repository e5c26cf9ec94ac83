# SPDX-License-Identifier: LGPL-2.1-or-later
"""A trial plank as a builder reads it."""

import numpy as np

from ..tables.units import MM_PER_INCH, feet_inches_sixteenths
from .forces import END_CONDITIONS
from .trial import newtons

__all__ = ["trial_text"]


def trial_text(trial, notes=()):
    """What a trial plank found, in plain words.

    Parameters
    ----------
    trial : Trial
    notes : sequence of str
        Sentences to stand above the verdict, such as where the plank lies.

    Returns
    -------
    str
        Lines; forces name their end conditions, and the cautions come last.
    """
    plank, t = trial.plank, trial
    where = f" on {t.place.where}" if t.place.where else ""
    lines = [
        f"Trial plank{where}: {plank.width:.0f} x {plank.thickness:.0f} mm, {plank.length / 1000.0:.2f} m long "
        f"({_inches(plank.width)} x {_inches(plank.thickness)}, {feet_inches_sixteenths(plank.length)}), "
        f"frames {plank.frame_spacing:.0f} mm apart{', steamed' if plank.steamed else ''}",
        plank.wood.in_words(),
        *plank.wood.notes,
        *notes,
        "",
        *t.verdict,
        "",
    ]
    way = f", its middle towards the {t.towards}" if t.towards else ""
    rows = [
        ("sprung edgewise", f"{t.edge_set:.0f} mm ({_inches(t.edge_set)}){way}", ""),
        ("one clamp", newtons(t.one_clamp), END_CONDITIONS["one_clamp_force"]),
        ("three clamps", _three(t), END_CONDITIONS["three_clamp_force"]),
        ("at its tip", newtons(t.tip), END_CONDITIONS["tip_force"]),
        ("rolls", _rolls(t), "ends held flat, nothing between"),
        ("hold-down", _down(t), "clamp at every frame, the other edge bearing"),
        ("buckles sideways", f"springing force is {t.buckling:.2f} of the least that flips it", _buckling()),
        ("bend across the flat", _bend(t), ""),
        ("bend and twist home", newtons(t.frame_force) + " at a frame, cold", END_CONDITIONS["bend_home_force"]),
        ("twist", f"{np.degrees(t.twist) * 1000.0:.1f} degrees a metre, {np.degrees(t.twist_in_all):.0f} in all", ""),
        ("share of the breaking strain", _shares(t), ""),
        ("shear from twist", _shear(t), ""),
        ("hollow and stock", f"{_hollow(t)}, stock {t.stock:.1f} mm", ""),
    ]
    for title, value, condition in rows:
        lines.append(f"  {title}: {value}")
        if condition:
            lines.append(f"      {condition}")
    return "\n".join([*lines, "", "Cautions:", *(f"  {c}" for c in t.cautions)])


def _inches(mm):
    return feet_inches_sixteenths(mm) if mm < 12 * MM_PER_INCH else f"{mm / MM_PER_INCH:.1f}\""


def _three(t):
    words = []
    for name, force in zip(("fore quarter", "middle", "after quarter"), t.three_clamps):
        words.append(f"{name} {newtons(force)}" if force > 0.5 else f"{name} none")
    return ", ".join(words)


def _rolls(t):
    if np.isnan(t.roll):
        return "finds no rest and flips"
    if not t.edge_off or t.stand_off < 0.05:
        return "not at all"
    return f"{np.degrees(t.roll):.1f} degrees, {t.edge_off} edge {t.stand_off:.0f} mm ({_inches(t.stand_off)}) off"


def _down(t):
    return newtons(t.hold_down) + (f" on the {t.hold_down_edge} edge" if t.hold_down_edge else "")


def _buckling():
    return END_CONDITIONS["buckling_force"]


def _bend(t):
    if not np.isfinite(t.bend_ratio):
        return "none"
    radius = t.bend_ratio * t.plank.thickness
    return f"radius {radius / 1000.0:.1f} m, {t.bend_ratio:.0f} thicknesses"


def _shares(t):
    flat = "left out, steamed" if t.plank.steamed else f"{100.0 * t.flatwise:.0f} %"
    return (
        f"{100.0 * t.corner:.0f} % at the worst corner (edgewise {100.0 * t.edgewise:.0f} %, flatwise {flat}, "
        f"compound {100.0 * t.compound:.0f} %, each at its greatest)"
    )


def _shear(t):
    return "shear strength not known" if np.isnan(t.shear) else f"{100.0 * t.shear:.0f} % of what breaks"


def _hollow(t):
    if abs(t.hollow) < 0.05:
        return "no hollow"
    return f"{abs(t.hollow):.1f} mm " + ("hollow" if t.hollow > 0.0 else "round on the inner face")
