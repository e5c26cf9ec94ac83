# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fields of a form: each holds one property of an object, or a few that belong together."""

import FreeCADGui
from PySide import QtGui

from ..core.errors import PlanError

__all__ = ["Field", "Text", "KINDS", "field_of", "length_in", "number_text", "three_in"]

#: pixels; the panel's column is narrow in a new user's window
_NARROWEST = 90
#: pixels; a longer choice stands below its label
_LONG_CHOICE = 100


def field_of(row):
    """The field of a row of a form."""
    from . import filefields, linkfields, markfields, tablefields  # they build on this module

    return {**KINDS, **markfields.KINDS, **linkfields.KINDS, **filefields.KINDS, **tablefields.KINDS}[row.kind](row)


def number_text(value):
    """A number as it is typed: all digits that matter, and no more."""
    return f"{value:.10g}"


def length_in(text, label):
    """A length as typed, in mm; a bare number is mm.

    Raises
    ------
    PlanError
    """
    import FreeCAD

    text = text.strip()
    try:
        return float(text)
    except ValueError:
        try:
            return float(FreeCAD.Units.Quantity(text).getValueAs("mm"))
        except Exception:
            raise PlanError(
                f"{label}: {text!r} is not a length", remedy="Write such as 1000, 2 m or 118 in"
            ) from None


def three_in(text, label, what):
    """Three lengths parted by semicolons."""
    parts = [part for part in text.split(";") if part.strip()]
    if len(parts) != 3:
        raise PlanError(f"{label}: {text.strip()!r} is no {what}", remedy=f"Write {what} as three numbers: x; y; z")
    return tuple(length_in(part, label) for part in parts)


class Field:
    """Base: a widget that holds properties.

    Attributes
    ----------
    WIDE : bool
        It needs the whole width of the panel, below its label.
    LABELLED : bool
        Its widget shows the label itself.
    DECIDES : bool
        Other rows may be shown or hidden by its value.
    """

    WIDE = False
    LABELLED = False
    DECIDES = False

    def __init__(self, row):
        self.row = row
        self.name = row.name
        self.widget = self.make()

    def make(self):
        """The widget."""
        raise NotImplementedError

    def write(self, values):
        """Take what the properties are from a dict by name; others are left alone."""
        if self.name in values:
            self.put(values[self.name])

    def read(self):
        """Properties by name."""
        return {self.name: self.get()}

    def on_change(self, call):
        """Have a function called when other rows may have to come or go."""

    def close(self):
        """The panel is closed."""


class Quantity(Field):
    """A number with a unit."""

    UNIT = "mm"

    def make(self):
        widget = FreeCADGui.UiLoader().createWidget("Gui::QuantitySpinBox")
        widget.setProperty("unit", self.UNIT)
        widget.setMinimumWidth(_NARROWEST)
        return widget

    def put(self, value):
        value = float(getattr(value, "Value", value))
        self.widget.setProperty("rawValue", value)
        self._exact = (float(self.widget.property("rawValue")), value)

    def get(self):
        # some versions of the host round to the decimals they show
        shown, exact = getattr(self, "_exact", (None, None))
        value = float(self.widget.property("rawValue"))
        return exact if value == shown else value


class Angle(Quantity):
    UNIT = "deg"


class Force(Quantity):
    UNIT = "N"


class Number(Field):
    """A plain number."""

    def make(self):
        widget = QtGui.QDoubleSpinBox()
        widget.setDecimals(4)
        widget.setRange(0.0, 1e6)
        widget.setMinimumWidth(_NARROWEST)
        return widget

    def put(self, value):
        self.widget.setValue(value)
        self._exact = (self.widget.value(), value)

    def get(self):
        shown, exact = getattr(self, "_exact", (None, None))
        value = self.widget.value()
        return exact if value == shown else value


class Integer(Field):
    def make(self):
        widget = QtGui.QSpinBox()
        widget.setRange(-9999, 9999)
        return widget

    def put(self, value):
        self.widget.setValue(int(value))

    def get(self):
        return int(self.widget.value())


class Share(Field):
    """A share (0 to 1), shown in per cent."""

    def make(self):
        widget = QtGui.QDoubleSpinBox()
        widget.setRange(0.0, 100.0)
        widget.setDecimals(2)
        widget.setSuffix(" %")
        return widget

    def put(self, value):
        self.widget.setValue(100.0 * value)
        self._exact = (self.widget.value(), value)

    def get(self):
        shown, exact = getattr(self, "_exact", (None, None))
        value = self.widget.value()
        return exact if value == shown else value / 100.0  # what was not touched is not rounded


class Choice(Field):
    DECIDES = True

    def make(self):
        widget = QtGui.QComboBox()
        widget.addItems(list(self.row.choices))
        widget.setMinimumContentsLength(8)
        widget.setSizeAdjustPolicy(QtGui.QComboBox.AdjustToMinimumContentsLengthWithIcon)
        metrics = widget.fontMetrics()
        self.WIDE = max(metrics.boundingRect(text).width() for text in self.row.choices) > _LONG_CHOICE
        return widget

    def put(self, value):
        self.widget.setCurrentIndex(list(self.row.choices).index(value))

    def get(self):
        return self.row.choices[self.widget.currentIndex()]

    def on_change(self, call):
        self.widget.currentIndexChanged.connect(call)


class Switch(Field):
    LABELLED = True
    DECIDES = True

    def make(self):
        return QtGui.QCheckBox(self.row.label)

    def put(self, value):
        self.widget.setChecked(bool(value))

    def get(self):
        return bool(self.widget.isChecked())

    def on_change(self, call):
        self.widget.toggled.connect(call)


class Text(Field):
    """A property written as text; what was not touched is handed back as it was."""

    def make(self):
        self.line = QtGui.QLineEdit()
        return self.line

    def put(self, value):
        self.line.setText(self.text_of(value))
        self._exact = (self.line.text(), value)

    def get(self):
        text = self.line.text()
        shown, exact = getattr(self, "_exact", (None, None))
        return exact if text == shown else self.value_of(text)


class Lengths(Text):
    """Lengths one after another, parted by semicolons."""

    def text_of(self, value):
        return "; ".join(number_text(v) for v in value)

    def value_of(self, text):
        return [length_in(part, self.row.label) for part in text.replace("\n", ";").split(";") if part.strip()]


class Direction(Text):
    """Three numbers, or the direction in which the 3D view is looked at."""

    WIDE = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QHBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.line = QtGui.QLineEdit()
        self.button = QtGui.QPushButton(_translate("From the view"))
        self.button.setObjectName("FromView")
        self.button.setToolTip(_translate("The direction in which the 3D view is looked at"))
        self.button.clicked.connect(self._from_view)
        layout.addWidget(self.line, 1)
        layout.addWidget(self.button)
        return widget

    def text_of(self, value):
        return "; ".join(number_text(round(v, 9) + 0.0) for v in value)

    def value_of(self, text):
        return three_in(text, self.row.label, "direction")

    def _from_view(self):
        view = FreeCADGui.activeDocument().activeView()
        if hasattr(view, "getViewDirection"):  # not a sheet or a drawing
            self.put(tuple(view.getViewDirection()))


def _translate(text):
    import FreeCAD

    return FreeCAD.Qt.translate("Strakeplan", text)


#: kind of row -> its field
KINDS = {
    "length": Quantity,
    "angle": Angle,
    "force": Force,
    "number": Number,
    "integer": Integer,
    "share": Share,
    "choice": Choice,
    "switch": Switch,
    "lengths": Lengths,
    "direction": Direction,
}
