# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a rule and a straight plank find on each plank: widths and edge set."""

from dataclasses import dataclass
from typing import Optional

import numpy as np

from ..develop import edge_sets, laid_flat
from ..strakes.samples import edge_samples, strake_samples

__all__ = ["PlankMeasure", "measure_planks"]

_SPACING = 25.0  # mm: seams have corners of curvature at knot lines, over which wider steps would skip


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
    longest = max(seam.length for seam in lineoff.seams)
    strakes = strake_samples(lineoff, max(16, int(np.ceil(longest / _SPACING)) + 1), girths=False)
    runs, n = strakes.runs, strakes.s.shape[1]
    upper = np.unique(runs.upper)
    s, point, c = edge_samples(lineoff.hull.patch, runs.table, upper, n)
    middles = strakes.s, strakes.edgewise, strakes.x
    edges = s, c.kappa_g.reshape(s.shape), point[..., 0]
    sets = [(edge_sets(laid_flat(*lines[:2]), plank_length), *lines) for lines in (middles, edges)]
    station = lineoff.hull.frame.to_model_station
    outlines = [(strake, outline) for strake in lineoff.strakes for outline in strake.planks]
    out = []
    for plank, (strake, outline) in enumerate(outlines):
        rows = np.flatnonzero(runs.plank == plank)
        whole = len(outline.lower) == 1 and (
            outline.lower[0].kind == "seam" or outline.fore is not None or outline.aft is not None
        )
        edge = int(np.searchsorted(upper, runs.upper[rows[0]]))
        (found, s, _, x), row = (sets[0], rows[0]) if whole else (sets[1], edge)
        ends = [_end_width(end, strakes, rows[k], k) for k, end in ((0, outline.fore), (-1, outline.aft))]
        width = strakes.width[rows]
        k, at = np.unravel_index(np.argmax(width), width.shape)
        top = point[edge, [0, -1], 0]
        out.append(
            PlankMeasure(
                strake.number, outline.part, strake.rule, float(s[row, -1]), ends[0], float(width[k, at]), ends[1],
                0.0 if outline.fore is None else outline.fore.length,
                0.0 if outline.aft is None else outline.aft.length,
                float(station(strakes.x[rows[k], at])),
                float(station(top[0])) if outline.fore is None else None,
                float(station(top[1])) if outline.aft is None else None,
                float(found.most[row]), float(station(np.interp(found.at[row], s[row], x[row]))),
                float(found.window[row]), outline.fore_kind, outline.aft_kind,
            )
        )  # fmt: skip
    return tuple(out)


def _end_width(end, strakes, row, k):
    """Width of a plank's first (k = 0) or last (-1) end square to its middle line, mm."""
    if end is None:
        return 0.0
    girth = (strakes.bow_girth, strakes.stern_girth)[k][row]
    if girth > 0.0:
        return float(strakes.width[row, k])
    # the rabbet takes over before the run reaches the end
    p, near = end.points([0.0, end.length]), strakes.point[row, [0, 1, 2] if k == 0 else [-1, -2, -3]]
    t = np.array([-1.5, 2.0, -0.5]) @ near  # along the middle line, from three places
    d, t = p[1] - p[0], t / np.linalg.norm(t)
    return float(np.linalg.norm(d - (d @ t) * t))
