# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a run says of its lines: a few lines of text, and plain data for JSON."""

import math
from dataclasses import dataclass

from ..core.tables.units import metres

__all__ = ["ReportedLine", "Tuck", "line_data", "line_summary", "tuck_data", "tuck_summary"]

_STRAIGHT = 1e-7  # 1/mm: a radius of more than 10 km is that of a straight plank


@dataclass(frozen=True)
class ReportedLine:
    """A line with its report: name, HullLine, LineReport."""

    name: str
    line: object
    report: object


@dataclass(frozen=True)
class Tuck:
    """The tuck line (TuckLine) and the TuckCrossings of the seams."""

    line: object
    crossings: tuple


def line_summary(reported):
    """Two or three lines of text on one line of the plan.

    Returns
    -------
    list of str
    """
    r, name = reported.report, reported.name
    title = r.kind if r.kind.startswith(name) else f"{name} ({r.kind.lower()})"
    girths = [g for g in r.girths if g.girth == g.girth]
    text = f"{title}: {r.length:.1f} mm, position good to {r.error_position:.0e} mm."
    ends = [
        f"{girth:.1f} at the {edge}"
        for edge, girth in (("stem", r.bow_girth), ("stern", r.stern_girth))
        if girth == girth
    ]
    if girths:
        most = max(girths, key=lambda g: g.girth)
        ends.append(f"{most.girth:.1f} at station {most.name}, the greatest of {len(girths)}")
    bend, hollow = r.flatwise_most, -r.flatwise_least.value
    along = [
        f"edge set {r.edge_set.value:.1f} mm in {metres(r.plank_length)}",
        "straight edgewise" if abs(r.edgewise_most.value) < _STRAIGHT
        else f"edgewise radius {_metres(r.edgewise_most.value)} m or more",
        f"across the flat {_metres(bend.value)} m (at {bend.station:.0f})" if bend.value > _STRAIGHT
        else "straight across the flat",
    ]  # fmt: skip
    if hollow > _STRAIGHT:
        along.append(f"hollow to radius {_metres(hollow)} m (at {r.flatwise_least.station:.0f})")
    along.append(f"twist up to {abs(r.twist_most.value):.1f} degrees per metre (at {r.twist_most.station:.0f})")
    lines = [text + (f" Girth {', '.join(ends)}." if ends else ""), "    " + "; ".join(along) + "."]
    return lines + [f"    Distance from {c.parallel}" for c in r.closeness]


def _metres(curvature):
    return f"{1e-3 / abs(curvature):.1f}"


def tuck_summary(tuck):
    """A line of text on the tuck and how the seams cross it; none where it was not looked for."""
    if tuck is None:
        return []
    text = " ".join(("Tuck:", *tuck.line.notes))
    if tuck.crossings:
        most = max(tuck.crossings, key=lambda c: c.angle)
        text += (
            f" Seams cross it in {len(tuck.crossings)} place{'s' if len(tuck.crossings) > 1 else ''}, "
            f"at {math.degrees(most.angle):.0f} degrees or less ({most.name}, at {most.station:.0f})."
        )
    return [text]


def line_data(reported, frame):
    """One line as plain data; lengths in mm, curvatures in 1/mm, model coordinates."""
    line, r = reported.line, reported.report
    number = _number

    def extreme(e):
        return {"value": number(e.value), "position": number(e.station)}

    return {
        "name": reported.name,
        "kind": line.kind,
        "length": line.curve.length,
        "error_position": line.error_position,
        "error_length": line.error_length,
        "points": frame.points_to_model(line.curve.sample(101).p).tolist(),
        "notes": list(line.notes),
        "report": {
            "stem_girth": number(r.bow_girth),
            "stern_girth": number(r.stern_girth),
            "girths": [
                {"station": g.name, "position": g.x, "girth": number(g.girth), "whole": number(g.whole)}
                for g in r.girths
            ],
            "plank_length": r.plank_length,
            "edge_set": extreme(r.edge_set),
            "edge_set_error": r.error_edge_set,
            "edgewise_most": extreme(r.edgewise_most),
            "flatwise_most": extreme(r.flatwise_most),
            "flatwise_least": extreme(r.flatwise_least),
            "twist_most": extreme(r.twist_most),
            "along": {
                "length": r.s.tolist(),
                "position": r.station.tolist(),
                "edgewise": r.edgewise.tolist(),
                "flatwise": r.flatwise.tolist(),
                "twist": r.twist.tolist(),
            },
            "beside": [
                {
                    "line": c.name,
                    "least": [number(v) for v in c.least],
                    "greatest": [number(v) for v in c.greatest],
                    "per_metre": number(c.per_metre),
                    "crossings": [number(v) for v in c.crossings],
                }
                for c in r.closeness
            ],
            "notes": list(r.notes),
        },
    }


def tuck_data(tuck, frame):
    """The tuck as plain data, or None where it was not looked for."""
    if tuck is None:
        return None
    line = tuck.line
    found = line.curve is not None
    return {
        "turn": line.which,
        "over": line.over,
        "found": found,
        "points": frame.points_to_model(line.curve.sample(101).p).tolist() if found else [],
        "error_position": _number(line.error_position),
        "least_radius": float(min(line.radius)) if found else None,
        "crossings": [
            {
                "seam": c.name,
                "angle": math.degrees(c.angle),
                "position": float(c.station),
                "point": [float(v) for v in c.point],
            }
            for c in tuck.crossings
        ],
        "notes": list(line.notes),
    }


def _number(value):
    """A number that JSON can hold; None for one that is not there."""
    value = float(value)
    return value if math.isfinite(value) else None
