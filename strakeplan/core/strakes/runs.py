# SPDX-License-Identifier: LGPL-2.1-or-later
"""Which two edges a run of planking lies between, and how far."""

from dataclasses import dataclass

import numpy as np

from ..curvetable import curve_table

__all__ = ["PlankRuns", "plank_runs", "square_meeting"]

_STEPS = 8  # of Newton's method; two or three are needed
_CLOSE = 3e-5  # of an edge's length: a step whose square, times the edge's curvature, is nothing


@dataclass(frozen=True, eq=False)
class PlankRuns:
    """Runs of planking, m of them, from the sheer down and from fore aft.

    Attributes
    ----------
    number, part : (m,) int
        Strake from the sheer, 1 ..; 0, or 1, 2, .. where a strake falls into parts.
    plank : (m,) int
        The plank that every run is part of, counted through from the sheer down.
    rule : tuple of str
    table : CurveTable
        All edges and seams.
    seams : (k,) int
        Every part of every seam in the table, from the sheer down and from fore aft.
    upper, lower : (m,) int
        Edges of every run in the table.
    fore, aft : (m,) arc lengths on the upper edge between which both edges exist, mm.
        The lower edge counts from end to end.
    whole : (m,) bool
        The run is the whole plank, from end to end.
    bow_girth, stern_girth : (m,)
        Widths along the stem or stern edge, or a nib, that the run ends on, mm; 0 where the
        plank comes to a point or goes on.
    bow_nib, stern_nib : (m,) bool
        It is a nib.
    """

    number: np.ndarray
    part: np.ndarray
    plank: np.ndarray
    rule: tuple
    table: object
    seams: np.ndarray
    upper: np.ndarray
    lower: np.ndarray
    fore: np.ndarray
    aft: np.ndarray
    whole: np.ndarray
    bow_girth: np.ndarray
    stern_girth: np.ndarray
    bow_nib: np.ndarray
    stern_nib: np.ndarray


def plank_runs(lineoff):
    """The runs of planking of a line-off.

    A run is a plank over a stretch where both its edges are seams. Where the rabbet or a nib
    parts the lower edge there are several; a plank without a seam below (a garboard) runs
    between the seam above and the rabbet.

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

    seams = np.array([index(part.curve) for seam in lineoff.seams for part in seam.parts])
    rows, rule, planks = [], [], 0
    for strake in lineoff.strakes:
        found = [
            (planks + k, outline, piece) for k, outline in enumerate(strake.planks) for piece in _stretches(outline)
        ]
        planks += len(strake.planks)
        for part, (plank, outline, piece) in enumerate(found, 1):
            # the ends of the plank are those of its first and last stretch
            first, last = outline.lower[0] is piece, outline.lower[-1] is piece
            pointed = piece.kind == "seam"  # beyond its end the plank runs on to a point
            rows.append(
                (
                    strake.number, part if len(found) > 1 else 0, plank,
                    index(outline.upper.curve), index(piece.curve),
                    outline.fore.length if first and outline.fore is not None else 0.0,
                    outline.aft.length if last and outline.aft is not None else 0.0,
                    not first or (pointed and outline.fore is None),
                    not last or (pointed and outline.aft is None),
                    first and outline.fore_kind == "nib", last and outline.aft_kind == "nib",
                )
            )  # fmt: skip
            rule.append(strake.rule)
    number, part, plank, upper, lower, bow, stern, open_fore, open_aft, bow_nib, stern_nib = (np.array(a) for a in zip(*rows))
    table = curve_table(lineoff.hull.patch, curves)
    fore, aft = np.zeros(len(rows)), table.length[upper].copy()
    for open_end, at, end in ((open_fore, fore, 0.0), (open_aft, aft, 1.0)):
        k = np.flatnonzero(open_end)
        if not len(k):
            continue
        p, t = table.points(lower[k], end * table.length[lower[k]])
        # the place on the upper edge nearest among its nodes starts the search
        at[k] = _near(table, upper[k], p)
        at[k] = np.clip(square_meeting(table, upper[k], at[k], p, t)[0], 0.0, table.length[upper[k]])
    return PlankRuns(
        number, part, plank, tuple(rule), table, seams, upper, lower, fore, aft, ~(open_fore | open_aft), bow, stern,
        bow_nib, stern_nib,
    )  # fmt: skip


def _stretches(outline):
    """Stretches of a plank's lower edge that are edges of a run, from fore aft."""
    found = [piece for piece in outline.lower if piece.kind == "seam" or piece.middle is not None]
    return found or list(outline.lower)


def _near(table, curves, p):
    """Arc length of the interval's start nearest to a point, on each curve (n,)."""
    out = np.empty(len(curves))
    for row, (k, point) in enumerate(zip(curves, p)):
        own = slice(table.first[k], table.first[k + 1])
        d = table.coefficients[0, 2:, own].T - point
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
    close = _CLOSE * np.max(table.length)
    p, t = (np.ascontiguousarray(np.moveaxis(np.broadcast_to(a, (*p.shape[:-1], 3)), -1, 0)) for a in (p, t))
    if p.ndim == s.ndim:
        p, t = p[:, None], t[:, None]
    s, q, step = _newton_step(table, k, s, p, t, most)
    far = np.flatnonzero(np.abs(step) >= close)
    if not len(far):
        return s, np.moveaxis(q, 0, -1)
    # most have arrived after a second step; the few that have not are gone on with by themselves
    s, q, step = _newton_step(table, k, s, p, t, most)
    far = np.flatnonzero(np.abs(step) >= close)
    if len(far):
        flat, places = s.ravel(), q.reshape(3, -1)
        k, most = (np.broadcast_to(a, s.shape).ravel() for a in (k, most))
        p, t = (np.broadcast_to(a, (3, *s.shape)).reshape(3, -1) for a in (p, t))
        for _ in range(_STEPS - 2):
            own, q_far, step = _newton_step(table, k[far], flat[far], p[:, far], t[:, far], most[far])
            flat[far], places[:, far] = own, q_far
            far = far[np.abs(step) >= close]
            if not len(far):
                break
        s, q = flat.reshape(s.shape), places.reshape(q.shape)
    return s, np.moveaxis(q, 0, -1)


def _newton_step(table, k, s, p, t, most):
    """Arc lengths after a step, places there to first order (3, ...), and the steps."""
    q, d = table.rows(k, s)
    f = np.einsum("i...,i...->...", q - p, np.broadcast_to(t, q.shape))
    slope = np.einsum("i...,i...->...", d, np.broadcast_to(t, q.shape))
    # an edge that lies along the plane has no meeting near: held by the greatest step
    step = f / np.where(np.abs(slope) < 1e-3, 1e-3, slope)
    step = np.minimum(np.maximum(step, -most), most)
    return s - step, q - step * d, step
