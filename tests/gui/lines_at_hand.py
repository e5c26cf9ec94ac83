# SPDX-License-Identifier: LGPL-2.1-or-later
"""What the tests of lines inside the program share."""

import FreeCADGui
from acting import document_with_hull, kinds_in, ok
from FreeCAD import Vector
from gui_session import errors, settle

#: mm; the host hands on a picked point in single precision: 10 m to 2^-24, three coordinates
FLOAT = 3**0.5 * 10000.0 * 2.0**-24


def boat():
    """The demonstration hull with its planked surface, nothing selected."""
    from strakeplan.objects import make

    FreeCADGui.activateWorkbench("StrakeplanWorkbench")
    document = document_with_hull()
    surface = make.make_planked_surface(document.getObject("Hull"), HalfSiding=37.5, StationSpacing=1000)
    document.clearUndos()
    FreeCADGui.Selection.clearSelection()
    settle()
    return document, surface


def taut(surface, **values):
    """A taut line made beforehand."""
    from strakeplan.objects import make

    line = make.make_taut_line(surface, **{"BowGirth": 1050, "SternGirth": 950, **values})
    line.Document.clearUndos()
    return line


def made(document, kind):
    """The object of a kind made last."""
    from strakeplan.objects.base import kind_of

    return [o for o in document.Objects if kind_of(o) == kind][-1]


def message(form):
    """What the panel says is wrong."""
    from PySide import QtGui

    label = form.findChild(QtGui.QLabel, "Message")
    assert label.isVisible()
    return label.text()


def press_in(form, name, within=None):
    """Press a button of the panel, or of one of its rows."""
    from PySide import QtGui

    place = form if within is None else form.findChild(QtGui.QWidget, within)
    place.findChild(QtGui.QPushButton, name).click()
    settle()


def click(document, obj, sub, point=(0.0, 0.0, 0.0)):
    """What the 3D view does when something in it is clicked."""
    FreeCADGui.Selection.addSelection(document.Name, obj.Name, sub, *point)
    settle()


def hull_point(surface, share, station):
    """A point on the hull, in the document's coordinates, at a share of the girth."""
    from strakeplan.core.lines.marks import Mark, places
    from strakeplan.objects.planked_surface import surface_of

    hull = surface_of(surface).value
    place = places(hull, [Mark(station=station, share=share)])[0]
    return tuple(float(v) for v in hull.frame.points_to_model(place.p[None])[0])


def passed_at(line, point):
    """How far a line passes from a point, mm: of the line itself, not of the spline shown."""
    import numpy as np

    from strakeplan.objects.line import line_of
    from strakeplan.objects.planked_surface import surface_of

    curve = line_of(line).value.curve
    frame = surface_of(line.Surface).value.frame
    p = frame.points_to_ship(np.array([point], float))[0]
    s = np.linspace(0.0, curve.length, 4001)
    for _ in range(6):
        near = int(np.argmin(np.linalg.norm(curve.points(s) - p, axis=1)))
        s = np.linspace(s[max(near - 1, 0)], s[min(near + 1, len(s) - 1)], 101)
    return float(np.min(np.linalg.norm(curve.points(s) - p, axis=1)))


def nothing_cut_off(form):
    """No label, choice or heading of the open panel is narrower than its text."""
    from PySide import QtGui

    for table in form.findChildren(QtGui.QTableWidget):
        for column in range(table.columnCount()):
            text = table.horizontalHeaderItem(column).text()
            need, has = table.fontMetrics().boundingRect(text).width(), table.columnWidth(column)
            assert need <= has, f"{text!r} needs {need} pixels and has {has}"
    for label in form.findChildren(QtGui.QLabel):
        if label.isVisible() and not label.wordWrap():
            need, has = label.sizeHint().width(), label.width()
            assert need <= has, f"{label.text()!r} needs {need} pixels and has {has}"
    for box in form.findChildren(QtGui.QComboBox):
        if box.isVisible():
            need, has = box.fontMetrics().boundingRect(box.currentText()).width(), box.width()
            assert need <= has, f"{box.currentText()!r} needs {need} pixels and has {has}"


def accept_and_undo(document, kind, title, before):
    """OK, look at what was made, undo it and do it again."""
    ok()
    found = errors()
    assert found == [], found
    assert kinds_in(document) == [*before, kind]
    assert list(document.UndoNames)[0] == title
    obj = made(document, kind)
    assert obj.State == ["Up-to-date"], (obj.Label, obj.State)
    document.undo()
    assert kinds_in(document) == before
    document.redo()
    assert kinds_in(document) == [*before, kind]
    return made(document, kind)


def drawing(document, surface):
    """A straight line drawn in profile, abreast of the hull, from stem to stern."""
    import Part
    from strakeplan.core.lines.marks import Mark, places
    from strakeplan.objects.planked_surface import surface_of

    hull = surface_of(surface).value
    ends = places(hull, [Mark.end("stem", 1050.0), Mark.end("stern", 950.0)])
    a, b = (Vector(p[0], 4000.0, p[2]) for p in (hull.frame.points_to_model(e.p[None])[0] for e in ends))
    out = document.addObject("Part::Feature", "Drawing")
    out.Shape = Part.makeLine(a + (a - b) * 0.1, b + (b - a) * 0.1)
    document.recompute()
    document.clearUndos()
    return out
