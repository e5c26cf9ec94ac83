# SPDX-License-Identifier: LGPL-2.1-or-later
"""Readings of the tape from files and sheets, and the tables that come of them."""

import os

from ..core.asbuilt.drawn import RABBET
from ..core.asbuilt.readings import rows_of_csv
from ..core.errors import PlanError
from ..core.tables.units import feet_inches_sixteenths
from .tables import Table, marks_layout

__all__ = [
    "as_built_layouts",
    "half_model_layouts",
    "read_csv",
    "reading_form",
    "sheet_rows",
]

#: mm; a tape is read to half a millimetre, figures are given a little finer
_MM = 2
#: columns of a sheet that can be filled in
_MOST_COLUMNS, _MOST_ROWS = 60, 2000


def read_csv(path):
    """Rows of a CSV file of readings.

    Raises
    ------
    PlanError
        No such file, or no text.
    """
    try:
        with open(path, encoding="utf-8-sig", newline="") as handle:
            text = handle.read()
    except FileNotFoundError:
        raise PlanError(f"There is no file {path}", remedy="Check its name") from None
    except OSError as fault:
        raise PlanError(f"{path} cannot be read: {fault.strerror}", remedy="Check that you may read it") from fault
    except UnicodeDecodeError:
        raise PlanError(f"{os.path.basename(path)} is not a text file", remedy="Save the table as CSV in UTF-8") from None
    return rows_of_csv(text)


def sheet_rows(sheet):
    """Rows of a spreadsheet, as they are read: texts, numbers, and quantities with their unit.

    Parameters
    ----------
    sheet : Spreadsheet::Sheet

    Returns
    -------
    list of list of str, int, float or None
    """
    from .sheets import cell_name, filled_cells

    there = filled_cells(sheet)
    if not there:
        return []
    rows = max(row for row, _ in there) + 1
    columns = max(column for _, column in there) + 1
    if rows > _MOST_ROWS or columns > _MOST_COLUMNS:
        raise PlanError(
            f"{sheet.Label} has {rows} rows and {columns} columns",
            remedy="Give a sheet that holds the readings alone",
        )
    table = [[None] * columns for _ in range(rows)]
    for row, column in there:
        name = cell_name(row, column)
        value = sheet.get(name)
        if hasattr(value, "getValueAs"):
            try:
                value = f"{float(value.getValueAs('mm')):.10g} mm"
            except Exception:
                raise PlanError(
                    f"{sheet.Label}: {value} is no length", where=f"In cell {name}", remedy="Write what the tape reads"
                ) from None
        elif isinstance(value, str) and value.startswith("ERR"):
            raise PlanError(
                f"{sheet.Label}: the formula has no value", where=f"In cell {name}", remedy="Write what the tape reads"
            )
        table[row][column] = value
    return table


def reading_form(drawn):
    """A form to be filled in with what the tape reads: the line and the rabbet at every place.

    Parameters
    ----------
    drawn : DrawnMarks

    Returns
    -------
    Table
    """
    header = ("Station", "Mark", "Drawn, mm", "Measured", "Set aside", "Note")
    rows = []
    for row in drawn.table.rows:
        girths = drawn.readings(row)
        for column in (*drawn.boundaries, len(girths) - 1):
            if girths[column] == girths[column]:
                rows.append((row.name, drawn.names[column], round(float(girths[column]), _MM), None, None, None))
    return Table(header, (None, None, "mm", None, None, None), tuple(rows))


def as_built_layouts(built):
    """Tables of a hull as built.

    Parameters
    ----------
    built : AsBuilt

    Returns
    -------
    dict of str -> Table
        "Marks as built", "Differences", "Readings".
    """
    marks = marks_layout(built.table)
    how = ["Measured"]
    for word in built.how:
        how += [None, {"measured": "yes"}.get(word, word)]
    head = next(k for k, row in enumerate(marks.rows) if row[0] == "Equally divided") + 1
    marks = Table(marks.header, marks.units, (*marks.rows[:head], tuple(how), *marks.rows[head:]))
    return {"Marks as built": marks, "Differences": _differences(built), "Readings": _readings(built)}


def _differences(built):
    """A line for each mark, a column for each place of the tape: built less drawn, mm."""
    table = built.table
    names = [row.name if row.position is None else f"Station {row.name}" for row in table.rows]
    header = ("Built less drawn", *(f"{name}, mm" for name in names))
    known = {(d.station, d.mark): d for d in built.differences}
    rows = [("Measured", *({"measured": "yes"}.get(word, word) for word in built.how))]
    for mark in (*table.seams, RABBET):
        line = [mark]
        for row in table.rows:
            found = known.get((row.name, mark))
            if found is None:
                line.append(None)
            elif found.built is None:
                line.append("no mark any more")
            else:
                line.append(round(found.difference, _MM) + 0.0)
        rows.append(tuple(line))
    return Table(header, (None, *("mm" for _ in names)), tuple(rows))


def _readings(built):
    """A line for each reading, in use or not."""
    header = (
        "Row", "Station", "Mark", "As written", "Drawn, mm", "Difference, mm", "Others let expect, mm", "In use", "Doubt",
        "Measured, mm", "Measured, ft in 1/16",
    )  # fmt: skip
    units = (None, None, None, None, "mm", "mm", "mm", None, None, "mm", None)
    rows = []
    for j in built.judged:
        r = j.reading
        used = "yes" if j.used else f"no: {r.aside}"
        expected = None if j.expected is None else round(j.expected, _MM) + 0.0
        rows.append((
            r.row, r.station, r.mark, r.tape.text, round(j.drawn, _MM), round(j.difference, _MM) + 0.0, expected,
            used, j.doubt or None, round(r.mm, _MM), feet_inches_sixteenths(r.mm),
        ))  # fmt: skip
    return Table(header, units, tuple(rows))


def half_model_layouts(marks):
    """Tables of a half model.

    Parameters
    ----------
    marks : HalfModelMarks

    Returns
    -------
    dict of str -> Table
        "Half model marks" in mm and inches on the model, and "Skin allowance": by how much
        they differ from the moulded girths at scale.
    """
    table = marks.table
    names = [row.name if row.position is None else f"Station {row.name}" for row in table.rows]
    rows = []
    for column, mark in enumerate((*table.seams, RABBET)):
        values = marks.allowance[:, column]
        rows.append((mark, *(None if v != v else round(float(v), _MM) + 0.0 for v in values)))
    allowance = Table(
        ("On the model, more than without its skin", *(f"{name}, mm" for name in names)),
        (None, *("mm" for _ in names)),
        tuple(rows),
    )
    return {"Half model marks": marks_layout(table), "Skin allowance": allowance}
