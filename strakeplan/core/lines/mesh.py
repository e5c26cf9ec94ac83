# SPDX-License-Identifier: LGPL-2.1-or-later
"""Elements of strings: cut on the knot lines they cross, laid again on other cuts."""

import numpy as np

from ..curve import curve_through
from ..knotlines import knot_line_crossings
from ..spline.lobatto import lobatto
from .relax import DEGREE

__all__ = ["aligned_breaks", "crossings", "cut", "paces", "remesh", "resampled", "widths_of"]


def crossings(patch, nodes, breaks):
    """Where elements cross inner knot lines.

    Parameters
    ----------
    nodes : (e, p + 1, 2)
    breaks : (e + 1,) parameter at the elements' ends

    Returns
    -------
    at : (k,) parameters, in no order
    smooth : (k,) int, degree less multiplicity of the knot crossed
    """
    piece, x, way, line = knot_line_crossings(patch, nodes)
    at = breaks[piece] + 0.5 * (x + 1.0) * (breaks[piece + 1] - breaks[piece])
    smooth = np.where(
        way == 0,
        patch.degree_u - patch.mult_u[np.where(way == 0, line, 0)],
        patch.degree_v - patch.mult_v[np.where(way == 1, line, 0)],
    )
    return at, smooth


def cut(at, smooth, total, longest, gap):
    """Element ends at crossings, long stretches between cut evenly: increasing parameters.

    Crossings nearer together than `gap` share one end, that on the least smooth knot.
    """
    kept = [0.0, total]
    for k in np.argsort(smooth, kind="stable"):
        if min(abs(at[k] - x) for x in kept) > gap:
            kept.append(float(at[k]))
    kept = np.sort(kept)
    out = [np.zeros(1)]
    for lo, hi in zip(kept[:-1], kept[1:]):
        n = max(1, int(np.ceil((hi - lo) / longest - 1e-9)))
        out.append(np.linspace(lo, hi, n + 1)[1:])
    return np.concatenate(out)


def aligned_breaks(curve, longest, gap):
    """Arc lengths at which new elements should end.

    Every crossing of an inner knot line is one; long stretches between are cut evenly.

    Parameters
    ----------
    curve : SurfaceCurve
    longest : float
        Longest element, mm.
    gap : float
        Crossings nearer together than this share one element end, mm.

    Returns
    -------
    (k,) increasing arc lengths, 0 and the length included
    """
    piece = np.arange(curve.pieces + 1, dtype=float)
    at, smooth = crossings(curve.patch, curve.nodes, piece)
    index = np.minimum(at.astype(int), curve.pieces - 1)
    s = curve.arc_length(index, 2.0 * (at - index) - 1.0) if len(at) else at
    return cut(s, smooth, curve.length, longest, gap)


def remesh(curve, breaks, degree=DEGREE):
    """The same curve on new elements, by arc length."""

    def uv_of(s):
        return curve.uv_local(*curve.locate(s))

    return curve_through(curve.patch, uv_of, breaks, degree)


def resampled(nodes, old, new):
    """Nodes of the same string on elements with other ends, by its own parameter."""
    degree = nodes.shape[1] - 1
    element = lobatto(degree)
    half = 0.5 * np.diff(new)[:, None]
    t = 0.5 * (new[1:] + new[:-1])[:, None] + half * element.nodes
    middle = 0.5 * (new[1:] + new[:-1])
    first = np.clip(np.searchsorted(old, middle, side="right") - 1, 0, len(old) - 2)
    piece = np.clip(np.searchsorted(old, t, side="right") - 1, 0, len(old) - 2)
    # an element within one old element keeps its polynomial to its very ends
    same = (old[first] <= new[:-1] + 1e-12) & (old[first + 1] >= new[1:] - 1e-12)
    piece[same] = first[same, None]
    x = 2.0 * (t - old[piece]) / (old[piece + 1] - old[piece]) - 1.0
    basis = element.values(x.ravel())
    out = np.einsum("nj,njc->nc", basis, nodes[piece.ravel()]).reshape(*t.shape, 2)
    out[1:, 0] = out[:-1, -1]
    return out


def paces(patch, nodes, tension):
    """Element widths in proportion to length (times tension): chords between the nodes."""
    e, m, _ = nodes.shape
    p = patch.points(nodes[..., 0].ravel(), nodes[..., 1].ravel()).reshape(e, m, 3)
    step = np.diff(p, axis=1)
    length = np.sqrt(np.einsum("eik,eik->ei", step, step))
    if tension is not None:
        length = length * tension.at(0.5 * (p[:, 1:] + p[:, :-1]))
    return length.sum(axis=1)


def widths_of(curve, tension):
    """Element widths at which a string of this course runs at an even pace."""
    if tension is None:
        return curve.piece_lengths
    middle = curve.at_local(np.arange(curve.pieces), np.zeros(curve.pieces)).p
    return curve.piece_lengths * tension.at(middle)
