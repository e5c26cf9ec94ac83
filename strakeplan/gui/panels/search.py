# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panel in which better line-offs are searched for, set side by side, and one is chosen."""

import FreeCAD
import FreeCADGui
from PySide import QtCore, QtGui

from ...core.errors import PlanError
from ...core.search.space import EFFORTS, Space
from ...core.search.words import HEADINGS, outcome_row, shortfall
from ...objects.found import make_found, quest_of
from ..beside import Work
from ..form import Form, translate
from ..preview import Preview
from .opening import to_3d_view
from .rows import row, section

__all__ = ["SearchForm", "show"]

_TICK = 150  # ms between two looks at the search
_WIDEST = 80  # pixels of a column: the panel is narrow in a new user's window

#: what the user chooses -> what the core calls it
TRIES = {"Few": "few", "Usual": "usual", "Many": "many"}

#: heads of the table's rows that are short enough for the panel
_SHORT = {
    "What binds": "Binds", "Equal strakes": "Equal", "Strakes in all": "In all", "Line at the stem, % of girth": "Stem, %",
    "Line at the stern, % of girth": "Stern, %", "Slack, mm": "Slack", "Least breadth at the stem, mm": "Stem, mm",
    "Least width amidships, mm": "Mid, least", "Greatest width amidships, mm": "Mid, most",
    "Least breadth at the stern, mm": "Stern, mm", "Greatest width, mm": "Widest",
}  # fmt: skip


def show(checks):
    """Open the panel.

    Parameters
    ----------
    checks : document object
        Strake checks to start from.

    Returns
    -------
    SearchForm
    """
    if FreeCADGui.Control.activeDialog():
        raise PlanError("Another task is open", remedy="Close it first")
    form = SearchForm(checks)
    to_3d_view()
    FreeCADGui.Control.showDialog(form)
    return form


def _rows():
    return [
        row("Fewest", "Fewest strakes", "integer", "Fewest equal strakes above the line"),
        row("Most", "Most strakes", "integer", "Most equal strakes above the line"),
        row("Easing", "The line may be eased", "switch", "Away from a taut one, towards the sheer"),
        row("Stealers", "Strakes may end in nibs", "switch",
            "Where they would fall below the narrowest width and the least breadth at hood ends"),
        row("Spiling", "Strakes may be spiled", "switch", "Or else every one but the garboard is to be sprung"),
        row("ParallelWidth", "Parallel width", "length", "Of the strakes below the line; 0: as those above amidships"),
        row("Tries", "Tries", "choice", "How many line-offs of each kind are tried", tuple(TRIES)),
        row("Seed", "Seed", "integer", "The same one tries the same line-offs again; another one others"),
        section("EndsSection", "Where the line may end", closed=True),
        row("StemFrom", "Stem, from", "share", "Of the stem's girth, from the sheer down"),
        row("StemTo", "Stem, to", "share", "Of the stem's girth, from the sheer down"),
        row("SternFrom", "Stern, from", "share", "Of the stern's girth, from the sheer down"),
        row("SternTo", "Stern, to", "share", "Of the stern's girth, from the sheer down"),
    ]  # fmt: skip


def _first_values(quest):
    """Bounds about what is there."""
    space = Space()
    count = quest.present(space)[HEADINGS.index("Equal strakes")]
    low, high = space.counts if count is None else (max(2, round(0.6 * count)), round(1.6 * count) + 1)
    return {
        "Fewest": low, "Most": high, "Easing": True, "Stealers": False, "Spiling": True, "ParallelWidth": 0.0,
        "Tries": "Usual", "Seed": 0, "StemFrom": space.bow[0], "StemTo": space.bow[1], "SternFrom": space.stern[0],
        "SternTo": space.stern[1],
    }  # fmt: skip


def _space(values):
    return Space(
        counts=(values["Fewest"], values["Most"]), bow=(values["StemFrom"], values["StemTo"]),
        stern=(values["SternFrom"], values["SternTo"]), easing=values["Easing"], stealers=values["Stealers"],
        spiling=values["Spiling"], parallel_width=values["ParallelWidth"] or None,
    )  # fmt: skip


class SearchForm(Form):
    """Task panel of a search.

    Parameters
    ----------
    checks : document object
        Strake checks to start from.
    """

    def __init__(self, checks):
        self._checks, self._document = checks, checks.Document
        self._name = self._document.Name
        self._quest = self._space = self._found = self._work = None
        self._preview = Preview(self._document)
        super().__init__(
            translate("Better line-off"),
            translate("Line-offs that leave the worst strake the most margin, with the wood and within the limits of {}.")
            .format(checks.Label),
            _rows(), _first_values(quest_of(checks)), self._make,
        )  # fmt: skip
        self._add_search(self.form.layout())
        self._timer = QtCore.QTimer(self.form)  # it ends with the panel, however that is closed
        self._timer.timeout.connect(self._look)
        self._timer.start(_TICK)
        self.form.destroyed.connect(self._let_go)
        QtGui.QApplication.instance().aboutToQuit.connect(self._quit)

    def _add_search(self, layout):
        """What stands below the rows."""
        self._begin, self._stop = QtGui.QPushButton(translate("Begin")), QtGui.QPushButton(translate("Stop"))
        self._stop.setToolTip(translate("Keeps what has been found: the best of each kind is still worked out to the end"))
        self._bar, self._best = QtGui.QProgressBar(), QtGui.QLabel("")
        self._table, self._verdict = QtGui.QTableWidget(), QtGui.QLabel("")
        named = {"Begin": self._begin, "Stop": self._stop, "Progress": self._bar, "BestSoFar": self._best,
                 "FoundLineOffs": self._table, "Verdict": self._verdict}  # fmt: skip
        for name, widget in named.items():
            widget.setObjectName(name)
        for label in (self._best, self._verdict):
            label.setWordWrap(True)
            label.setTextInteractionFlags(QtCore.Qt.TextSelectableByMouse)
        buttons = QtGui.QHBoxLayout()
        buttons.addWidget(self._begin)
        buttons.addWidget(self._stop)
        at = layout.count() - 1  # above the stretch
        layout.insertLayout(at, buttons)
        for k, widget in enumerate((self._bar, self._best, self._verdict, self._table), 1):
            layout.insertWidget(at + k, widget, 1 if widget is self._table else 0)
        self._begin.clicked.connect(self._started)
        self._stop.clicked.connect(self._stopped)
        table = self._table
        table.setEditTriggers(QtGui.QAbstractItemView.NoEditTriggers)
        table.setSelectionBehavior(QtGui.QAbstractItemView.SelectColumns)
        table.setSelectionMode(QtGui.QAbstractItemView.SingleSelection)
        font = table.font()
        font.setPointSizeF(0.9 * font.pointSizeF())
        for one in (table, table.horizontalHeader(), table.verticalHeader()):
            one.setFont(font)
        table.setAutoScroll(False)  # the first column is what the others are compared with
        table.setHorizontalScrollMode(QtGui.QAbstractItemView.ScrollPerPixel)
        table.setToolTip(translate("Choose a column: its seams are shown in the 3D view, and OK makes it"))
        table.itemSelectionChanged.connect(self._show_chosen)
        self._show_state()

    # ------------------------------------------------------------- the search

    def _started(self):
        """Begin: from what the document and the rows hold now."""
        self.show_message("")
        try:
            values = self.values()
            self._space = _space(values)
            self._quest = quest = quest_of(self._checks)
        except PlanError as fault:
            self.show_message(str(fault))
            return
        except ReferenceError:
            self.show_message(translate("The strake checks are no longer there. Close this panel."))
            return
        space, seed, effort = self._space, values["Seed"], EFFORTS[TRIES[values["Tries"]]]
        self._found = None
        self._fill([])
        self._work = Work(lambda tell, stop: quest.search(space, seed, effort, tell, stop))
        self._show_state()

    def _stopped(self):
        if self._work is not None:
            self._work.stop()

    def _look(self):
        """See how far the search is; and whether the document is still there."""
        if FreeCAD.listDocuments().get(self._name) is not self._document:
            self._close()
            return
        work = self._work
        if work is None:
            return
        if work.told is not None:
            tried, about, top = work.told
            self._bar.setRange(0, about)
            self._bar.setValue(tried)
            if top is not None:
                self._best.setText(
                    translate("{} of about {} tried; best margin so far {:.1f} %").format(tried, about, 100.0 * top.margin)
                )
        if work.running:
            return
        self._work = None
        self.show_message("")  # such as that it is still running
        if work.fault:
            self.show_message(work.fault)
            if work.details:
                FreeCAD.Console.PrintError(work.details)
        elif work.result is not None:
            self._ended(work.result)
        self._show_state()

    def _ended(self, found):
        """Set what was found side by side."""
        self._found = found
        self._bar.setValue(self._bar.maximum())
        tried = translate("{} line-offs tried{}.").format(
            found.tried, translate(", stopped before the end") if found.stopped else ""
        )
        self._best.setText(tried)
        short = shortfall(found)
        present = self._quest.present(self._space)
        if not short and found.best[0].margin * 100.0 <= present[HEADINGS.index("Margin, %")]:
            short = translate("None leaves more margin than the present line-off.")
        self._verdict.setText(short)
        self._fill([present, *map(outcome_row, found.best)] if found.best else [])
        if found.best:
            self._table.selectColumn(1)

    def _fill(self, rows):
        """A column for each line-off."""
        table = self._table
        table.clear()
        table.setRowCount(len(HEADINGS))
        table.setColumnCount(len(rows))
        heads = [translate("Present"), *map(str, range(1, len(rows)))]
        table.setHorizontalHeaderLabels(heads[: len(rows)])
        for k, heading in enumerate(HEADINGS):
            head = QtGui.QTableWidgetItem(translate(_SHORT.get(heading, heading)))
            head.setToolTip(translate(heading))
            table.setVerticalHeaderItem(k, head)
            for column, cells in enumerate(rows):
                value = cells[k]
                text = "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
                item = QtGui.QTableWidgetItem(text)
                item.setToolTip(text)
                table.setItem(k, column, item)
        table.resizeColumnsToContents()
        for column in range(len(rows)):
            table.setColumnWidth(column, min(table.columnWidth(column), _WIDEST))
        table.resizeRowsToContents()
        # as high as it is: the panel itself scrolls
        high = sum(table.rowHeight(k) for k in range(len(HEADINGS))) + table.horizontalHeader().height()
        table.setMinimumHeight(high + table.horizontalScrollBar().sizeHint().height() + 4)

    def _show_state(self):
        running = self._work is not None
        self._begin.setEnabled(not running)
        self._stop.setEnabled(running)
        for one in self._fields.values():
            one.widget.setEnabled(not running)
        self._bar.setVisible(running)
        self._best.setVisible(running or self._found is not None)
        self._verdict.setVisible(bool(self._verdict.text()) and not running)
        self._table.setVisible(self._table.columnCount() > 0)

    # ------------------------------------------------------------- what is chosen

    def _chosen(self):
        """Column that is chosen; -1 for none."""
        columns = self._table.selectionModel().selectedColumns() if self._table.columnCount() else []
        return columns[0].column() if columns else -1

    def _show_chosen(self):
        column = self._chosen()
        if self._found is None or column < 0:
            self._preview.clear()
        else:
            self._preview.show(self._quest.plan if column == 0 else self._found.best[column - 1].plan)

    def _make(self, values):
        """OK: make what is chosen."""
        if self._work is not None:
            raise PlanError("The search is still running", remedy="Press Stop, and wait for its end")
        if self._found is None:
            raise PlanError("Nothing has been searched for yet", remedy="Press Begin, or Cancel")
        column = self._chosen()
        if column < 1:
            raise PlanError(
                "No line-off that was found is chosen", remedy="Choose its column in the table, or press Cancel"
            )
        self._preview.clear()
        try:
            make_found(self._checks, self._found.best[column - 1], self._space, self._quest.key)
        except ReferenceError:
            raise PlanError("The strake checks are no longer there", remedy="Press Cancel") from None
        except PlanError:
            self._show_chosen()
            raise
        FreeCADGui.Selection.clearSelection()

    # ------------------------------------------------------------- the end

    def _close(self):
        self._timer.stop()
        self._let_go()
        super()._close()

    def _let_go(self, *ignored):
        """Nobody waits for the search any more."""
        if self._work is not None:
            self._work.abandon()
            self._work = None
        self._preview.clear()

    def _quit(self):
        """The program ends: no thread may outlive it."""
        if self._work is not None:
            self._work.abandon(wait=10.0)
