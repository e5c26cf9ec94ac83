# SPDX-License-Identifier: LGPL-2.1-or-later
"""Open the panel of a new object or of an old one."""

import FreeCADGui

from ...core.errors import PlanError
from ...objects import make
from ...objects.base import kind_of
from ..form import Form, translate
from . import belts, boat, checks, hull, lines, planking

__all__ = ["show", "edit", "to_3d_view"]

#: kind of object -> (title, sentence above the rows, function (document, object or None) -> rows)
_PANELS = {**hull.PANELS, **lines.PANELS, **belts.PANELS, **planking.PANELS, **checks.PANELS, **boat.PANELS}


def show(kind, document, make_it, values):
    """Open the panel of a new object, which is made when OK is pressed.

    Parameters
    ----------
    kind : str
    document : FreeCAD document
    make_it : callable
        (**values) -> document object; may raise PlanError.
    values : dict
        Property name -> first value.

    Returns
    -------
    Form
    """

    def accept(found):
        make_it(**found)
        FreeCADGui.Selection.clearSelection()  # what it was made from is done with

    return _open(kind, _PANELS[kind][2](document, None), values, accept)


def edit(obj):
    """Open the panel of an object that is there: whether there is one."""
    kind = kind_of(obj)
    if kind not in _PANELS or FreeCADGui.Control.activeDialog():
        return False
    rows = _PANELS[kind][2](obj.Document, obj)
    values = {name: getattr(obj, name) for row in rows for name in row.names}
    title = translate("Change {}").format(obj.Label)
    _open(kind, rows, values, lambda new: make.change(obj, title, **new))
    return True


def to_3d_view():
    """Bring the document's 3D view to the front where a sheet or a drawing is.

    From 1.1 on the host keeps the task panel out of sight beside those, and points are
    picked in the 3D view anyway.
    """
    document = FreeCADGui.activeDocument()
    if document is None or hasattr(document.activeView(), "getViewDirection"):
        return
    views = document.mdiViewsOfType("Gui::View3DInventor")
    if views:
        FreeCADGui.getMainWindow().setActiveWindow(views[0])


def _open(kind, rows, values, accept):
    if FreeCADGui.Control.activeDialog():
        raise PlanError("Another task is open", remedy="Close it first")
    title, intro, _ = _PANELS[kind]
    to_3d_view()
    form = Form(translate(title), translate(intro), rows, values, accept)
    FreeCADGui.Control.showDialog(form)
    return form
