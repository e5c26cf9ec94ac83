# SPDX-License-Identifier: LGPL-2.1-or-later
"""How fair seams run: jumps of curvature, edgewise and across the flat."""

from dataclasses import dataclass

import numpy as np

from .places import Along, greatest

__all__ = ["EYE", "Fairness", "check_fairness"]

#: mm: the length of seam that the eye takes in at a time. Common practice, no source
EYE = 2000.0
_BESIDE = 0.2  # of that length: the stretch on either side from which a jump is told


@dataclass(frozen=True, eq=False)
class Fairness:
    """Fairness of k seams.

    Attributes
    ----------
    edgewise, flatwise : Along
        Jumps of the edgewise bending and of the bend across the flat between neighbouring
        places, 1/mm, with what the bending on both sides leads up to taken off: values
        (k, n - 1), the index is the place before the jump. Bending that changes within a small
        part of what an eye takes in is a jump to it; the flatwise one is the surface's own (a
        knuckle, a joint of arcs).
    seen : Along
        mm by which the edgewise jump makes the seam depart from its chord, half to either
        side, over the length that the eye takes in.
    turns : (k,) int
        How often the edgewise bending changes its sense.
    """

    edgewise: Along
    flatwise: Along
    seen: Along
    turns: np.ndarray


def check_fairness(seams, eye=EYE):
    """Jumps of curvature along seams.

    The bending on either side of a gap between two places is laid off as a straight line (least
    squares) over a fifth of the length that an eye takes in, two places at least; the jump J is
    how far the two lines are apart in the gap. A true jump between stretches of bending that
    changes steadily is found to its size, however far apart the places; a ramp counts by how far
    it departs from such stretches, not by how finely it is sampled (within a twentieth for places
    0.1 m apart, a fifth for 0.15 m). Over a length l with the
    jump in its middle the line departs from its chord by J l^2 / 64 on either side (by
    arithmetic: two parabolas of curvature J/2 and -J/2).

    Parameters
    ----------
    seams : SeamSamples
    eye : float
        mm.

    Returns
    -------
    Fairness
    """
    beside = np.maximum(np.rint(_BESIDE * eye / seams.s[:, 1]).astype(int), 2)
    jumps = _jumps(np.stack([seams.edgewise, seams.bend]), beside)
    edgewise, flatwise = greatest(jumps[0]), greatest(jumps[1])
    share = eye * eye / 64.0
    seen = Along(edgewise.value * share, edgewise.worst * share, edgewise.index)
    # bending of a ten thousandth of the greatest is straight: it has no sense
    k = seams.edgewise
    sense = np.where(np.abs(k) > 1e-4 * np.max(np.abs(k), axis=-1, keepdims=True), np.sign(k), 0.0)
    return Fairness(edgewise, flatwise, seen, _changes(sense))


def _jumps(bending, beside):
    """Sizes (..., k, n - 1) of jumps in samples (..., k, n), told from `beside` (k,) places on either side.

    Towards the ends from as many as there are; nothing where there is only one.
    """
    n = bending.shape[-1]
    i = np.arange(n - 1)
    room = np.minimum(i + 1, n - 1 - i)  # places on the shorter side
    count = np.minimum(beside[:, None], room)  # (k, n - 1)
    # sums over the places on either side, and with their distances 1/2, 3/2 .. from the gap
    none = np.zeros((*bending.shape[:-1], 1))
    plain = np.concatenate([none, np.cumsum(bending, axis=-1)], axis=-1)
    placed = np.concatenate([none, np.cumsum(np.arange(n) * bending, axis=-1)], axis=-1)
    rows = np.arange(len(beside))[:, None]
    ahead, behind = i + 1 + count, i + 1 - count
    gap = plain[..., i + 1], placed[..., i + 1]
    after, moment = (total[..., rows, ahead] - at for total, at in zip((plain, placed), gap))
    before, other = (at - total[..., rows, behind] for total, at in zip((plain, placed), gap))
    moment, other = moment - (i + 0.5) * after, (i + 0.5) * before - other
    # the line of least squares at the gap, from sums of values and moments
    m = np.maximum(count, 2)
    value = lambda total, moment: (total * (4.0 * m * m - 1.0) - 6.0 * m * moment) / (m * (m * m - 1.0))  # noqa: E731
    return np.where(count > 1, np.abs(value(after, moment) - value(before, other)), 0.0)


def _changes(sense):
    """Changes of sign along the last axis, zeros passed over."""
    n = sense.shape[-1]
    last = np.maximum.accumulate(np.where(sense != 0.0, np.arange(n), 0), axis=-1)
    held = np.take_along_axis(sense, last, -1)
    return np.sum((held[..., 1:] * held[..., :-1]) < 0.0, axis=-1)
