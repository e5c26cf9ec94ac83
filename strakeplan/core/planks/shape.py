# SPDX-License-Identifier: LGPL-2.1-or-later
"""Plank shapes: every plank of one side as a closed set of spline faces."""

from dataclasses import dataclass
from functools import cached_property
from typing import Tuple

import numpy as np

from ..errors import PlanError
from ..recut import broken_lines
from .checks import check_layer
from .faces import Cell, Face, cell_faces
from .rails import rail_of
from .volume import enclosed_volume

__all__ = ["PlankShape", "mirrored", "plank_shapes"]

_DEVIATION = 0.005  # mm: faces nearer than this to the hull and its offset are good enough
_TOO_FAR = 0.1  # mm: such faces are no planks of this hull
_DENSITIES = (1, 2)
_LEAST_SHARE = 1e-3  # of the upper edge's length: shortest stretch
_MOST_ROWS = 32  # a turn of circular arcs across a plank wants many, a fair one a single row


@dataclass(frozen=True, eq=False)
class PlankShape:
    """One plank as a closed set of faces, in model coordinates.

    Attributes
    ----------
    side : 'port' or 'starboard'
    strake : int
        Counted from the sheer down.
    part : int
        1, 2, ... from the bow where the rabbet cuts the strake; 0 otherwise.
    faces : tuple of Face
    deviation : float
        Greatest distance of the two broad faces from the hull and its offset, mm, sampled.
    """

    side: str
    strake: int
    part: int
    faces: Tuple[Face, ...]
    deviation: float

    @property
    def name(self):
        """'Port strake 07' or 'Port strake 07 part 2'."""
        part = f" part {self.part}" if self.part else ""
        return f"{self.side.capitalize()} strake {self.strake:02d}{part}"

    @cached_property
    def volume(self):
        """mm^3."""
        return enclosed_volume([face.patch for face in self.faces])


def plank_shapes(lineoff, thickness, layer="outside"):
    """Shapes of all planks of the modelled side.

    Parameters
    ----------
    lineoff : LineOff
    thickness : float
        mm, square to the hull.
    layer : 'outside' or 'inside'
        On which side of the modelled surface the planking lies.

    Returns
    -------
    list of PlankShape, from the sheer down

    Raises
    ------
    PlanError
        A thickness that the surface's curvature does not allow, planks that would run into
        those of the other side, or faces that cannot follow the hull.
    """
    hull = lineoff.hull
    offset = check_layer(hull, thickness, layer)
    rails = {}

    def rail(curve, density):
        key = (id(curve), density)
        if key not in rails:
            rails[key] = rail_of(curve, offset, density)
        return rails[key]

    # both neighbours of a seam must use the same rail: density is one for all planks
    for density in _DENSITIES:
        raw = []
        for strake in lineoff.strakes:
            for outline in strake.planks:
                cells = _cells(outline, lambda c: rail(c, density))
                faces, deviation = _finished(hull.patch, cells, offset)
                raw.append((strake.number, outline.part, faces, deviation))
        number, part, _, worst = max(raw, key=lambda one: one[3])
        if worst <= _DEVIATION:
            break
    if worst > _TOO_FAR:
        raise PlanError(
            f"{hull.name}: the faces of strake {number} stray {worst:.2f} mm from the hull",
            f"{hull.frame.side} side" + (f", part {part}" if part else ""),
            "look for a fold or a sharp turn of the surface there",
        )
    return [
        PlankShape(
            hull.frame.side, number, part,
            tuple(Face(f.role, _to_model(hull.frame, f.patch)) for f in faces), deviation,
        )
        for number, part, faces, deviation in raw
    ]  # fmt: skip


def _finished(patch, cells, offset):
    """Faces of a plank with as many rows from edge to edge as it needs, and their deviation."""
    best = None
    rows = 1
    # across a joint of arcs the deviation falls unevenly; elsewhere no gain means that it is
    # the length that wants more knots
    patient = any(broken_lines(patch))
    while rows <= _MOST_ROWS:
        made = [cell_faces(patch, cell, offset, rows) for cell in cells]
        deviation = max(stray for _, stray in made)
        gained = best is None or deviation < 0.7 * best[1]
        if best is None or deviation < best[1]:
            best = [face for some, _ in made for face in some], deviation
        if best[1] <= _DEVIATION or not (gained or patient):
            break
        rows *= 2
    return best


def mirrored(hull, shape):
    """The same plank on the ship's other side."""
    matrix, offset = hull.frame.mirror
    faces = tuple(Face(f.role, f.patch.transformed(matrix, offset).swapped()) for f in shape.faces)
    return PlankShape(hull.frame.other_side, shape.strake, shape.part, faces, shape.deviation)


def _to_model(frame, patch):
    """A face in model coordinates, its normal still out of the wood."""
    matrix = frame.matrix.T
    moved = patch.transformed(matrix, -(matrix @ frame.offset))
    return moved.swapped() if np.linalg.det(matrix) < 0.0 else moved


def _cells(outline, rail):
    """Four-sided stretches of a plank, from fore aft."""
    upper = rail(outline.upper.curve)
    count = len(outline.lower)
    # where along the upper edge each corner of the lower edge stands opposite
    shares = [0.0]
    for before, piece in zip(outline.lower, outline.lower[1:]):
        # at an after nib the plank's corner is where the ended seam stops, not the nib's foot
        corner = before.curve.at([before.curve.length]) if piece.nib_end == "fore" else piece.curve.at([0.0])
        shares.append(_share_opposite(upper.curve, corner.p[0]))
    shares.append(1.0)
    # a corner beyond the upper edge's end still leaves every stretch a length
    for k in range(1, count):
        shares[k] = min(max(shares[k], shares[k - 1] + _LEAST_SHARE), 1.0 - (count - k) * _LEAST_SHARE)
    cells = []
    for k, piece in enumerate(outline.lower):
        first, last = k == 0, k == count - 1
        above = (upper, shares[k], shares[k + 1])
        below = (rail(piece.along), piece.a, piece.b)
        if piece.middle is None:
            cells.append(
                Cell(above, below, outline.fore if first else None, outline.aft if last else None, first, last)
            )
        else:
            cells += _joined_cells(outline, above, below, piece, rail(piece.middle), first, last)
    return cells


def _joined_cells(outline, above, below, piece, middle, first, last):
    """The two halves, across, of a stretch taken over from the strake below."""
    middle = (middle, 0.0, 1.0)
    fore_high, fore_low = outline.fore_parts if first else (None, None)
    aft_high, aft_low = outline.aft_parts if last else (None, None)
    high = Cell(above, middle, fore_high, aft_high, first, last, closed_lower=False)
    if piece.nib_end == "aft":
        low = Cell(middle, below, fore_low, piece.nib, True, True, closed_upper=False)
    else:
        low = Cell(middle, below, piece.nib, aft_low, True, True, closed_upper=False)
    return [high, low]


def _share_opposite(curve, p):
    """Share of a curve's length at its point nearest to p."""
    s = np.linspace(0.0, curve.length, 801)
    k = int(np.argmin(np.linalg.norm(curve.points(s) - p, axis=1)))
    at = s[k]
    for _ in range(8):  # Newton on the foot of the perpendicular, flat approximation
        c = curve.at([at])
        at = float(np.clip(at + (p - c.p[0]) @ c.t[0], 0.0, curve.length))
    return at / curve.length
