# SPDX-License-Identifier: LGPL-2.1-or-later
"""The width of straight board that a strake can be got out of when it is spiled.

A spiled plank is cut to its developed shape: the middle line laid flat, and each edge half a
width square to it. The board must be as wide as that shape is between two parallel lines,
turned to the best advantage.
"""

from dataclasses import dataclass

import numpy as np

__all__ = ["Boards", "board_widths", "least_breadth"]

_WINDOWS = 13  # places along the strake from which a plank's board is tried
_PARTS = 16  # of a plank's length, at whose ends its edges are looked at
_TRIED = 3  # of those windows, the broadest at first sight
_STEPS = 16  # of the search; half as many are needed


@dataclass(frozen=True, eq=False)
class Boards:
    """Boards for m strakes, mm.

    Attributes
    ----------
    whole : (m,)
        Width of the board that would hold the whole strake in one length.
    plank : (m,)
        Greatest width of board over the planks of the length on hand, wherever they are butted.
    at : (m,)
        Arc length of that plank's middle.
    """

    whole: np.ndarray
    plank: np.ndarray
    at: np.ndarray


def board_widths(strakes, flat, plank_length):
    """Width of the boards that strakes, and planks of them, are spiled from.

    Parameters
    ----------
    strakes : StrakeSamples
    flat : LaidFlat
        Their middle lines.
    plank_length : float or (m,)
        mm.

    Returns
    -------
    Boards
        Planks are tried from 13 places along the strake; on wavy strakes of 13 m the widest
        board was found within 1 %.
    """
    s, w = flat.s, strakes.width
    normal = 1j * np.exp(1j * flat.turn)
    edges = np.concatenate([flat.z + 0.5 * w * normal, flat.z - 0.5 * w * normal], axis=1)
    whole = least_breadth(edges)
    window = np.minimum(plank_length, s[:, -1])
    start = (s[:, -1] - window)[:, None] * np.linspace(0.0, 1.0, _WINDOWS)
    at = start[..., None] + window[:, None, None] * np.linspace(0.0, 1.0, _PARTS + 1)
    planks = _both_edges(s, edges, at)
    # the few that are broadest along their long axes are turned to the best advantage
    laid = _along(planks.reshape(-1, planks.shape[-1]))
    rough = (laid.imag.max(axis=1) - laid.imag.min(axis=1)).reshape(start.shape)
    few = np.argpartition(-rough, _TRIED - 1, axis=1)[:, :_TRIED]
    rows = np.arange(len(s))[:, None]
    breadth = least_breadth(planks[rows, few], within=1e-4)
    best = np.argmax(breadth, axis=1)
    k, rows = few[rows[:, 0], best], rows[:, 0]
    return Boards(whole, breadth[rows, best], start[rows, k] + 0.5 * window)


def _both_edges(s, edges, at):
    """Places on both edges between their samples, by the parabola through three of them."""
    m, n = s.shape
    x = at / s[:, 1][:, None, None]
    i = np.clip(np.rint(x).astype(np.intp), 1, n - 2)
    x = np.concatenate([x - i] * 2, axis=-1)
    i += 2 * n * np.arange(m)[:, None, None]
    i = np.concatenate([i, i + n], axis=-1)
    flat = edges.ravel()
    a, b, c = np.take(flat, i - 1), np.take(flat, i), np.take(flat, i + 1)
    return b + 0.5 * x * ((c - a) + x * (a + c - 2.0 * b))


def least_breadth(z, within=1e-9):
    """Least distance between two parallel lines that hold all points of a figure.

    Parameters
    ----------
    z : (..., n) complex
        Points of a figure longer than it is broad.
    within : float
        Share of the breadth that may be lost.

    Returns
    -------
    (...)
        Too great by no more than the square of breadth over length, as a share.

    Notes
    -----
    Among lines of slope a the upright breadth max(y - a x) - min(y - a x) is a convex function
    of a, linear between the slopes of the hull's sides. Its least value is found by crossing
    the tangents at the two ends of a bracket. The breadth itself is that by sqrt(1 + a^2): next
    to the same for a long figure laid along its long axis.
    """
    lead = z.shape[:-1]
    z = _along(z.reshape(-1, z.shape[-1]))
    slope, breadth = _least_upright(z.real.copy(), z.imag.copy(), within)
    return (breadth / np.hypot(1.0, slope)).reshape(lead)


def _along(z):
    """Figures (k, n) about their middles, turned to lie along x by their second moments."""
    z = z - z.mean(axis=1, keepdims=True)
    return z * np.exp(-0.5j * np.angle(np.sum(z * z, axis=1)))[:, None]


def _least_upright(x, y, within):
    """Slope (k,) and least of max(y - a x) - min(y - a x) over a, for points (k, n)."""

    def look(x, y, a):
        r = y - a[:, None] * x
        rows = np.arange(len(x))
        top, low = np.argmax(r, axis=1), np.argmin(r, axis=1)
        return r[rows, top] - r[rows, low], x[rows, low] - x[rows, top]

    left, right = np.full(len(x), -1.0), np.full(len(x), 1.0)
    (fl, gl), (fr, gr) = look(x, y, left), look(x, y, right)
    best, at = np.minimum(fl, fr), np.where(fl < fr, left, right)
    open_ = np.arange(len(x))
    for _ in range(_STEPS):
        # where the tangents at both ends cross: at or below the least value
        steep = gr - gl
        slanting = steep > 1e-12 * np.abs(gl)
        a = np.where(slanting, (fl - fr + gr * right - gl * left) / np.where(slanting, steep, 1.0), left)
        a = np.clip(a, left, right)
        on = best[open_] - fl - gl * (a - left) > within * best[open_]
        if not on.any():
            break
        if not on.all():
            open_, x, y, a = open_[on], x[on], y[on], a[on]
            left, fl, gl, right, fr, gr = (b[on] for b in (left, fl, gl, right, fr, gr))
        f, g = look(x, y, a)
        better = f < best[open_]
        best[open_], at[open_] = np.where(better, f, best[open_]), np.where(better, a, at[open_])
        down = g < 0.0
        left, fl, gl = np.where(down, a, left), np.where(down, f, fl), np.where(down, g, gl)
        right, fr, gr = np.where(down, right, a), np.where(down, fr, f), np.where(down, gr, g)
    return at, best
