# SPDX-License-Identifier: LGPL-2.1-or-later
"""Geodesics between two fixed points: strings relaxed on elements that fit the surface."""

import numpy as np

from ..curve import SurfaceCurve, curve_through
from .mesh import aligned_breaks, crossings, cut, paces, remesh, resampled
from .relax import DEGREE, STEP_DONE, relax

__all__ = ["geodesic_between"]

_ALIGNED = 1e-9  # of the length: element ends count as lying on the knot lines
_NEARLY = 1e-6  # the same where the surface is curvature-continuous across the knot
_ROUGH = 1e-4  # of the length: settled well enough to see which knot lines are crossed


def geodesic_between(
    patch, uv0, uv1, guess=None, elements=8, degree=DEGREE, passes=8, tension=None
):
    """The geodesic between two points of a patch, near a guess.

    Parameters
    ----------
    patch : SplinePatch
    uv0, uv1 : (2,) parameters of the ends
    guess : SurfaceCurve, optional
        Default: the straight line in the parameter plane.
    elements : int
        Least number of elements; knot crossings add more.
    degree : int
    passes : int
        How often the elements may be laid again on the crossings.
    tension : Tension, optional
        Of a heavy string: the line is then a geodesic of the metric T^2 ds^2.

    Returns
    -------
    SurfaceCurve

    Raises
    ------
    PlanError
        If the string does not settle.
    """
    uv0, uv1 = np.asarray(uv0, float), np.asarray(uv1, float)
    if guess is None:
        guess = curve_through(
            patch, lambda t: uv0 + t[:, None] * (uv1 - uv0), np.linspace(0, 1, elements + 1), degree
        )
    elif guess.degree != degree or guess.pieces < elements:
        guess = remesh(guess, aligned_breaks(guess, guess.length / elements, 0.0), degree)
    nodes = guess.nodes.copy()
    nodes[0, 0], nodes[-1, -1] = uv0, uv1
    widths = paces(patch, nodes, tension)
    nodes, _ = relax(patch, nodes, widths, done=_ROUGH if passes else STEP_DONE, tension=tension)
    for turn in range(passes):
        # a settled string runs at an even pace: its own parameter measures it
        breaks = np.concatenate([[0.0], np.cumsum(widths)])
        total = breaks[-1]
        at, smooth = crossings(patch, nodes, breaks)
        if turn and _aligned(at, smooth, breaks):
            break
        gap = 1e-5 * total
        new = cut(at, smooth, total, total / elements, gap)
        nodes = resampled(nodes, breaks, new)
        # elements cut where the pace changes: even out what the cut has changed
        widths = np.diff(new) if turn else paces(patch, nodes, tension)
        nodes, _ = relax(patch, nodes, widths, tension=tension)
    return SurfaceCurve(patch, nodes)


def _aligned(at, smooth, breaks):
    """Whether every crossing lies on an element's end, as near as its knot asks for."""
    if not len(at):
        return True
    off = np.min(np.abs(at[:, None] - breaks), axis=1)
    return bool(np.all(off <= np.where(smooth >= 2, _NEARLY, _ALIGNED) * breaks[-1]))
