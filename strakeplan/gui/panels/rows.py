# SPDX-License-Identifier: LGPL-2.1-or-later
"""Rows that several panels share."""

from ...objects.marked import GIRTH, POINT, SHARE
from ..form import Row, translate

__all__ = ["row", "heading", "section", "mark_rows", "links_to"]


def row(name, label, kind, tip="", choices=(), shown=None, more=()):
    """A row with its texts in the user's language."""
    return Row(name, translate(label), kind, translate(tip) if tip else "", tuple(choices), shown, tuple(more))


def heading(name, label, shown=None):
    """A line of text above some rows that belong together."""
    return Row(name, translate(label), "heading", shown=shown)


def section(name, label, closed=False):
    """A line above some rows that shows and hides all rows down to the next one."""
    return Row(name, translate(label), "section", choices=("closed",) if closed else ())


def mark_rows(marked, title, shown=None):
    """Rows of a mark: how it is given, and its figures.

    Parameters
    ----------
    marked : objects.marked.Marked
    title : str
        Heading above them.
    shown : callable, optional
        (values) -> whether the mark is wanted at all.
    """
    given, position, point = marked.name("GivenBy"), marked.name("Position"), marked.name("Point")
    ways = (GIRTH, SHARE, POINT)

    def when(*chosen):
        return lambda v: (shown is None or shown(v)) and v[given] in chosen

    rows = [heading(f"{given}Heading", title, shown), row(given, "Given by", "choice", "", ways, shown)]
    if position in marked.names:
        rows.append(row(position, "Along the ship", "length", "Coordinate along the ship", (), when(GIRTH, SHARE)))
    return [
        *rows,
        row(marked.name("Girth"), "Girth", "length", "From the sheer down", (), when(GIRTH)),
        row(marked.name("Share"), "Share", "share", "Of the whole girth, from the sheer down", (), when(SHARE)),
        row(point, "Point", "point",
            "Point on the hull: x; y; z, or picked in the 3D view; a line follows the vertex it was picked on",
            (), when(POINT), (marked.name("Vertex"),)),
    ]  # fmt: skip


def links_to(document, obj, fits):
    """Objects of a document that another may link to without going round in a circle.

    Parameters
    ----------
    document : FreeCAD document
    obj : document object or None
        The one that links; None while it is not made yet.
    fits : callable
        (document object) -> bool
    """
    barred = [] if obj is None else [obj, *obj.InListRecursive]
    return [o for o in document.Objects if fits(o) and o not in barred]
