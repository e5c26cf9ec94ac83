# SPDX-License-Identifier: LGPL-2.1-or-later
"""Which two edges a run of planking lies between, and how far."""

from dataclasses import dataclass

import numpy as np

from .table import curve_table

__all__ = ["PlankRuns", "plank_runs", "square_meeting"]

_STEPS = 8  # of Newton's method; two or three are needed
_DONE = 1e-9  # of an edge's length


@dataclass(frozen=True, eq=False)
class PlankRuns:
    """Runs of planking, m of them, from the sheer down and from fore aft.

    Attributes
    ----------
    number, part : (m,) int
        Strake from the sheer, 1 ..; 0, or 1, 2, .. where a strake falls into parts.
    rule : tuple of str
    table : CurveTable
        All edges.
    upper, lower : (m,) int
        Edges of every run in the table.
    fore, aft : (m,) arc lengths on the upper edge between which both edges exist, mm.
        The lower edge counts from end to end.
    whole : (m,) bool
        The run is the whole plank: the rabbet takes no part of its lower edge before or after.
    bow_girth, stern_girth : (m,) widths at the hood ends along the stem or stern edge, mm; 0 for
        a point.
    """

    number: np.ndarray
    part: np.ndarray
    rule: tuple
    table: object
    upper: np.ndarray
    lower: np.ndarray
    fore: np.ndarray
    aft: np.ndarray
    whole: np.ndarray
    bow_girth: np.ndarray
    stern_girth: np.ndarray


def plank_runs(lineoff):
    """The runs of planking of a line-off.

    A run is a plank over the stretch where both its edges are seams; a plank without a
    seam below (a garboard) runs between the seam above and the rabbet.

    Parameters
    ----------
    lineoff : LineOff

    Returns
    -------
    PlankRuns
    """
    curves, known = [], {}

    def index(curve):
        if id(curve) not in known:
            known[id(curve)] = len(curves)
            curves.append(curve)
        return known[id(curve)]

    rows, rule, open_fore, open_aft = [], [], [], []
    for strake in lineoff.strakes:
        for outline in strake.planks:
            seams = [piece for piece in outline.lower if piece.kind == "seam"]
            lower = max(seams or outline.lower, key=lambda piece: piece.curve.length)
            before = outline.lower[0] is not lower or (seams and outline.fore is None)
            after = outline.lower[-1] is not lower or (seams and outline.aft is None)
            complete = len(outline.lower) == 1 and (
                outline.lower[0].kind == "seam" or outline.fore is not None or outline.aft is not None
            )
            rows.append(
                (
                    strake.number, outline.part, index(outline.upper.curve), index(lower.curve), complete,
                    0.0 if outline.fore is None else outline.fore.length,
                    0.0 if outline.aft is None else outline.aft.length,
                )
            )  # fmt: skip
            rule.append(strake.rule)
            open_fore.append(bool(before))
            open_aft.append(bool(after))
    number, part, upper, lower, whole, bow, stern = (np.array(a) for a in zip(*rows))
    table = curve_table(lineoff.hull.patch, curves)
    fore, aft = np.zeros(len(rows)), table.length[upper].copy()
    for which, at, end in ((open_fore, fore, 0.0), (open_aft, aft, 1.0)):
        k = np.flatnonzero(which)
        if not len(k):
            continue
        p, t = table.points(lower[k], end * table.length[lower[k]])
        # the place on the upper edge nearest among its nodes starts the search
        at[k] = _near(table, upper[k], p)
        at[k] = np.clip(square_meeting(table, upper[k], at[k], p, t)[0], 0.0, table.length[upper[k]])
    return PlankRuns(
        number, part, tuple(rule), table, upper, lower, fore, aft, whole, bow, stern
    )


def _near(table, curves, p):
    """Arc length of the interval's start nearest to a point, on each curve (n,)."""
    out = np.empty(len(curves))
    for row, (k, point) in enumerate(zip(curves, p)):
        own = slice(table.first[k], table.first[k + 1])
        d = table.coefficients[own, 0, 2:] - point
        best = int(np.argmin(np.einsum("ij,ij->i", d, d)))
        out[row] = table.start[own][best] - table.offset[k]
    return out


def square_meeting(table, k, s, p, t, most=np.inf):
    """Where planes through p, square to t, meet curves of a table (Newton's method).

    Parameters
    ----------
    table : CurveTable
    k : (...) int, which curve
    s : (...) arc lengths to begin with, mm
    p, t : (..., 3)
    most : float or (...) greatest step, mm

    Returns
    -------
    s : (...) arc lengths; beyond the ends on the curve's straight continuation
    q : (..., 3) the places
    """
    tolerance = _DONE * np.max(table.length)
    for turn in range(_STEPS):
        q, d = table.points(k, s)
        f = np.einsum("...i,...i->...", q - p, t)
        slope = np.einsum("...i,...i->...", d, t)
        # an edge that lies along the plane has no meeting near: held by the greatest step
        step = np.clip(f / np.where(np.abs(slope) < 1e-3, 1e-3, slope), -most, most)
        s = s - step
        if np.max(np.abs(step), initial=0.0) < 1e3 * tolerance:
            # the step left over is the square of the last: the straight on is as good
            q = q - step[..., None] * d
            if np.max(np.abs(step), initial=0.0) < tolerance or turn:
                break
    return s, q
