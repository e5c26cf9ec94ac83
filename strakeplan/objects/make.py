# SPDX-License-Identifier: LGPL-2.1-or-later
"""Make the document objects, each as one undo step: for commands, recipes and scripts.

Every function adds its object, recomputes, and hands it back; when something is wrong it
raises PlanError and leaves the document as it was.
"""

from ..host.measured import read_csv
from .as_built import AsBuiltObject, add_reading_sheet
from .base import all_or_nothing, make_object, recompute
from .batten_line import BattenLineObject
from .belt import BeltObject
from .comparison import ComparisonObject
from .drawn_line import DrawnLineObject
from .eased_line import EasedLineObject
from .half_model import HalfModelObject
from .line_off import LineOffObject
from .line_report import LineReportObject
from .marks_sheet import MarksSheetObject
from .parallel_line import ParallelLineObject
from .planked_surface import PlankedSurfaceObject
from .planks import PlanksObject
from .strake_checks import StrakeChecksObject
from .strake_sketches import StrakeSketchesObject
from .taut_line import TautLineObject
from .trial_plank import TrialPlankObject
from .tuck_line import TuckLineObject

__all__ = [
    "make_planked_surface",
    "make_taut_line",
    "make_eased_line",
    "make_batten_line",
    "make_parallel_line",
    "make_drawn_line",
    "make_tuck_line",
    "make_line_report",
    "make_belt",
    "make_line_off",
    "make_comparison",
    "make_strake_checks",
    "make_trial_plank",
    "make_strake_sketches",
    "make_planks",
    "make_marks_and_bevels",
    "make_as_built",
    "make_half_model",
    "change",
]

#: with a shape of its own, and without
_PART, _PLAIN = "Part::FeaturePython", "App::FeaturePython"


def _make(document, type_name, proxy_class, label, values):
    with all_or_nothing(document, label):
        obj = make_object(document, type_name, proxy_class, label, **values)
        recompute(document, obj)
    return obj


def make_planked_surface(hull, face="", **values):
    """Planked surface of a hull's face.

    Parameters
    ----------
    hull : document object with a shape
    face : str
        "Face1" and the like; empty where the object has one face.
    values : dict
        Properties by name, lengths in mm or as texts with units.

    Returns
    -------
    document object

    Raises
    ------
    PlanError
    """
    values = {"Hull": (hull, [face]), **values}
    return _make(hull.Document, _PART, PlankedSurfaceObject, "Planked surface", values)


def make_taut_line(surface, **values):
    """Taut line on a planked surface; see `make_planked_surface` for the rest."""
    values = {"Surface": surface, **values}
    return _make(surface.Document, _PART, TautLineObject, "Taut line", values)


def make_eased_line(surface, **values):
    """Eased line on a planked surface."""
    values = {"Surface": surface, **values}
    return _make(surface.Document, _PART, EasedLineObject, "Eased line", values)


def make_batten_line(surface, **values):
    """Batten line on a planked surface."""
    values = {"Surface": surface, **values}
    return _make(surface.Document, _PART, BattenLineObject, "Batten line", values)


def make_parallel_line(line, distance, **values):
    """Line parallel to a line, or to the sheer where a planked surface is given.

    Parameters
    ----------
    line : document object
    distance : float (mm) or text with a unit
        Positive towards the keel.
    """
    values = {"Line": line, "Distance": distance, **values}
    return _make(line.Document, _PART, ParallelLineObject, "Parallel line", values)


def make_drawn_line(surface, drawn, edges=(), **values):
    """Drawn line: an object's edges laid on to a planked surface.

    Parameters
    ----------
    surface : document object
    drawn : document object with a shape
    edges : sequence of str
        "Edge1" and the like; empty where the whole object is the line.
    """
    values = {"Surface": surface, "Drawn": (drawn, list(edges) or [""]), **values}
    return _make(surface.Document, _PART, DrawnLineObject, "Drawn line", values)


def make_tuck_line(surface, **values):
    """Tuck line of a planked surface."""
    values = {"Surface": surface, **values}
    return _make(surface.Document, _PART, TuckLineObject, "Tuck line", values)


def make_line_report(lines, **values):
    """Report on lines of one planked surface, as a sheet.

    Parameters
    ----------
    lines : sequence of document objects
    """
    values = {"Lines": list(lines), **values}
    return _make(lines[0].Document, _PLAIN, LineReportObject, "Line report", values)


def make_belt(document, **values):
    """Belt of a line-off."""
    return _make(document, _PLAIN, BeltObject, "Belt", values)


def make_line_off(line=None, belts=(), **values):
    """Line-off by a line of any kind from stem to stern, or by belts.

    Parameters
    ----------
    line : document object, optional
        Needed where no belt has a line; without belts the equal strakes end at it.
    belts : sequence of document objects
        From the sheer down.
    """
    belts = list(belts)
    values = {"Line": line, "Belts": belts, **values}
    return _make((line or belts[0]).Document, _PART, LineOffObject, "Line-off", values)


def make_comparison(line_off, **values):
    """Sheet of several numbers of strakes side by side."""
    values = {"LineOff": line_off, **values}
    return _make(line_off.Document, _PLAIN, ComparisonObject, "Numbers of strakes", values)


def make_strake_checks(line_off, **values):
    """Checks of all strakes of a line-off."""
    values = {"LineOff": line_off, **values}
    return _make(line_off.Document, _PLAIN, StrakeChecksObject, "Strake checks", values)


def make_trial_plank(on, **values):
    """Straight plank tried on a line, on a planked surface's sheer, or on a strake of a line-off."""
    values = {"On": on, **values}
    return _make(on.Document, _PART, TrialPlankObject, "Trial plank", values)


def make_strake_sketches(line_off, **values):
    """Sketches of a line-off in the three views."""
    values = {"LineOff": line_off, **values}
    return _make(line_off.Document, _PLAIN, StrakeSketchesObject, "Strake sketches", values)


def make_planks(line_off, **values):
    """Planks of a line-off."""
    values = {"LineOff": line_off, **values}
    return _make(line_off.Document, _PLAIN, PlanksObject, "Planks", values)


def make_marks_and_bevels(line_off, **values):
    """Tables of marks and bevels of a line-off."""
    values = {"LineOff": line_off, **values}
    return _make(line_off.Document, _PLAIN, MarksSheetObject, "Marks and bevels", values)


def make_as_built(line_off, readings=None, file=None, **values):
    """Marks of a line-off re-divided for measured girths.

    Parameters
    ----------
    line_off : document object
    readings : Spreadsheet::Sheet, optional
        What the tape reads.
    file : str, optional
        CSV file to make such a sheet of, in place of one. With neither, a sheet is made that
        is still to be filled in.
    """
    rows = read_csv(file) if file and readings is None else None
    document = line_off.Document
    with all_or_nothing(document, "As built"):
        sheet = readings
        if sheet is None:
            sheet = add_reading_sheet(line_off, rows)
            recompute(document, sheet)
        obj = make_object(
            document, _PLAIN, AsBuiltObject, "As built", **{"LineOff": line_off, "Readings": sheet, **values}
        )
        recompute(document, obj)
    return obj


def make_half_model(line_off, **values):
    """Marks of a line-off for a half model."""
    values = {"LineOff": line_off, **values}
    return _make(line_off.Document, _PLAIN, HalfModelObject, "Half model", values)


def change(obj, title, **values):
    """Change an object's properties and recompute, as one undo step.

    Parameters
    ----------
    obj : document object
    title : str
        What the undo list calls the step.
    values : dict
        Properties by name.

    Raises
    ------
    PlanError
        From the object itself; its old values are then back.
    """
    old = {name: _plain(getattr(obj, name)) for name in values}
    try:
        with all_or_nothing(obj.Document, title):
            for name, value in values.items():
                setattr(obj, name, value)
            recompute(obj.Document, obj)
    except BaseException:
        for name, value in old.items():  # without a GUI there is no undo to go back by
            if _plain(getattr(obj, name)) != value:
                setattr(obj, name, value)
        obj.Document.recompute()
        raise


def _plain(value):
    """A property's value so that two can be compared and one can be set again."""
    if hasattr(value, "Value"):
        return value.Value
    if isinstance(value, list):
        return list(value)
    return value
