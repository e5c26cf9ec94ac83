# SPDX-License-Identifier: LGPL-2.1-or-later
"""Tables as spreadsheets of the document."""

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
    sheet.clearAll()
    units = units or [None] * len(header)
    for column, title in enumerate(header):
        sheet.set(cell_name(0, column), "'" + str(title))
    for row, values in enumerate(rows, 1):
        for column, value in enumerate(values):
            if value is None or value == "":
                continue
            name = cell_name(row, column)
            if isinstance(value, str):
                sheet.set(name, "'" + value)
            elif units[column]:
                sheet.set(name, f"={float(value)!r} {units[column]}")
            else:
                sheet.set(name, repr(value))
    if header:
        sheet.setStyle(f"A1:{cell_name(0, len(header) - 1)}", "bold")
