# SPDX-License-Identifier: LGPL-2.1-or-later
"""What strakes are planked with, and the limits they have to keep, as properties."""

import math
from dataclasses import dataclass, replace

from ..core.checks.limits import Limits
from ..core.checks.verdict import Job
from .base import Property
from .wood_choice import WOOD_PROPERTIES, wood_of

__all__ = [
    "JOB_PROPERTIES", "LIMITS", "LIMIT_PROPERTIES", "Limited", "STEAM", "job_of", "limit_properties", "limits_among",
    "limits_of",
]  # fmt: skip

#: what the user chooses -> what the core calls it
STEAM = {"Where needed": "where needed", "Never": "never", "Always": "always"}

JOB_PROPERTIES = (
    *WOOD_PROPERTIES,
    Property("App::PropertyLength", "Thickness", "Planks", "Thickness of the planks, finished", 28.0),
    Property("App::PropertyLength", "PlankLength", "Planks", "Length of the planks on hand", 5000.0),
    Property("App::PropertyLength", "FrameSpacing", "Planks", "Distance of the frames, middle to middle", 350.0),
    Property("App::PropertyEnumeration", "Steamed", "Planks", "Which strakes are steamed", list(STEAM)),
)  # fmt: skip

_LENGTH, _FORCE, _ANGLE, _NUMBER = (f"App::Property{name}" for name in ("Length", "Force", "Angle", "Float"))
_PRACTICE = "0: not looked at. The default is common practice, no source"


@dataclass(frozen=True)
class Limited:
    """A limit as a property.

    Attributes
    ----------
    field : str
        Of the core's `Limits`.
    part, type, group : str
        The property's; its name is "Limit" and the part.
    label, doc : str
        For panels, and what is limited.
    share : bool
        A number that is shown in per cent.
    per_metre : bool
        Counted over a metre.
    """

    field: str
    part: str
    type: str
    group: str
    label: str
    doc: str
    share: bool = False
    per_metre: bool = False

    @property
    def name(self):
        """The property's name."""
        return f"Limit{self.part}"

    @property
    def default(self):
        """The default, as the property takes it."""
        return self.shown(getattr(Limits(), self.field))

    def shown(self, value):
        """A limit in the core's units (None for none), as the property takes it."""
        if value is None:
            value = 0.0
        if self.type == _FORCE:
            return f"{value!r} N"
        if self.type == _ANGLE:
            # to the digits that are meant: radians and back do not give 25 again
            return round(math.degrees(value) * (1000.0 if self.per_metre else 1.0), 9)
        return value

    def read(self, obj):
        """The limit in the core's units; None where it is not looked at."""
        value = getattr(obj, self.name)
        if self.type == _FORCE:
            value = float(value.getValueAs("N"))
        value = float(getattr(value, "Value", value))
        if self.type == _ANGLE:
            value = math.radians(value) / (1000.0 if self.per_metre else 1.0)
        return value or None


_WIDTHS, _SPRING, _BEND, _SHAPE, _SEAMS = (
    f"Limits: {name}" for name in ("widths", "springing", "bend and twist", "stock", "seams")
)

LIMITS = (
    Limited("hood_end", "HoodEnd", _LENGTH, _WIDTHS, "Hood ends", "Least breadth along the stem and the stern"),
    Limited("widest", "Widest", _LENGTH, _WIDTHS, "Widest", "Greatest width square to a strake"),
    Limited("narrowest", "Narrowest", _LENGTH, _WIDTHS, "Narrowest",
            "Least width square to a strake; pointed wedges apart"),
    Limited("taper", "Taper", _LENGTH, _WIDTHS, "Taper in 1 m", "Greatest change of width in a metre of strake"),
    Limited("edge_set", "EdgeSet", _LENGTH, _SPRING, "Edge set", "Edge set of a plank of the length on hand"),
    Limited("force", "Force", _FORCE, _SPRING, "Clamp force",
            "Force of one clamp at mid-length, ends free to turn, that springs the plank"),
    Limited("share", "BreakingShare", _NUMBER, _SPRING, "Breaking strain",
            "Share of the breaking strain at the worst corner", True),
    Limited("stand_off", "StandOff", _LENGTH, _SPRING, "Stands off",
            "By how much an edge may stand off the frames while the plank is sprung and not held down"),
    Limited("hold_down", "HoldDown", _FORCE, _SPRING, "Hold-down",
            "Clamp force at a frame that holds that edge down"),
    Limited("buckling", "Buckling", _NUMBER, _SPRING, "Buckling",
            "Springing force as a share of the force at which the strip buckles sideways", True),
    Limited("bend_cold", "BendCold", _NUMBER, _BEND, "R/t cold",
            "Least radius over thickness across the flat, put on cold"),
    Limited("bend_steamed", "BendSteamed", _NUMBER, _BEND, "R/t steamed", "The same, put on steamed"),
    Limited("frame_force", "FrameForce", _FORCE, _BEND, "Frame force",
            "Clamp force at a frame that bends and twists the plank home on the flat, cold"),
    Limited("twist", "Twist", _ANGLE, _BEND, "Twist/m cold", "Greatest twist over a metre, put on cold", False, True),
    Limited("twist_steamed", "TwistSteamed", _ANGLE, _BEND, "Twist/m steamed", "The same, put on steamed", False, True),
    Limited("twist_in_all", "TwistInAll", _ANGLE, _BEND, "Twist in all", "Twist between the ends of a plank"),
    Limited("shear", "BreakingShear", _NUMBER, _BEND, "Breaking shear",
            "Shear from twist as a share of the shear that breaks", True),
    Limited("hollow", "Hollow", _LENGTH, _SHAPE, "Hollow", "Greatest depth of backing out"),
    Limited("stock", "Stock", _LENGTH, _SHAPE, "Stock", "Thickness of the stock on hand"),
    Limited("board", "Board", _LENGTH, _SHAPE, "Widest board", "Widest board on hand, for strakes that are spiled"),
    Limited("compound", "Compound", _NUMBER, _SHAPE, "Compound",
            "Strain at the edges that double curvature asks", True),
    Limited("tuck_angle", "TuckAngle", _ANGLE, _SEAMS, "Across the tuck", "Angle at which a seam may cross the tuck"),
    Limited("fairness", "Fairness", _LENGTH, _SEAMS, "Unfairness",
            "Departure from a fair curve over the 2 m that an eye takes in"),
    Limited("line_clear", "ClearOfLines", _LENGTH, _SEAMS, "Clear of lines",
            "Distance that seams keep from given lines they do not lie on"),
)  # fmt: skip


def limit_properties(limits):
    """Properties of some of LIMITS."""
    return tuple(Property(one.type, one.name, one.group, f"{one.doc}. {_PRACTICE}", one.default) for one in limits)


LIMIT_PROPERTIES = (
    *limit_properties(LIMITS),
    Property("App::PropertyBool", "SpileGarboard", _SHAPE,
             "The garboard is always cut to shape and never sprung", True),
)  # fmt: skip


def job_of(obj):
    """The core's job of a document object with JOB_PROPERTIES.

    Returns
    -------
    Job
    """
    return Job(
        wood_of(obj), obj.Thickness.Value, obj.PlankLength.Value, obj.FrameSpacing.Value, STEAM[obj.Steamed]
    )


def limits_of(obj):
    """The core's limits of a document object with LIMIT_PROPERTIES.

    Returns
    -------
    Limits
    """
    return replace(limits_among(obj, LIMITS), always_spiled=("garboard",) if obj.SpileGarboard else ())


def limits_among(obj, limits):
    """The core's limits of a document object that has the properties of some of LIMITS only."""
    return Limits(**{limited.field: limited.read(obj) for limited in limits})
