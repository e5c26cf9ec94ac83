# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a rule and a straight plank find on each plank: widths and edge set."""

from dataclasses import dataclass
from typing import Optional

import numpy as np

from ..curve import SurfaceCurve, curve_through
from ..develop import edge_set
from .across import square_across

__all__ = ["PlankMeasure", "measure_planks", "middle_lines"]

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
        lower one, or the plank takes over from one that ends in a nib. The edge set is
        measured along the same line.
    bow, greatest, stern : float
        Widths square to the middle line, mm, at the fore end, at the widest place, and at
        the aft end; 0 where the end runs out to a point.
    bow_girth, stern_girth : float
        Widths at the hood ends along the stem and the stern edge, mm; at a nib its depth; 0
        for a point.
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
    fore_kind, aft_kind : 'hood', 'nib' or 'point'
        How its ends are.
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
    fore_kind: str = "hood"
    aft_kind: str = "hood"


def middle_lines(outline):
    """The plank's middle line over every stretch with an edge above and one below.

    Such a stretch ends where the rabbet takes over, and at the nib of the strake below. Where
    no lower edge is a seam (a garboard) the middle runs between the upper edge and the
    rabbet. Pointed ends beyond the lower seam are left out.

    Returns
    -------
    tuple of (middle, upper, lower), SurfaceCurve each, from fore aft
    """
    pieces = [p for p in outline.lower if p.kind == "seam" or p.middle is not None]
    pieces = pieces or [max(outline.lower, key=lambda p: p.curve.length)]
    return tuple(_middle(outline, piece) for piece in pieces)


def _middle(outline, piece):
    upper, lower = outline.upper.curve, piece.curve
    first, last = piece is outline.lower[0], piece is outline.lower[-1]
    beyond = piece.kind == "seam"  # past its end the plank runs on to a point
    a, b = 0.0, upper.length
    if not first or (beyond and outline.fore is None):
        a = _opposite(upper, lower.at([0.0]))
    if not last or (beyond and outline.aft is None):
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
    middles = middle_lines(outline)
    places = [middle.sample(max(5, int(np.ceil(middle.length / _SPACING)) + 1)) for middle, _, _ in middles]
    ends = [_end_width(outline.fore, places[0], 0), _end_width(outline.aft, places[-1], -1)]
    # square cuts near slanting ends miss one edge: the hood ends themselves count there
    all_widths, all_at = [ends], [[places[0].p[0, 0], places[-1].p[-1, 0]]]
    for (_, upper, lower), c in zip(middles, places):
        width = _widths(upper, lower, c)
        found = np.isfinite(width)
        all_widths.append(width[found])
        all_at.append(c.p[found, 0])
    all_widths, all_at = np.concatenate(all_widths), np.concatenate(all_at)
    k = int(np.argmax(all_widths))
    whole = len(outline.lower) == 1 and (outline.lower[0].kind == "seam" or outline.fore or outline.aft)
    along = middles[0][0] if whole else outline.upper.curve
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
        sprung, float(station(along.points([where])[0, 0])), float(span), outline.fore_kind, outline.aft_kind,
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
