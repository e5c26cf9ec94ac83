# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fields for a file and for plain words."""

import os

import FreeCAD
from PySide import QtGui

from .fields import Field, Text

__all__ = ["KINDS"]


class FileField(Field):
    """A file that is read; choices of the row are the kinds of file offered."""

    WIDE = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QHBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.line = QtGui.QLineEdit()
        button = QtGui.QPushButton("...")
        button.setObjectName("Browse")
        button.setMaximumWidth(36)
        button.setToolTip(FreeCAD.Qt.translate("Strakeplan", "Choose a file"))
        button.clicked.connect(self._browse)
        layout.addWidget(self.line, 1)
        layout.addWidget(button)
        return widget

    def put(self, value):
        self.line.setText(value or "")

    def get(self):
        return self.line.text().strip()

    def _browse(self):
        start = os.path.dirname(self.get()) or os.path.dirname(FreeCAD.ActiveDocument.FileName)
        name, _ = QtGui.QFileDialog.getOpenFileName(
            self.widget, self.row.label, start, ";;".join(self.row.choices)
        )
        if name:
            self.put(name)


class Words(Text):
    """Plain words."""

    def text_of(self, value):
        return str(value)

    def value_of(self, text):
        return text.strip()


KINDS = {"file": FileField, "words": Words}
