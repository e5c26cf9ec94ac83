# SPDX-License-Identifier: LGPL-2.1-or-later
"""Tables as spreadsheets of the document."""

import re

__all__ = ["cell_name", "fill_sheet", "filled_cells"]


def cell_name(row, column):
    """Name of a cell, both counted from 0: (0, 0) is A1, (2, 27) is AB3."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"{letters}{row + 1}"


#: pixels of the host's own columns, of a character, and the widest column made
_COLUMN, _CHARACTER, _WIDEST = 100, 8, 320


def fill_sheet(sheet, header, rows, units=None, row_units=None):
    """Write a table into a sheet, in place of what was there.

    Parameters
    ----------
    sheet : Spreadsheet::Sheet
    header : sequence of str
    rows : sequence of sequences of str, int, float or None
        A text stays the text it is; it is never read as a formula or a quantity.
    units : sequence of str or None, optional
        Per column, the unit of its numbers, such as "mm" or "deg".
    row_units : sequence of str or None, optional
        The same per row, in place of units.
    """
    written, fresh = set(), not _cells(sheet)

    def put(row, column, content):
        name = cell_name(row, column)
        sheet.set(name, content)
        written.add(name)

    def unit(row, column):
        return row_units[row - 1] if row_units else units[column]

    units = units or [None] * len(header)
    for column, title in enumerate(header):
        put(0, column, "'" + str(title))
    for row, values in enumerate(rows, 1):
        for column, value in enumerate(values):
            if value is None or value == "":
                continue
            if isinstance(value, str):
                put(row, column, "'" + value)
            elif unit(row, column):
                put(row, column, f"={float(value)!r} {unit(row, column)}")
                # as the header says: ten metres would be shown in metres, to the centimetre
                sheet.setDisplayUnit(cell_name(row, column), unit(row, column))
            else:
                put(row, column, repr(value))
    # Not clearAll(): it takes away the sheet's own properties too, its link to us among them.
    for name in _cells(sheet) - written:
        sheet.clear(name)
    if header:
        sheet.setStyle(f"A1:{cell_name(0, len(header) - 1)}", "bold")
    if fresh:  # later the widths are the user's
        for column, title in enumerate(header):
            texts = [str(title), *(row[column] for row in rows if isinstance(row[column], str))]
            width = min(_CHARACTER * max(map(len, texts)), _WIDEST)
            if width > _COLUMN:
                sheet.setColumnWidth(cell_name(0, column)[:-1], width)


def filled_cells(sheet):
    """(row, column) of the cells that hold something, both counted from 0."""
    found = []
    for name in sorted(_cells(sheet)):
        letters, digits = re.fullmatch(r"([A-Z]+)([0-9]+)", name).groups()
        column = 0
        for letter in letters:
            column = 26 * column + ord(letter) - ord("A") + 1
        found.append((int(digits) - 1, column - 1))
    return found


def _cells(sheet):
    """Names of the cells that hold something: the host keeps a property for each."""
    return {name for name in sheet.PropertiesList if re.fullmatch(r"[A-Z]{1,3}[0-9]+", name)}
