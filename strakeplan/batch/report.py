# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a run found: as figures for the picture, as a screenful, as plain data for JSON."""

from dataclasses import asdict, dataclass
from itertools import groupby

from .. import __version__
from ..core.lineoff.belts import is_divided_rule
from ..core.tables.nibs import nib_table
from ..core.tables.units import feet_inches_sixteenths, metres
from .boat import boat_data, boat_summary
from .checked import checked_data, checked_summary
from .ends import end_lines, line_off_data
from .lines import line_data, line_summary, tuck_data, tuck_summary
from .trials import FILE as TRIALS
from .trials import trials_data, trials_summary

__all__ = ["Plan", "figures", "plan_data", "summary"]


@dataclass
class Plan:
    """Everything a run found.

    Attributes
    ----------
    name : str
    hull : PlankedSurface
    line : ReportedLine
        The one that divides.
    others : tuple of ReportedLine
    tuck : Tuck or None
        None where it was not asked for.
    lineoff : LineOff
    lineoff_notes : tuple of str
        What the line-off's document object says of it.
    counts : tuple of CountFigures
        Numbers of strakes side by side; none where that was not asked for.
    stations : tuple of Station
    thickness : float
    layer : str
    plank_length : float
        Length of plank that the edge set is measured over, mm.
    measures : tuple of PlankMeasure
        One side.
    shapes : list of PlankShape
        Both sides where asked for.
    volumes : list of float
        mm^3, of the shapes.
    solids : list of (str, Part.Solid)
    tables : dict of str -> Table
    boat : Boat
        What was asked for beside the plan.
    checked : Checked
    tried : tuple of Tried
    cautions : tuple of str
    """

    name: str
    hull: object
    line: object
    others: tuple
    tuck: object
    lineoff: object
    lineoff_notes: tuple
    counts: tuple
    stations: tuple
    thickness: float
    layer: str
    plank_length: float
    measures: tuple
    shapes: list
    volumes: list
    solids: list
    tables: dict
    boat: object
    checked: object
    tried: tuple
    cautions: tuple

    def files(self, always):
        """Names of the files a run leaves: those of every run, and what was asked for besides."""
        own = [f"{name.lower()}.csv" for name in self.tables]
        return (*always, *(name for name in own if name not in always), *self.boat.tables, *self.checked.files, *([TRIALS] if self.tried else ()))


def _belts(plan):
    """Measures of one side, grouped by rule: (rule, list of PlankMeasure)."""
    return [(rule, list(some)) for rule, some in groupby(plan.measures, key=lambda m: m.rule)]


def _span(values, unit=""):
    """Least to greatest of some figures, as one text."""
    values = [v for v in values if v is not None]
    if not values:
        return "-"
    low, high = min(values), max(values)
    text = f"{low:.1f}" if high - low < 0.05 else f"{low:.1f} - {high:.1f}"
    return text + unit


def figures(plan):
    """Label and value of what is printed on the picture."""
    sides = {shape.side for shape in plan.shapes}
    lines = [
        ("Strakes a side", str(len(plan.lineoff.strakes))),
        ("Planks", f"{len(plan.shapes)} ({' and '.join(sorted(sides))})"),
        ("Thickness", f"{plan.thickness:g} mm, {plan.layer}"),
        (plan.line.name, f"{plan.line.line.curve.length:.0f} mm"),
    ]
    for rule, some in _belts(plan):
        first, last = some[0].strake, some[-1].strake
        numbers = f"Strake {first}" if first == last else f"Strakes {first} - {last}"
        lines.append((f"{numbers}, {rule}", _span([m.greatest for m in some], " mm")))
        if is_divided_rule(rule):
            stem = [m.bow_girth for m in some if m.fore_kind == "hood"]
            stern = [m.stern_girth for m in some if m.aft_kind == "hood"]
            lines += [("    along the stem", _span(stem, " mm")), ("    along the stern", _span(stern, " mm"))]
        over = f"    edge set in {metres(plan.plank_length)}"
        lines.append((over, _span([m.edge_set for m in some], " mm")))
    nibs = nib_table(plan.lineoff)
    if nibs:
        lines.append(("Nibs", f"{len(nibs)}, {_span([n.depth for n in nibs], ' mm')} deep"))
    lines.append(("Volume of all planks", f"{sum(plan.volumes) / 1e9:.4f} m³"))
    return lines


def summary(plan):
    """A screenful of text: strakes, widths, edge set, solids, volumes, cautions.

    Returns
    -------
    str
    """
    lines = [
        f"{plan.name}: {len(plan.lineoff.strakes)} strakes a side, "
        f"{len(plan.solids)} planks as closed solids, {plan.thickness:g} mm {plan.layer}",
        *line_summary(plan.line),
        *(text for other in plan.others for text in line_summary(other)),
        *tuck_summary(plan.tuck),
        "",
        f"{'strakes':<20}{'width at bow':>18}{'greatest':>18}{'at stern':>18}"
        f"{f'edge set in {metres(plan.plank_length)}':>22}   mm",
    ]
    for rule, some in _belts(plan):
        first, last = some[0].strake, some[-1].strake
        numbers = f"{first:02d}" if first == last else f"{first:02d}-{last:02d}"
        lines.append(
            f"{numbers + ' ' + rule:<20}{_span([m.bow for m in some]):>18}"
            f"{_span([m.greatest for m in some]):>18}{_span([m.stern for m in some]):>18}"
            f"{_span([m.edge_set for m in some]):>22}"
        )
    worst = max(plan.measures, key=lambda m: m.edge_set)
    widest = max(plan.measures, key=lambda m: m.greatest)
    lines += [
        f"Greatest edge set: strake {worst.strake:02d}, {worst.edge_set:.1f} mm at {worst.edge_set_at:.0f} mm. "
        f"Widest: strake {widest.strake:02d}, {widest.greatest:.1f} mm "
        f"({feet_inches_sixteenths(widest.greatest)}).",
    ]
    lines += end_lines(plan.lineoff)
    by_side = {}
    for shape, volume in zip(plan.shapes, plan.volumes):
        by_side[shape.side] = by_side.get(shape.side, 0.0) + volume
    lines.append(
        "Volume: "
        + ", ".join(f"{side} {volume / 1e9:.5f} m3" for side, volume in by_side.items())
        + f", together {sum(plan.volumes) / 1e9:.5f} m3."
    )
    lines += checked_summary(plan.checked)
    lines += trials_summary(plan.tried)
    lines += boat_summary(plan.boat)
    for note in (*plan.hull.notes, *plan.line.line.notes, *plan.lineoff_notes):
        lines.append(f"Note: {note}")
    lines.append("")
    lines += [f"Caution: {caution}" for caution in plan.cautions]
    return "\n".join(lines)


def plan_data(plan):
    """The plan as plain data; lengths in mm, angles in degrees, model coordinates."""
    hull, frame = plan.hull, plan.hull.frame
    return {
        "program": f"strakeplan {__version__}",
        "units": {"length": "mm", "volume": "mm3"},
        "hull": {
            "name": plan.name,
            "modelled_side": frame.side,
            "sheer_length": hull.sheer.length,
            "stem_girth": hull.stem_length,
            "stern_girth": hull.stern_length,
            "notes": list(hull.notes),
        },
        "stations": [{"name": s.name, "position": s.x} for s in plan.stations],
        "line": line_data(plan.line, frame),
        "lines": [line_data(other, frame) for other in plan.others],
        "tuck": tuck_data(plan.tuck, frame),
        "seams": [
            {
                "name": seam.name,
                "parts": [
                    {
                        "length": part.curve.length,
                        "points": frame.points_to_model(part.curve.sample(101).p).tolist(),
                    }
                    for part in seam.parts
                ],
            }
            for seam in plan.lineoff.seams
        ],
        **line_off_data(plan),
        "parallel_width": plan.lineoff.parallel_width,
        "notes": list(plan.lineoff_notes),
        "strakes": [asdict(measure) for measure in plan.measures],
        "edge_set_plank_length": plan.plank_length,
        "thickness": plan.thickness,
        "layer": plan.layer,
        "planks": [
            {
                "name": shape.name,
                "side": shape.side,
                "strake": shape.strake,
                "part": shape.part,
                "volume": volume,
                "deviation": shape.deviation,
            }
            for shape, volume in zip(plan.shapes, plan.volumes)
        ],
        "volume": sum(plan.volumes),
        **checked_data(plan.checked),
        **trials_data(plan.tried),
        **boat_data(plan.boat),
        "cautions": list(plan.cautions),
    }
