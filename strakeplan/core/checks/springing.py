# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a strake asks of a straight plank sprung edgewise: edge set, strain, force and roll."""

from dataclasses import dataclass

import numpy as np

from ..develop import edge_sets, laid_flat
from ..wood.forces import buckling_force, one_clamp_force
from ..wood.mechanics import bend_strain, compound_strain, edgewise_strain
from ..wood.roll import hold_down, plank_roll
from .places import Along, greatest
from .windows import between, mean_over_planks, stretch

__all__ = ["Springing", "check_springing"]

_PLACES = 33  # along the plank whose roll is worked out


@dataclass(frozen=True, eq=False)
class Springing:
    """Planks of m strakes sprung edgewise.

    Attributes
    ----------
    edge_set : Along
        mm, of the plank of the length on hand centred at every place.
    plank : (m,)
        Its length, mm: the strake's own where that is shorter.
    edgewise : Along
        Strain of the edges, w |kappa_g| / 2.
    flatwise : Along
        Strain of the faces, t |kappa_n| / 2; nothing where the plank is steamed, for it takes
        its bend then without keeping the strain.
    compound : Along
        Strain of the edges that double curvature asks, positive where they are stretched;
        `worst` is the one of the greatest size.
    share, share_spiled : Along
        Share of the breaking strain at the worst corner: the three added; and the last two
        alone, for a plank that is cut to shape.
    force : Along
        N, at mid-length: one clamp between two ends that are free to turn. A fastened plank
        sprung at its tip takes about a quarter of it.
    roll : (m,)
        Greatest angle, radians, by which the plank rolls off the frames that wants to roll
        most, its ends held flat; infinite where it finds no rest and flips.
    roll_at : (m,) int
        The place where an edge stands off most.
    stand_off : (m,)
        mm by which it does; infinite for a plank that flips.
    upper_off : (m,) bool
        It is the upper edge.
    hold_down : Along
        N, clamp force per frame that holds the plank flat, at the edge that would stand off.
    buckling : Along
        Springing force over the force at which the strip buckles sideways.
    """

    edge_set: Along
    plank: np.ndarray
    edgewise: Along
    flatwise: Along
    compound: Along
    share: Along
    share_spiled: Along
    force: Along
    roll: np.ndarray
    roll_at: np.ndarray
    stand_off: np.ndarray
    upper_off: np.ndarray
    hold_down: Along
    buckling: Along


def check_springing(strakes, wood, thickness, plank_length, frame_spacing, steamed=False, flat=None):
    """Checks of planks sprung edgewise.

    Parameters
    ----------
    strakes : StrakeSamples
    wood : Wood
    thickness : float
        mm.
    plank_length : float or (m,)
        Of the planks on hand, mm.
    frame_spacing : float
        mm.
    steamed : bool
        The planks are steamed, so that they take their bend across the flat without strain.
    flat : LaidFlat, optional
        The strakes' middle lines, where they are laid flat already.

    Returns
    -------
    Springing
    """
    s, w = strakes.s, strakes.width
    flat = laid_flat(s, strakes.edgewise) if flat is None else flat
    sets = edge_sets(flat, plank_length)
    edge = Along(sets.value, sets.most, sets.index)
    edgewise = greatest(edgewise_strain(w, strakes.edgewise))
    flatwise = greatest(np.zeros(w.shape) if steamed else bend_strain(thickness, strakes.bend))
    compound = compound_strain(w, strakes.gauss).edge
    rest = flatwise.value + np.abs(compound)
    # a force wants the breadth of the whole plank, not of one place of it
    breadth, window = mean_over_planks(w, s, plank_length), sets.window[:, None]
    force = greatest(one_clamp_force(wood.along, breadth, thickness, sets.value, window))
    critical = buckling_force(wood.along, wood.shear_modulus, breadth, thickness, window)
    bend = -strakes.bend
    down = hold_down(
        s, w, thickness, strakes.edgewise, bend, strakes.twist, wood.along, wood.shear_modulus, frame_spacing
    )
    # the plank that wants to roll most: the one that is hardest to hold down all along
    turning = np.argmax(np.abs(mean_over_planks(down.torque, s, plank_length)), axis=1)
    rows = np.arange(len(s))
    at = stretch(s, s[rows, turning], plank_length, _PLACES)
    of = (between(f, s, at) for f in (w, strakes.edgewise, bend, strakes.twist))
    rolled = plank_roll(at, next(of), thickness, *of, shear_ratio=wood.shear_modulus / wood.along, error=False)
    flips = np.isnan(rolled.angle).any(axis=1)
    most = np.abs(compound).argmax(axis=1)
    return Springing(
        edge, sets.window, edgewise, flatwise, Along(compound, compound[rows, most], most),
        greatest((edgewise.value + rest) / wood.breaking_strain), greatest(rest / wood.breaking_strain), force,
        np.where(flips, np.inf, np.max(np.abs(rolled.angle), axis=1)),
        np.rint(at[rows, rolled.worst] / s[:, 1]).astype(int), np.where(flips, np.inf, rolled.most),
        rolled.edge[rows, rolled.worst] < 0, Along(down.force, down.most, down.worst), greatest(force.value / critical),
    )  # fmt: skip
