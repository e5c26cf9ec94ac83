# SPDX-License-Identifier: LGPL-2.1-or-later
"""Read a hull's face from a file: FCStd, STEP, IGES or BREP.

A file that is missing, empty, or not what its ending says is refused before the
host's own readers see it; those answer such files in many ways, an empty shape
without a word among them.
"""

import os
import zipfile

import FreeCAD
import Part

from ..core.errors import PlanError
from . import compat

__all__ = ["READABLE", "read_hull", "read_drawing", "face_of_object", "choose_face", "in_document"]

#: what can be read: ending -> what the format is called
READABLE = {
    ".fcstd": "FreeCAD document",
    ".step": "STEP file",
    ".stp": "STEP file",
    ".iges": "IGES file",
    ".igs": "IGES file",
    ".brep": "BREP file",
    ".brp": "BREP file",
}


def read_hull(path, object_name=None, face_number=None):
    """The hull's face from a file.

    Parameters
    ----------
    path : str
    object_name : str, optional
        Name or label of the object that holds the hull; not needed where only one
        object of the file has a face.
    face_number : int, optional
        Which face of the object, from 1; not needed where it has one.

    Returns
    -------
    label : str
        What the object is called.
    face : Part.Face
        A copy, in the coordinates of the file's document, mm.

    Raises
    ------
    PlanError
        Missing, empty or wrong file, no such object, no face, several to choose from.
    """
    kind = _check_file(path)
    if kind == "FreeCAD document":
        candidates = _from_document(path)
    elif kind == "STEP file" and object_name is not None:
        candidates = _named_from_step(path)
    else:
        candidates = [(_stem(path), _stem(path), _read_shape(path, kind))]
        # Formats that carry no names: whatever object is asked for, the file holds one.
        if object_name is not None:
            candidates = [(object_name, object_name, candidates[0][2])]
    label, shape = _choose_object(candidates, object_name, path)
    return label, choose_face(shape, label, face_number, path)


def read_drawing(path, object_name, edges=()):
    """Edges of an object in a file, as one shape: a line that somebody has drawn.

    Parameters
    ----------
    path : str
        FCStd or STEP, which know their objects by name; IGES and BREP hold one.
    object_name : str
        Name or label.
    edges : sequence of int
        Which edges of it, from 1; all of them where none is given.

    Returns
    -------
    label : str
    shape : Part.Shape
        In the coordinates of the file's document, mm.

    Raises
    ------
    PlanError
        Missing or wrong file, no such object, no such edge, an object without edges.
    """
    kind = _check_file(path)
    if kind == "FreeCAD document":
        candidates = _from_document(path)
    elif kind == "STEP file":
        candidates = _curves_from_step(path, object_name)
    else:
        candidates = [(object_name, object_name, _read_shape(path, kind))]
    label, shape = _choose_object(candidates, object_name, path)
    if not shape.Edges:
        raise PlanError(f"{label} in {path} has no edge", remedy="Name an edge, a wire or a sketch")
    wrong = [k for k in edges if not 1 <= k <= len(shape.Edges)]
    if wrong:
        raise PlanError(
            f"{label} in {path} has no edge {wrong[0]}", remedy=f"Its edges are 1 to {len(shape.Edges)}"
        )
    return label, Part.Compound([shape.Edges[k - 1] for k in edges]) if edges else shape


def face_of_object(obj, sub_name="", name=None):
    """The face a link to a document object means, in the document's coordinates.

    Parameters
    ----------
    obj : document object with a shape
    sub_name : str
        "Face3" and the like; empty where the object has one face.
    name : str, optional
        What messages call it; the object's label by default.
    """
    label = name or obj.Label
    shape = getattr(obj, "Shape", None)
    if shape is None or not hasattr(shape, "Faces"):
        raise PlanError(
            f"{label} has no shape", remedy="Choose an object with a surface as the hull"
        )
    shape = in_document(obj, shape)
    number = None
    if sub_name:
        kind = sub_name.rstrip("0123456789")
        if kind != "Face":
            raise PlanError(
                f"{sub_name} of {label} is not a face", remedy="Choose a face of the hull"
            )
        number = int(sub_name[len(kind):])
    return choose_face(shape, label, number)


def choose_face(shape, label, number=None, path=None):
    """One face of a shape, by number from 1, or its only one.

    Parameters
    ----------
    shape : Part.Shape
    label : str
    number : int, optional
    path : str, optional
        File it came from, for messages.
    """
    where = f"In {path}" if path else ""
    faces = [] if shape.isNull() else shape.Faces
    if not faces:
        raise PlanError(
            f"{label} has no face",
            where=where,
            remedy="Choose an object that is a surface: lines, points and meshes are none",
        )
    if number is None:
        if len(faces) > 1:
            raise PlanError(
                f"{label} has {len(faces)} faces",
                where=where,
                remedy="Say which one is the hull's side (its number, from 1)",
            )
        number = 1
    if not 1 <= number <= len(faces):
        raise PlanError(
            f"{label} has no face {number}",
            where=where,
            remedy=f"Choose a number from 1 to {len(faces)}",
        )
    return faces[number - 1].copy()


# --------------------------------------------------------------------------- files


def _stem(path):
    return os.path.splitext(os.path.basename(path))[0]


def _check_file(path):
    """What kind of file it is, after looking whether it can be that kind."""
    ending = os.path.splitext(path)[1].lower()
    if ending not in READABLE:
        raise PlanError(
            f"The file {path} is of a kind that cannot be read",
            remedy="Use one of " + ", ".join(READABLE),
        )
    kind = READABLE[ending]
    if not os.path.isfile(path):
        raise PlanError(
            f"The file {path} does not exist",
            remedy="Check its name; a relative name counts from the recipe's folder",
        )
    if os.path.getsize(path) == 0:
        raise PlanError(f"The file {path} is empty", remedy="Export it again")
    try:
        with open(path, "rb") as handle:
            head = handle.read(4096)
            handle.seek(-min(4096, os.path.getsize(path)), os.SEEK_END)
            tail = handle.read()
    except OSError as fault:
        raise PlanError(
            f"The file {path} cannot be opened: {fault.strerror}",
            remedy="Check that you may read it",
        ) from fault
    if not _looks_like(kind, path, head):
        raise PlanError(
            f"The file {path} is no {kind}, though its name says so",
            remedy="Export it again, or give the file its right ending",
        )
    if not _looks_whole(kind, tail):
        raise PlanError(
            f"The file {path} is cut short: its end is missing",
            remedy="Copy or export it again",
        )
    return kind


def _looks_whole(kind, tail):
    """Whether the last bytes are those that such a file ends with.

    The host's IGES reader takes what there is of a file that was cut short.  IGES ends
    with its section T (IGES 5.3, section 2.2.4.5), STEP with ISO 10303-21's own end mark.
    """
    if kind == "STEP file":
        return b"END-ISO-10303-21" in tail
    if kind == "IGES file":
        lines = tail.rstrip().splitlines()
        return bool(lines) and lines[-1][72:73] == b"T"
    return True


def _looks_like(kind, path, head):
    """Whether the first bytes fit the kind.

    STEP: ISO 10303-21 begins with its own number.  IGES: column 73 of every line
    names its section, S for the start (IGES 5.3, section 2.2.2).  BREP: the line
    that the kernel writes first.
    """
    if kind == "FreeCAD document":
        if not zipfile.is_zipfile(path):
            return False
        with zipfile.ZipFile(path) as archive:
            return "Document.xml" in archive.namelist()
    if kind == "STEP file":
        return b"ISO-10303-21" in head
    if kind == "IGES file":
        return len(head) > 72 and head[72:73] in (b"S", b"B", b"C")
    return b"CASCADE Topology" in head or b"DBRep_DrawableShape" in head


def _read_shape(path, kind):
    """Everything in a STEP, IGES or BREP file as one shape, mm."""
    shape = Part.Shape()
    try:
        shape.read(os.path.abspath(path))
    except Exception as fault:
        raise PlanError(
            f"The file {path} could not be read: {compat.message_of(fault)}",
            remedy=f"Check that the {kind} is whole; export it again",
        ) from fault
    if shape.isNull():
        raise PlanError(
            f"The file {path} holds no shape", remedy="Export it again"
        )
    return shape


def _named_from_step(path):
    """(name, label, shape) of each product of a STEP file."""
    active = FreeCAD.ActiveDocument
    document = FreeCAD.newDocument("StrakeplanReading", hidden=True, temp=True)
    try:
        compat.insert_step(os.path.abspath(path), document)
        found = _shapes_of(document)
    except Exception as fault:
        raise PlanError(
            f"The file {path} could not be read: {compat.message_of(fault)}",
            remedy="Check that it is a whole STEP file; export it again",
        ) from fault
    finally:
        FreeCAD.closeDocument(document.Name)
        if active is not None:
            FreeCAD.setActiveDocument(active.Name)
    return found


def _curves_from_step(path, wanted):
    """The same, where a product may hold curves alone: not every host hands those over by name."""
    found = _named_from_step(path)
    lost = [name for name in compat.step_products(path) if name not in {label for _, label, _ in found}]
    if wanted not in lost:
        return found
    if found or len(lost) > 1:
        raise PlanError(
            f"FreeCAD does not tell the curves of {wanted!r} from the rest of {path}",
            remedy="Save that line in a file of its own, or as a FreeCAD document",
        )
    return [(wanted, wanted, _read_shape(path, "STEP file"))]


def _from_document(path):
    """(name, label, shape) of each object with a shape in a FreeCAD document."""
    try:
        document, opened = compat.open_document_quietly(os.path.abspath(path))
    except Exception as fault:
        raise PlanError(
            f"The file {path} could not be opened: {compat.message_of(fault)}",
            remedy="Open it in FreeCAD and save it again",
        ) from fault
    try:
        return _shapes_of(document)
    finally:
        if opened:
            FreeCAD.closeDocument(document.Name)


def _shapes_of(document):
    """(name, label, shape) of the document's objects that have a shape."""
    found = []
    for obj in document.Objects:
        # Containers answer for their members' shapes too; only the members count.
        if obj.isDerivedFrom("Part::Feature") and not obj.Shape.isNull():
            shape = obj.Shape
            found.append((obj.Name, obj.Label, in_document(obj, shape)))
    return found


def in_document(obj, shape):
    """A copy of the object's shape in the document's coordinates.

    A part inside a body or a part container has its shape in the container's
    coordinates; its global placement says where that is.
    """
    shape = shape.copy()
    if hasattr(obj, "getGlobalPlacement") and hasattr(obj, "Placement"):
        shape.Placement = obj.getGlobalPlacement()
    return shape


def _choose_object(candidates, wanted, path):
    """(label, shape) of the object asked for, or of the only one with a face."""
    with_faces = [c for c in candidates if c[2].Faces]
    listed = ", ".join(sorted({c[1] for c in with_faces})) or "none"
    if wanted is not None:
        # A name is unique; a label need not be.
        matching = [c for c in candidates if c[0] == wanted]
        matching = matching or [c for c in candidates if c[1] == wanted]
        if not matching:
            raise PlanError(
                f"There is no object {wanted!r} in {path}",
                remedy=f"Objects with a shape: {', '.join(sorted({c[1] for c in candidates})) or 'none'}",
            )
        if len(matching) > 1:
            raise PlanError(
                f"{len(matching)} objects in {path} are labelled {wanted!r}",
                remedy="Use its internal name: " + ", ".join(c[0] for c in matching),
            )
        return matching[0][1], matching[0][2]
    if not with_faces:
        raise PlanError(
            f"No object in {path} has a face",
            remedy="Save the hull as a surface: lines, points and meshes are none",
        )
    if len(with_faces) > 1:
        raise PlanError(
            f"{len(with_faces)} objects in {path} have faces",
            remedy=f"Name the hull, one of: {listed}",
        )
    return with_faces[0][1], with_faces[0][2]
