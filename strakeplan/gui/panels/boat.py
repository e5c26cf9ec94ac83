# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels of what is measured on the boat and marked on a half model."""

from ...objects.as_built import ENDS, UNITS
from ...objects.half_model import SIDES
from ...objects.members import OWNER
from .rows import links_to, row

__all__ = ["FROM_FILE", "FROM_SHEET", "NEW_SHEET", "PANELS", "sheets"]

#: where readings come from
NEW_SHEET, FROM_FILE, FROM_SHEET = "A new sheet to fill in", "A file", "A sheet of the document"


def sheets(document, obj=None):
    """Spreadsheets that may hold readings: the user's own."""
    return links_to(document, obj, lambda o: o.isDerivedFrom("Spreadsheet::Sheet") and not hasattr(o, OWNER))


def _as_built(document, obj):
    own = sheets(document, obj)
    rows = []
    if obj is None:
        ways = (NEW_SHEET, FROM_FILE, FROM_SHEET) if own else (NEW_SHEET, FROM_FILE)
        rows = [
            row("Source", "Readings from", "choice", "Where what the tape reads is written", ways),
            row("File", "File", "file", "Table as CSV, with the columns Station, Mark and Measured",
                ("CSV (*.csv *.txt)", "* (*)"), lambda v: v["Source"] == FROM_FILE),
        ]  # fmt: skip
    return [
        *rows,
        row("Readings", "Sheet", "object",
            "Spreadsheet with the columns Station, Mark and Measured; or Station and a column for each mark",
            own, lambda v: obj is not None or v["Source"] == FROM_SHEET),
        row("Unit", "Numbers are", "choice", "What a number without a unit counts in", tuple(UNITS)),
        row("UnmeasuredEnds", "Ends not measured", "choice",
            "What stem and stern do where the tape was not laid along them", tuple(ENDS)),
    ]  # fmt: skip


def _half_model(document, obj):
    return [
        row("Scale", "Scale", "words", "Such as 1:12, 12, or 1 in = 1 ft"),
        row("Skin", "Skin", "length", "Thickness of the model's own skin, measured on the model"),
        row("Ticked", "Marks are ticked", "choice", "On its skin, which lies over the moulded surface, or on a body that is so much smaller", tuple(SIDES)),
    ]


PANELS = {
    "AsBuilt": (
        "As built",
        "Girths measured on the boat take the place of the drawn ones, and the marks are divided anew.",
        _as_built,
    ),
    "HalfModel": (
        "Half model",
        "The marks at a model's scale, with the thickness of its skin allowed for.",
        _half_model,
    ),
}
