# SPDX-License-Identifier: LGPL-2.1-or-later
"""The user's own species, from a CSV file or a spreadsheet, and the table of all as they are read."""

import csv
import os

from ..core.errors import PlanError
from ..core.wood.handbook import HANDBOOK
from ..core.wood.species import species_from_rows
from ..core.wood.table import FIGURE_COLUMNS, SPECIES_COLUMNS, figure_rows, species_rows
from .sheets import cell_name, filled_cells
from .tables import Table

__all__ = ["figures_layout", "read_species", "species_layout", "species_of_sheet"]


def read_species(path):
    """The species of the table, and those of a CSV file.

    Parameters
    ----------
    path : str
        Its head names the columns of `species_from_rows`.

    Returns
    -------
    dict of name to Species

    Raises
    ------
    PlanError
    """
    name = os.path.basename(path)
    try:
        with open(path, encoding="utf-8-sig", newline="") as handle:
            rows = list(csv.DictReader(handle))
    except FileNotFoundError:
        raise PlanError(f"There is no file {path}", remedy="Check its name") from None
    except OSError as fault:
        raise PlanError(f"{path} cannot be read: {fault.strerror}", remedy="Check that you may read it") from fault
    except (UnicodeDecodeError, csv.Error):
        raise PlanError(f"{name} is not a table", remedy="Save it as CSV in UTF-8") from None
    return _named(name, rows)


def species_of_sheet(sheet):
    """The species of the table, and those of a spreadsheet with the same columns.

    Parameters
    ----------
    sheet : Spreadsheet::Sheet

    Returns
    -------
    dict of name to Species
    """
    cells = {}
    for row, column in filled_cells(sheet):
        name = cell_name(row, column)
        value = sheet.get(name)
        if hasattr(value, "getValueAs") or (isinstance(value, str) and value.startswith("ERR")):
            raise PlanError(
                f"{sheet.Label}: {value} is no plain number", where=f"In cell {name}",
                remedy="Write the number alone; the column 'unit' says what it counts in",
            )  # fmt: skip
        cells.setdefault(row, {})[column] = value
    head = {column: str(title).strip() for column, title in cells.pop(0, {}).items()}
    rows = [
        {head.get(column, f"column {column + 1}"): value for column, value in row.items()}
        for _, row in sorted(cells.items())
    ]
    return _named(sheet.Label, rows)


def _named(name, rows):
    """The table with some rows; messages name where they are from."""
    try:
        return species_from_rows(rows, HANDBOOK.values())
    except PlanError as fault:
        raise PlanError(f"{name}: {fault.what}", fault.where, fault.remedy) from None


def species_layout(table=HANDBOOK):
    """The species as users fill them in."""
    return Table(SPECIES_COLUMNS, (None,) * len(SPECIES_COLUMNS), tuple(species_rows(table)))


def figures_layout(table=HANDBOOK):
    """Every figure as printed, with its source."""
    return Table(FIGURE_COLUMNS, (None,) * len(FIGURE_COLUMNS), tuple(figure_rows(table)))
