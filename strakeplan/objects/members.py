# SPDX-License-Identifier: LGPL-2.1-or-later
"""Plain objects that a strakeplan object fills: planks, sketches, sheets.

They are ordinary parts, sketches and sheets, so they stay what they are in a program
without this add-on, and can be exported, measured and drawn like any other.  Each links
to the object that fills it, which makes the host recompute in the right order; that one
keeps a list of them that the host does not count as a dependency.
"""

from ..core.errors import PlanError
from ..host import compat
from ..host.afterwards import after_recompute

__all__ = ["OWNER", "KEY", "MEMBERS", "add_member", "members_of", "remove_members"]

#: link from a member to the object that fills it
OWNER = "FilledBy"
#: what the member is, for the object that fills it
KEY = "FilledAs"
#: property of the filling object that lists its members
MEMBERS = "Members"


def add_member(owner, type_name, key, name, label):
    """Add an object that `owner` fills.

    Parameters
    ----------
    owner : document object with the property `Members`
    type_name : str
    key : str
        Tells it from the owner's other members; unique among them.
    name, label : str
    """
    obj = owner.Document.addObject(type_name, name)
    obj.addProperty("App::PropertyLink", OWNER, "Plan", "Object that fills this one")
    obj.addProperty("App::PropertyString", KEY, "Plan", "What it is filled with")
    obj.setEditorMode(OWNER, 1)
    obj.setEditorMode(KEY, 1)
    setattr(obj, OWNER, owner)
    setattr(obj, KEY, key)
    obj.Label = _free_label(owner, obj, label)
    if type_name == "Part::Feature":
        # It computes nothing itself, but counts as new until somebody says otherwise.
        document, own_name = owner.Document, obj.Name

        def settle():
            if document.getObject(own_name) is not None:
                document.getObject(own_name).purgeTouched()

        after_recompute(document, settle)
    setattr(owner, MEMBERS, [*getattr(owner, MEMBERS), obj])
    if compat.gui_up():
        from ..gui import views  # view providers are imported only with a GUI

        views.colour(obj)
    return obj


def _free_label(owner, obj, label):
    """The label, with the owner's beside it where another object is called so.

    The host would make it unique by counting up the number it ends with, and a second
    set of planks would be named by the wrong strakes.
    """
    if any(o.Name != obj.Name for o in owner.Document.getObjectsByLabel(label)):
        return f"{label} ({owner.Label})"
    return label


def members_of(owner):
    """Members by key."""
    found = {}
    for obj in getattr(owner, MEMBERS):
        if obj is None:
            continue
        if getattr(obj, OWNER, None) is not owner:
            raise PlanError(
                f"{obj.Label} is not filled by {owner.Label}",
                remedy=f"Take it out of the list {MEMBERS}",
            )
        found[getattr(obj, KEY)] = obj
    return found


def remove_members(owner, keys):
    """Take members off the owner's list, and remove them when the recompute is over."""
    keys = set(keys)
    gone = [obj.Name for key, obj in members_of(owner).items() if key in keys]
    if not gone:
        return
    setattr(owner, MEMBERS, [o for o in getattr(owner, MEMBERS) if o.Name not in gone])
    document = owner.Document

    def remove():
        for name in gone:
            if document.getObject(name) is not None:
                document.removeObject(name)

    after_recompute(document, remove)
