# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a command works on: the selection, or the only object that fits."""

import FreeCADGui

from ..core.errors import PlanError
from ..objects.base import kind_of
from ..objects.line import is_line, surface_object_of_line

__all__ = ["hull_face", "line", "lines", "one", "planks_of", "surface", "trial_ground"]


def hull_face(document):
    """(object, "FaceN" or "") that is selected.

    Raises
    ------
    PlanError
        If it is not clear which face is meant.
    """
    remedy = "Select one face, the hull's port or starboard side, and start the command again"
    for selected in FreeCADGui.Selection.getSelectionEx(document.Name):
        faces = [s for s in selected.SubElementNames if s.split(".")[-1].startswith("Face")]
        if len(faces) > 1:
            raise PlanError(f"{len(faces)} faces are selected", remedy=remedy)
        if faces:
            return selected.Object, faces[0].split(".")[-1]
        shape = getattr(selected.Object, "Shape", None)
        if shape is not None and hasattr(shape, "Faces"):
            if len(shape.Faces) == 1:
                return selected.Object, ""
            raise PlanError(
                f"{selected.Object.Label} has {len(shape.Faces)} faces", remedy=remedy
            )
    raise PlanError("No face is selected", remedy=remedy)


def one(document, kind, called):
    """The selected object of a kind, or the document's only one.

    Parameters
    ----------
    document : FreeCAD document
    kind, called : str
        KIND of the object, and what the user calls it.
    """
    selected = [
        o for o in FreeCADGui.Selection.getSelection(document.Name) if kind_of(o) == kind
    ]
    if len(selected) == 1:
        return selected[0]
    every = [o for o in document.Objects if kind_of(o) == kind]
    if len(every) == 1 and not selected:
        return every[0]
    if not every:
        raise PlanError(f"There is no {called} in this document", remedy=f"Make a {called} first")
    raise PlanError(
        f"There are {len(every)} objects of the kind {called}",
        remedy=f"Select one {called} and start the command again",
    )


def surface(document):
    """The planked surface that is selected, or that a selected line lies on, or the only one."""
    selected = FreeCADGui.Selection.getSelection(document.Name)
    below = {surface_object_of_line(o) for o in selected if is_line(o)}
    if len(below) == 1 and not [o for o in selected if kind_of(o) == "PlankedSurface"]:
        return below.pop()
    return one(document, "PlankedSurface", "planked surface")


def lines(document):
    """Every line from stem to stern, in the order in which they were made."""
    return [o for o in document.Objects if is_line(o)]


def line(document):
    """The line that is selected, or else the one made last: the panel shows which, and can change it."""
    every = lines(document)
    if not every:
        raise PlanError(
            "There is no line on the hull in this document",
            remedy="Make a taut line first, or a line of another kind",
        )
    selected = [o for o in FreeCADGui.Selection.getSelection(document.Name) if is_line(o)]
    return selected[0] if selected else every[-1]


def trial_ground(document):
    """What a plank is tried on: what is selected, or else the line-off, line or planked surface made last.

    Strake checks that are selected stand for their line-off.
    """
    from ..objects.trial_plank import can_be_tried_on

    for obj in FreeCADGui.Selection.getSelection(document.Name):
        if can_be_tried_on(obj):
            return obj
        if kind_of(obj) == "StrakeChecks" and obj.LineOff is not None:
            return obj.LineOff
    every = [o for o in document.Objects if can_be_tried_on(o)]
    if not every:
        raise PlanError(
            "There is nothing on the hull that a plank could be tried on",
            remedy="Make a planked surface first, and a line or a line-off on it",
        )
    return every[-1]


def planks_of(line_off):
    """The only planks of a line-off, or None where there are none or several."""
    found = [
        o
        for o in line_off.Document.Objects
        if kind_of(o) == "Planks" and o.LineOff is line_off
    ]
    return found[0] if len(found) == 1 else None
