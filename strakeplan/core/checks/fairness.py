# SPDX-License-Identifier: LGPL-2.1-or-later
"""How fair seams run: jumps of curvature, edgewise and across the flat."""

from dataclasses import dataclass
from functools import lru_cache

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
    room = np.minimum(np.arange(1, n), np.arange(n - 1, 0, -1))  # places on the shorter side
    own = np.minimum(beside[:, None], room)  # (k, n - 1)
    out = np.zeros((*bending.shape[:-1], n - 1))
    for count in np.unique(own[own > 1]):
        k, i = np.nonzero(own == count)
        ahead = i[:, None] + 1 + np.arange(count)
        behind = i[:, None] - np.arange(count)
        both = bending[..., k[:, None], ahead] - bending[..., k[:, None], behind]
        out[..., k, i] = np.abs(both @ _at_gap(int(count)))
    return out


@lru_cache(maxsize=None)
def _at_gap(count):
    """Weights of the line through samples 1/2, 3/2 .. from a gap, at the gap."""
    x = np.arange(count) + 0.5
    off = x - x.mean()
    return 1.0 / count - x.mean() * off / np.sum(off**2)


def _changes(sense):
    """Changes of sign along the last axis, zeros passed over."""
    n = sense.shape[-1]
    last = np.maximum.accumulate(np.where(sense != 0.0, np.arange(n), 0), axis=-1)
    held = np.take_along_axis(sense, last, -1)
    return np.sum((held[..., 1:] * held[..., :-1]) < 0.0, axis=-1)
