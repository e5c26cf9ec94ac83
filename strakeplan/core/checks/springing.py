# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a strake asks of a straight plank sprung edgewise: edge set, strain, force and roll."""

from dataclasses import dataclass

import numpy as np

from ..develop import edge_sets, laid_flat
from ..wood.forces import buckling_force, one_clamp_force
from ..wood.mechanics import bend_strain, compound_strain, edgewise_strain
from ..wood.roll import hold_down, plank_roll
from .places import Along, greatest
from .windows import between, even_widths, mean_over_planks, stretch, stubs

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
        sprung at its tip takes about a quarter of it. Of a run that goes on as a plank beyond
        its ends, for a plank of the length on hand bent as much; nan for a stub of one. A plank
        that tapers is reckoned as the even beam that bends as far.
    roll : (m,)
        Greatest angle, radians, by which the plank rolls off the frames that wants to roll
        most, its ends held flat; a right angle where it finds no rest and flips.
    roll_at : (m,) int
        The place where an edge stands off most.
    stand_off : (m,)
        mm by which it does; its width for a plank that flips.
    upper_off : (m,) bool
        It is the upper edge.
    hold_down : Along
        N, clamp force per frame that holds the plank flat, at the edge that would stand off;
        `worst` leaves out a frame spacing at either end, where the plank is fastened.
    buckling : (m,)
        The greatest springing force over the force at which the strip buckles sideways.
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
    buckling: np.ndarray


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
    steamed : bool or (m,)
        Which planks are steamed, so that they take their bend across the flat without strain.
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
    cold = np.reshape(~np.asarray(steamed, bool), (-1, 1))
    flatwise = greatest(bend_strain(thickness, strakes.bend) * cold)
    compound = compound_strain(w, strakes.gauss).edge
    rest = flatwise.value + np.abs(compound)
    bend = -strakes.bend
    down = hold_down(
        s, w, thickness, strakes.edgewise, bend, strakes.twist, wood.along, wood.shear_modulus, frame_spacing
    )
    # a force wants the widths of the whole plank, not that of one place of it
    breadth = even_widths(w, s, plank_length, thickness)
    torque = mean_over_planks(down.torque, s, plank_length)
    # the same bending over a longer plank: edge set as the square of the length
    long = np.where(_goes_on(strakes), np.broadcast_to(plank_length, sets.window.shape), sets.window)[:, None]
    sprung = sets.value * np.square(long / sets.window[:, None])
    clamp = one_clamp_force(wood.along, breadth, thickness, sprung, long)
    force = greatest(np.where(stubs(strakes, plank_length)[:, None], np.nan, clamp))
    rows = np.arange(len(s))
    critical = buckling_force(wood.along, wood.shear_modulus, breadth[rows, force.index], thickness, long[:, 0])
    # at its ends a plank is fastened, and its width there is the hood end's
    held = greatest(down.force, (s > frame_spacing) & (s < s[:, -1:] - frame_spacing))
    # the plank that wants to roll most: the one that is hardest to hold down all along
    turning = np.argmax(np.abs(torque), axis=1)
    at = stretch(s, s[rows, turning], plank_length, _PLACES)
    of = between(np.stack([w, strakes.edgewise, bend, strakes.twist]), s, at)
    rolled = plank_roll(at, of[0], thickness, *of[1:], shear_ratio=wood.shear_modulus / wood.along, error=False)
    flips = np.isnan(rolled.angle).any(axis=1)
    most = np.abs(compound).argmax(axis=1)
    return Springing(
        edge, sets.window, edgewise, flatwise, Along(compound, compound[rows, most], most),
        greatest((edgewise.value + rest) / wood.breaking_strain), greatest(rest / wood.breaking_strain), force,
        np.where(flips, 0.5 * np.pi, np.max(np.abs(rolled.angle), axis=1)),
        np.rint(at[rows, rolled.worst] / s[:, 1]).astype(int), np.where(flips, np.max(of[0], axis=1), rolled.most),
        rolled.edge[rows, rolled.worst] < 0, held, force.worst / critical,
    )  # fmt: skip


def _goes_on(strakes):
    """Which runs (m,) are only part of a plank."""
    runs = strakes.runs
    return np.zeros(len(strakes.number), bool) if runs is None else ~np.asarray(runs.whole, bool)
