# SPDX-License-Identifier: LGPL-2.1-or-later
"""The planks: one part for each, named by side and strake from the sheer down."""

from ..core.planks.shape import mirrored, plank_shapes
from ..host.cache import Keyed, Results, digest
from ..host.solids import solid_of
from .base import HIDDEN, READ_ONLY, PlanObject, Property, linked, set_value
from .line_off import LineOffObject, lineoff_of
from .members import add_member, members_of, remove_members

__all__ = ["PlanksObject", "planks_of", "solids_of", "LAYERS"]

#: what the user chooses -> what the core calls it
LAYERS = {"Outside the surface": "outside", "Inside the surface": "inside"}

_planks = Results(4)
_solids = Results(4)


class PlanksObject(PlanObject):
    """Proxy of a hull's planks."""

    KIND = "Planks"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Planks", "Line-off that the planks follow"),
        Property("App::PropertyLength", "Thickness", "Planks", "Thickness of the planking", 25.0),
        Property("App::PropertyEnumeration", "Layer", "Planks",
                 "Side of the modelled surface that the planks lie on", list(LAYERS)),
        Property("App::PropertyBool", "BothSides", "Planks", "Planks for both sides of the ship", True),
        Property("App::PropertyInteger", "PlankCount", "Found", "Number of planks", 0, READ_ONLY),
        Property("App::PropertyLinkListHidden", "Members", "Planks", "The planks", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        named = solids_of(obj).value  # all of them, before any part is touched
        there = members_of(obj)
        wanted = {name for name, _ in named}
        remove_members(obj, [key for key in there if key not in wanted])
        for name, solid in named:
            plank = there.get(name)
            if plank is None:
                plank = add_member(obj, "Part::Feature", name, name.title().replace(" ", ""), name)
            plank.Shape = solid
        set_value(obj, "PlankCount", len(named))


def planks_of(obj):
    """The core's plank shapes of a document object.

    Returns
    -------
    Keyed of list of PlankShape, in model coordinates
    """
    lineoff = lineoff_of(linked(obj, "LineOff", LineOffObject.KIND, "line-off"))
    thickness, layer, both = obj.Thickness.Value, LAYERS[obj.Layer], obj.BothSides
    key = digest(lineoff.key, thickness, layer, both)

    def make():
        modelled = plank_shapes(lineoff.value, thickness, layer)
        if not both:
            return modelled
        return modelled + [mirrored(lineoff.value.hull, shape) for shape in modelled]

    return Keyed(_planks.get(key, make), key)


def solids_of(obj):
    """The solids of all planks.

    Returns
    -------
    Keyed of list of (name, Part.Solid)
    """
    planks = planks_of(obj)
    return Keyed(
        _solids.get(planks.key, lambda: [(p.name, solid_of(p)) for p in planks.value]),
        planks.key,
    )
