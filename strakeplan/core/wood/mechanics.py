# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strains, forces and depths of planks that are sprung, bent and twisted on to a hull.

All functions work on arrays of any shape that go together. Lengths in mm, curvatures in
1/mm, moduli in N/mm^2 (MPa), forces in N. E is the modulus along the grain without shear
(`Wood.along`); every force names the ends of the plank that it holds for.

References
----------
Beam formulas: any beam table. Lateral buckling: S. Timoshenko and J. M. Gere, *Theory of
Elastic Stability*, McGraw-Hill (from memory). Sharing of strain across a strip on a doubly
curved surface: own derivation, in the docstrings.
"""

import numpy as np

from .torsion import shear_strain, torsion_constant

__all__ = [
    "bend_home_force", "buckling_force", "compound_strain", "compound_unrelaxed", "edgewise_strain",
    "flatwise_strain", "force_at_middle", "force_at_tip", "force_at_three", "hollow_depth", "second_moments",
    "shear_strain", "stock_thickness", "torsion_constant", "twist_home_force", "worst_corner",
]  # fmt: skip


def second_moments(width, thickness):
    """Second moments of area (edgewise t w^3/12, flatwise w t^3/12), mm^4."""
    return thickness * width**3 / 12.0, width * thickness**3 / 12.0


# --- strains -------------------------------------------------------------------------------
def edgewise_strain(width, edgewise):
    """Strain at the edges of a plank sprung edgewise: w |kappa_g| / 2."""
    return 0.5 * width * np.abs(edgewise)


def flatwise_strain(thickness, bend):
    """Strain at the faces of a plank bent across its flat: t |kappa_n| / 2."""
    return 0.5 * thickness * np.abs(bend)


def compound_strain(width, gauss):
    """Strain at the edges that double curvature asks of a straight board: -K w^2 / 12.

    A straight strip laid on a surface of Gauss curvature K wants a strain -K y^2/2 at y from
    its middle line. With no force along it the mean of the strain is nought: K w^2/24 in the
    middle and -K w^2/12 at the edges. Negative is pressed.

    Parameters
    ----------
    width : (...) mm
    gauss : (...) 1/mm^2
    """
    return -gauss * width**2 / 12.0


def compound_unrelaxed(width, gauss):
    """The same where the middle line keeps its length: -K w^2 / 8 at the edges."""
    return -gauss * width**2 / 8.0


def worst_corner(edgewise, flatwise, compound):
    """Strain at the worst corner of the section: all three are greatest there, and add up.

    At one corner the edgewise and the flatwise strain pull, at the opposite one both press;
    compound strain has one sign at both edges and joins one of them.
    """
    return np.abs(edgewise) + np.abs(flatwise) + np.abs(compound)


# --- forces --------------------------------------------------------------------------------
def force_at_middle(modulus, second_moment, sprung, length):
    """One clamp at mid-length, both ends free to turn: F = 48 E I d / l^3.

    The plank's curvature under the clamp is then 12 d / l^2, half as much again as the
    8 d / l^2 of the fair curve: the seam is closed at the clamp and not yet elsewhere.

    Parameters
    ----------
    sprung : (...) distance d from the chord, mm
    length : (...) mm
    """
    return 48.0 * modulus * second_moment * sprung / length**3


def force_at_three(modulus, second_moment, sprung, length):
    """Each of three equal clamps at the quarters, both ends free to turn: 768/38 E I d / l^3.

    By the deflections of a beam on two supports: 11/768, 1/48 and 11/768 F l^3 / E I at
    mid-length from loads at the quarters and the middle.
    """
    return 768.0 / 38.0 * modulus * second_moment * sprung / length**3


def force_at_tip(modulus, second_moment, sprung, length):
    """One end fastened, sprung home at its tip: F = 12 E I d / l^3, a quarter of mid-length.

    The tip of a plank fastened at one end stands 4 d off a curve that departs d from its
    chord; F = 3 E I (4 d) / l^3.
    """
    return 12.0 * modulus * second_moment * sprung / length**3


def bend_home_force(modulus, second_moment, bend, spacing):
    """Clamp at a frame that bends the free tip home on the flat: F = 3 E I |kappa_n| / 2 a.

    The plank is fastened at the frame before; from there its tip, at the frame's distance a,
    stands |kappa_n| a^2 / 2 off. Cold wood; steam takes most of it away.
    """
    return 1.5 * modulus * second_moment * np.abs(bend) / spacing


def twist_home_force(shear_modulus, torsion, twist, width):
    """Clamp at one edge that twists the plank home: F = G J |tau| / w, the other edge tight."""
    return shear_modulus * torsion * np.abs(twist) / width


def buckling_force(modulus, flat_moment, shear_modulus, torsion, length):
    """Load at mid-length at which a narrow strip on edge buckles sideways: 16.94 sqrt(E I_y G J) / l^2.

    Both ends free to turn but kept from rolling.
    """
    return 16.94 * np.sqrt(modulus * flat_moment * shear_modulus * torsion) / length**2


# --- thickness -----------------------------------------------------------------------------
def hollow_depth(width, across):
    """Depth of backing out of the inner face, w^2 kappa_t / 8, mm; 0 where it is hollow the other way."""
    return np.maximum(width**2 * across / 8.0, 0.0)


def stock_thickness(thickness, width, across):
    """Thickness of the board that a plank is got out of, mm.

    The inner hollow and the outer round share one chord: the depth counts once. Where the
    hull is hollow across the strake the inner face is rounded instead, by as much.
    """
    return thickness + width**2 * np.abs(across) / 8.0
