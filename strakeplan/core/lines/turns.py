# SPDX-License-Identifier: LGPL-2.1-or-later
"""How hard transverse sections turn, and where they turn hardest."""

from dataclasses import dataclass

import numpy as np
from numpy.polynomial import legendre

from ..roots import bracketed_roots

__all__ = ["Peaks", "section_peaks", "section_turn"]

_ORDER = 16  # Gauss points through which the curvature is taken as a polynomial
_PARTS = (1, 2, 4, 8, 16)  # equal parts of a piece, until the last coefficients are nothing
_NOTHING = 1e-9  # of the greatest coefficient; rounding leaves about 1e-10
_GRID = 9  # places of a part among which signs of the slope are compared
_PLACES = 121  # places of a section, where the turn is taken over a width
_PROMINENT = 0.02  # share of its own height by which a peak stands over its surroundings
_NEAR = 0.05  # share of the girth within which it has to fall off on both sides
_FALL = 1e-3  # by which share of its height


def section_turn(points):
    """Curvature of transverse sections in their own planes.

    Parameters
    ----------
    points : CurvePoints of section curves (x constant)

    Returns
    -------
    (n,) 1/mm, positive where the section is round (its middle of curvature lies inboard),
    negative where it is hollow.
    """
    bend = points.kappa_g[:, None] * points.b + points.kappa_n[:, None] * points.n
    outward = points.n.copy()
    outward[:, 0] = 0.0
    outward /= np.linalg.norm(outward, axis=1)[:, None]
    return -np.einsum("ij,ij->i", bend, outward)


@dataclass(frozen=True, eq=False)
class Peaks:
    """Places where sections turn harder than on either side of them, n of them.

    Attributes
    ----------
    row : (n,) int, which section
    girth : (n,) mm down from the section's start
    uv : (n, 2), p : (n, 3) ship coordinates
    turn : (n,) 1/mm, positive round, negative hollow; the mean over the width
    kinked : (n,) bool
        On a knot line where the curvature itself has a corner.
    rising : (m,) bool
        Sections that turn hardest at one of their ends.
    even : (m,) bool
        Sections that turn, but too evenly for the hardest turn to have a place.
    """

    row: np.ndarray
    girth: np.ndarray
    uv: np.ndarray
    p: np.ndarray
    turn: np.ndarray
    kinked: np.ndarray
    rising: np.ndarray
    even: np.ndarray


class _Turns:
    """sign * curvature of sections as polynomials, and its integral.

    On every piece between knot lines the curvature is analytic and is taken as the
    polynomial through Gauss points, on as many equal parts of the pieces as it needs.
    """

    def __init__(self, sections, sign):
        self.sections = sections
        for parts in _PARTS:
            f, pace, to_series = self._sampled(sign, parts)
            self.series = (f @ to_series).T  # (order, pieces * parts)
            if np.abs(self.series[-2:]).max() < _NOTHING * np.abs(self.series).max():
                break
        turned = legendre.legint(((f * pace) @ to_series).T, lbnd=-1.0)
        whole = np.concatenate([[0.0], np.cumsum(turned.sum(axis=0))])
        first = self.parts * sections.first[:-1]
        self._turned, self._before = turned, whole[:-1] - whole[first][self.owner]

    def _sampled(self, sign, parts):
        sections, curve = self.sections, self.sections.curve
        self.parts = parts
        self.owner = np.repeat(np.arange(len(sections.x)), parts * np.diff(sections.first))
        gx, gw = legendre.leggauss(_ORDER)
        e, x = self.on_pieces(np.repeat(np.arange(curve.pieces * parts), _ORDER), np.tile(gx, curve.pieces * parts))
        f = sign * section_turn(curve.at_local(e, x)).reshape(-1, _ORDER)
        pace = legendre.legval(x, legendre.legder(curve._arc[e].T), tensor=False).reshape(f.shape) / parts
        return f, pace, gw[:, None] * legendre.legvander(gx, _ORDER - 1) * (np.arange(_ORDER) + 0.5)

    def on_pieces(self, part, x):
        """Pieces and local parameters of parts and their local parameters."""
        piece, which = np.divmod(part, self.parts)
        return piece, (2.0 * which + 1.0 + x) / self.parts - 1.0

    def locate(self, row, girth):
        """Parts and local parameters of girths (n,) on sections (n,)."""
        s = self.sections
        piece, x = s.curve.locate(s.offset[row] + girth)
        low, high = s.first[row], s.first[row + 1] - 1
        x = np.where(piece < low, -1.0, np.where(piece > high, 1.0, x))
        piece = np.clip(piece, low, high)
        which = np.clip((0.5 * (x + 1.0) * self.parts).astype(int), 0, self.parts - 1)
        return piece * self.parts + which, (x + 1.0) * self.parts - 2.0 * which - 1.0

    def curvature(self, row, girth):
        """(n,) 1/mm."""
        part, x = self.locate(row, girth)
        return legendre.legval(x, self.series[:, part], tensor=False)

    def turned(self, row, girth):
        """Angle (n,) turned from the section's start, rad."""
        part, x = self.locate(row, girth)
        return self._before[part] + legendre.legval(x, self._turned[:, part], tensor=False)


def section_peaks(sections, sign, over=0.0):
    """Peaks of sign * (section curvature), or of its mean over a width.

    Parameters
    ----------
    sections : CrossCurves in station planes
    sign : +1.0 for round turns, -1.0 for hollow ones
    over : float
        Girth over which the turn is taken, mm; 0 takes the curvature itself.

    Returns
    -------
    Peaks, by section from the sheer down

    Notes
    -----
    A peak of the curvature is a root of its slope, or a corner where pieces join: third
    derivatives of the surface jump there. A peak of the turn over a width w is a root of
    kappa(g + w/2) - kappa(g - w/2).
    """
    turns = _Turns(sections, sign)
    row, girth, height, kinked, profiles = (_over if over > 0.0 else _pointwise)(turns, over)
    m = len(sections.x)
    good = np.zeros(len(row), bool)
    rising, even = np.zeros(m, bool), np.zeros(m, bool)
    for r in range(m):
        mine = np.flatnonzero(row == r)
        g, h = profiles[r]
        if not len(g) or not h.max() > 0.0:
            continue
        whole, top = sections.girth[r], int(np.argmax(h))
        rising[r] = min(g[top] - g[0], g[-1] - g[top]) < 1e-9 * whole
        for k in mine:
            if height[k] > 0.0 and _stands(g, h, girth[k], height[k]):
                good[k] = _falls(g, h, girth[k], height[k], _NEAR * whole)
        even[r] = not rising[r] and not good[mine].any()
    keep = np.flatnonzero(good)
    keep = keep[np.lexsort((girth[keep], row[keep]))]
    row, girth = row[keep], girth[keep]
    if not len(keep):
        empty = np.empty(0)
        return Peaks(row, girth, np.empty((0, 2)), np.empty((0, 3)), empty, kinked[keep], rising, even)
    c = sections.curve.at_local(*turns.on_pieces(*turns.locate(row, girth)))
    return Peaks(row, girth, c.uv, c.p, sign * height[keep], kinked[keep], rising, even)


def _pointwise(turns, _):
    """Peaks of the curvature: row, girth, height, kinked; and (girth, height) of every section."""
    sections, curve, owner = turns.sections, turns.sections.curve, turns.owner
    slope = legendre.legder(turns.series)
    grid = np.linspace(-1.0, 1.0, _GRID)
    heights, slopes = legendre.legval(grid, turns.series), legendre.legval(grid, slope)  # (n, grid)
    part, col = np.nonzero((slopes[:, :-1] > 0.0) & (slopes[:, 1:] <= 0.0))
    x = np.empty(0)
    if len(part):
        at = lambda t: legendre.legval(t, slope[:, part], tensor=False)  # noqa: E731
        x = bracketed_roots(at, grid[col], grid[col + 1], slopes[part, col], slopes[part, col + 1])
    joint = np.flatnonzero((owner[:-1] == owner[1:]) & (slopes[:-1, -1] > 0.0) & (slopes[1:, 0] < 0.0))
    part, x = np.concatenate([part, joint]), np.concatenate([x, np.ones(len(joint))])
    # between parts of one piece nothing jumps
    kinked = (np.arange(len(x)) >= len(x) - len(joint)) & (part % turns.parts == turns.parts - 1)

    def girth_at(part, x):
        return curve.arc_length(*turns.on_pieces(part, x)) - sections.offset[owner[part]]

    girth = girth_at(part, x) if len(x) else x
    height = legendre.legval(x, turns.series[:, part], tensor=False) if len(x) else x
    n = len(owner)
    places = girth_at(np.repeat(np.arange(n), _GRID), np.tile(grid, n)).reshape(n, _GRID)
    mine = [np.flatnonzero(owner == r) for r in range(len(sections.x))]
    profiles = [(places[k].ravel(), heights[k].ravel()) for k in mine]
    return owner[part], girth, height, kinked, profiles


def _over(turns, over):
    """The same for the mean over a width; sections shorter than three widths have no places."""
    sections, half = turns.sections, 0.5 * over
    long = sections.girth > 3.0 * over
    m = len(sections.x)
    share = np.linspace(0.0, 1.0, _PLACES)
    g = half + np.maximum(sections.girth - over, 0.0)[:, None] * share
    r = np.repeat(np.arange(m), _PLACES)
    mean = lambda r, g: (turns.turned(r, g + half) - turns.turned(r, g - half)) / over  # noqa: E731
    slope = lambda r, g: turns.curvature(r, g + half) - turns.curvature(r, g - half)  # noqa: E731
    heights, slopes = mean(r, g.ravel()).reshape(g.shape), slope(r, g.ravel()).reshape(g.shape)
    row, col = np.nonzero((slopes[:, :-1] > 0.0) & (slopes[:, 1:] <= 0.0) & long[:, None])
    girth = np.empty(0)
    if len(row):
        at = lambda t: slope(row, t)  # noqa: E731
        girth = bracketed_roots(at, g[row, col], g[row, col + 1], slopes[row, col], slopes[row, col + 1], done=1e-13)
    height = mean(row, girth) if len(row) else girth
    empty = (np.empty(0), np.empty(0))
    profiles = [(g[k], heights[k]) if long[k] else empty for k in range(m)]
    return row, girth, height, np.zeros(len(row), bool), profiles


def _stands(g, h, place, height):
    """Whether a peak stands out on both sides before anything higher comes."""
    for side in (h[g < place][::-1], h[g > place]):
        higher = np.flatnonzero(side > height)
        valley = side[: higher[0] + 1] if len(higher) else side
        if not len(valley) or height - valley.min() < _PROMINENT * height:
            return False
    return True


def _falls(g, h, place, height, near):
    """Whether it falls off near by on both sides: not where the turn is all but even."""
    sides = np.interp([place - near, place + near], g, h)
    return bool(np.all(height - sides > _FALL * height))
