# SPDX-License-Identifier: LGPL-2.1-or-later
"""A plain form in the task panel: rows of figures, and one line for what is wrong."""

from dataclasses import dataclass, field
from typing import Callable

import FreeCADGui
from PySide import QtCore, QtGui

from ..core.errors import PlanError
from .fields import field_of

__all__ = ["Row", "Form", "translate"]


def translate(text):
    """A text of the panels in the user's language."""
    import FreeCAD

    return FreeCAD.Qt.translate("Strakeplan", text)


@dataclass(frozen=True)
class Row:
    """One row of a form.

    Attributes
    ----------
    name : str
        The property it sets, or the first of several.
    label, tip : str
    kind : str
        A kind of `fields.KINDS`, "heading", or "section": that shows and hides the rows below it,
        down to the next one; at first closed where its choices say so.
    choices : sequence
        For "choice" texts; for "object" and "objects" document objects.
    shown : callable, optional
        (values of choices and switches by name) -> whether the row is shown.
    more : tuple of str
        Further properties that it sets.
    """

    name: str
    label: str
    kind: str
    tip: str = ""
    choices: tuple = ()
    shown: Callable = field(default=None)
    more: tuple = ()

    @property
    def names(self):
        """Names of the properties it sets."""
        return () if self.kind in ("heading", "section") else (self.name, *self.more)


class _Body(QtGui.QWidget):
    """The panel itself; where it is so narrow that figures do not fit, it is their units that are cut off."""

    def __init__(self):
        super().__init__()
        self._resized = QtCore.QTimer(self)
        self._resized.setSingleShot(True)
        self._resized.timeout.connect(self._to_first_digits)

    def resizeEvent(self, event):
        super().resizeEvent(event)
        self._resized.start(0)  # when its rows have found their places

    def _to_first_digits(self):
        for line in self.findChildren(QtGui.QLineEdit):
            if not line.hasFocus():
                line.setCursorPosition(0)


class Form:
    """Task panel with rows and a message.

    Parameters
    ----------
    title : str
    intro : str
        One sentence above the rows.
    rows : sequence of Row
    values : dict
        Property name -> first value.
    accept : callable
        (values by name) -> None; may raise PlanError, which is shown in the panel.
    """

    def __init__(self, title, intro, rows, values, accept):
        self._rows = rows
        self._accept = accept
        self._fields = {}
        self._labels = []  # those that stand beside their field
        self._whole = {}  # name of a row -> what is shown or hidden
        self.form = _Body()
        self.form.setObjectName("StrakeplanForm")
        self.form.setWindowTitle(title)
        outer = QtGui.QVBoxLayout(self.form)
        text = QtGui.QLabel(intro)
        text.setWordWrap(True)
        outer.addWidget(text)
        self.message = QtGui.QLabel("")
        self.message.setObjectName("Message")  # near OK, and in sight however long the panel is
        self.message.setWordWrap(True)
        self.message.setTextInteractionFlags(QtCore.Qt.TextSelectableByMouse)
        self.message.setVisible(False)
        outer.addWidget(self.message)
        for row in rows:
            outer.addWidget(self._made(row, values))
        column = max([label.sizeHint().width() for label in self._labels], default=0)
        for label in self._labels:
            label.setFixedWidth(column)
        outer.addStretch(1)
        self._show_rows()

    def _made(self, row, values):
        """The widget of a whole row: it comes and goes with its label, and leaves no gap."""
        label = QtGui.QLabel(row.label)
        label.setToolTip(row.tip)
        self._whole[row.name] = label
        if row.kind == "section":
            return self._section(row)
        if row.kind == "heading":
            font = label.font()
            font.setBold(True)
            label.setFont(font)
            label.setContentsMargins(0, 6, 0, 0)
            return label
        one = field_of(row)
        one.write(values)
        one.widget.setObjectName(row.name)
        one.widget.setToolTip(row.tip)
        one.on_change(self._show_rows)
        self._fields[row.name] = one
        if one.LABELLED:
            self._whole[row.name] = one.widget
            return one.widget
        whole = self._whole[row.name] = QtGui.QWidget()
        layout = QtGui.QVBoxLayout(whole) if one.WIDE else QtGui.QHBoxLayout(whole)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(3)
        label.setBuddy(one.widget)
        layout.addWidget(label)
        layout.addWidget(one.widget, 1)
        if not one.WIDE:
            self._labels.append(label)
        return whole

    def _section(self, row):
        """A button with an arrow, that shows and hides the rows below it."""
        button = QtGui.QToolButton()
        button.setObjectName(row.name)
        button.setText(row.label)
        button.setToolButtonStyle(QtCore.Qt.ToolButtonTextBesideIcon)
        button.setAutoRaise(True)
        font = button.font()
        font.setBold(True)
        button.setFont(font)
        button.setCheckable(True)
        button.setChecked("closed" not in row.choices)
        button.toggled.connect(self._show_rows)
        self._whole[row.name] = button
        return button

    # ------------------------------------------------------------- values

    def values(self):
        """What the rows hold, by property name.

        Rows that are not shown count too, so that they are there when they are shown again;
        but nothing in them is complained of.
        """
        found, deciding = {}, self._deciding()
        for row in self._rows:
            if not row.names:
                continue
            try:
                found.update(self._fields[row.name].read())
            except PlanError:
                if row.shown is None or row.shown(deciding):
                    raise
        return found

    def set(self, **values):
        """Put values into rows by property name, as if they had been typed."""
        for row in self._rows:
            if set(row.names) & set(values):
                self._fields[row.name].write(values)
        self._show_rows()

    def _deciding(self):
        """Values of the rows that can decide whether others are shown."""
        found = {}
        for one in self._fields.values():
            if one.DECIDES:
                found.update(one.read())
        return found

    def _show_rows(self, *ignored):
        values = self._deciding()
        is_open = True
        for row in self._rows:
            whole = self._whole[row.name]
            if row.kind == "section":
                is_open = whole.isChecked()
                whole.setArrowType(QtCore.Qt.DownArrow if is_open else QtCore.Qt.RightArrow)
            elif row.shown is not None or not is_open or whole.isHidden():
                whole.setVisible(is_open and (row.shown is None or bool(row.shown(values))))

    # ------------------------------------------------------------- the host's side

    def show_message(self, text):
        """Say what is wrong, and keep the panel open."""
        dark = self.form.palette().color(QtGui.QPalette.Window).lightness() < 128
        self.message.setText(text)
        self.message.setStyleSheet(f"color: {'#ff9d94' if dark else '#b3261e'}; font-weight: bold;")
        self.message.setVisible(bool(text))

    def accept(self):
        """OK: returns whether the panel may close."""
        self.show_message("")
        QtGui.QApplication.setOverrideCursor(QtCore.Qt.WaitCursor)
        try:
            self._accept(self.values())
        except PlanError as fault:
            self.show_message(str(fault))
            return False
        finally:
            QtGui.QApplication.restoreOverrideCursor()
        self._close()
        return True

    def reject(self):
        """Cancel: nothing has been made yet."""
        self._close()
        return True

    def _close(self):
        for one in self._fields.values():
            one.close()
        FreeCADGui.Control.closeDialog()
