# SPDX-License-Identifier: LGPL-2.1-or-later
"""The checks laid out for people: a row for each strake, and for each strake at each station."""

import math

from ..core.cautions import CAUTIONS
from ..core.checks.report import strake_verdict
from ..core.checks.stations import FIGURES
from ..core.tables.units import metres
from ..core.wood.forces import END_CONDITIONS
from .tables import Table

__all__ = ["checks_layout", "station_checks_layout"]

_WAYS = {"spring": "straight and tapered", "spile": "spiled", "neither": "will not go"}

#: what forces in the heads suppose
_CLAMP = "one clamp at mid-length, ends free to turn"
_DOWN = "clamp at every frame, the other edge bearing"
_HOME = END_CONDITIONS["bend_home_force"]

#: (title, unit, digits)
_COLUMNS = (
    ("Strake", None, None), ("Part", None, None), ("Rule", None, None),
    ("Width at the stem, mm", "mm", 1), ("    square to the strake, mm", "mm", 1), ("Nib forward, mm", "mm", 1),
    ("Greatest width square, mm", "mm", 1), ("    at, mm", "mm", 0),
    ("Greatest width girthwise, mm", "mm", 1), ("Least width square, mm", "mm", 1), ("    at, mm", "mm", 0),
    ("Width at the stern, mm", "mm", 1), ("    square to the strake, mm", "mm", 1), ("Nib aft, mm", "mm", 1),
    ("Taper, mm/m", None, 1),
    ("Edge set, mm", "mm", 1), ("    at, mm", "mm", 0),
    (f"Force to spring it, N ({_CLAMP})", "N", 0),
    ("Edgewise strain, % of breaking", None, 1), ("Flatwise strain, % of breaking", None, 1),
    ("Compound strain, % of breaking", None, 1),
    ("At the worst corner sprung, % of breaking", None, 1), ("At the worst corner spiled, % of breaking", None, 1),
    ("Roll, degrees (ends held flat, nothing between)", None, 1), ("Edge that stands off", None, None),
    ("Stands off, mm", "mm", 1), (f"Hold-down force, N ({_DOWN})", "N", 0),
    ("Springing force over buckling force", None, 2),
    ("Bend, R/t", None, 0), (f"Force to bend and twist it home, N ({_HOME})", "N", 0),
    ("Twist, degrees/m", None, 2), ("Twist over a plank, degrees", None, 1), ("Shear, % of breaking", None, 1),
    ("Hollow, mm", "mm", 1), ("Stock, mm", "mm", 1), ("Board to spile it from, mm", "mm", 0),
    ("Got out", None, None), ("Steamed", None, None), ("Margin, %", None, 1), ("What binds", None, None),
    ("    at, mm", "mm", 0), ("Verdict", None, None),
)  # fmt: skip


def checks_layout(checks, cautions=CAUTIONS):
    """A row for each strake, or part of one.

    Parameters
    ----------
    checks : Checks
    cautions : sequence of str
        Written below the rows.

    Returns
    -------
    Table
    """
    rows = [_strake(checks, k) for k in range(len(checks.strakes.number))]
    rows = [tuple(_shown(v, digits) for v, (_, _, digits) in zip(row, _COLUMNS)) for row in rows]
    return _table(_COLUMNS, rows, _notes(checks, cautions))


def _notes(checks, cautions):
    job = checks.job
    wood = (job.wood.in_words(), *job.wood.notes)
    plank = (
        f"Planks of {metres(job.plank_length)}, {job.thickness:g} mm thick, frames {job.frame_spacing:g} mm "
        "apart; forces and strains are estimates"
    )
    return (*wood, plank, *(f"Caution: {c}" for c in cautions))


def _strake(checks, k):
    """Figures of a strake in the order of the columns."""
    strakes, widths, s, b = checks.strakes, checks.widths, checks.springing, checks.bending
    broken, sheared = checks.job.wood.breaking_strain, checks.job.wood.breaking_shear
    found = checks.binding(k)

    def at(along):
        return float(strakes.frame.to_model_station(strakes.x[k, along.index[k]]))

    def share(along):
        return 100.0 * abs(along.worst[k]) / broken

    def square(edge, across):
        return across[k] if math.isfinite(edge[k]) else math.nan

    off = s.stand_off[k] >= 0.05
    return (
        int(strakes.number[k]), int(strakes.part[k]) or None, strakes.rule[k],
        widths.bow[k], square(widths.bow, widths.bow_square), widths.nib_bow[k], widths.wide.worst[k], at(widths.wide), widths.wide_girth.worst[k],
        widths.narrow.worst[k], at(widths.narrow),
        widths.stern[k], square(widths.stern, widths.stern_square), widths.nib_stern[k], abs(widths.taper.worst[k]),
        s.edge_set.worst[k], at(s.edge_set), s.force.worst[k],
        share(s.edgewise), share(s.flatwise), share(s.compound),
        100.0 * s.share.worst[k], 100.0 * s.share_spiled.worst[k],
        math.degrees(s.roll[k]), ("upper" if s.upper_off[k] else "lower") if off else None,
        s.stand_off[k], s.hold_down.worst[k], s.buckling[k],
        b.over_thickness.worst[k], b.frame_force.worst[k],
        abs(math.degrees(b.metre.worst[k])) * 1000.0, abs(math.degrees(b.in_all.worst[k])),
        100.0 * b.shear.worst[k] / sheared,
        max(checks.hollows.hollow.worst[k], 0.0), checks.hollows.stock[k], math.ceil(checks.boards.plank[k]),
        _WAYS[checks.classes.method[k]], "yes" if checks.steamed[k] else None,
        None if found is None else 100.0 * found.margin, None if found is None else found.item.title,
        None if found is None else float(strakes.frame.to_model_station(found.x)), strake_verdict(checks, k),
    )  # fmt: skip


def station_checks_layout(checks, rows, cautions=CAUTIONS):
    """A row for each strake at each station that crosses it.

    Parameters
    ----------
    checks : Checks
    rows : sequence of StationRow
        Of the same checks.
    cautions : sequence of str

    Returns
    -------
    Table
    """
    columns = [
        ("Strake", None, None), ("Part", None, None), ("Station", None, None), ("At, mm", "mm", 1),
        *(_station_column(*figure) for figure in FIGURES),
    ]  # fmt: skip
    lines = []
    for row in rows:
        values = (row.strake, row.part or None, row.station, row.x, *row.figures)
        lines.append(tuple(_shown(v, digits) for v, (_, _, digits) in zip(values, columns)))
    return _table(columns, lines, _notes(checks, cautions))


#: what the forces of FIGURES suppose
_SUPPOSED = {"force to spring": _CLAMP, "hold-down force": _DOWN, "force to bend and twist home": _HOME}


def _station_column(title, unit, digits):
    text = title[:1].upper() + title[1:] + (f", {unit}" if unit else "")
    if title in _SUPPOSED:
        text += f" ({_SUPPOSED[title]})"
    return text, unit if unit in ("mm", "N") else None, digits


def _table(columns, rows, notes):
    """A table with notes below its rows."""
    rest = (None,) * (len(columns) - 1)
    rows = [*rows, *((note, *rest) for note in notes)]
    return Table(tuple(title for title, _, _ in columns), tuple(unit for _, unit, _ in columns), tuple(rows))


def _shown(value, digits):
    """A figure to its digits; nothing for one that is not there."""
    if digits is None or value is None:
        return value
    if not math.isfinite(value) or abs(value) >= 1e6:
        return None  # no such figure; or a radius that is none
    return round(float(value), digits) + 0.0 if digits else int(round(value))
