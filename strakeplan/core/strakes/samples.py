# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strakes and seams of a line-off as arrays: what the checks are made from.

Every strake is sampled at equal distances along its middle line, which runs between its
edges at equal shares of their lengths. All strakes are worked out together.
"""

from dataclasses import dataclass

import numpy as np

from ..curve import curvatures
from ..curvetable import curve_table
from ..frame import ShipFrame
from ..spline.patch import geometry_of
from .runs import PlankRuns, plank_runs, square_meeting

__all__ = ["SeamSamples", "StrakeSamples", "edge_samples", "seam_samples", "strake_samples"]

_SPACING = 100.0  # mm between places on the longest strake, unless told otherwise
_FEWEST = 16
_BOWED = 2e-4  # a chord that the arc exceeds by more than this share is halved once more


@dataclass(frozen=True, eq=False)
class StrakeSamples:
    """Figures at n places on each of m runs of planking, from fore aft.

    Attributes
    ----------
    frame : ShipFrame
    number : (m,) int
        Strake from the sheer, 1 ..; a strake cut by the rabbet counts once for each part.
    part : (m,) int
        0, or 1, 2, .. from the bow.
    rule : tuple of str
    s : (m, n)
        Arc length along the middle line, mm, equally spaced, s[:, 0] = 0.
    x : (m, n)
        Ship position, aft, mm; the model's is frame.to_model_station(x).
    point : (m, n, 3)
        Ship coordinates, mm.
    width : (m, n)
        Square to the middle line, along the surface, mm. Beside a slanting hood end the edge
        that is missed counts as run straight on; at the hood end itself it is the hood end's
        breadth square to the middle line.
    girth_width : (m, n)
        Along the transverse section, mm; nan where that does not meet both edges.
    edgewise : (m, n)
        Geodesic curvature, 1/mm, positive where the strake turns towards the keel.
    bend : (m, n)
        Minus the normal curvature, 1/mm: positive round a convex hull.
    twist : (m, n)
        Geodesic torsion, rad/mm.
    across : (m, n)
        Minus the normal curvature square to the middle line, 1/mm: positive where the
        plank's inner face has to be backed out.
    gauss : (m, n)
        Gauss's curvature, 1/mm^2.
    bow_girth, stern_girth : (m,)
        Breadth of the hood ends along the stem and the stern edge, mm; 0 for a point.
    uv : (m, n, 2)
        Parameters of the places on the hull's patch.
    runs : PlankRuns
        The edges.
    """

    frame: ShipFrame
    number: np.ndarray
    part: np.ndarray
    rule: tuple
    s: np.ndarray
    x: np.ndarray
    point: np.ndarray
    width: np.ndarray
    girth_width: np.ndarray
    edgewise: np.ndarray
    bend: np.ndarray
    twist: np.ndarray
    across: np.ndarray
    gauss: np.ndarray
    bow_girth: np.ndarray
    stern_girth: np.ndarray
    uv: np.ndarray
    runs: PlankRuns


@dataclass(frozen=True, eq=False)
class SeamSamples:
    """Figures at n places on each part of every seam, k of them, from fore aft.

    Attributes
    ----------
    frame : ShipFrame
    number : (k,) int
        0 is the sheer, seam j the lower edge of strake j; one in parts counts once for each.
    part : (k,) int
        0, or 1, 2, .. from the bow.
    name : tuple of str
    s : (k, n) arc length, mm, equally spaced
    x : (k, n) ship position, mm
    point : (k, n, 3) ship coordinates, mm
    edgewise : (k, n) geodesic curvature, 1/mm, positive towards the keel
    bend : (k, n) minus the normal curvature, 1/mm
    """

    frame: ShipFrame
    number: np.ndarray
    part: np.ndarray
    name: tuple
    s: np.ndarray
    x: np.ndarray
    point: np.ndarray
    edgewise: np.ndarray
    bend: np.ndarray


def strake_samples(lineoff, n=None, girths=True):
    """Sample all strakes of a line-off.

    Parameters
    ----------
    lineoff : LineOff
    n : int, optional
        Places on every strake. Default: no more than 100 mm apart on the longest.
    girths : bool
        Whether the widths along transverse sections are wanted; nan without.

    Returns
    -------
    StrakeSamples
    """
    runs = plank_runs(lineoff)
    patch, table = lineoff.hull.patch, runs.table
    if n is None:
        n = _places(table.length)
    share, s = _equal_spacing(patch, runs, n)
    uv, d1, d2 = _middle(runs, share, 2)
    shape = share.shape
    jet = patch.jets(uv[..., 0].ravel(), uv[..., 1].ravel(), 2)
    geometry = geometry_of(jet)
    c = curvatures(jet, geometry, d1.reshape(-1, 2), d2.reshape(-1, 2))
    edgewise, normal, twist = (a.reshape(shape) for a in (c.kappa_g, c.kappa_n, c.tau_g))
    point, t = jet.p.reshape(*shape, 3), c.t.reshape(*shape, 3)
    width, feet = _widths(runs, share, uv, point, t)
    _hood_ends(runs, t, width)
    along = _girth_widths(lineoff.hull.patch, runs, feet, point[..., 0]) if girths else np.full(shape, np.nan)
    # the normal curvatures along and across a direction add up to twice the mean curvature
    across = normal - 2.0 * geometry.H.reshape(shape)
    return StrakeSamples(
        lineoff.hull.frame, runs.number, runs.part, runs.rule, s, point[..., 0].copy(), point, width, along,
        edgewise, -normal, twist, across, geometry.K.reshape(shape), runs.bow_girth, runs.stern_girth, uv, runs,
    )  # fmt: skip


def seam_samples(lineoff, n=None, runs=None):
    """Sample all seams of a line-off, the sheer among them.

    Parameters
    ----------
    lineoff : LineOff
    n : int, optional
        Places on every part of a seam. Default: no more than 100 mm apart on the longest.
    runs : PlankRuns, optional
        Of the same line-off, as `strake_samples` has them: the seams are not read again.

    Returns
    -------
    SeamSamples
    """
    rows = [
        (seam.number, k + 1 if len(seam.parts) > 1 else 0, seam.name, part.curve)
        for seam in lineoff.seams
        for k, part in enumerate(seam.parts)
    ]
    number, part, name, curves = zip(*rows)
    patch = lineoff.hull.patch
    if runs is None:
        table, own = curve_table(patch, curves), np.arange(len(curves))
    else:
        table, own = runs.table, runs.seams
    if n is None:
        n = _places(table.length[own])
    s, point, c = edge_samples(patch, table, own, n)
    return SeamSamples(
        lineoff.hull.frame, np.array(number), np.array(part), name, s, point[..., 0].copy(), point,
        c.kappa_g.reshape(s.shape), -c.kappa_n.reshape(s.shape),
    )  # fmt: skip


def edge_samples(patch, table, curves, n):
    """Equally spaced places on curves (k,) of a table.

    Returns
    -------
    s : (k, n) mm
    point : (k, n, 3)
    curvatures : Curvatures of all places in one row
    """
    s = np.linspace(0.0, 1.0, n) * table.length[curves][:, None]
    uv, d1, d2 = table.parameters(np.repeat(curves[:, None], n, axis=1), s)
    jet = patch.jets(uv[..., 0].ravel(), uv[..., 1].ravel(), 2)
    c = curvatures(jet, geometry_of(jet), d1.reshape(-1, 2), d2.reshape(-1, 2))
    return s, jet.p.reshape(*s.shape, 3), c


def _places(lengths):
    """Default number of places on curves of these lengths."""
    return max(_FEWEST, int(np.ceil(np.max(lengths) / _SPACING)) + 1)


def _middle(runs, share, order):
    """(u, v) of the middle lines, and derivatives by the share (m, n) of the edges' lengths."""
    table = runs.table
    span = (runs.aft - runs.fore)[:, None]
    ones = np.ones(share.shape, int)
    top = table.parameters(ones * runs.upper[:, None], runs.fore[:, None] + share * span, order)
    low_span = table.length[runs.lower][:, None]
    low = table.parameters(ones * runs.lower[:, None], share * low_span, order)
    a, b = span[..., None], low_span[..., None]
    return tuple(0.5 * (p * a**k + q * b**k) for k, (p, q) in enumerate(zip(top, low)))


def _equal_spacing(patch, runs, n):
    """Shares (m, n) of the edges' lengths at equal distances along the middle lines, and s (m, n)."""
    share = np.linspace(0.0, 1.0, n)
    m = len(runs.upper)
    uv, d1 = _middle(runs, np.repeat(share[None], m, axis=0), 1)
    jet = patch.jets(uv[..., 0].ravel(), uv[..., 1].ravel(), 1)
    d = jet.su * d1[..., 0].reshape(-1, 1) + jet.sv * d1[..., 1].reshape(-1, 1)
    speed = np.sqrt(np.einsum("ij,ij->i", d, d)).reshape(m, n)
    h = 1.0 / (n - 1)
    # integrals over the intervals, from the cubic through four places
    part = np.empty((m, n - 1))
    part[:, 1:-1] = 13.0 * (speed[:, 1:-2] + speed[:, 2:-1]) - speed[:, :-3] - speed[:, 3:]
    part[:, 0] = speed[:, :4] @ np.array([9.0, 19.0, -5.0, 1.0])
    part[:, -1] = speed[:, -4:] @ np.array([1.0, -5.0, 19.0, 9.0])
    at = np.zeros((m, n))
    np.cumsum(part * (h / 24.0), axis=1, out=at[:, 1:])
    s = share * at[:, -1:]
    # the share as a cubic of the arc length, interval by interval
    offset = np.arange(m)[:, None] * (2.0 * np.max(at[:, -1]))
    i = np.searchsorted((at + offset).ravel(), (s + offset).ravel(), side="right").reshape(m, n) - 1
    i = np.clip(i - np.arange(m)[:, None] * n, 0, n - 2)
    s0, s1 = np.take_along_axis(at, i, 1), np.take_along_axis(at, i + 1, 1)
    v0, v1 = np.take_along_axis(speed, i, 1), np.take_along_axis(speed, i + 1, 1)
    width = s1 - s0
    x = (s - s0) / width
    a, b = width / v0 / h, width / v1 / h
    inside = x * (a + x * (3.0 - 2.0 * a - b + x * (a + b - 2.0)))
    return share[i] + h * inside, s


def _widths(runs, share, uv, point, t):
    """Widths (m, n) square to the middle lines, and the feet's arc lengths on both edges."""
    table = runs.table
    # both edges in one go: (2, m, n)
    k = np.stack([runs.upper, runs.lower])[:, :, None] * np.ones(share.shape, int)
    span = np.stack([runs.aft - runs.fore, table.length[runs.lower]])[:, :, None]
    start = np.stack([runs.fore, np.zeros(len(runs.fore))])[:, :, None]
    s, q = square_meeting(table, k, start + share * span, point, t, 0.25 * span)
    width = _arc(table.patch, _parameters_beyond(table, k, s), q)
    return width, s


def _parameters_beyond(table, k, s):
    """(u, v) at arc lengths that may lie past the ends: straight on."""
    p, d = table.parameters(k, s, 1)
    past = s - np.clip(s, 0.0, table.length[k])
    return p + past[..., None] * d


def _arc(patch, uv, q, between=None):
    """Lengths (...) along the surface between two places each, straight in (u, v).

    Chords halved once or twice and extrapolated (Romberg): for an arc that turns by theta
    the error is theta^4 / 7700 of the length with one halving, and theta^6 / 1e6 with two.

    Parameters
    ----------
    uv : (2, ..., 2)
    q : (2, ..., 3)
    between : callable, optional
        (share, flat rows) -> (k, 3) places between; default straight in (u, v).
    """
    shape = q.shape[1:-1]
    a, b = (z.reshape(-1, 3) for z in q)
    w0, w1 = (z.reshape(-1, 2) for z in uv)

    def at(share, rows):
        w = w0[rows] + share * (w1[rows] - w0[rows])
        return patch.points(w[:, 0], w[:, 1])

    at = between or at
    far = lambda p, q: np.sqrt(np.einsum("ij,ij->i", p - q, p - q))  # noqa: E731
    everywhere = np.arange(len(a))
    middle = at(0.5, everywhere)
    one, two = far(a, b), far(a, middle) + far(middle, b)
    out = (4.0 * two - one) / 3.0
    more = np.flatnonzero(two - one > _BOWED * one)
    if len(more):
        p, q = at(0.25, more), at(0.75, more)
        m = middle[more]
        four = far(a[more], p) + far(p, m) + far(m, q) + far(q, b[more])
        out[more] = (64.0 * four - 20.0 * two[more] + one[more]) / 45.0
    return out.reshape(shape)


def _hood_ends(runs, t, width):
    """Widths at the hood ends: their breadth square to the middle line. In place."""
    table = runs.table
    for column, upper_at, lower_at, girth in (
        (0, runs.fore, 0.0 * runs.fore, runs.bow_girth),
        (-1, runs.aft, table.length[runs.lower], runs.stern_girth),
    ):
        rows = np.flatnonzero(girth > 0.0)
        p, q = (table.points(k[rows], s[rows], 0)[0] for k, s in ((runs.upper, upper_at), (runs.lower, lower_at)))
        d = q - p
        along = np.einsum("ij,ij->i", d, t[rows, column])
        width[rows, column] = np.sqrt(np.einsum("ij,ij->i", d, d) - along**2)


def _girth_widths(patch, runs, feet, x):
    """Widths (m, n) along transverse sections; nan where these miss an edge."""
    table = runs.table
    k = np.stack([runs.upper, runs.lower])[:, :, None] * np.ones(x.shape, int)
    plane = np.zeros((*x.shape, 3))
    plane[..., 0] = x
    aft = np.array([1.0, 0.0, 0.0])
    span = table.length[k]
    s, q = square_meeting(table, k, feet, plane, aft, 0.25 * span)
    inside = np.all((s >= -1e-6) & (s <= span + 1e-6), axis=0) & np.all(np.abs(q[..., 0] - x) < 1e-3, axis=0)
    rows = np.flatnonzero(inside)
    out = np.full(x.shape, np.nan)
    if not len(rows):
        return out
    uv = table.parameters(k, s, 0)[0].reshape(2, -1, 2)[:, rows]
    q = q.reshape(2, -1, 3)[:, rows]
    wanted = x.ravel()[rows]

    def between(share, some):
        """Places on the section: u is moved until x is right, v kept."""
        w = uv[0, some] + share * (uv[1, some] - uv[0, some])
        jet = patch.jets(w[:, 0], w[:, 1], 1)
        u = w[:, 0] + (wanted[some] - jet.p[:, 0]) / jet.su[:, 0]
        return patch.points(u, w[:, 1])

    out.ravel()[rows] = _arc(patch, uv, q, between)
    return out
