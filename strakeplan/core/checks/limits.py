# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a strake may ask of its wood and of its builder.

Every limit is the user's to set, and ``None`` means that it is not looked at. No limit of edge
set or strain for planking was found in print: all defaults are common practice, no source,
rounded, meant for carvel planking of softwood about 25 to 32 mm thick.
"""

from dataclasses import dataclass, fields
from typing import Optional, Tuple

import numpy as np

from ..errors import PlanError

__all__ = ["Limits"]


@dataclass(frozen=True)
class Limits:
    """Limits for the checks; all defaults are common practice, no source.

    Attributes
    ----------
    hood_end : mm
        Least breadth along the stem and the stern edge: 25 mm takes no two fastenings,
        50 to 64 mm is wanted.
    widest : mm
        Greatest width square to the middle line: wide planks cup, split and cannot be edge-set.
    narrowest : mm
        Least width square to the middle line along the strake, pointed wedges apart.
    taper : mm per metre
        Greatest change of width, of strakes that are not always spiled.
    edge_set : mm
        Of a straight plank of the length on hand.
    force : N
        At mid-length of a plank between free ends, one clamp: what one hand winds up on a bar
        clamp.
    stand_off : mm
        By which an edge stands off the frames while the plank is sprung and not yet held down.
    hold_down : N
        Clamp force at a frame that holds that edge down.
    share : ratio
        Of the breaking strain at the worst corner, edgewise, flatwise and compound added.
    shear : ratio
        Shear from twist, as a share of the shear that breaks.
    buckling : ratio
        Springing force over the force at which the strip buckles sideways: above 1 it flips.
    bend_cold, bend_steamed : ratio
        Least radius over thickness across the flat, put on cold and steamed.
    frame_force : N
        Clamp force at a frame to bend and twist the plank home on the flat, cold: what a screw
        clamp gives.
    twist, twist_steamed : radians/mm
        Greatest twist over a metre, put on cold and steamed (0.35e-3 is 20 degrees).
    twist_in_all : radians
        Between the two ends of any plank of the length on hand.
    hollow : mm
        Greatest depth of backing out.
    stock : mm
        Thickness of the stock on hand.
    compound : ratio
        Strain that double curvature asks, at the edges.
    tuck_angle : radians
        At which a seam crosses the tuck.
    fairness : mm
        Departure from a fair curve that a jump of edgewise bending makes over the length an
        eye takes in.
    line_clear : mm
        Between a seam and a given line it does not lie on.
    board : mm
        Width of the widest board on hand, for strakes that are spiled.
    always_spiled : tuple of str
        Rules of strakes that are never sprung.
    """

    hood_end: Optional[float] = 50.0
    widest: Optional[float] = 150.0
    narrowest: Optional[float] = 30.0
    taper: Optional[float] = 60.0
    edge_set: Optional[float] = 80.0
    force: Optional[float] = 2000.0
    stand_off: Optional[float] = 40.0
    hold_down: Optional[float] = 1000.0
    share: Optional[float] = 0.5
    shear: Optional[float] = 0.75
    buckling: Optional[float] = 1.0
    bend_cold: Optional[float] = 100.0
    bend_steamed: Optional[float] = 25.0
    frame_force: Optional[float] = 5000.0
    twist: Optional[float] = np.radians(25.0) / 1000.0
    twist_steamed: Optional[float] = np.radians(45.0) / 1000.0
    twist_in_all: Optional[float] = np.radians(60.0)
    hollow: Optional[float] = 8.0
    stock: Optional[float] = None
    compound: Optional[float] = 1.0e-3
    tuck_angle: Optional[float] = np.radians(35.0)
    fairness: Optional[float] = 2.0
    line_clear: Optional[float] = 20.0
    board: Optional[float] = 300.0
    always_spiled: Tuple[str, ...] = ("garboard",)

    def __post_init__(self):
        for field in fields(self):
            value = getattr(self, field.name)
            if field.name == "always_spiled" or value is None:
                continue
            if not np.isfinite(value) or value <= 0.0:
                raise PlanError(
                    f"a limit of {value:g} for {field.name.replace('_', ' ')} cannot be kept", "",
                    "give a figure above 0, or none where it is not to be looked at",
                )  # fmt: skip
