# SPDX-License-Identifier: LGPL-2.1-or-later
"""Forces that put a plank on, each with its end conditions named.

Newton, mm, MPa. ``E`` is the true modulus along the grain (`Wood.along`, about a tenth above
the tabulated one): planks are long for their depth, so the shear that lowers the tabulated
figure (spans of 14 depths) does not help the builder. ``G`` is `Wood.shear_modulus`.

Forces are estimates for clear, straight-grained wood with no friction; wood held for hours
creeps and pulls less.
"""

import numpy as np

from .mechanics import second_moments, torsion_constant

__all__ = [
    "END_CONDITIONS",
    "bend_home_force",
    "buckling_force",
    "clamp_forces",
    "one_clamp_force",
    "three_clamp_force",
    "tip_force",
    "twist_home_force",
]

# what each figure supposes, as a builder reads it
END_CONDITIONS = {
    "one_clamp_force": "ends bearing on the strake before and free to turn, one clamp at mid-length; "
    "the seam is then not yet closed at the quarters",
    "three_clamp_force": "ends bearing on the strake before and free to turn, clamps at the quarters and at "
    "mid-length, all drawn home; at mid-length the seam then bears by itself",
    "tip_force": "one end fastened so that it cannot turn, the other drawn home by one clamp",
    "bend_home_force": "fastened fair at the frame before, the clamp at the next frame, free beyond",
    "twist_home_force": "one edge tight, the clamp at the other edge",
    "buckling_force": "ends held upright but free to bend sideways, force at mid-length and at mid-width",
}

_QUARTERS = np.array([0.25, 0.5, 0.75])


def one_clamp_force(E, width, thickness, edge_set, length):
    """Force of one clamp at mid-length that springs a plank edgewise, 48 E I d / l^3.

    A beam on two supports with its load in the middle (any beam table). Its curvature in the
    middle is 12 d / l^2, half as much again as the fair curve's 8 d / l^2, and at the quarters
    it is d/16 short of the fair curve: the seam is not yet closed there.

    Parameters
    ----------
    E : (...) MPa
        True modulus along the grain.
    width, thickness : (...) mm
    edge_set : (...) mm
        d, from the chord at mid-length.
    length : (...) mm

    Returns
    -------
    (...) N
    """
    return 48.0 * E * second_moments(width, thickness).edgewise * edge_set / np.power(length, 3.0)


def three_clamp_force(E, width, thickness, edge_set, length):
    """Greatest force of three clamps that close the seam, 384/7 E I d / l^3.

    Clamps at the quarters and in the middle bring the plank to the fair curve's offsets 3/4 d,
    d, 3/4 d. The outer two pull 384/7 E I d / l^3 each; in the middle the plank would go too
    far and bears on the strake before by half as much, so the third clamp is slack. Three clamps
    ask no less of each than one does: they close the seam. See `clamp_forces`.

    Parameters
    ----------
    E, width, thickness, edge_set, length : as for `one_clamp_force`

    Returns
    -------
    (...) N, of each of the two outer clamps
    """
    return 384.0 / 7.0 * E * second_moments(width, thickness).edgewise * edge_set / np.power(length, 3.0)


def clamp_forces(E, width, thickness, offsets, length, places=_QUARTERS):
    """Forces at several places that bring a straight plank to given offsets from its chord.

    A beam on two supports. A load P at b moves the place x < b by P x (l - b)
    (l^2 - x^2 - (l - b)^2) / (6 E I l) (any beam table).

    Parameters
    ----------
    E, width, thickness, length : (...)
    offsets : (..., k) mm
    places : (k,)
        Shares of the length.

    Returns
    -------
    (..., k) N; negative where the plank bears on its neighbour instead
    """
    x = np.minimum.outer(places, places)
    b = 1.0 - np.maximum.outer(places, places)
    gives = x * b * (1.0 - x**2 - b**2) / 6.0
    stiff = np.asarray(E * second_moments(width, thickness).edgewise / np.power(length, 3.0))
    return stiff[..., None] * (np.asarray(offsets, float) @ np.linalg.inv(gives))


def tip_force(E, width, thickness, edge_set, length):
    """Force at the tip of a plank whose other end is fastened, 12 E I d / l^3.

    A cantilever, 3 E I D / l^3 (any beam table), drawn in by D = kappa l^2 / 2 = 4 d, d being the
    edge set kappa l^2 / 8 of the same curve: a quarter of the one-clamp force.

    Parameters
    ----------
    E, width, thickness, edge_set, length : as for `one_clamp_force`

    Returns
    -------
    (...) N
    """
    return 12.0 * E * second_moments(width, thickness).edgewise * edge_set / np.power(length, 3.0)


def bend_home_force(E, width, thickness, kappa_n, spacing):
    """Force at a frame that bends the plank home on it across the flat, 3/2 E I |kappa_n| / a.

    The plank is fastened fair at the frame before and drawn in by kappa_n a^2 / 2 at the next:
    a cantilever, 3 E I D / a^3.

    Parameters
    ----------
    E : (...) MPa
        True modulus along the grain, of unsteamed wood.
    width, thickness : (...) mm
    kappa_n : (...) 1/mm
    spacing : (...) mm
        Distance a of the frames.

    Returns
    -------
    (...) N
    """
    return 1.5 * E * second_moments(width, thickness).flat * np.abs(kappa_n) / spacing


def twist_home_force(G, width, thickness, twist):
    """Force at one edge that twists the plank home, G J |twist| / w.

    Parameters
    ----------
    G : (...) MPa
    width, thickness : (...) mm
    twist : (...) radians/mm

    Returns
    -------
    (...) N; 0 where the plank has run out to a point
    """
    width = np.asarray(width, float)
    torque = G * torsion_constant(width, thickness) * np.abs(twist)
    return np.divide(torque, width, out=np.zeros(np.shape(torque)), where=width > 0.0)


def buckling_force(E, G, width, thickness, length):
    """Force at mid-length that makes a strip sprung edgewise flip sideways.

    16.94 sqrt(E I_flat G J) / l^2 (Timoshenko and Gere, Theory of Elastic Stability, lateral
    buckling of a narrow strip on two supports under a central load; from memory). Ends held
    upright; nothing in between holds the plank to the frames.

    Parameters
    ----------
    E, G : (...) MPa
    width, thickness, length : (...) mm

    Returns
    -------
    (...) N; a springing force near it wants the plank held down before it is sprung
    """
    flat = E * second_moments(width, thickness).flat
    return 16.94 * np.sqrt(flat * G * torsion_constant(width, thickness)) / np.square(length)
