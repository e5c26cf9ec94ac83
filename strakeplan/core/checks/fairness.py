# SPDX-License-Identifier: LGPL-2.1-or-later
"""How fair seams run: jumps of curvature, edgewise and across the flat."""

from dataclasses import dataclass

import numpy as np

from .places import Along, greatest

__all__ = ["EYE", "Fairness", "check_fairness"]

#: mm: the length of seam that the eye takes in at a time. Common practice, no source
EYE = 2000.0


@dataclass(frozen=True, eq=False)
class Fairness:
    """Fairness of k seams.

    Attributes
    ----------
    edgewise, flatwise : Along
        Jumps of the edgewise bending and of the bend across the flat between neighbouring
        places, 1/mm, with what the bending on both sides leads up to taken off: values
        (k, n - 1), the index is the place before the jump. The flatwise jump is the surface's
        own (a knuckle, a joint of arcs).
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

    A jump J of curvature between two places, between stretches of even bending, is the step
    between them less the mean of the steps beside it. Over a length l with the jump in its
    middle the line departs from its chord by J l^2 / 64 on either side (by arithmetic: two
    parabolas of curvature J/2 and -J/2).

    Parameters
    ----------
    seams : SeamSamples
    eye : float
        mm.

    Returns
    -------
    Fairness
    """
    edgewise = greatest(_jumps(seams.edgewise))
    flatwise = greatest(_jumps(seams.bend))
    share = eye * eye / 64.0
    seen = Along(edgewise.value * share, edgewise.worst * share, edgewise.index)
    # bending of a ten thousandth of the greatest is straight: it has no sense
    k = seams.edgewise
    sense = np.where(np.abs(k) > 1e-4 * np.max(np.abs(k), axis=-1, keepdims=True), np.sign(k), 0.0)
    return Fairness(edgewise, flatwise, seen, _changes(sense))


def _jumps(k):
    step = np.diff(k, axis=-1)
    out = np.zeros(step.shape)
    out[..., 1:-1] = np.abs(step[..., 1:-1] - 0.5 * (step[..., :-2] + step[..., 2:]))
    return out


def _changes(sense):
    """Changes of sign along the last axis, zeros passed over."""
    n = sense.shape[-1]
    last = np.maximum.accumulate(np.where(sense != 0.0, np.arange(n), 0), axis=-1)
    held = np.take_along_axis(sense, last, -1)
    return np.sum((held[..., 1:] * held[..., :-1]) < 0.0, axis=-1)
