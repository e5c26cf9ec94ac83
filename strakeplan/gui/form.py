# SPDX-License-Identifier: LGPL-2.1-or-later
"""A plain form in the task panel: rows of figures, and one line for what is wrong."""

from dataclasses import dataclass, field
from typing import Any, Callable

import FreeCADGui
from PySide import QtCore, QtGui

from ..core.errors import PlanError

__all__ = ["Row", "Form", "translate"]

#: pixels; the panel's column is narrow in a new user's window
_NARROWEST = 100


def translate(text):
    """A text of the panels in the user's language."""
    import FreeCAD

    return FreeCAD.Qt.translate("Strakeplan", text)


@dataclass
class Row:
    """One row of a form.

    Attributes
    ----------
    name : str
        The property it sets.
    label, tip : str
    kind : str
        "length", "integer", "choice", "switch" or "lengths".
    value : object
        What it shows first.
    choices : sequence of str
        For "choice".
    shown : callable, optional
        (values of the form by name) -> whether the row is shown.
    """

    name: str
    label: str
    kind: str
    value: Any
    tip: str = ""
    choices: tuple = ()
    shown: Callable = field(default=None)


class Form:
    """Task panel with rows and a message.

    Parameters
    ----------
    title : str
    intro : str
        One sentence above the rows.
    rows : sequence of Row
    accept : callable
        (values by name) -> None; may raise PlanError, which is shown in the panel.
    """

    def __init__(self, title, intro, rows, accept):
        self._rows = rows
        self._accept = accept
        self._fields = {}
        self._labels = {}
        self.form = QtGui.QWidget()
        self.form.setObjectName("StrakeplanForm")
        self.form.setWindowTitle(title)
        outer = QtGui.QVBoxLayout(self.form)
        text = QtGui.QLabel(intro)
        text.setWordWrap(True)
        outer.addWidget(text)
        grid = QtGui.QFormLayout()
        grid.setFieldGrowthPolicy(QtGui.QFormLayout.AllNonFixedFieldsGrow)
        grid.setRowWrapPolicy(QtGui.QFormLayout.WrapLongRows)
        outer.addLayout(grid)
        for row in rows:
            widget = _widget(row)
            widget.setObjectName(row.name)
            widget.setToolTip(row.tip)
            label = QtGui.QLabel(row.label)
            label.setToolTip(row.tip)
            label.setBuddy(widget)
            grid.addRow(label, widget)
            self._fields[row.name] = widget
            self._labels[row.name] = label
            _on_change(row, widget, self._show_rows)
        self.message = QtGui.QLabel("")
        self.message.setObjectName("Message")
        self.message.setWordWrap(True)
        self.message.setTextInteractionFlags(QtCore.Qt.TextSelectableByMouse)
        self.message.setVisible(False)
        outer.addWidget(self.message)
        outer.addStretch(1)
        self._show_rows()

    # ------------------------------------------------------------- values

    def values(self):
        """What the rows hold, by property name; rows that are not shown too."""
        return {row.name: _read(row, self._fields[row.name]) for row in self._rows}

    def set(self, name, value):
        """Put a value into a row, as if it had been typed."""
        row = next(r for r in self._rows if r.name == name)
        _write(row, self._fields[name], value)
        self._show_rows()

    def _show_rows(self, *ignored):
        values = {r.name: _read(r, self._fields[r.name]) for r in self._rows}
        for row in self._rows:
            if row.shown is not None:
                shown = bool(row.shown(values))
                self._fields[row.name].setVisible(shown)
                self._labels[row.name].setVisible(shown)

    # ------------------------------------------------------------- the host's side

    def show_message(self, text):
        """Say what is wrong, and keep the panel open."""
        self.message.setText(text)
        self.message.setStyleSheet("color: #b3261e; font-weight: bold;")
        self.message.setVisible(bool(text))

    def accept(self):
        """OK: returns whether the panel may close."""
        QtGui.QApplication.setOverrideCursor(QtCore.Qt.WaitCursor)
        try:
            self._accept(self.values())
        except PlanError as fault:
            self.show_message(str(fault))
            return False
        except ValueError as fault:  # a text that is no list of lengths
            self.show_message(str(fault))
            return False
        finally:
            QtGui.QApplication.restoreOverrideCursor()
        FreeCADGui.Control.closeDialog()
        return True

    def reject(self):
        """Cancel: nothing has been made yet."""
        FreeCADGui.Control.closeDialog()
        return True


def _widget(row):
    """The widget of a row, with its first value."""
    if row.kind == "length":
        widget = FreeCADGui.UiLoader().createWidget("Gui::QuantitySpinBox")
        widget.setProperty("unit", "mm")
        widget.setMinimumWidth(_NARROWEST)
    elif row.kind == "integer":
        widget = QtGui.QSpinBox()
        widget.setRange(-9999, 9999)
    elif row.kind == "choice":
        widget = QtGui.QComboBox()
        widget.addItems(list(row.choices))
    elif row.kind == "switch":
        widget = QtGui.QCheckBox()
    else:
        widget = QtGui.QLineEdit()
    _write(row, widget, row.value)
    return widget


def _write(row, widget, value):
    if row.kind == "length":
        widget.setProperty("rawValue", float(value))
    elif row.kind == "integer":
        widget.setValue(int(value))
    elif row.kind == "choice":
        widget.setCurrentIndex(list(row.choices).index(value))
    elif row.kind == "switch":
        widget.setChecked(bool(value))
    elif row.kind == "lengths":
        widget.setText("; ".join(f"{v:g}" for v in value))


def _read(row, widget):
    if row.kind == "length":
        return float(widget.property("rawValue"))
    if row.kind == "integer":
        return int(widget.value())
    if row.kind == "choice":
        return row.choices[widget.currentIndex()]
    if row.kind == "switch":
        return bool(widget.isChecked())
    return _lengths(widget.text(), row.label)


def _lengths(text, label):
    """Lengths written one after another, parted by semicolons; bare numbers are mm."""
    import FreeCAD

    values = []
    for part in text.replace("\n", ";").split(";"):
        part = part.strip()
        if not part:
            continue
        try:
            values.append(float(part))
        except ValueError:
            try:
                values.append(float(FreeCAD.Units.Quantity(part).getValueAs("mm")))
            except Exception:
                raise PlanError(
                    f"{label}: {part!r} is not a length",
                    remedy="Part lengths by semicolons, such as 1000; 2 m; 118 in",
                ) from None
    return values


def _on_change(row, widget, call):
    """Let other rows come and go with this one."""
    if row.kind == "choice":
        widget.currentIndexChanged.connect(call)
    elif row.kind == "switch":
        widget.toggled.connect(call)
