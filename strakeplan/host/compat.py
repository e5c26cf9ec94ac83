# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every difference between the versions of FreeCAD that strakeplan runs on (0.20 to 1.1).

Nothing outside this module asks for a version.  Each function here says in its
first line what changed and when.
"""

import os
import re

import FreeCAD

__all__ = [
    "gui_up",
    "set_shape_colour",
    "open_document_quietly",
    "insert_step",
    "step_products",
    "message_of",
]


def gui_up():
    """Whether view providers exist.

    `FreeCAD.GuiUp` is 0 or 1 in every version, and missing where the module was
    imported into a plain Python interpreter before the host had set it.
    """
    return bool(getattr(FreeCAD, "GuiUp", 0))


def set_shape_colour(view_object, rgb, transparency=0):
    """Colour a part's faces and its lines a shade darker.

    Up to 0.21 the colour is `ShapeColor`; from 1.0 it is read through
    `ShapeAppearance`, and `ShapeColor` is kept as a shorthand for it, until it is not.

    Parameters
    ----------
    view_object : view provider of a part
    rgb : tuple of three floats, 0 to 1
    transparency : int, per cent
    """
    rgb = tuple(float(c) for c in rgb)
    if hasattr(view_object, "ShapeColor"):
        view_object.ShapeColor = rgb
    elif hasattr(view_object, "ShapeAppearance"):
        material = view_object.ShapeAppearance[0]
        material.DiffuseColor = rgb
        view_object.ShapeAppearance = (material,)
    dark = tuple(0.45 * c for c in rgb)
    for name in ("LineColor", "PointColor"):
        if hasattr(view_object, name):
            setattr(view_object, name, dark)
    if hasattr(view_object, "Transparency"):
        view_object.Transparency = int(transparency)


def open_document_quietly(path):
    """Open a document without a window: (document, whether this call opened it).

    `hidden` came with 0.19 as a keyword; the name of a document already open is
    found by its file, since opening it again would hand back (and a later close
    would take away) the user's own.
    """
    wanted = os.path.realpath(path)
    for document in FreeCAD.listDocuments().values():
        if document.FileName and os.path.realpath(document.FileName) == wanted:
            return document, False
    active = FreeCAD.ActiveDocument
    document = FreeCAD.openDocument(path, hidden=True)
    if active is not None:
        FreeCAD.setActiveDocument(active.Name)
    return document, True


def insert_step(path, document):
    """Read a STEP file's products, each an object with its name.

    0.20 merges the products of an assembly by default and then calls a freed object
    when no GUI is there, which ends the process; unmerged it works, in later ones too.
    """
    import Import  # only here: it loads the whole exchange library

    Import.insert(path, document.Name, merge=False)


def step_products(path):
    """Names of a STEP file's products, in their order, from its text.

    From 1.0 on `insert_step` leaves out products that hold curves and no face: whoever
    wants those has to know that they are there.
    """
    with open(path, encoding="latin-1") as handle:  # ISO 10303-21 is written in ASCII
        names = re.findall(r"\bPRODUCT\s*\(\s*'((?:[^']|'')*)'", handle.read())
    return [name.replace("''", "'") for name in dict.fromkeys(names)]


def message_of(fault):
    """What an error of the host says: up to 1.0 some carry a dictionary, later a text."""
    first = fault.args[0] if getattr(fault, "args", ()) else fault
    if isinstance(first, dict):
        first = first.get("sErrMsg") or first.get("swhat") or fault
    return str(first).strip().rstrip(".")
