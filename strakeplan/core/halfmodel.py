# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks for a half model: at its scale, on the surface that is ticked.

The skin of a model (strips, veneer, the card of its templates) is many times too thick for
its scale. Marks that are ticked on it, or on the body beneath it, stand on a surface at that
distance from the moulded one, so their girths are not the moulded girths at scale. Every mark
is carried out along the hull's normal and its girth taken there.
"""

import re
from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from .asbuilt.tape import read_tape
from .carried import carried_girths, carried_length
from .errors import PlanError
from .tables.marks import MarkRow, MarksTable, marks_table

__all__ = ["SIDES", "HalfModel", "HalfModelMarks", "half_model_marks", "read_scale"]

#: where the ticked surface lies: the moulded one itself, outside it by the skin, inside it
SIDES = ("outside", "inside")


@dataclass(frozen=True)
class HalfModel:
    """A half model.

    Attributes
    ----------
    scale : float
        Full size over model: 12 for an inch to the foot.
    skin : float
        Thickness of the model's skin, mm on the model; 0 where the body itself is the
        moulded surface and is ticked.
    side : 'outside' or 'inside'
        Outside: the body is carved to the moulded surface and the marks are ticked on the skin
        that lies on it. Inside: the skin's outer face will be the moulded surface, and the
        marks are ticked on the body, so much inside it.
    """

    scale: float
    skin: float = 0.0
    side: str = "outside"

    def __post_init__(self):
        if not (np.isfinite(self.scale) and self.scale >= 1.0):
            raise PlanError(f"a half model at a scale of 1 : {self.scale:g} cannot be", "", "give 12 for 1 : 12")
        if not (np.isfinite(self.skin) and 0.0 <= self.skin < 100.0):
            raise PlanError(
                f"a half model's skin of {self.skin:g} mm cannot be", "", "give its thickness on the model in mm, or 0"
            )
        if self.side not in SIDES:
            raise PlanError(f"the skin cannot lie {self.side!r}", "", f"give one of {', '.join(SIDES)}")

    @property
    def distance(self):
        """From the moulded surface to the one that is ticked, full size, mm, outboard positive."""
        return self.scale * self.skin * (1.0 if self.side == "outside" else -1.0)


@dataclass(frozen=True, eq=False)
class HalfModelMarks:
    """Marks on a half model.

    Attributes
    ----------
    model : HalfModel
    table : MarksTable
        Girths and stations' positions in mm on the model.
    bare : MarksTable
        What the moulded girths would be at scale, mm on the model: the marks without allowance.
    allowance : (rows, m + 1) mm on the model
        Marks less bare marks, the rabbet last; nan where there is none.
    error : float
        Of the marks' girths, mm on the model.
    notes : tuple of str
    """

    model: HalfModel
    table: MarksTable
    bare: MarksTable
    allowance: np.ndarray
    error: float
    notes: Tuple[str, ...]


def read_scale(value):
    """A scale as builders write it: 12, "1:12", "1/12", "1 in = 1 ft".

    Returns
    -------
    float, full size over model

    Raises
    ------
    PlanError
        It cannot be read.
    """
    fault = PlanError(f"the scale {value!r} cannot be read", "", 'write 12, "1:12" or "1 in = 1 ft"')
    if isinstance(value, bool) or value is None:
        raise fault
    text = str(value).strip()
    try:
        if "=" in text:
            small, full = (read_tape(part).mm for part in text.split("="))
            return HalfModel(round(full / small, 9)).scale
        parts = re.fullmatch(r"(?:(\d+\.?\d*)\s*[:/]\s*)?(\d+\.?\d*)", text)
        small, full = float(parts.group(1) or 1), float(parts.group(2))
        return HalfModel(round(full / small, 9)).scale
    except (ValueError, AttributeError, ZeroDivisionError):
        raise fault from None


def half_model_marks(lineoff, stations, model):
    """Marks of a line-off for a half model.

    Parameters
    ----------
    lineoff : LineOff
    stations : sequence of Station
    model : HalfModel

    Returns
    -------
    HalfModelMarks

    Raises
    ------
    PlanError
        A station that the model's surface does not reach, or a skin that folds over itself
        where the hull turns sharply.
    """
    full = marks_table(lineoff, stations)
    bare = _scaled(full, model.scale)
    if model.distance == 0.0:
        return HalfModelMarks(model, bare, bare, _less(bare, bare), 0.0, (_about(model),))
    hull, seams = lineoff.hull, lineoff.seams[1:]
    rows = [row for row in full.rows if row.position is not None]
    x = hull.frame.to_ship_station(np.array([row.position for row in rows], float))
    girths, error = np.empty((0, len(seams) + 1)), 0.0
    if len(x):
        curves = [[part.curve for part in seam.parts] for seam in seams]
        girths, error = carried_girths(hull, x, curves, model.distance)
    marked = [_end_row(hull, seams, full.rows[0], model.distance, True)]
    marked += [_row(row, girth) for row, girth in zip(rows, girths)]
    marked.append(_end_row(hull, seams, full.rows[-1], model.distance, False))
    table = _scaled(MarksTable(full.seams, tuple(marked)), model.scale)
    allowance = _less(table, bare)
    notes = [_about(model)]
    if np.any(np.isfinite(allowance)):
        k, c = np.unravel_index(np.nanargmax(np.abs(allowance)), allowance.shape)
        name = (*table.seams, "the rabbet")[c]
        row = table.rows[k]
        where = f"station {row.name}" if row.position is not None else f"the {row.name.lower()}"
        notes.append(f"The skin makes {allowance[k, c]:+.2f} mm at most, to {name} at {where}.")
    return HalfModelMarks(model, table, bare, allowance, error / model.scale, tuple(notes))


# --- helpers ------------------------------------------------------------------------------
def _row(row, girths):
    values = [None if np.isnan(g) else float(g) for g in girths]
    return MarkRow(row.name, row.position, tuple(values[:-1]), values[-1], row.divided, row.begins)


def _end_row(hull, seams, row, distance, fore):
    """Marks along the stem or the stern: lengths of the edge, carried out."""
    total = float(carried_length(hull.boundary, [hull.boundary.length], distance)[0])
    edge = hull.s_stem_end if fore else hull.s_stern_start
    s = [edge] + [seam.parts[0].s_fore if fore else seam.parts[-1].s_aft for seam in seams]
    girth = carried_length(hull.boundary, np.array(s, float), distance)
    girth = girth if fore else total - girth
    readings = tuple(None if r is None else float(g) for r, g in zip(row.readings, girth[1:]))
    return MarkRow(row.name, None, readings, float(girth[0]), row.divided, row.begins)


def _scaled(table, scale):
    def small(value: Optional[float]):
        return None if value is None else value / scale

    rows = (
        MarkRow(r.name, small(r.position), tuple(map(small, r.readings)), small(r.rabbet), r.divided, r.begins)
        for r in table.rows
    )
    return MarksTable(table.seams, tuple(rows))


def _less(a, b):
    def values(table):
        return np.array(
            [[np.nan if v is None else v for v in (*r.readings, r.rabbet)] for r in table.rows], float
        ).reshape(len(table.rows), -1)

    return values(a) - values(b)


def _about(model):
    text = f"Half model at 1 : {model.scale:g}"
    if model.skin == 0.0:
        return text + ", ticked on the moulded surface."
    where = "on a skin" if model.side == "outside" else "on the body under a skin"
    return (
        f"{text}, ticked {where} of {model.skin:g} mm: {abs(model.distance):g} mm {model.side} the moulded surface, full size."
    )
