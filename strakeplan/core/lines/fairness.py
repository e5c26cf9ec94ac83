# SPDX-License-Identifier: LGPL-2.1-or-later
"""How a batten bends along its length, how it bears on its marks, and which mark is unfair."""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.polynomial import legendre

__all__ = ["Bearing", "EdgewiseBending", "dropped", "edgewise_bending", "outlying"]

_SAVES = 0.5  # share of the bending that one unfair mark alone gives rise to
_CLEARLY = 1.5  # times as much bending is left if any other mark is left out instead
SEEN = 1.0  # mm: a departure that an eye along the batten sees. Common practice, no source


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


def outlying(bending, slope, second, spare, seen):
    """Marks that depart from the fair line of the others.

    The bending is nearly quadratic in where the marks are. A mark stands out if leaving it
    out saves more than half of the bending, and clearly more than leaving out any other;
    marks are left out one after another as long as one of the rest stands out so.

    Parameters
    ----------
    bending : float
    slope : (m,)
    second : (m, m)
        The bending and its derivatives as the marks move across the line.
    spare : int
        Conditions beyond two: marks and held ends less two.
    seen : (m,) mm
        A mark whose loss moves the line by less is never one.

    Returns
    -------
    list of int
    """
    out, before = [], bending
    # with one spare condition only, leaving out any mark would take away all the bending
    while spare - len(out) >= 2:
        tries = []
        for k in np.flatnonzero(np.diag(second) > 0.0):
            if k not in out:
                rows = [*out, k]
                move = np.linalg.lstsq(second[np.ix_(rows, rows)], -slope[rows], rcond=None)[0]
                tries.append((bending + 0.5 * float(slope[rows] @ move), int(k), float(move[-1])))
        if len(tries) < 2:
            break
        (after, k, move), other = sorted(tries)[:2]
        fair = after > _SAVES * before or other[0] < _CLEARLY * after
        if fair or abs(move) <= seen[k]:
            break
        out.append(k)
        before = max(after, 0.0)
    return out


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
