# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a user does, for the tests inside the program: select, run a command, fill its panel, press OK."""

import os
import sys

import FreeCAD
import FreeCADGui
from gui_session import settle


def examples():
    """The demonstration hull's script lies beside the add-on's package."""
    import strakeplan

    folder = os.path.dirname(os.path.dirname(os.path.abspath(strakeplan.__file__)))
    if os.path.join(folder, "examples") not in sys.path:
        sys.path.append(os.path.join(folder, "examples"))


def document_with_hull():
    """A document with the demonstration hull's face, selected."""
    examples()
    from demo_hull import demo_patch_data

    from strakeplan.core.spline.patch import SplinePatch
    from strakeplan.host.shapes import face_of

    document = FreeCAD.newDocument("Boat")
    document.UndoMode = 1
    hull = document.addObject("Part::Feature", "Hull")
    hull.Label = "Moulded surface"
    hull.Shape = face_of(SplinePatch(*demo_patch_data()))
    document.recompute()
    document.clearUndos()
    FreeCADGui.Selection.clearSelection()
    FreeCADGui.Selection.addSelection(document.Name, hull.Name, "Face1")
    settle()
    return document


def document_lined_off(strakes=17):
    """A document with the demonstration hull lined off in equal strakes and parallel ones; nothing selected."""
    from strakeplan.objects import make

    document = document_with_hull()
    surface = make.make_planked_surface(document.getObject("Hull"), HalfSiding=37.5, StationSpacing=1000)
    line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
    make.make_line_off(line, Strakes=strakes)
    FreeCADGui.Selection.clearSelection()
    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    settle()
    return document


def only(document, kind):
    """The document's only object of a kind."""
    from strakeplan.objects.base import kind_of

    found = [o for o in document.Objects if kind_of(o) == kind]
    assert len(found) == 1, f"{len(found)} objects of kind {kind}"
    return found[0]


def until(find, what):
    """What `find` gives as soon as it gives something; a window may take its time."""
    for _ in range(100):
        found = find()
        if found:
            return found
        settle(0.1)
    raise AssertionError(f"{what} did not come")


def open_form():
    """The form of the panel that is open."""
    from PySide import QtGui

    def find():
        return FreeCADGui.getMainWindow().findChildren(QtGui.QWidget, "StrakeplanForm")

    found = until(find, "a panel")
    assert len(found) == 1, f"{len(found)} panels are open"
    return found[0]


def fill(form, **values):
    """Type values into a panel's rows."""
    from PySide import QtGui

    for name, value in values.items():
        widget = form.findChild(QtGui.QWidget, name)
        assert widget is not None, f"the panel has no row {name}"
        line = widget.findChild(QtGui.QLineEdit)  # a line with a button beside it
        if type(widget) is QtGui.QWidget and line is not None:
            line.setText(value)
            continue
        if isinstance(widget, QtGui.QCheckBox):
            widget.setChecked(value)
        elif isinstance(widget, QtGui.QComboBox):
            assert widget.findText(value) >= 0, f"{name} has no choice {value}"
            widget.setCurrentText(value)
        elif isinstance(widget, QtGui.QListWidget):  # with a box to tick before each
            from PySide import QtCore

            for k in range(widget.count()):
                ticked = widget.item(k).text() in value
                widget.item(k).setCheckState(QtCore.Qt.Checked if ticked else QtCore.Qt.Unchecked)
        elif isinstance(widget, QtGui.QLineEdit):
            widget.setText(value)
        elif isinstance(widget, (QtGui.QSpinBox, QtGui.QDoubleSpinBox)):
            widget.setValue(value)
        else:
            widget.setProperty("rawValue", float(value))


def press(standard):
    """Press OK or Cancel of the task panel."""
    from PySide import QtGui

    def find():
        return [
            b.button(standard)
            for b in FreeCADGui.getMainWindow().findChildren(QtGui.QDialogButtonBox)
            if b.isVisible() and b.button(standard) is not None
        ]

    until(find, "the button")[-1].click()
    settle(0.5)


def ok():
    from PySide import QtGui

    press(QtGui.QDialogButtonBox.Ok)


def cancel():
    from PySide import QtGui

    press(QtGui.QDialogButtonBox.Cancel)


def run(command):
    until(lambda: not FreeCADGui.Control.activeDialog(), "the end of the last panel")
    FreeCADGui.runCommand(command)
    settle(0.3)


def kinds_in(document):
    from strakeplan.objects.base import kind_of

    return [kind_of(o) for o in document.Objects if kind_of(o)]
