# SPDX-License-Identifier: LGPL-2.1-or-later
"""What all lines on the hull share, and the one way to the core's line of any of them."""

from ..core.errors import PlanError
from ..core.lines.line import HullLine
from ..host import shapes
from ..host.cache import Keyed, digest
from .base import READ_ONLY, PlanObject, Property, kind_of, linked, set_value
from .planked_surface import PlankedSurfaceObject, surface_of

__all__ = ["READ_OUTS", "SURFACE", "LineObject", "is_line", "line_of", "line_or_sheer_of", "surface_object_of_line"]

#: the link of every line that is given on the hull itself
SURFACE = Property("App::PropertyLink", "Surface", "Line", "Planked surface that the line lies on")

#: read-outs of every line
READ_OUTS = (
    Property("App::PropertyLength", "LineLength", "Found", "Length of the line", None, READ_ONLY),
    Property("App::PropertyLength", "ErrorPosition", "Found",
             "Bound of the numerical error of its position", None, READ_ONLY),
    Property("App::PropertyStringList", "Notes", "Found", "What was found and assumed", [], READ_ONLY),
)  # fmt: skip


class LineObject(PlanObject):
    """Proxy of a line from stem to stern; a subclass has `find`."""

    def find(self, obj):
        """Keyed of HullLine; may raise PlanError."""
        raise NotImplementedError

    def surface(self, obj):
        """The planked surface's document object."""
        return linked(obj, "Surface", PlankedSurfaceObject.KIND, "planked surface")

    def build(self, obj):
        line = self.find(obj).value
        obj.Shape = self.shape(obj, line)
        set_value(obj, "LineLength", line.curve.length)
        set_value(obj, "ErrorPosition", line.error_position)
        set_value(obj, "Notes", list(line.notes))
        self.tell(obj, line)

    def shape(self, obj, line):
        """What is shown of the line."""
        return shapes.wire_of(shapes.fit_curve(line.curve, surface_of(self.surface(obj)).value.frame))

    def tell(self, obj, line):
        """Fill the read-outs that only this kind of line has."""


def is_line(obj):
    """Whether a document object is a line from stem to stern."""
    return isinstance(getattr(obj, "Proxy", None), LineObject)


def line_of(obj):
    """The core's line of a document object of any kind of line.

    Parameters
    ----------
    obj : document object with a LineObject

    Returns
    -------
    Keyed of HullLine

    Raises
    ------
    PlanError
    """
    if not is_line(obj):
        raise PlanError(
            f"{getattr(obj, 'Label', 'Nothing')} is no line on the hull",
            remedy="Choose a line from stem to stern",
        )
    return obj.Proxy.find(obj)


def line_or_sheer_of(obj):
    """The same; of a planked surface its sheer is meant.

    Returns
    -------
    Keyed of HullLine
    """
    if kind_of(obj) != PlankedSurfaceObject.KIND:
        return line_of(obj)
    hull = surface_of(obj)
    floor = 1e-13 * hull.value.patch.size  # rounding of the coordinates themselves
    sheer = HullLine("Sheer", hull.value.sheer, 0.0, hull.value.boundary.length, floor, floor)
    return Keyed(sheer, digest(hull.key, "sheer"))


def surface_object_of_line(obj):
    """The planked surface's document object that a line (or the sheer) lies on."""
    if kind_of(obj) == PlankedSurfaceObject.KIND:
        return obj
    if not is_line(obj):
        raise PlanError(
            f"{getattr(obj, 'Label', 'Nothing')} is no line on the hull",
            remedy="Choose a line from stem to stern",
        )
    return obj.Proxy.surface(obj)
