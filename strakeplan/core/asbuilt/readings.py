# SPDX-License-Identifier: LGPL-2.1-or-later
"""Readings of the tape from a table: read, checked, and never dropped.

Two forms of table are taken. In a *list* every line is one reading: columns Station, Mark and
Measured, perhaps Set aside and Note. In a *grid* every line is a station: column Station and
one for every mark measured. A column's head may name its unit: "Rabbet, mm".

A reading in brackets, or with anything in the column Set aside, is set aside: it is listed
with its difference but changes no mark.
"""

import csv
import io
import re
from dataclasses import dataclass, replace

from ..errors import PlanError
from .tape import UNITS, Tape, read_tape

__all__ = ["Reading", "read_rows", "rows_of_csv", "set_aside"]

_STATION = ("station", "stations", "place", "frame", "mould")
_MARK = ("mark", "marks", "to", "seam")
_MEASURED = ("measured", "reading", "readings", "girth", "tape", "as built")
_ASIDE = ("set aside", "aside")
_FREE = ("note", "notes", "remark", "remarks", "drawn", "date", "by")
_WORDS = {"eighths": "eighths", "ft-in-8": "eighths", "sixteenths": "sixteenths", "ft-in-16": "sixteenths"}


@dataclass(frozen=True)
class Reading:
    """One reading of the tape.

    Attributes
    ----------
    station : str
        Name of the row of marks: a station, "Stem" or "Stern".
    mark : str
        Name of the mark: a seam or "Rabbet".
    tape : Tape
    row : int
        Line of the table it stands in, the head being 1.
    aside : str
        Why the user set it aside; empty where it is used.
    """

    station: str
    mark: str
    tape: Tape
    row: int
    aside: str = ""

    @property
    def mm(self):
        """Girth, mm."""
        return self.tape.mm

    @property
    def place(self):
        """'station 4, Rabbet (row 7)'."""
        return f"{_at(self.station)}, {self.mark} (row {self.row})"


def rows_of_csv(text):
    """Rows of a table in CSV (RFC 4180; also with semicolons or tabs, as office programs write it).

    Parameters
    ----------
    text : str

    Returns
    -------
    list of list of str
    """
    text = text.lstrip("\ufeff")
    head = next((line for line in text.splitlines() if line.strip()), "")
    mark = max("\t;,", key=head.count) if any(m in head for m in "\t;,") else ","
    return [list(row) for row in csv.reader(io.StringIO(text), delimiter=mark)]


def read_rows(rows, drawn, unit="mm", source="the readings", none_yet=False):
    """Readings of a table, every one checked against the marks as drawn.

    Parameters
    ----------
    rows : sequence of sequences of str, int, float or None
        The head first.
    drawn : DrawnMarks
    unit : str
        Of plain numbers in columns whose head names none; see `read_tape`.
    source : str
        What the table is called in messages.
    none_yet : bool
        Whether a table with a head and no reading will do: a form that is still to be filled in.

    Returns
    -------
    tuple of Reading

    Raises
    ------
    PlanError
        A head, station, mark or reading that cannot be understood, with its row.
    """
    if unit not in UNITS:
        raise PlanError(f"{source}: {unit!r} is no unit of a tape", "", f"give one of {', '.join(UNITS)}")
    rows = [["" if cell is None else cell for cell in row] for row in rows]
    start = next((k for k, row in enumerate(rows) if any(str(c).strip() for c in row)), None)
    if start is None:
        raise PlanError(
            f"{source}: the table is empty", "", "give a head with Station, Mark and Measured, and a line for each reading"
        )
    head = [_head(cell, unit) for cell in rows[start]]
    names = [name for name, _ in head]
    body = list(enumerate(rows[start + 1 :], start + 2))
    station = next((k for k, n in enumerate(names) if n in _STATION), None)
    if station is None:
        raise PlanError(
            f"{source}: no column is headed Station", f"row {start + 1}",
            "head the columns Station, Mark and Measured, or Station and the marks measured",
        )  # fmt: skip
    measured = [k for k, n in enumerate(names) if n in _MEASURED]
    marks = [k for k, n in enumerate(names) if n in _MARK]
    if measured and marks:
        wanted = _list_cells(body, head, station, marks[0], measured)
    else:
        wanted = _grid_cells(head, body, station, drawn, source, start + 1)
    used = {station, *marks, *measured}
    for k, name in enumerate(names):
        if measured and marks and k not in used and name and name not in (*_ASIDE, *_FREE):
            raise PlanError(
                f"{source}: the column {rows[start][k]!s} is not understood", f"row {start + 1}",
                "head the columns Station, Mark, Measured, Set aside and Note",
            )  # fmt: skip
    asides = [k for k, n in enumerate(names) if n in _ASIDE]
    out = []
    for row, cells, name, mark, value, own in wanted:
        aside = next((str(cells[k]).strip() for k in asides if k < len(cells) and str(cells[k]).strip()), "")
        out.append(_reading(drawn, source, row, name, mark, value, own, aside))
    if not out and none_yet:
        return ()
    if not out:
        raise PlanError(f"{source}: there is no reading in the table", "", "fill in what the tape reads")
    _check_unit(out, drawn, source)
    return tuple(out)


def set_aside(readings, row, why="", mark=None):
    """The readings with those of one row set aside.

    Parameters
    ----------
    readings : sequence of Reading
    row : int
    why : str
        Kept with the reading.
    mark : str, optional
        Only the reading to this mark; a row of a grid holds several.

    Returns
    -------
    tuple of Reading

    Raises
    ------
    PlanError
        There is no such reading.
    """
    chosen = [r for r in readings if r.row == row and mark in (None, r.mark)]
    if not chosen:
        raise PlanError(
            f"no reading{'' if mark is None else ' to ' + mark} stands in row {row}", "", "choose one of the readings listed"
        )
    why = why.strip() or "set aside"
    return tuple(replace(r, aside=why) if r in chosen else r for r in readings)


# --- the two forms ------------------------------------------------------------------------
def _head(cell, unit):
    """(plain name, unit) of a column's head."""
    text = " ".join(str(cell).casefold().split())
    found = re.fullmatch(r"(.*?)(?:,\s*|\s*\()([\w-]+)\)?", text)
    if found:
        named = _WORDS.get(found.group(2), found.group(2))
        if named in UNITS:
            return found.group(1).strip(), named
    return text, unit


def _list_cells(body, head, station, mark, measured):
    """(row, cells, station, mark, value, unit) of every reading in a list."""
    for row, cells in body:
        if not any(str(c).strip() for c in cells):
            continue
        for k in measured:
            if k < len(cells) and str(cells[k]).strip():
                of = [cells[j] if j < len(cells) else "" for j in (station, mark)]
                yield row, cells, of[0], of[1], cells[k], head[k][1]


def _grid_cells(head, body, station, drawn, source, row_of_head):
    """The same of a grid."""
    columns = []
    for k, (name, unit) in enumerate(head):
        if k == station or not name or name in (*_ASIDE, *_FREE):
            continue
        if drawn.column_of(name) is None:
            raise PlanError(
                f"{source}: no mark is called {name!r}", f"row {row_of_head}",
                f"head the columns Station and the marks measured: {_known(drawn.names)}",
            )  # fmt: skip
        columns.append((k, name, unit))
    if not columns:
        raise PlanError(
            f"{source}: no column is headed by a mark", f"row {row_of_head}",
            f"head the columns Station and the marks measured: {_known(drawn.names)}",
        )  # fmt: skip
    for row, cells in body:
        for k, name, unit in columns:
            if k < len(cells) and str(cells[k]).strip():
                yield row, cells, cells[station], name, cells[k], unit


def _reading(drawn, source, row, name, mark, value, unit, aside):
    name = _text(name)
    k = drawn.row_of(name)
    if k is None:
        raise PlanError(
            f"{source}: there is no station {name!r}" if name else f"{source}: the station is missing", f"row {row}",
            f"give one of {_known([r.name for r in drawn.table.rows])}",
        )  # fmt: skip
    c = drawn.column_of(_text(mark))
    station = drawn.table.rows[k].name
    where = f"{_at(station)}, row {row}"
    if c is None:
        raise PlanError(
            f"{source}: no mark is called {_text(mark)!r}", where, f"give one of {_known(drawn.names)}, or \"line\""
        )
    text = str(value).strip()
    brackets = re.fullmatch(r"\((.*)\)|\[(.*)\]", text)
    if brackets:
        value, aside = brackets.group(1) or brackets.group(2) or "", aside or "in brackets"
    try:
        tape = read_tape(value, unit)
    except ValueError as fault:
        raise PlanError(
            f"{source}: {text!r} cannot be read as a girth to {drawn.names[c]}: {fault}", where,
            "write what the tape reads from the sheer down, and its unit unless it is " + unit,
        ) from fault  # fmt: skip
    row_drawn = drawn.readings(drawn.table.rows[k])
    if row_drawn[c] != row_drawn[c]:
        raise PlanError(
            f"{source}: {drawn.names[c]} does not come to {_at(station)}", f"row {row}",
            "give the reading to a mark that is drawn there, or to the rabbet",
        )  # fmt: skip
    return Reading(station, drawn.names[c], tape, row, aside)


def _check_unit(readings, drawn, source):
    """Raise where the readings as a whole are of another size than the hull."""
    share = sorted(
        r.mm / drawn.readings(drawn.table.rows[drawn.row_of(r.station)])[drawn.column_of(r.mark)] for r in readings
    )
    middle = share[len(share) // 2]
    if 0.5 < middle < 2.0:
        return
    near = [n for n, size in UNITS.items() if size not in (None, 1) and 0.8 < middle * float(size) < 1.25]
    hint = f"they seem to be in {near[0]}: name the unit" if near else "name the unit, and check which hull they are of"
    raise PlanError(
        f"{source}: the readings are {middle:.3g} times the drawn girths", "at most stations", hint
    )


def _text(value):
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value).strip()


def _at(station):
    return station.lower() if station in ("Stem", "Stern") else f"station {station}"


def _known(names):
    names = list(names)
    return ", ".join(names) if len(names) <= 12 else ", ".join([*names[:4], "...", *names[-4:]])
