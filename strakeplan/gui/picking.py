# SPDX-License-Identifier: LGPL-2.1-or-later
"""Points picked in the 3D view: vertices, which a line follows, and places on faces and edges."""

from dataclasses import dataclass
from typing import Any

import FreeCADGui
from PySide import QtCore

from ..core.errors import PlanError
from ..objects.marked import vertex_points

__all__ = ["Pick", "Picker", "selected_picks"]


@dataclass(frozen=True, eq=False)
class Pick:
    """A picked point.

    Attributes
    ----------
    point : (float, float, float)
        Document coordinates, mm.
    target : document object or None
        Whose vertex it is.
    vertex : str
        "Vertex2" and the like; empty for a place on a face or an edge.
    """

    point: tuple
    target: Any = None
    vertex: str = ""

    @property
    def link(self):
        """Value of a link to its vertex, or None."""
        return (self.target, [self.vertex]) if self.vertex else None


def selected_picks(document, kinds=("Vertex", "Face")):
    """What is selected in the 3D view, as points.

    Parameters
    ----------
    document : FreeCAD document
    kinds : tuple of str
        Which sub-elements count: of a face (or an edge) the place that was clicked.

    Returns
    -------
    list of Pick
    """
    picks = []
    for selected in FreeCADGui.Selection.getSelectionEx(document.Name):
        points = list(selected.PickedPoints)
        for k, sub in enumerate(selected.SubElementNames):
            sub = sub.split(".")[-1]
            if sub.rstrip("0123456789") in kinds:
                clicked = tuple(points[k]) if k < len(points) else None
                pick = _pick(selected.Object, sub, clicked)
                if pick is not None:
                    picks.append(pick)
    return picks


def _pick(target, sub, clicked):
    """One pick; None where nothing was clicked."""
    if sub.startswith("Vertex"):
        try:
            return Pick(vertex_points([(target, [sub])], target, sub)[0], target, sub)
        except PlanError:
            return None
    # a face chosen in the tree, or by a script, was clicked nowhere
    return None if clicked is None or clicked == (0.0, 0.0, 0.0) else Pick(clicked)


class Picker:
    """Takes what is clicked in the 3D view, from `start` to `stop`.

    Parameters
    ----------
    take : callable
        (Pick) -> None
    """

    def __init__(self, take):
        self._take = take
        self._on = False

    def start(self):
        if not self._on:
            self._on = True
            FreeCADGui.Selection.addObserver(self)

    def stop(self):
        if self._on:
            self._on = False
            FreeCADGui.Selection.removeObserver(self)

    def addSelection(self, document, name, sub, point):
        """Called by the host."""
        import FreeCAD

        obj = FreeCAD.getDocument(document).getObject(name)
        sub = sub or ""
        if obj is None or not self._on:
            return
        if "." in sub:  # inside a part or a body
            found = obj.getSubObject(sub[: sub.rfind(".") + 1], retType=1)
            obj, sub = found or obj, sub.split(".")[-1]
        pick = _pick(obj, sub, tuple(point))
        if pick is not None:
            # Not from inside the host's own call. The same face can then be clicked again.
            QtCore.QTimer.singleShot(0, lambda: self._deliver(pick))

    def _deliver(self, pick):
        if self._on:
            FreeCADGui.Selection.clearSelection()
            self._take(pick)
