# SPDX-License-Identifier: LGPL-2.1-or-later
"""How a batten bends along its length, how it bears on its marks, and which mark is unfair."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre

__all__ = ["Bearing", "EdgewiseBending", "dropped", "edgewise_bending", "outlying"]

_FAIRER = 0.25  # share of the unfairness that may stay when an unfair mark is left out
_CLEARLY = 2.0  # times as much would stay if any other mark were left out instead
SEEN = 2.0  # mm: a departure that an eye along the batten sees. Common practice, no source


class EdgewiseBending(NamedTuple):
    """Edgewise bending along a curve: arc length (mm), kappa_g (1/mm), its rate (1/mm^2)."""

    s: np.ndarray
    kappa_g: np.ndarray
    rate: np.ndarray


@dataclass(frozen=True)
class Bearing:
    """How a batten bears on one mark.

    Attributes
    ----------
    label : str
    s : float
        Where along the line, mm from the bow.
    pull : float
        Jump of kappa_g' at the mark, 1/mm^2: the force that holds the batten there, divided
        by its E I; positive where the mark pushes it towards the keel.
    offset : float
        How far the line passes from the mark, mm, positive on the keel's side of it.
    moves : float
        How far the line would move here if the mark were left out, mm, positive towards the
        keel.
    unfair : bool
        Whether the mark stands out of the fair line of the others.
    """

    label: str
    s: float
    pull: float
    offset: float
    moves: float
    unfair: bool


def edgewise_bending(curve, per_piece=8):
    """Edgewise bending along a curve.

    Parameters
    ----------
    curve : SurfaceCurve
    per_piece : int
        Places looked at in every piece of the curve. At marks the rate jumps; no place lies
        on a piece's end.

    Returns
    -------
    EdgewiseBending, arrays of (pieces x per_piece,)
    """
    x, _ = legendre.leggauss(per_piece)
    c = curve.at_local(np.repeat(np.arange(curve.pieces), per_piece), np.tile(x, curve.pieces))
    s = c.s.reshape(curve.pieces, per_piece)
    kappa = c.kappa_g.reshape(s.shape)
    half = 0.5 * curve.piece_lengths[:, None]
    z = (s - curve.s_breaks[:-1, None]) / half - 1.0
    coef = np.linalg.solve(legendre.legvander(z, per_piece - 1), kappa[..., None])[..., 0]
    slope = legendre.legder(coef.T)[..., None]
    rate = np.array([legendre.legval(row, slope[:, k, 0]) for k, row in enumerate(z)]) / half
    return EdgewiseBending(c.s, c.kappa_g, rate.ravel())


def outlying(slope, second, spare, seen):
    """Marks that stand out of the fair line of the others.

    What leaving out one mark saves of the bending, summed over all marks, is large where they
    zigzag and small where they lie fair, however much the fair line bends. A mark stands out
    if most of that sum goes when it is left out, and much less when any other is. Two or more
    may hide one another; so marks are left out one after another, each time the one that
    leaves the least, and judged together.

    Parameters
    ----------
    slope : (m,)
    second : (m, m)
        Derivatives of the bending, nearly quadratic, as the marks move across the line.
    spare : int
        Conditions beyond the two that a straight batten can meet: marks and held ends less two.
    seen : (m,) mm
        A mark whose loss moves the line by less is none.

    Returns
    -------
    list of int
    """
    told, out = [], []
    before = float(np.sum(_savings(slope, second, [])[0]))
    while spare - len(out) >= 2 and len(out) - len(told) < max(1, spare // 3):
        alone, pairs = _savings(slope, second, out)
        left = np.sum(pairs, axis=1) - (len(slope) - len(out)) * alone
        left[out] = np.inf
        best, other = np.argsort(left)[:2]
        out.append(int(best))
        if left[best] < _FAIRER * before:
            move = np.linalg.lstsq(second[np.ix_(out, out)], -slope[out], rcond=None)[0]
            if left[other] < _CLEARLY * left[best] or np.any(np.abs(move) <= seen[out]):
                break
            told, before = list(out), float(left[best])
    return told


def _savings(slope, second, out):
    """Bending saved by leaving out each mark (m,), and each two (m, m), besides those in `out`."""
    if out:
        H = second[np.ix_(out, out)]
        gone = np.linalg.lstsq(H, np.column_stack([slope[out], second[out]]), rcond=None)[0]
        slope = slope - second[:, out] @ gone[:, 0]
        second = second - second[:, out] @ gone[:, 1:]
    d = np.diag(second)
    with np.errstate(divide="ignore", invalid="ignore"):
        alone = np.where(d > 0.0, 0.5 * slope**2 / d, 0.0)
        det = np.multiply.outer(d, d) - second**2
        both = 0.5 * (
            np.multiply.outer(slope**2, d) - 2.0 * second * np.multiply.outer(slope, slope)
            + np.multiply.outer(d, slope**2)
        ) / det  # fmt: skip
    either = np.maximum.outer(alone, alone)
    pairs = np.where(det > 1e-12 * np.multiply.outer(d, d), both, either)
    np.fill_diagonal(pairs, alone)
    alone[out] = 0.0
    pairs[out], pairs[:, out] = 0.0, 0.0
    return alone, pairs


def dropped(slope, second, firm):
    """Estimate of how far the line moves at each mark when that one is left out.

    Parameters
    ----------
    slope, second : derivatives of the bending
    firm : (m,) bool
        Marks that the line is held by: those inside their tolerances give way freely.

    Returns
    -------
    (m,) mm; 0 at marks that hold nothing
    """
    out = np.zeros(len(slope))
    a, f = np.flatnonzero(firm), np.flatnonzero(~firm)
    S = second[np.ix_(a, a)]
    if len(f) and len(a):
        across = second[np.ix_(f, a)]
        S = S - across.T @ np.linalg.lstsq(second[np.ix_(f, f)], across, rcond=None)[0]
    d = np.diag(S)
    with np.errstate(divide="ignore", invalid="ignore"):
        out[a] = np.where(d > 0.0, -slope[a] / d, np.nan)
    return out
