# SPDX-License-Identifier: LGPL-2.1-or-later
"""Planks bent across the flat and twisted home."""

from dataclasses import dataclass

import numpy as np

from ..develop import integrated
from ..wood.forces import bend_home_force, twist_home_force
from ..wood.mechanics import bend_ratio, twist_shear
from .places import Along, greatest, least
from .windows import mean_over_planks, over_planks

__all__ = ["METRE", "Bending", "check_bending"]

METRE = 1000.0  # mm: twist is told over it


@dataclass(frozen=True, eq=False)
class Bending:
    """Bend and twist along m strakes.

    Attributes
    ----------
    radius : Along
        mm, along the strake, positive round a convex hull, negative in a hollow; infinite
        where it is straight. `worst` is the one of the least size.
    over_thickness : Along
        Size of the radius over the thickness, R / t; `worst` is the least.
    bend_force : Along
        N, clamp force at a frame that bends the plank home on the flat: fastened at the frame
        before, the rest of it hanging free.
    twist_force : Along
        N, clamp force at a frame that twists it home, the plank pivoting on one edge.
    frame_force : Along
        N, the two together.
    rate : Along
        Twist, radians/mm, positive as the geodesic torsion; `worst` is the one of the
        greatest size.
    metre : Along
        Twist over the metre centred at every place (over all of a shorter strake), moved inside
        the strake's ends, as a mean rate, radians/mm: what a bevel board reads between two marks
        a metre apart; in the same way.
    in_all : Along
        Twist between the two ends of the plank centred at every place, radians; in the same
        way.
    whole : (m,)
        Twist between the two ends of the strake, radians.
    shear : Along
        Strain in shear that the twist asks.
    """

    radius: Along
    over_thickness: Along
    bend_force: Along
    twist_force: Along
    frame_force: Along
    rate: Along
    metre: Along
    in_all: Along
    whole: np.ndarray
    shear: Along


def check_bending(strakes, wood, thickness, plank_length, frame_spacing):
    """Checks of planks bent and twisted home on the flat.

    Parameters
    ----------
    strakes : StrakeSamples
    wood : Wood
    thickness : float
        mm.
    plank_length : float or (m,)
        mm.
    frame_spacing : float
        mm.

    Returns
    -------
    Bending
    """
    w, bend, twist = strakes.width, strakes.bend, strakes.twist
    with np.errstate(divide="ignore"):
        radius = 1.0 / bend
    ratio = bend_ratio(thickness, bend)
    tight = least(ratio)
    tight = Along(ratio, np.where(np.isnan(tight.worst), np.inf, tight.worst), tight.index)  # straight all along
    bent = greatest(bend_home_force(wood.along, w, thickness, bend, frame_spacing))
    twisted = greatest(twist_home_force(wood.shear_modulus, w, thickness, twist))
    metre = mean_over_planks(twist, strakes.s, METRE)
    in_all = over_planks(twist, strakes.s, plank_length)
    whole = integrated(twist, strakes.s[:, 1])[:, -1]
    return Bending(
        _with_sign(radius, tight.index), tight, bent, twisted, greatest(bent.value + twisted.value),
        _with_sign(twist, greatest(np.abs(twist)).index), _with_sign(metre, greatest(np.abs(metre)).index),
        _with_sign(in_all, greatest(np.abs(in_all)).index), whole, greatest(twist_shear(w, thickness, twist)),
    )  # fmt: skip


def _with_sign(value, index):
    return Along(value, np.take_along_axis(value, index[:, None], 1)[:, 0], index)
