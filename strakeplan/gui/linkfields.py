# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fields for links to other objects of the document."""

import FreeCAD
import FreeCADGui
from PySide import QtCore, QtGui

from ..core.errors import PlanError
from .fields import Field

__all__ = ["KINDS", "selected_drawing"]

_LIST_ROWS = (2, 6)  # fewest and most that are seen at once


class ObjectField(Field):
    """One of some objects; None among the choices stands for none."""

    WIDE = True
    DECIDES = True

    def make(self):
        widget = QtGui.QComboBox()
        widget.setMinimumContentsLength(8)
        widget.setSizeAdjustPolicy(QtGui.QComboBox.AdjustToMinimumContentsLengthWithIcon)
        widget.addItems([_called(o) for o in self.row.choices])
        return widget

    def put(self, value):
        choices = list(self.row.choices)
        self.widget.setCurrentIndex(choices.index(value) if value in choices else -1)

    def get(self):
        index = self.widget.currentIndex()
        return self.row.choices[index] if index >= 0 else None

    def on_change(self, call):
        self.widget.currentIndexChanged.connect(call)


class ObjectsField(Field):
    """Some of some objects."""

    WIDE = True

    def make(self):
        widget = QtGui.QListWidget()
        for obj in self.row.choices:
            item = QtGui.QListWidgetItem(obj.Label)
            item.setFlags(item.flags() | QtCore.Qt.ItemIsUserCheckable)
            item.setCheckState(QtCore.Qt.Unchecked)
            widget.addItem(item)
        seen = min(max(len(self.row.choices), _LIST_ROWS[0]), _LIST_ROWS[1])
        widget.setFixedHeight(seen * max(widget.sizeHintForRow(0), 18) + 8)
        return widget

    def put(self, value):
        for k, obj in enumerate(self.row.choices):
            state = QtCore.Qt.Checked if obj in value else QtCore.Qt.Unchecked
            self.widget.item(k).setCheckState(state)

    def get(self):
        return [
            obj
            for k, obj in enumerate(self.row.choices)
            if self.widget.item(k).checkState() == QtCore.Qt.Checked
        ]


class DrawingField(Field):
    """A drawn line: an object, or some of its edges, taken from the selection."""

    WIDE = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QHBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.line = QtGui.QLineEdit()
        self.line.setReadOnly(True)
        button = QtGui.QPushButton(FreeCAD.Qt.translate("Strakeplan", "Take selection"))
        button.setObjectName("TakeSelection")
        button.setToolTip(FreeCAD.Qt.translate("Strakeplan", "Edges, a wire or a sketch selected now"))
        button.clicked.connect(self._take)
        layout.addWidget(self.line, 1)
        layout.addWidget(button)
        self._link = None
        return widget

    def put(self, value):
        self._link = value
        if value is None or value[0] is None:
            self.line.setText("")
            return
        subs = [s for s in value[1] if s]
        self.line.setText(value[0].Label + (f": {', '.join(subs)}" if subs else ""))
        self.line.setCursorPosition(0)

    def get(self):
        if self._link is None or self._link[0] is None:
            raise PlanError(
                f"{self.row.label}: nothing is chosen",
                remedy="Select edges, a wire or a sketch and press Take selection",
            )
        return self._link[0], list(self._link[1]) or [""]

    def _take(self):
        found = selected_drawing(FreeCAD.ActiveDocument)
        if found is not None:
            self.put(found)


def selected_drawing(document):
    """(object, edges) of a drawn line that is selected, or None.

    An object of the workbench is not taken whole: it is selected for other reasons.
    """
    from ..objects.base import kind_of

    for selected in FreeCADGui.Selection.getSelectionEx(document.Name):
        edges = [s.split(".")[-1] for s in selected.SubElementNames]
        edges = [s for s in edges if s.startswith("Edge")]
        shape = getattr(selected.Object, "Shape", None)
        if shape is None or not getattr(shape, "Edges", None) or shape.Faces and not edges:
            continue
        if kind_of(selected.Object):
            continue
        return selected.Object, edges if len(edges) < len(shape.Edges) else [""]
    return None


def _called(obj):
    from ..objects.base import kind_of

    if obj is None:
        return FreeCAD.Qt.translate("Strakeplan", "None")
    if kind_of(obj) == "PlankedSurface":
        return FreeCAD.Qt.translate("Strakeplan", "Sheer of {}").format(obj.Label)
    return obj.Label


KINDS = {"object": ObjectField, "objects": ObjectsField, "drawing": DrawingField}
