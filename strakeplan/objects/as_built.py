# SPDX-License-Identifier: LGPL-2.1-or-later
"""The hull as built: marks re-divided for what the tape reads, as spreadsheets."""

from ..core.asbuilt.asbuilt import as_built
from ..core.asbuilt.drawn import drawn_marks
from ..core.asbuilt.readings import read_rows
from ..core.errors import PlanError
from ..host.cache import Keyed, Results, digest
from ..host.measured import as_built_layouts, reading_form, sheet_rows
from ..host.sheets import fill_sheet
from .base import HIDDEN, READ_ONLY, PlanObject, Property, linked, set_value
from .line_off import LineOffObject, lineoff_of, surface_object_of
from .members import add_member, members_of
from .planked_surface import stations_of

__all__ = ["ENDS", "UNITS", "AsBuiltObject", "add_reading_sheet", "built_of", "built_tables_of", "drawn_marks_of"]

#: what a user chooses -> the core's name
UNITS = {
    "Millimetres": "mm",
    "Centimetres": "cm",
    "Metres": "m",
    "Inches": "in",
    "Feet": "ft",
    "Feet-inches-eighths": "eighths",
    "Feet-inches-sixteenths": "sixteenths",
}
ENDS = {"As drawn": "drawn", "As the nearest station": "held"}

_drawn, _built = Results(8), Results(8)


class AsBuiltObject(PlanObject):
    """Proxy of marks re-divided for measured girths."""

    KIND = "AsBuilt"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "As built", "Line-off whose marks are re-divided"),
        Property("App::PropertyLink", "Readings", "As built",
                 "Spreadsheet of what the tape reads: columns Station, Mark and Measured, perhaps Set aside "
                 "and Note; or Station and one column for each mark measured"),
        Property("App::PropertyEnumeration", "Unit", "As built",
                 "What a number without a unit counts in", list(UNITS)),
        Property("App::PropertyEnumeration", "UnmeasuredEnds", "As built",
                 "What stem and stern do where they were not measured", list(ENDS)),
        Property("App::PropertyInteger", "ReadingCount", "Found", "Readings in all", 0, READ_ONLY),
        Property("App::PropertyInteger", "SetAsideCount", "Found", "Readings that were set aside", 0, READ_ONLY),
        Property("App::PropertyStringList", "Doubts", "Found", "Readings in use that look wrong", [], READ_ONLY),
        Property("App::PropertyStringList", "Notes", "Found", "What was found and assumed", [], READ_ONLY),
        Property("App::PropertyLinkListHidden", "Members", "As built", "The sheets", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        built = built_of(obj).value
        there = members_of(obj)
        for key, table in as_built_layouts(built).items():
            name = "".join(word.capitalize() for word in key.split())
            sheet = there.get(key) or add_member(obj, "Spreadsheet::Sheet", key, name, key)
            fill_sheet(sheet, table.header, table.rows, table.units)
        set_value(obj, "ReadingCount", len(built.judged))
        set_value(obj, "SetAsideCount", len(built.aside))
        set_value(obj, "Doubts", [_doubt(j) for j in built.doubts])
        set_value(obj, "Notes", list(built.notes))


def _doubt(judged):
    place = judged.reading.place
    return f"{place[:1].upper()}{place[1:]}: {judged.doubt}"


def drawn_marks_of(line_off):
    """Marks as drawn of a line-off's document object, at the stations of its surface.

    Returns
    -------
    Keyed of DrawnMarks
    """
    lineoff = lineoff_of(line_off)
    stations = stations_of(surface_object_of(line_off))
    key = digest(lineoff.key, [(s.name, s.x) for s in stations])
    return Keyed(_drawn.get(key, lambda: drawn_marks(lineoff.value, stations)), key)


def built_of(obj):
    """What the core found for a document object.

    Returns
    -------
    Keyed of AsBuilt
    """
    drawn = drawn_marks_of(linked(obj, "LineOff", LineOffObject.KIND, "line-off"))
    sheet = obj.Readings
    if sheet is None or not sheet.isDerivedFrom("Spreadsheet::Sheet"):
        raise PlanError(
            f"{obj.Label} has no sheet of readings",
            remedy="Set its property Readings to a spreadsheet with the columns Station, Mark and Measured",
        )
    rows = sheet_rows(sheet)
    unit, ends = UNITS[obj.Unit], ENDS[obj.UnmeasuredEnds]
    key = digest(drawn.key, [[None if v is None else str(v) for v in row] for row in rows], unit, ends, sheet.Label)

    def make():
        readings = read_rows(rows, drawn.value, unit, sheet.Label, none_yet=True)
        return as_built(drawn.value, readings, ends)

    return Keyed(_built.get(key, make), key)


def built_tables_of(obj):
    """Tables of a document object by name."""
    return as_built_layouts(built_of(obj).value)


def add_reading_sheet(line_off, rows=None):
    """A spreadsheet of readings: those of a table, or a form to be filled in.

    Parameters
    ----------
    line_off : document object
    rows : sequence of sequences, optional
        The head first.

    Returns
    -------
    Spreadsheet::Sheet
        The user's own: nothing of ours writes into it again.
    """
    sheet = line_off.Document.addObject("Spreadsheet::Sheet", "TapeReadings")
    sheet.Label = "Tape readings"
    if rows is None:
        table = reading_form(drawn_marks_of(line_off).value)
        fill_sheet(sheet, table.header, table.rows, table.units)
    else:
        width = max((len(row) for row in rows), default=0)
        full = [[*row, *[None] * (width - len(row))] for row in rows]
        fill_sheet(sheet, full[0] if full else [], full[1:])
    return sheet
