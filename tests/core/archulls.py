# SPDX-License-Identifier: LGPL-2.1-or-later
"""Hulls drawn with circular arcs: exact rational quadratics with knots of full multiplicity.

`bilge_arcs` has sections of a straight topside, a circular bilge and a straight floor: its
curvature jumps across two lines that run lengthwise, and so does the parameters' speed.
`waterline_arcs` has waterlines of two circular arcs of unlike radius that are tangent to one
another: the same across a line that runs down the side.
"""

import numpy as np
from scipy.interpolate import make_interp_spline

from strakeplan.core.spline.patch import SplinePatch

__all__ = ["bilge_arcs", "waterline_arcs"]


def bilge_arcs(length=7000.0, rake=500.0, m=9):
    """Sections scaled from one another, bow at x = 0, starboard; u along, v round."""
    rise = np.radians(22.0)  # of the floor
    flare = np.radians(8.0)  # of the topside, from the upright
    corner = np.array([1180.0, -900.0])
    keel = corner + 1180.0 / np.cos(rise) * np.array([-np.cos(rise), -np.sin(rise)])
    up = np.array([np.sin(flare), np.cos(flare)])
    down = np.array([-np.cos(rise), -np.sin(rise)])
    half = 0.5 * (np.pi - np.arccos(up @ down))  # half the arc's opening
    tangent = 420.0  # from the corner to where the arc begins
    a, b = corner + tangent * up, corner + tangent * down
    sheer = corner + 1250.0 * up
    section = np.array([sheer, 0.5 * (sheer + a), a, corner, b, 0.5 * (b + keel), keel])
    weights = np.array([1.0, 1.0, 1.0, np.cos(half), 1.0, 1.0, 1.0])
    knots = np.array([0, 0, 0, 0.4, 0.4, 0.6, 0.6, 1, 1, 1], float)
    t = np.linspace(0.0, 1.0, m)
    size = make_interp_spline(t, 0.1 + 0.9 * np.sin(np.pi * (0.04 + 0.72 * t)) ** 0.9, 3)
    place = make_interp_spline(t, length * t, 3)
    lift = make_interp_spline(t, 250.0 * (1.4 * t - 0.8) ** 2, 3)
    poles = np.empty((m, 7, 3))
    # in proportion to the depth: a section leans as a whole and keeps its tangents
    lean = rake * (1.0 - t)[:, None] * ((sheer[1] - section[:, 1]) / (sheer[1] - keel[1]))[None]
    poles[..., 0] = place.c[:, None] + lean
    poles[..., 1] = size.c[:, None] * section[:, 0]
    poles[..., 2] = size.c[:, None] * section[:, 1] + lift.c[:, None]
    poles[:, -1, 1] = 0.0
    return SplinePatch(3, 2, size.t, knots, poles, np.broadcast_to(weights, (m, 7)))


def waterline_arcs(fore=9000.0, aft=16000.0, length=6000.0, rake=450.0, counter=-0.5, k=7):
    """Waterlines of two arcs (radii `fore` and `aft`), bow at x = 0, starboard; u along.

    The stern leans by `counter` times the stem's rake: forward going down where negative.
    """
    share = 0.45 * length  # x of the greatest half-breadth, where the arcs are tangent
    opening = np.arcsin(share / fore)
    beam = fore * (1.0 - np.cos(opening))
    back = np.arcsin((length - share) / aft)
    tail = beam - aft * (1.0 - np.cos(back))
    line = np.array([
        [0.0, 0.0], [share - fore * np.tan(opening / 2.0), beam], [share, beam],
        [share + aft * np.tan(back / 2.0), beam], [length, tail],
    ])  # fmt: skip
    weights = np.array([1.0, np.cos(opening / 2.0), 1.0, np.cos(back / 2.0), 1.0])
    knots = np.array([0, 0, 0, 0.5, 0.5, 1, 1, 1], float)
    w = np.linspace(0.0, 1.0, k)
    full = make_interp_spline(w, 1.0 - 0.12 * w - 0.88 * w**3, 3)
    depth = make_interp_spline(w, 700.0 - 1300.0 * w**1.2, 3)
    lean = make_interp_spline(w, rake * w, 3)
    poles = np.empty((5, k, 3))
    poles[..., 0] = line[:, :1] + lean.c[None] * (1.0 + (counter - 1.0) * line[:, :1] / length)
    poles[..., 1] = line[:, 1:] * full.c[None]
    poles[..., 2] = depth.c[None]
    poles[:, -1, 1] = poles[0, :, 1] = 0.0
    return SplinePatch(2, 3, knots, full.t, poles, np.repeat(weights[:, None], k, axis=1))
