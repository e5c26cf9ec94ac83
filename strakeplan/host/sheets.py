# SPDX-License-Identifier: LGPL-2.1-or-later
"""Tables as spreadsheets of the document."""

import re

__all__ = ["cell_name", "fill_sheet"]


def cell_name(row, column):
    """Name of a cell, both counted from 0: (0, 0) is A1, (2, 27) is AB3."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row + 1}"


def fill_sheet(sheet, header, rows, units=None):
    """Write a table into a sheet, in place of what was there.

    Parameters
    ----------
    sheet : Spreadsheet::Sheet
    header : sequence of str
    rows : sequence of sequences of str, int, float or None
        A text stays the text it is; it is never read as a formula or a quantity.
    units : sequence of str or None, optional
        Per column, the unit of its numbers, such as "mm" or "deg".
    """
    written = set()

    def put(row, column, content):
        name = cell_name(row, column)
        sheet.set(name, content)
        written.add(name)

    units = units or [None] * len(header)
    for column, title in enumerate(header):
        put(0, column, "'" + str(title))
    for row, values in enumerate(rows, 1):
        for column, value in enumerate(values):
            if value is None or value == "":
                continue
            if isinstance(value, str):
                put(row, column, "'" + value)
            elif units[column]:
                put(row, column, f"={float(value)!r} {units[column]}")
            else:
                put(row, column, repr(value))
    # Not clearAll(): it takes away the sheet's own properties too, its link to us among them.
    for name in _cells(sheet) - written:
        sheet.clear(name)
    if header:
        sheet.setStyle(f"A1:{cell_name(0, len(header) - 1)}", "bold")


def _cells(sheet):
    """Names of the cells that hold something: the host keeps a property for each."""
    return {name for name in sheet.PropertiesList if re.fullmatch(r"[A-Z]{1,3}[0-9]+", name)}
