# SPDX-License-Identifier: LGPL-2.1-or-later
"""What all document objects of strakeplan share.

Names of properties are part of users' documents and expressions: they are never
renamed.  Nothing is kept in a document but properties; the proxies carry no state.
"""

import contextlib
from dataclasses import dataclass
from typing import Any

from ..core.errors import PlanError
from ..host import compat

__all__ = [
    "Property",
    "PlanObject",
    "READ_ONLY",
    "HIDDEN",
    "kind_of",
    "linked",
    "make_object",
    "all_or_nothing",
    "recompute",
    "set_value",
]

#: editor modes of a property
READ_ONLY = 1
HIDDEN = 2


@dataclass(frozen=True)
class Property:
    """One property of a document object.

    Attributes
    ----------
    type : str
        The host's property type.
    name, group, doc : str
    default : object
        Set when the property is made; for an enumeration the list of its values, the
        first of which is set.
    mode : int
        0, `READ_ONLY` or `HIDDEN` in the property editor.
    """

    type: str
    name: str
    group: str
    doc: str
    default: Any = None
    mode: int = 0


class PlanObject:
    """Base of the proxies.

    A subclass has `KIND`, `PROPERTIES` and `build`, which raises PlanError where the user can
    mend something; the host then marks the object invalid and shows the message. Where some
    properties matter only for some choices it has `CHOICES` (properties that decide) and
    `needless`.
    """

    KIND = ""
    PROPERTIES = ()
    CHOICES = ()

    def __init__(self, obj):
        obj.Proxy = self
        self.complete(obj)

    def complete(self, obj):
        """Add the properties an object lacks: a new one, or one of an older version."""
        there = obj.PropertiesList
        for p in self.PROPERTIES:
            if p.name not in there:
                obj.addProperty(p.type, p.name, p.group, p.doc)
                if p.default is not None:
                    setattr(obj, p.name, p.default)
            elif p.type == "App::PropertyEnumeration":
                _offer(obj, p)
            obj.setEditorMode(p.name, p.mode)
        if hasattr(obj, "Placement"):
            # The shape lies where the hull lies; moving it alone would mean nothing.
            obj.setEditorMode("Placement", HIDDEN)
        self._show(obj)

    def needless(self, obj):
        """Names of the properties that say nothing as the object is set now."""
        return ()

    def onChanged(self, obj, name):
        """Show only the properties that the choices made ask for."""
        if name in self.CHOICES:
            self._show(obj)

    def _show(self, obj):
        there = obj.PropertiesList
        if not self.CHOICES or not all(p.name in there for p in self.PROPERTIES):
            return  # nothing decides, or it is being made
        needless = set(self.needless(obj))
        for p in self.PROPERTIES:
            if not p.mode:
                obj.setEditorMode(p.name, HIDDEN if p.name in needless else 0)

    def execute(self, obj):
        """Called by the host when something this object reads has changed."""
        try:
            self.build(obj)
        except PlanError as fault:
            # Where in the code it was found says nothing to the user who reads it.
            raise fault.with_traceback(None) from None

    def build(self, obj):
        """Make the object's shape and read-outs from its properties."""
        raise NotImplementedError

    def onDocumentRestored(self, obj):
        """Called by the host after a document was opened."""
        self.complete(obj)
        dress(obj)

    # The host stores what these return: up to 0.20 the second pair, later the first.
    def dumps(self):
        return None

    def loads(self, state):
        return None

    def __getstate__(self):
        return None

    def __setstate__(self, state):
        return None


def _offer(obj, p):
    """Offer all choices of an enumeration in an object of an older version too."""
    if obj.getEnumerationsOfProperty(p.name) != list(p.default):
        chosen = getattr(obj, p.name)
        setattr(obj, p.name, list(p.default))
        setattr(obj, p.name, chosen)


def dress(obj):
    """Give an object its view provider, where there is a GUI and it has none yet."""
    if compat.gui_up() and getattr(obj, "ViewObject", None) is not None:
        from ..gui import views  # view providers are imported only with a GUI

        views.attach(obj)


def kind_of(obj):
    """The KIND of a strakeplan object, or an empty text."""
    return getattr(getattr(obj, "Proxy", None), "KIND", "")


def linked(obj, name, kind, wanted):
    """The object a link of `obj` names, checked to be of a kind.

    Parameters
    ----------
    obj : document object
    name : str
        The link's property.
    kind : str
    wanted : str
        What the user calls it.

    Raises
    ------
    PlanError
        No object, one of another kind, or one that is itself in error.
    """
    target = getattr(obj, name)
    if target is None or kind_of(target) != kind:
        raise PlanError(
            f"{obj.Label} has no {wanted}", remedy=f"Set its property {name} to a {wanted}"
        )
    return target


def make_object(document, type_name, proxy_class, label, **values):
    """Add an object with its proxy, set its values and dress it."""
    obj = document.addObject(type_name, proxy_class.KIND)
    proxy_class(obj)
    obj.Label = label
    for name, value in values.items():
        setattr(obj, name, value)
    dress(obj)
    return obj


def set_value(obj, name, value):
    """Set a property only where it differs, so that nothing is touched without need."""
    old = getattr(obj, name)
    old = getattr(old, "Value", old)
    if old != value:
        setattr(obj, name, value)


@contextlib.contextmanager
def all_or_nothing(document, title):
    """One undo step; on an error everything added in it is taken away again.

    Parameters
    ----------
    document : FreeCAD document
    title : str
        What the undo list calls the step.
    """
    before = {o.Name for o in document.Objects}
    document.openTransaction(title)
    try:
        yield
    except BaseException:
        document.abortTransaction()
        # Without a GUI there is no undo to go back by.
        for obj in reversed(document.Objects):
            with contextlib.suppress(Exception):
                if obj.Name not in before:
                    document.removeObject(obj.Name)
        raise
    document.commitTransaction()


def recompute(document, *objects):
    """Recompute a document and raise what is wrong with the given objects.

    Parameters
    ----------
    document : FreeCAD document
    objects : document objects
        Those the caller has just made or changed.

    Raises
    ------
    PlanError
        With the first object's own message.
    """
    document.recompute()
    for obj in objects:
        if "Invalid" in obj.State or not obj.isValid():
            raise PlanError(f"{obj.Label}: {obj.getStatusString()}")
    # What an object fills may have been made too late for its turn in the first pass.
    if any("Touched" in obj.State for obj in document.Objects):
        document.recompute()
