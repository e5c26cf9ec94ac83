# SPDX-License-Identifier: LGPL-2.1-or-later
"""View providers: how the objects look in the tree and in the 3D view."""

from ..host import compat
from ..objects.base import kind_of
from ..objects.members import KEY, MEMBERS, OWNER
from .icons import icon

__all__ = ["LINES", "PlanView", "attach", "colour"]

#: kind -> colour, width and style of its lines; each can be told from a light and from a dark background
LINES = {
    "PlankedSurface": ((0.16, 0.47, 0.65), 3.0, "Solid"),
    "TautLine": ((0.85, 0.24, 0.18), 4.0, "Solid"),
    "EasedLine": ((0.75, 0.42, 0.06), 4.0, "Solid"),
    "BattenLine": ((0.16, 0.55, 0.26), 4.0, "Solid"),
    "ParallelLine": ((0.78, 0.28, 0.58), 3.0, "Solid"),
    "DrawnLine": ((0.45, 0.42, 0.85), 4.0, "Solid"),
    "TuckLine": ((0.10, 0.54, 0.56), 3.0, "Dashdot"),
    "LineOff": ((0.60, 0.42, 0.26), 2.0, "Solid"),
    "TrialPlank": ((0.62, 0.40, 0.12), 2.0, "Solid"),
}

_SKETCH = (0.32, 0.47, 0.57)

#: a plank on trial: stands out from those and from the hull
_TRIED = (0.93, 0.72, 0.30)

#: planks take these in turn, so that neighbours can be told apart
_WOOD = ((0.82, 0.66, 0.46), (0.76, 0.58, 0.38), (0.86, 0.71, 0.52))


class PlanView:
    """View provider of all strakeplan objects."""

    def __init__(self, view_object):
        view_object.Proxy = self

    def attach(self, view_object):
        """Called by the host when the view is there."""
        self.Object = view_object.Object

    def getIcon(self):
        return icon(kind_of(self.Object) or "strakeplan")

    def claimChildren(self):
        """Members are shown below the object that fills them."""
        return [o for o in getattr(self.Object, MEMBERS, []) if o is not None]

    def onChanged(self, view_object, name):
        """Members are shown and hidden with the object that fills them."""
        if name != "Visibility" or not hasattr(self, "Object"):
            return
        for member in self.claimChildren():
            if hasattr(member.ViewObject, "Visibility"):
                member.ViewObject.Visibility = view_object.Visibility

    def isShow(self):
        """Whether the tree shows it as visible; by itself the host asks the 3D view, where a sheet never is."""
        view_object = getattr(getattr(self, "Object", None), "ViewObject", None)
        return bool(getattr(view_object, "Visibility", True))

    def doubleClicked(self, view_object):
        """Open the object's panel."""
        from . import panels

        return panels.edit(view_object.Object)

    def onDelete(self, view_object, sub_names):
        """Members go with the object that fills them, in the same undo step."""
        obj = view_object.Object
        for member in list(getattr(obj, MEMBERS, [])):
            if member is not None and getattr(member, OWNER, None) is obj:
                obj.Document.removeObject(member.Name)
        return True

    def setEdit(self, view_object, mode=0):
        return False

    def dumps(self):
        return None

    def loads(self, state):
        return None

    def __getstate__(self):
        return None

    def __setstate__(self, state):
        return None


def attach(obj):
    """Give an object its view, once; a view restored with its document keeps its colours.

    A document saved without a GUI has no views: they get ours here, and so do the planks.
    """
    view_object = obj.ViewObject
    if isinstance(view_object.Proxy, PlanView):
        return
    PlanView(view_object)
    if hasattr(view_object, "signalChangeIcon"):
        view_object.signalChangeIcon()  # the tree has drawn the host's own by now
    if kind_of(obj) in LINES and hasattr(view_object, "LineColor"):
        view_object.LineColor, view_object.LineWidth, view_object.DrawStyle = LINES[kind_of(obj)]
        view_object.PointSize = 2.0
    if kind_of(obj) == "TrialPlank":
        compat.set_shape_colour(view_object, _TRIED)
        view_object.LineColor = LINES["TrialPlank"][0]
    if hasattr(obj, MEMBERS):
        view_object.Visibility = True
    for member in getattr(obj, MEMBERS, []):
        if member is not None:
            colour(member)
    if kind_of(obj) == "Planks":
        # sketches of the three views would only clutter the planked boat; they wait in the tree
        for other in obj.Document.Objects:
            if kind_of(other) == "StrakeSketches":
                other.ViewObject.Visibility = False


def colour(member):
    """Colour a plank or a sketch that was just made, or came from a document without views."""
    if member.isDerivedFrom("Sketcher::SketchObject"):
        member.ViewObject.LineColor = _SKETCH
        member.ViewObject.LineWidth = 1.0
        member.ViewObject.PointColor = _SKETCH
        member.ViewObject.PointSize = 1.0
    elif member.isDerivedFrom("App::TextDocument"):
        member.ViewObject.FontName = "monospace"  # its columns stand below one another
    elif member.isDerivedFrom("Part::Feature"):
        _colour_plank(member, getattr(member, KEY))


def _colour_plank(plank, name):
    """Colour a plank by its strake's number, the first number in its name."""
    digits = [word for word in name.split() if word.isdigit()]
    number = int(digits[0]) if digits else 0
    compat.set_shape_colour(plank.ViewObject, _WOOD[number % len(_WOOD)])
