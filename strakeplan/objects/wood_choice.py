# SPDX-License-Identifier: LGPL-2.1-or-later
"""Which wood is planked with, as properties; and the sheet of species that users may change."""

from ..core.errors import PlanError
from ..core.wood.handbook import HANDBOOK, species_named
from ..core.wood.species import DRY, GREEN
from ..host.sheets import fill_sheet
from ..host.woods import read_species, species_layout, species_of_sheet
from .base import Property, all_or_nothing, recompute

__all__ = ["MOISTURES", "SAWN", "WOOD_PROPERTIES", "make_wood_table", "wood_of"]

#: what the user chooses -> what the core calls it
MOISTURES = {"12 %": DRY, "Green": GREEN}
SAWN = {"Flat-sawn": "flat", "Quarter-sawn": "quarter"}

_FIRST = "Douglas-fir, coast"

WOOD_PROPERTIES = (
    Property("App::PropertyEnumeration", "Wood", "Wood",
             "Species with figures of the Wood Handbook", [_FIRST, *(n for n in HANDBOOK if n != _FIRST)]),
    Property("App::PropertyString", "OwnWood", "Wood",
             "Name of a species in WoodTable, in place of Wood; empty: the one of Wood"),
    Property("App::PropertyLink", "WoodTable", "Wood",
             "Sheet with species of your own, or other figures for those of the table; none: the table as printed"),
    Property("App::PropertyEnumeration", "Moisture", "Wood",
             "State of moisture of the planks when they are put on", list(MOISTURES)),
    Property("App::PropertyFloat", "Grade", "Wood",
             "Factor on the strengths for knots and slope of grain; 1 is clear, straight-grained wood", 1.0),
    Property("App::PropertyEnumeration", "Sawn", "Wood",
             "How the planks are sawn: it decides how stiff they are in twist", list(SAWN)),
)  # fmt: skip


def wood_of(obj):
    """The core's wood of a document object that has these properties.

    Returns
    -------
    Wood

    Raises
    ------
    PlanError
    """
    table, own = HANDBOOK, obj.OwnWood.strip()
    sheet = obj.WoodTable
    if sheet is not None:
        if not sheet.isDerivedFrom("Spreadsheet::Sheet"):
            raise PlanError(
                f"{obj.Label}: {sheet.Label} is no sheet of species",
                remedy="Set its property WoodTable to a spreadsheet, or to none",
            )
        table = species_of_sheet(sheet)
    species = species_named(own or obj.Wood, table)
    return species.wood(MOISTURES[obj.Moisture], obj.Grade, SAWN[obj.Sawn])


def make_wood_table(document, file=None):
    """A sheet of species to look at and to change: those of the table, and those of a file.

    Parameters
    ----------
    document : FreeCAD document
    file : str, optional
        CSV file with species of the user's own.

    Returns
    -------
    Spreadsheet::Sheet
        The user's own: nothing of ours writes into it again.
    """
    table = species_layout(read_species(file) if file else HANDBOOK)
    with all_or_nothing(document, "Wood table"):
        sheet = document.addObject("Spreadsheet::Sheet", "WoodTable")
        sheet.Label = "Wood table"
        fill_sheet(sheet, table.header, table.rows, table.units)
        recompute(document, sheet)
    return sheet
