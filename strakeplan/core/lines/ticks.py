# SPDX-License-Identifier: LGPL-2.1-or-later
"""A batten near its marks: each may be missed by so much, measured square to the line.

Every mark is drawn out to a tick across the line: a geodesic square to it, or the stem or
stern edge for a mark there. The batten crosses every tick within the mark's tolerance, where
that makes it bend least.
"""

import numpy as np
from scipy.optimize import lsq_linear

from ..errors import PlanError
from .elastica import newton, settle
from .elements import at_marks, shifted
from .march import direction_uv, reach

__all__ = ["Ticks", "least_bending_within", "stiffness"]

_ROUNDS = 20
_LEAST_PART = 1.0 / 64.0  # of Newton's step
_STILL = 1e-9  # of the line's length
_NEAR = 1e-10  # share of the greatest stiffness that keeps a slack line where it is


class Ticks:
    """Lines drawn across the batten at its marks, by distance from the mark in mm.

    Parameters
    ----------
    patch : SplinePatch
    uv : (m, 2) marks
    across : (m, 3) directions n x t of the line through the marks
    edges : dict, optional
        Index of a mark on the boundary to (curve, arc length, sign): its tick is that curve.
    """

    def __init__(self, patch, uv, across, edges=None):
        self.patch, self.uv, self.edges = patch, uv, edges or {}
        self.across = across.copy()
        for k, (curve, s, sign) in self.edges.items():
            self.across[k] = sign * curve.at([s]).t[0]

    def at(self, offset):
        """Places (m, 2) and unit directions (m, 3) of the ticks at offsets (m,), mm."""
        uv, way = self.uv.copy(), self.across.copy()
        for k, (curve, s, sign) in self.edges.items():
            if offset[k] == 0.0:
                continue
            if not 0.0 <= s + sign * offset[k] <= curve.length:
                raise PlanError(
                    "a mark's tolerance reaches past the end of its edge",
                    f"mark {k + 1} of the batten", "give it a smaller tolerance",
                )  # fmt: skip
            c = curve.at([s + sign * offset[k]])
            uv[k], way[k] = c.uv[0], sign * c.t[0]
        rows = [k for k in np.flatnonzero(offset) if k not in self.edges]
        if rows:
            sign = np.sign(offset[rows])[:, None]
            uv[rows], _, t = reach(self.patch, self.uv[rows], sign * self.across[rows], np.abs(offset[rows]))
            way[rows] = sign * t
        return uv, way


def stiffness(batten, step, way):
    """Slope and second derivatives of the bending as marks move along their ticks.

    Parameters
    ----------
    batten, step : of the last Newton system
    way : (m, 3) unit directions of the ticks

    Returns
    -------
    (m,) and (m, m), 1/mm^2 and 1/mm^3

    Notes
    -----
    First variation: 2 kappa_g'' + kappa_g^3 + 2 K kappa_g vanishes between the marks, and what
    is left at each is twice the jump of kappa_g' times the move across.
    """
    across = np.einsum("ij,ij->i", at_marks(batten)[1], way)
    uv = np.vstack([batten.state[np.append(True, batten.last[:-1]), 0, :2], batten.state[-1, -1, :2]])
    moves = direction_uv(batten.patch.jets(uv[:, 0], uv[:, 1], 1), way)
    slope = 2.0 * batten.pulls() * across
    second = 2.0 * across[:, None] * step.pulls_by(moves)
    return slope, 0.5 * (second + second.T)


def least_bending_within(
    batten, step, ends, ticks, limit, offset, longest, degree, none=0.0, still=_STILL, rounds=_ROUNDS
):
    """Slide a batten along the ticks of its marks to where it bends least.

    Newton's method with bounds: the bounded quadratic is minimised by an active set, and the
    batten is settled again, until nothing moves. The bending's second derivatives in the offsets
    leave out how a tick that is an edge of the hull bends itself (a per cent or so): it costs a
    round, the least is the same.

    Parameters
    ----------
    batten, step, ends : settled at `offset`
    ticks : Ticks
    limit : (m,) greatest offset of every mark, mm; 0 is a mark met exactly, inf one left out
    offset : (m,) mm
    longest, degree : of the elements; no longest one: they stay as they are
    none : float
        Bending that counts as none, 1/mm: the line is straight, and one of many.
    still : float
        Share of the line's length: a move across that changes nothing.
    rounds : int
        How many steps may be taken.

    Returns
    -------
    Batten, step, Ends, offset (m,)

    Raises
    ------
    PlanError
        The batten does not settle.
    """
    free = np.flatnonzero(limit > 0.0)
    if not len(free):
        return batten, step, ends, offset
    done = still * float(batten.length.sum())
    weight = np.where(np.isinf(limit), 0.0, 1.0)
    near = slack = None
    for _ in range(rounds):
        if batten.bending() <= none:
            break
        uv, way = ticks.at(offset)
        slope, second = stiffness(batten, step, way)
        if near is None:
            # where many lines bend equally little, the nearest to the last one
            near = _NEAR * np.max(np.abs(np.diag(second)[free])) * weight
            slack = 1e-12 * batten.bending()
        H = second[np.ix_(free, free)] + np.diag(near[free])
        change = np.zeros(len(offset))
        change[free] = _bounded(
            H, slope[free], (-limit - offset)[free], (limit - offset)[free]
        )
        size = float(np.max(np.abs(change)))
        part = 1.0
        was = batten.bending()
        while True:
            trial = np.clip(offset + part * change, -limit, limit)
            there = ticks.at(trial)[0]
            guess, held = shifted(batten, uv, there), _moved(ends, there)
            new, new_step = (
                settle(guess, held, longest, degree) if longest else newton(guess, held)
            )
            if new is not None and (new.bending() <= was + slack or size * part < done):
                break
            part *= 0.5
            if part < _LEAST_PART:
                raise _unsettled()
        batten, step, ends, offset = new, new_step, held, trial
        if part == 1.0 and size < done:
            break
    else:
        raise _unsettled()
    return batten, step, ends, offset


def _unsettled():
    return PlanError(
        "the batten does not settle within the tolerances of its marks", "",
        "give smaller tolerances, or leave out the marks that lie off the line",
    )  # fmt: skip


def _moved(ends, marks):
    return type(ends)(marks, ends.corners, ends.head, ends.tail, ends.wall)


def _bounded(H, slope, low, high):
    """Least of slope x + x H x / 2 between bounds; where that is not convex, of a convex one."""
    values, vectors = np.linalg.eigh(H)
    root = np.sqrt(np.maximum(np.abs(values), _NEAR * np.max(np.abs(values))))
    scale = np.max(root)
    matrix = root[:, None] * vectors.T / scale
    target = -(vectors.T @ slope) / root / scale
    return lsq_linear(matrix, target, (low, high), method="bvls", tol=1e-14).x
