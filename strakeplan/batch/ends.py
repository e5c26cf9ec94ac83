# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a run says of its belts, of strakes that end in nibs or on the rabbet, and of other numbers of strakes."""

import math
from dataclasses import asdict

from ..core.lineoff.belts import ParallelBelt
from ..core.lineoff.figures import line_off_figures
from ..core.tables.nibs import nib_table

__all__ = ["end_lines", "line_off_data"]


def end_lines(lineoff):
    """Lines of text on nibs, and on strakes that run out on the rabbet.

    Returns
    -------
    list of str
    """
    lines = [f"Nib: {row.words}, its corner {row.girth:.1f} mm below the sheer." for row in nib_table(lineoff)]
    figures = line_off_figures(lineoff)
    if figures.run_outs:
        places = {}
        for r in figures.run_outs:
            name = f"{r.strake:02d}" + (f" part {r.part}" if r.part else "")
            places.setdefault(name, []).append(f"{r.position:.0f} mm ({math.degrees(r.angle):.1f} degrees)")
        told = "; ".join(f"{name} at {' and '.join(some)}" for name, some in places.items())
        lines.append(f"Running out on the rabbet: strake {told}.")
    lines.append(f"Garboard: {figures.garboard.value:.1f} mm at its widest, at {figures.garboard.position:.0f} mm.")
    return lines


def line_off_data(plan):
    """Belts, nibs, pointed ends and compared numbers as plain data."""
    figures = line_off_figures(plan.lineoff)
    return {
        "belts": [_belt(belt) for belt in plan.lineoff.belts],
        "nibs": [asdict(row) for row in nib_table(plan.lineoff)],
        "run_outs": [{**asdict(r), "angle": math.degrees(r.angle)} for r in figures.run_outs],
        "least_breadth": asdict(figures.least) if figures.least else None,
        "garboard": asdict(figures.garboard),
        "compared": [_count(one) for one in plan.counts],
    }


def _belt(belt):
    data = {"rule": belt.rule, "strakes": None if belt.count is None else int(belt.count)}
    if isinstance(belt, ParallelBelt):
        data["width"] = belt.width
    if belt.lower is not None:
        data["line"] = belt.lower.kind
    if getattr(belt, "weights", None):
        data["weights"] = list(belt.weights)
    if getattr(belt, "positions", None):
        data.update(stations=list(belt.positions), widths=[list(row) for row in belt.widths])
    return data


def _count(one):
    data = asdict(one)
    if one.sharpest is not None:
        data["sharpest"]["angle"] = math.degrees(one.sharpest.angle)
    return data
