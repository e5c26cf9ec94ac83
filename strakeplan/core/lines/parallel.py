# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines at a constant distance, measured square to another line on the surface.

The ends of a sheaf of geodesics square to the line, cut off at the edges of the planking.
"""

import numpy as np

from ..errors import PlanError
from .clip import clip_curves
from .line import HullLine
from .sheaf import Sheaf

__all__ = ["clip_to_boundary", "clipped_parallels", "parallel_line", "parallels"]

_OVERRUNS = (0.3, 1.0, 3.0, 6.0)  # of the distance: how far lines are run on, in turn
_SHORTEST = 20.0  # mm; a line that touches the planking for less is none


def parallel_line(hull, line, distance):
    """The line at a constant distance from another, measured square to it on the hull.

    Parameters
    ----------
    hull : PlankedSurface
    line : HullLine
    distance : float
        mm; positive towards the keel, negative towards the sheer.

    Returns
    -------
    HullLine
        Cut off at stem, rabbet, stern or sheer. Where the edge cuts it into several parts
        this is the longest; the notes name the others.

    Raises
    ------
    PlanError
        No distance; nothing of the line on the planked surface; parallels that cross.
    """
    if not np.isfinite(distance) or distance == 0.0:
        raise PlanError(f"{hull.name}: a parallel line needs a distance", "", "give it in mm, not 0")
    side, far = np.sign(distance), abs(distance)
    sheaf = _run_on(hull, line.curve, [far], side)
    parts = _clipped(hull, sheaf)[0]
    if not parts:
        raise PlanError(
            f"{hull.name}: nothing of the line {far:.0f} mm "
            f"{'below' if side > 0.0 else 'above'} the given one lies on the planked surface",
            f"{hull.frame.side} side", "give a smaller distance",
        )  # fmt: skip
    parts.sort(key=lambda part: -part[0].length)
    notes = [_ends_note(hull, *parts[0])]
    notes += [f"Another part, not used: {_ends_note(hull, *part)}" for part in parts[1:]]
    longest = parts[0][0]
    error = sheaf.error(0) + line.error_position
    bend = float(np.max(np.abs(longest.sample(200).kappa_g)))
    return HullLine(
        "Parallel line", longest, parts[0][1], parts[0][2], error,
        error * bend * longest.length + line.error_length, tuple(notes),
    )  # fmt: skip


def clipped_parallels(hull, base, distances, side=1.0):
    """Parallel curves cut at the edges of the planking.

    The line is run on past its ends only as far as it needs to be: the surface's own
    continuation may run wild farther out.

    Returns
    -------
    list, one for each distance, of lists of parts as `clip_to_boundary` gives them
    """
    return _clipped(hull, _run_on(hull, base, distances, side))


def _clipped(hull, sheaf):
    """Parts of every parallel of a sheaf."""
    curves = [sheaf.curves(k) for k in range(len(sheaf.distances))]
    parts = iter(clip_curves(hull, [curve for some in curves for curve in some], _SHORTEST))
    return [[part for _ in some for part in next(parts)] for some in curves]


def _run_on(hull, base, distances, side):
    """The sheaf, run on past the line's ends until its parallels begin and end off the planking."""
    sheaf = Sheaf(hull, base, distances, side)
    for share in _OVERRUNS:
        sheaf.run_on(share * sheaf.distances[-1])
        if sheaf.reaches_out():
            break
    sheaf.refine()
    return sheaf


def _ends_note(hull, curve, s_fore, s_aft):
    """In words, where a part of a line ends."""
    x = curve.points([0.0, curve.length])[:, 0]
    where = []
    for at, s in zip(x, (s_fore, s_aft)):
        if s is None:
            edge = "sheer"
        elif s <= hull.s_stem_end:
            edge = "stem"
        else:
            edge = "stern" if s >= hull.s_stern_start else "rabbet"
        where.append(f"the {edge} at {hull.frame.station_label(at)}")
    return f"It runs from {where[0]} to {where[1]}."


def parallels(hull, base, distances, overrun, side=1.0):
    """Curves parallel to a line, before they are cut at the edges of the planking.

    Parameters
    ----------
    hull : PlankedSurface
    base : SurfaceCurve
        From the bow aft.
    distances : (k,) increasing, mm
    overrun : float
        How far the line is run on, straight, past both its ends, mm: over the surface's
        own continuation, so that parallels near raked ends have somewhere to start from.
    side : 1.0 or -1.0
        Towards the keel or towards the sheer.

    Returns
    -------
    list of SurfaceCurve, one for each distance
        Of one that leaves the planking on its way the longest part.

    Raises
    ------
    PlanError
        Where neighbouring geodesics cross before they reach a distance (a focal point).
    """
    sheaf = Sheaf(hull, base, distances, side)
    sheaf.run_on(overrun)
    sheaf.refine()
    out = []
    for k, distance in enumerate(sheaf.distances):
        curves = sheaf.curves(k)
        if not curves:
            raise PlanError(
                f"{hull.name}: the surface runs wild {distance:.0f} mm from the given line",
                f"{hull.frame.side} side",
                "choose a smaller distance, or another line to run parallel to",
            )
        out.append(max(curves, key=lambda curve: curve.length))
    return out


def clip_to_boundary(hull, curve, shortest):
    """The parts of a curve that lie on the planked surface.

    Parameters
    ----------
    hull : PlankedSurface
    curve : SurfaceCurve
        From fore aft, both ends outside the planked surface.
    shortest : float
        Parts shorter than this are dropped, mm.

    Returns
    -------
    list of (SurfaceCurve, s_fore, s_aft)
        With the arc lengths on the boundary at both ends; None for an end on the sheer.

    Raises
    ------
    PlanError
        If an end of the curve still lies inside.
    """
    return clip_curves(hull, [curve], shortest)[0]
