# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fields of a few rows: numbers in a line, objects in an order, nibs, widths at stations."""

import FreeCAD
from PySide import QtCore, QtGui

from ..core.errors import PlanError
from ..objects.nibs import BOW, STERN
from .fields import Field, Text, length_in, number_text

__all__ = ["KINDS"]

_TABLE_HEIGHT = 130  # pixels: some four rows
_STEM, _STERN = "Stem", "Stern"


def _translate(text):
    return FreeCAD.Qt.translate("Strakeplan", text)


class Numbers(Text):
    """Numbers one after another, parted by semicolons."""

    WIDE = True

    def text_of(self, value):
        return "; ".join(number_text(v) for v in value)

    def value_of(self, text):
        return [self._number(part.strip()) for part in text.split(";") if part.strip()]

    def _number(self, part):
        try:
            return float(part)
        except ValueError:
            raise PlanError(
                f"{self.row.label}: {part!r} is no number", remedy="Write such as 1.2; 1; 1"
            ) from None


class WholeNumbers(Numbers):
    """Whole numbers; two with a dash between them stand for all from one to the other."""

    def text_of(self, value):
        return "; ".join(str(v) for v in value)

    def value_of(self, text):
        found = []
        for part in text.replace(",", ";").split(";"):
            first, dash, last = part.strip().partition("-")
            if not part.strip():
                continue
            try:
                low = int(first)
                found += range(low, int(last) + 1) if dash else [low]
            except ValueError:
                raise PlanError(
                    f"{self.row.label}: {part.strip()!r} is no whole number", remedy="Write such as 17; 19; 20, or 17-20"
                ) from None
        return found


class OrderedField(Field):
    """Some of some objects, in the order in which they are listed."""

    WIDE = True
    DECIDES = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QHBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.list = QtGui.QListWidget()
        self.list.setObjectName("Ordered")
        buttons = QtGui.QVBoxLayout()
        for name, text, step in (("MoveUp", _translate("Up"), -1), ("MoveDown", _translate("Down"), 1)):
            button = QtGui.QPushButton(text)
            button.setObjectName(name)
            button.clicked.connect(lambda *ignored, step=step: self._move(step))
            buttons.addWidget(button)
        buttons.addStretch(1)
        layout.addWidget(self.list, 1)
        layout.addLayout(buttons)
        self._objects = list(self.row.choices)
        self._fill([])
        return widget

    def _fill(self, ticked):
        self.list.blockSignals(True)
        self.list.clear()
        for obj in self._objects:
            item = QtGui.QListWidgetItem(obj.Label)
            item.setFlags(item.flags() | QtCore.Qt.ItemIsUserCheckable)
            item.setCheckState(QtCore.Qt.Checked if obj in ticked else QtCore.Qt.Unchecked)
            self.list.addItem(item)
        self.list.setFixedHeight(min(max(len(self._objects), 3), 6) * max(self.list.sizeHintForRow(0), 18) + 8)
        self.list.blockSignals(False)

    def put(self, value):
        ticked = [o for o in value if o in self._objects]
        self._objects = ticked + [o for o in self._objects if o not in ticked]
        self._fill(ticked)

    def get(self):
        return [
            obj for k, obj in enumerate(self._objects) if self.list.item(k).checkState() == QtCore.Qt.Checked
        ]

    def on_change(self, call):
        self.list.itemChanged.connect(call)

    def _move(self, step):
        k = self.list.currentRow()
        to = k + step
        if k < 0 or not 0 <= to < len(self._objects):
            return
        ticked = self.get()
        self._objects[k], self._objects[to] = self._objects[to], self._objects[k]
        self._fill(ticked)
        self.list.setCurrentRow(to)


class _TableField(Field):
    """A table with buttons to add and remove rows."""

    WIDE = True
    COLUMNS = ()

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QVBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.inner = QtGui.QWidget()
        inner = QtGui.QVBoxLayout(self.inner)
        inner.setContentsMargins(0, 0, 0, 0)
        self.table = QtGui.QTableWidget(0, len(self.COLUMNS))
        self.table.setObjectName("Table")
        self.table.setHorizontalHeaderLabels([_translate(title) for title in self.COLUMNS])
        self.table.setFixedHeight(_TABLE_HEIGHT)
        self.table.horizontalHeader().setSectionResizeMode(QtGui.QHeaderView.Stretch)
        self.table.verticalHeader().setVisible(False)
        buttons = QtGui.QHBoxLayout()
        for name, text, call in (("AddRow", "Add", self._add), ("RemoveRow", "Remove", self._remove)):
            button = QtGui.QPushButton(_translate(text))
            button.setObjectName(name)
            button.clicked.connect(call)
            buttons.addWidget(button)
        buttons.addStretch(1)
        inner.addWidget(self.table)
        inner.addLayout(buttons)
        layout.addWidget(self.inner)
        return widget

    def texts(self):
        """Rows that hold something, as texts."""
        rows = [[self._cell(k, c) for c in range(len(self.COLUMNS))] for k in range(self.table.rowCount())]
        return [row for row in rows if any(row)]

    def fill(self, rows):
        """Put texts into the table in place of what was there."""
        self.table.setRowCount(0)
        for row in rows:
            self._append(row)

    def _append(self, row):
        k = self.table.rowCount()
        self.table.setRowCount(k + 1)
        for c, text in enumerate(row):
            self.table.setItem(k, c, QtGui.QTableWidgetItem(text))
        return k

    def _cell(self, row, column):
        item = self.table.item(row, column)
        return item.text().strip() if item else ""

    def _add(self, *ignored):
        k = self._append([""] * len(self.COLUMNS))
        self.table.setCurrentCell(k, 0)

    def _remove(self, *ignored):
        rows = {index.row() for index in self.table.selectedIndexes()} or {self.table.currentRow()}
        for row in sorted(rows - {-1}, reverse=True):
            self.table.removeRow(row)


class NibsField(_TableField):
    """Nibs set by hand: properties are strakes, ends, stations, depths, in this order."""

    LABELLED = True
    COLUMNS = ("Strake", "End", "Station", "Depth")

    def make(self):
        widget = super().make()
        self.by_hand = QtGui.QCheckBox(self.row.label)
        self.by_hand.setObjectName("ByHand")
        self.by_hand.setToolTip(self.row.tip)
        widget.layout().insertWidget(0, self.by_hand)
        for column in (0, 1, 3):  # the station takes what is left
            self.table.horizontalHeader().setSectionResizeMode(column, QtGui.QHeaderView.ResizeToContents)
        self.by_hand.toggled.connect(self._toggled)
        self.inner.setVisible(False)
        return widget

    def _toggled(self, on):
        self.inner.setVisible(on)
        if on and not self.table.rowCount():
            self._add()

    def _add(self, *ignored):
        super()._add()
        # the usual end: a full bow
        self.table.setItem(self.table.rowCount() - 1, 1, QtGui.QTableWidgetItem(BOW))

    def write(self, values):
        names = self.row.names
        if not set(names) & set(values):
            return
        strakes, ends, places, depths = (list(values.get(name) or ()) for name in names)
        rows = [
            [str(strake), end, place, number_text(depth) if depth else ""]
            for strake, end, place, depth in zip(strakes, ends, places, depths)
        ]
        self.fill(rows)
        self.by_hand.setChecked(bool(rows))

    def read(self):
        names = self.row.names
        if not self.by_hand.isChecked():
            return {name: [] for name in names}
        found = []
        for k in range(self.table.rowCount()):
            strake, end, place, depth = (self._cell(k, c) for c in range(4))
            if not (strake or place or depth):
                continue
            try:
                number = int(strake)
            except ValueError:
                raise PlanError(
                    f"{self.row.label}: {strake!r} is no strake", remedy="Write its number, counted from the sheer down"
                ) from None
            end = next((known for known in (BOW, STERN) if end and known.lower().startswith(end.lower())), end)
            mm = length_in(depth, _translate("Depth")) if depth else 0.0
            found.append((number, end, place, mm))
        return dict(zip(names, map(list, zip(*found)))) if found else {name: [] for name in names}


class WidthsField(_TableField):
    """Widths at stations: properties are positions, widths in a row, those at the stem, at the stern."""

    COLUMNS = ("Station", "Widths, mm")

    def write(self, values):
        names = self.row.names
        if not set(names) & set(values):
            return
        positions, widths, stem, stern = (list(values.get(name) or ()) for name in names)
        count = len(widths) // len(positions) if positions else 0
        rows = [
            [number_text(x), self._row_text(widths[k * count : (k + 1) * count])] for k, x in enumerate(positions)
        ]
        if stem:
            rows.insert(0, [_translate(_STEM), self._row_text(stem)])
        if stern:
            rows.append([_translate(_STERN), self._row_text(stern)])
        self.fill(rows or [["", ""]])

    @staticmethod
    def _row_text(values):
        return "; ".join(number_text(v) for v in values)

    def read(self):
        names = self.row.names
        positions, rows, ends = [], [], {_STEM: [], _STERN: []}
        for place, text in self.texts():
            widths = [length_in(part, self.row.label) for part in text.split(";") if part.strip()]
            end = next((e for e in ends if place.lower() in (e.lower(), _translate(e).lower())), None)
            if end:
                ends[end] = widths
                continue
            positions.append(length_in(place, self.row.label))
            rows.append(widths)
        if len({len(row) for row in rows}) > 1:
            raise PlanError(
                f"{self.row.label}: stations have {' and '.join(str(len(row)) for row in rows)} widths",
                remedy="Give a width for every strake at every station",
            )
        return dict(zip(names, (positions, [w for row in rows for w in row], ends[_STEM], ends[_STERN])))


KINDS = {
    "numbers": Numbers,
    "whole numbers": WholeNumbers,
    "ordered": OrderedField,
    "nibs": NibsField,
    "widths": WidthsField,
}
