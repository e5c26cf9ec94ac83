# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a rule and a straight plank find on each plank: widths and edge set."""

from dataclasses import dataclass
from typing import Optional

import numpy as np

from ..curve import SurfaceCurve, curve_through
from ..develop import edge_set
from .across import square_across

__all__ = ["PlankMeasure", "measure_planks", "middle_line"]

_SPACING = 100.0  # mm between the places where widths are taken


@dataclass(frozen=True)
class PlankMeasure:
    """Figures of one plank.

    Attributes
    ----------
    strake, part : int
    rule : str
    length : float
        mm, along the middle line; along the upper edge where the rabbet takes part of the
        lower one. The edge set is measured along the same line.
    bow, greatest, stern : float
        Widths square to the middle line, mm, at the fore end, at the widest place, and at
        the aft end; 0 where the end runs out to a point.
    bow_girth, stern_girth : float
        Widths at the hood ends along the stem and the stern edge, mm; 0 for a point.
    greatest_at : float
        Model coordinate along the ship of the greatest width, mm.
    fore_point, aft_point : float or None
        Model coordinate along the ship where the plank runs out to nothing.
    edge_set : float
        mm, of a straight plank as long as asked for; see `core.develop.edge_set`.
    edge_set_at : float
        Model coordinate along the ship, mm.
    edge_set_length : float
        Length of plank it holds for, mm: shorter where the plank itself is.
    """

    strake: int
    part: int
    rule: str
    length: float
    bow: float
    greatest: float
    stern: float
    bow_girth: float
    stern_girth: float
    greatest_at: float
    fore_point: Optional[float]
    aft_point: Optional[float]
    edge_set: float
    edge_set_at: float
    edge_set_length: float


def middle_line(outline):
    """The plank's middle line over the stretch where both edges are seams.

    Where no lower edge is a seam (a garboard) the middle runs between the upper edge and
    the rabbet. Pointed ends beyond the lower seam are left out.

    Returns
    -------
    middle, upper, lower : SurfaceCurve
    """
    upper = outline.upper.curve
    seams = [piece.curve for piece in outline.lower if piece.kind == "seam"]
    pieces = seams or [piece.curve for piece in outline.lower]
    lower = max(pieces, key=lambda c: c.length)
    a = _opposite(upper, lower.at([0.0])) if outline.fore is None and seams else 0.0
    b = _opposite(upper, lower.at([lower.length])) if outline.aft is None and seams else upper.length
    if len(outline.lower) > 1:  # the rabbet takes part of the lower edge before or after
        if outline.lower[0].curve is not lower:
            a = _opposite(upper, lower.at([0.0]))
        if outline.lower[-1].curve is not lower:
            b = _opposite(upper, lower.at([lower.length]))

    def uv_of(share):
        top = upper.at(a + share * (b - a)).uv
        return 0.5 * (top + lower.at(share * lower.length).uv)

    n = max(4, int(np.ceil((b - a) / 400.0)))
    middle = curve_through(upper.patch, uv_of, np.linspace(0.0, 1.0, n + 1))
    return middle, upper, lower


def _opposite(upper, place):
    which, s = square_across([upper], place.p, place.t)
    if which[0] >= 0:
        return float(s[0])
    near = np.linspace(0.0, upper.length, 800)
    return float(near[np.argmin(np.linalg.norm(upper.points(near) - place.p, axis=1))])


def measure_planks(lineoff, plank_length):
    """Measure all planks of a line-off.

    Parameters
    ----------
    lineoff : LineOff
    plank_length : float
        Length of the straight planks to be sprung, mm.

    Returns
    -------
    tuple of PlankMeasure, from the sheer down
    """
    out = []
    for strake in lineoff.strakes:
        for outline in strake.planks:
            out.append(_measure(lineoff.hull, strake, outline, plank_length))
    return tuple(out)


def _measure(hull, strake, outline, plank_length):
    middle, upper, lower = middle_line(outline)
    n = max(5, int(np.ceil(middle.length / _SPACING)) + 1)
    c = middle.sample(n)
    width = _widths(upper, lower, c)
    ends = [_end_width(outline.fore, c, 0), _end_width(outline.aft, c, -1)]
    # square cuts near slanting ends miss one edge: the hood ends themselves count there
    at = c.p[:, 0]
    whole = np.isfinite(width)
    all_widths = np.concatenate([width[whole], ends])
    all_at = np.concatenate([at[whole], at[[0, -1]]])
    k = int(np.argmax(all_widths))
    whole = len(outline.lower) == 1 and (outline.lower[0].kind == "seam" or outline.fore or outline.aft)
    along = middle if whole else outline.upper.curve
    span = min(plank_length, along.length)
    sprung, where = edge_set(along, plank_length)
    station = hull.frame.to_model_station
    top = outline.upper.curve.at([0.0, outline.upper.curve.length]).p[:, 0]
    return PlankMeasure(
        strake.number, outline.part, strake.rule, along.length,
        ends[0], float(all_widths[k]), ends[1],
        0.0 if outline.fore is None else outline.fore.length,
        0.0 if outline.aft is None else outline.aft.length,
        float(station(all_at[k])),
        float(station(top[0])) if outline.fore is None else None,
        float(station(top[1])) if outline.aft is None else None,
        sprung, float(station(along.points([where])[0, 0])), float(span),
    )  # fmt: skip


def _widths(upper, lower, c):
    """Widths (n,) on the surface square to the middle line; nan where an edge is missed."""
    feet = []
    for edge in (upper, lower):
        which, s = square_across([edge], c.p, c.t)
        uv = edge.at(s).uv
        uv[which < 0] = np.nan
        feet.append(uv)
    whole = np.isfinite(feet[0][:, 0]) & np.isfinite(feet[1][:, 0])
    out = np.full(len(c.p), np.nan)
    if whole.any():
        across = np.stack([feet[0][whole], feet[1][whole]], axis=1)
        out[whole] = SurfaceCurve(upper.patch, across).piece_lengths
    return out


def _end_width(end, c, index):
    """Width of a hood end square to the middle line, mm."""
    if end is None:
        return 0.0
    p = end.points([0.0, end.length])
    d = p[1] - p[0]
    d = d - (d @ c.t[index]) * c.t[index]
    return float(np.linalg.norm(d))
