# SPDX-License-Identifier: LGPL-2.1-or-later
"""Seams shown in the 3D view that are not in the document."""

import FreeCAD
import FreeCADGui
from pivy import coin

from ..core.lineoff.nibs import nib_curves

__all__ = ["Preview"]

_COLOUR = (0.20, 0.50, 0.85)
_WIDTH = 3.0
_SPACING = 60.0  # mm between places along a seam


class Preview:
    """Seams in the 3D views of a document.

    Parameters
    ----------
    document : FreeCAD document
    """

    def __init__(self, document):
        self._document = document.Name
        self._node = None

    def show(self, plan):
        """Show the seams and nibs of a line-off, in place of those shown before."""
        self.clear()
        curves = [part.curve for seam in plan.seams for part in seam.parts] + list(nib_curves(plan))
        points, counts = [], []
        for curve in curves:
            p = plan.hull.frame.points_to_model(curve.sample(max(2, int(curve.length / _SPACING) + 2)).p)
            points += p.tolist()
            counts.append(len(p))
        node = coin.SoSeparator()
        colour, style, pick = coin.SoBaseColor(), coin.SoDrawStyle(), coin.SoPickStyle()
        colour.rgb = _COLOUR
        style.lineWidth = _WIDTH
        pick.style = coin.SoPickStyle.UNPICKABLE
        places, lines = coin.SoCoordinate3(), coin.SoLineSet()
        places.point.setValues(0, len(points), points)
        lines.numVertices.setValues(0, len(counts), counts)
        for child in (pick, colour, style, places, lines):
            node.addChild(child)
        for root in self._roots():
            root.addChild(node)
        self._node = node

    @property
    def shown(self):
        """Whether seams are shown."""
        return self._node is not None

    def clear(self):
        """Show nothing any more; views that are closed need nothing."""
        node, self._node = self._node, None
        if node is None:
            return
        for root in self._roots():
            if root.findChild(node) >= 0:
                root.removeChild(node)

    def _roots(self):
        if self._document not in FreeCAD.listDocuments():
            return []
        views = FreeCADGui.getDocument(self._document).mdiViewsOfType("Gui::View3DInventor")
        return [view.getSceneGraph() for view in views]
