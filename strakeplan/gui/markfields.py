# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fields for marks on the hull: picked points, and tables of tape readings."""

import FreeCAD
from FreeCAD import Vector
from PySide import QtGui

from ..core.errors import PlanError
from ..objects.marked import GIRTH, SHARE
from .fields import Field, Text, length_in, number_text, three_in
from .picking import Pick, Picker, selected_picks

__all__ = ["KINDS"]

#: what a pick may be of when it is asked for: the stem is an edge
_ANY = ("Vertex", "Face", "Edge")

_TABLE_HEIGHT = 150  # pixels: some five rows


def _translate(text):
    return FreeCAD.Qt.translate("Strakeplan", text)


class _PickButton(QtGui.QPushButton):
    """Pressed while clicks in the 3D view are taken; a selection that is there is taken at once."""

    def __init__(self, take, many=False):
        super().__init__(_translate("Pick"))
        self.setCheckable(True)
        self.setObjectName("Pick")
        self.setMaximumWidth(self.fontMetrics().boundingRect(self.text()).width() + 28)
        self.setToolTip(_translate("Take a point that is selected, or click one in the 3D view"))
        self._take, self._many = take, many
        self.picker = Picker(self._taken)
        self.toggled.connect(self._toggled)

    def _toggled(self, on):
        if not on:
            self.picker.stop()
            return
        picks = selected_picks(FreeCAD.ActiveDocument, _ANY) if FreeCAD.ActiveDocument else []
        if picks and not self._many:
            self._taken(picks[0])
            return
        for pick in picks:
            self._take(pick)
        if picks:
            self.setChecked(False)
        else:
            self.picker.start()

    def _taken(self, pick):
        self._take(pick)
        if not self._many:
            self.setChecked(False)


def _pick_text(pick):
    """How a picked point is shown: to a tenth of a millimetre, while all of it is kept."""
    if pick.vertex:
        return f"{pick.target.Label}: {pick.vertex}"
    return "; ".join(number_text(round(v, 1) + 0.0) for v in pick.point)


def _linked(target, subs):
    """Picks that a link to vertices stands for."""
    subs = [s for s in ([subs] if isinstance(subs, str) else subs) if s] or [""]
    return [Pick((0.0, 0.0, 0.0), target, sub or "Vertex1") for sub in subs]


class PointField(Text):
    """A point picked or typed: a property with the point, and one with a link to a vertex."""

    WIDE = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QHBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.line = QtGui.QLineEdit()
        self.button = _PickButton(self._take)
        layout.addWidget(self.line, 1)
        layout.addWidget(self.button)
        self._pick, self._shown = Pick((0.0, 0.0, 0.0)), ""
        return widget

    def write(self, values):
        if not set(self.row.names) & set(values):
            return
        link = values.get(self.row.more[0])
        if link is not None and link[0] is not None:
            self._take(_linked(*link)[0])
        else:
            self._take(Pick(tuple(values.get(self.name, (0.0, 0.0, 0.0)))))

    def _take(self, pick):
        self._pick = pick
        self._shown = _pick_text(pick)
        self.line.setText(self._shown)
        self.line.setCursorPosition(0)

    def read(self):
        point, link = self.name, self.row.more[0]
        if self.line.text() == self._shown:
            if self._pick.vertex:
                return {link: self._pick.link}
            return {point: Vector(*self._pick.point), link: None}
        return {point: Vector(*three_in(self.line.text(), self.row.label, "point")), link: None}

    def close(self):
        self.button.picker.stop()


class PointsField(Field):
    """Picked points, as many as one likes: a list of points, and one of links to vertices."""

    WIDE = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QVBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.list = QtGui.QListWidget()
        self.list.setMaximumHeight(_TABLE_HEIGHT // 2)
        self.list.setSelectionMode(QtGui.QAbstractItemView.ExtendedSelection)
        self.button = _PickButton(self._take, many=True)
        remove = QtGui.QPushButton(_translate("Remove"))
        remove.setObjectName("RemovePoint")
        remove.clicked.connect(self._remove)
        buttons = QtGui.QHBoxLayout()
        buttons.addWidget(self.button)
        buttons.addWidget(remove)
        buttons.addStretch(1)
        layout.addWidget(self.list)
        layout.addLayout(buttons)
        self._picks = []
        return widget

    def write(self, values):
        points, links = self.name, self.row.more[0]
        if points in values or links in values:
            self._picks = [Pick(tuple(p)) for p in values.get(points) or ()]
            for link in values.get(links) or ():
                self._picks += _linked(*link)
            self._show()

    def _take(self, pick):
        self._picks.append(pick)
        self._show()

    def _remove(self):
        gone = {self.list.row(item) for item in self.list.selectedItems()}
        self._picks = [p for k, p in enumerate(self._picks) if k not in gone]
        self._show()

    def _show(self):
        self.list.clear()
        self.list.addItems([_pick_text(pick) for pick in self._picks])

    def read(self):
        return {
            self.name: [Vector(*p.point) for p in self._picks if not p.vertex],
            self.row.more[0]: [p.link for p in self._picks if p.vertex],
        }

    def close(self):
        self.button.picker.stop()


class MarksField(Field):
    """A table of marks: coordinates along the ship, and girths or their shares.

    Its properties are, in this order: how they are given, positions, girths, shares.
    """

    WIDE = True

    def make(self):
        widget = QtGui.QWidget()
        layout = QtGui.QVBoxLayout(widget)
        layout.setContentsMargins(0, 0, 0, 0)
        self.given = QtGui.QComboBox()
        self.given.setObjectName("GivenBy")
        self.given.addItems([GIRTH, SHARE])
        self.table = QtGui.QTableWidget(0, 2)
        self.table.setObjectName("Marks")
        self.table.setMaximumHeight(_TABLE_HEIGHT)
        self.table.horizontalHeader().setSectionResizeMode(QtGui.QHeaderView.Stretch)
        self.table.verticalHeader().setVisible(False)
        add, remove = QtGui.QPushButton(_translate("Add")), QtGui.QPushButton(_translate("Remove"))
        add.setObjectName("AddMark")
        remove.setObjectName("RemoveMark")
        add.clicked.connect(self._add)
        remove.clicked.connect(self._remove)
        buttons = QtGui.QHBoxLayout()
        for button in (add, remove):
            buttons.addWidget(button)
        buttons.addStretch(1)
        for part in (self.given, self.table):
            layout.addWidget(part)
        layout.addLayout(buttons)
        self._kept = {GIRTH: [], SHARE: []}  # texts of the column that is not shown
        self._now = GIRTH
        self.given.currentIndexChanged.connect(self._swap)
        self._head()
        return widget

    def write(self, values):
        given, positions, girths, shares = self.row.names
        if not {given, positions, girths, shares} & set(values):
            return
        self._kept = {
            GIRTH: [number_text(v) for v in values.get(girths) or ()],
            SHARE: [number_text(100.0 * v) for v in values.get(shares) or ()],
        }
        self._now = values.get(given, GIRTH)
        self.given.blockSignals(True)
        self.given.setCurrentText(self._now)
        self.given.blockSignals(False)
        places = [number_text(v) for v in values.get(positions) or ()]
        self._fill(places, self._kept[self._now])

    def read(self):
        given, positions, girths, shares = self.row.names
        rows = [row for row in self._texts() if any(row)]
        where = [self._value(a, _translate("Position"), length_in) for a, _ in rows]
        label = self.table.horizontalHeaderItem(1).text()
        figures = [self._value(b, label, self._figure) for _, b in rows]
        return {given: self._now, positions: where, (shares if self._now == SHARE else girths): figures}

    # ------------------------------------------------------------- the table

    def _value(self, text, label, parse):
        if not text:
            raise PlanError(
                f"{self.row.label}: a mark lacks its figure under {label}", remedy="Fill it in, or remove the mark"
            )
        return parse(text, f"{self.row.label}, {label}")

    def _figure(self, text, label):
        if self._now == GIRTH:
            return length_in(text, label)
        try:
            return float(text.rstrip("% ")) / 100.0
        except ValueError:
            raise PlanError(f"{label}: {text!r} is no share", remedy="Write per cent, such as 60") from None

    def _texts(self):
        def cell(row, column):
            item = self.table.item(row, column)
            return item.text().strip() if item else ""

        return [(cell(k, 0), cell(k, 1)) for k in range(self.table.rowCount())]

    def _fill(self, places, figures):
        count = max(len(places), len(figures))
        self.table.setRowCount(count)
        for column, texts in ((0, places), (1, figures)):
            for k in range(count):
                self.table.setItem(k, column, QtGui.QTableWidgetItem(texts[k] if k < len(texts) else ""))
        self._head()

    def _head(self):
        second = _translate("Girth, mm") if self._now == GIRTH else _translate("Share, %")
        self.table.setHorizontalHeaderLabels([_translate("Position, mm"), second])

    def _swap(self, *ignored):
        texts = self._texts()
        self._kept[self._now] = [b for _, b in texts]
        self._now = self.given.currentText()
        self._fill([a for a, _ in texts], self._kept[self._now][: len(texts)])

    def _add(self):
        self.table.setRowCount(self.table.rowCount() + 1)
        self.table.setCurrentCell(self.table.rowCount() - 1, 0)

    def _remove(self):
        rows = {index.row() for index in self.table.selectedIndexes()}
        for row in sorted(rows, reverse=True):
            self.table.removeRow(row)


KINDS = {"point": PointField, "points": PointsField, "marks": MarksField}
