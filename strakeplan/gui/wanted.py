# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a command works on: the selection, or the only object that fits."""

import FreeCADGui

from ..core.errors import PlanError
from ..objects.base import kind_of
from ..objects.taut_line import BETWEEN_ENDS

__all__ = ["hull_face", "one", "planks_of", "taut_line_defaults"]


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


def planks_of(line_off):
    """The only planks of a line-off, or None where there are none or several."""
    found = [
        o
        for o in line_off.Document.Objects
        if kind_of(o) == "Planks" and o.LineOff is line_off
    ]
    return found[0] if len(found) == 1 else None


def taut_line_defaults(hull):
    """First figures of a new taut line: two thirds down both ends, marks amidships.

    Parameters
    ----------
    hull : PlankedSurface
    """
    from ..core.sections import sections_at

    first, last = hull.x_range
    marks = [first + share * (last - first) for share in (0.35, 0.65)]
    girth = round(0.55 * float(min(sections_at(hull, marks).girth)), -1)
    fore, aft = (float(hull.frame.to_model_station(x)) for x in marks)
    return {
        "Marks": BETWEEN_ENDS,
        "BowGirth": round(hull.stem_length * 2.0 / 3.0, -1),
        "SternGirth": round(hull.stern_length * 2.0 / 3.0, -1),
        "MarkPosition1": round(fore, -1),
        "MarkGirth1": girth,
        "MarkPosition2": round(aft, -1),
        "MarkGirth2": girth,
    }
