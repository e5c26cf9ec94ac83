# SPDX-License-Identifier: LGPL-2.1-or-later
"""Widths of strakes: at the hood ends, greatest and least, square and girthwise, and taper.

*Square* is what a rule on the bench reads, square to the strake's middle line; *girthwise*
what a tape on the boat reads, along the transverse section. They are never mixed.
"""

from dataclasses import dataclass

import numpy as np

from .places import Along, greatest, least, slopes

__all__ = ["Widths", "check_widths"]


@dataclass(frozen=True, eq=False)
class Widths:
    """Widths of m strakes, mm.

    Attributes
    ----------
    bow, stern : (m,)
        Breadth of the hood ends along the stem and the stern edge; nan where the strake ends in
        a nib, comes to a point or goes on.
    nib_bow, nib_stern : (m,)
        Depth of the nibs; nan where it ends in none.
    bow_square, stern_square : (m,)
        Square to the middle line at both ends.
    wide, narrow : Along
        Square widths; `narrow` leaves out the wedge by which a strake runs out to a point.
    wide_girth, narrow_girth : Along
        Girthwise; nan where no transverse section meets both edges.
    taper_bow, taper_stern : (m,)
        Square width at the end by the greatest one; below 1 a strake gets narrower to it.
    taper : Along
        Change of square width along the strake, mm per metre, positive where it gets wider
        going aft; `worst` is the one of the greatest size.
    pointed_bow, pointed_stern : (m,) bool
        The strake runs out to a point there.
    """

    bow: np.ndarray
    stern: np.ndarray
    nib_bow: np.ndarray
    nib_stern: np.ndarray
    bow_square: np.ndarray
    stern_square: np.ndarray
    wide: Along
    narrow: Along
    wide_girth: Along
    narrow_girth: Along
    taper_bow: np.ndarray
    taper_stern: np.ndarray
    taper: Along
    pointed_bow: np.ndarray
    pointed_stern: np.ndarray


def check_widths(strakes):
    """Widths along strakes.

    Parameters
    ----------
    strakes : StrakeSamples

    Returns
    -------
    Widths
    """
    w, girth = strakes.width, strakes.girth_width
    wide = greatest(w)
    top = wide.worst
    # samples tell a point by a width of next to nothing
    nothing = 1e-6 * top
    pointed_bow = (strakes.bow_girth <= 0.0) & (w[:, 0] <= nothing)
    pointed_stern = (strakes.stern_girth <= 0.0) & (w[:, -1] <= nothing)
    counts = ~(_wedge(w) & pointed_bow[:, None]) & ~(_wedge(w[:, ::-1])[:, ::-1] & pointed_stern[:, None])
    rate = slopes(w, strakes.s) * 1000.0
    # the hood end's own breadth is not in line with the widths beside it
    rate[:, [0, 1, -2, -1]] = np.nan
    rate[:, 1] = (w[:, 2] - w[:, 1]) / (strakes.s[:, 2] - strakes.s[:, 1]) * 1000.0
    rate[:, -2] = (w[:, -2] - w[:, -3]) / (strakes.s[:, -2] - strakes.s[:, -3]) * 1000.0
    steepest = greatest(np.abs(rate))
    (bow, nib_bow), (stern, nib_stern) = (
        _hood_or_nib(girth, False if strakes.runs is None else getattr(strakes.runs, nib))
        for girth, nib in ((strakes.bow_girth, "bow_nib"), (strakes.stern_girth, "stern_nib"))
    )
    return Widths(
        bow, stern, nib_bow, nib_stern, w[:, 0].copy(), w[:, -1].copy(), wide, least(w, counts),
        greatest(girth), least(girth, counts), w[:, 0] / top, w[:, -1] / top,
        Along(rate, np.take_along_axis(rate, steepest.index[:, None], 1)[:, 0], steepest.index),
        pointed_bow, pointed_stern,
    )  # fmt: skip


def _hood_or_nib(girth, nib):
    """Breadths (m,) of the ends that are hood ends, and of those that are nibs; nan for the others."""
    there = np.where(girth > 0.0, girth, np.nan)
    return np.where(nib, np.nan, there), np.where(nib, there, np.nan)


def _wedge(w):
    """Places (m, n) before the first one after which a strake gets no wider."""
    stops = np.diff(w, axis=1) <= 0.0
    first = np.where(stops.any(axis=1), np.argmax(stops, axis=1), w.shape[1] - 1)
    return np.arange(w.shape[1]) < first[:, None]
