# SPDX-License-Identifier: LGPL-2.1-or-later
"""Line reports: what lines ask of a plank that follows them, as a spreadsheet."""

from ..core.errors import PlanError
from ..core.lines.report import line_report
from ..host.cache import Keyed, Results, digest
from ..host.sheets import fill_sheet
from ..host.tables import lines_layout
from .base import HIDDEN, PlanObject, Property, kind_of
from .line import is_line, line_of, line_or_sheer_of, surface_object_of_line
from .members import add_member, members_of
from .planked_surface import stations_of, surface_of
from .tuck_line import TuckLineObject, tuck_of

__all__ = ["LineReportObject", "reports_of"]

_reports = Results()


class LineReportObject(PlanObject):
    """Proxy of a sheet that reports on lines, a column for each."""

    KIND = "LineReport"
    PROPERTIES = (
        Property("App::PropertyLinkList", "Lines", "Report", "Lines that are reported on"),
        Property("App::PropertyLink", "CompareWith", "Report",
                 "Line whose distance from each is told: the tuck line, or any other; "
                 "a planked surface stands for its sheer"),
        Property("App::PropertyLength", "PlankLength", "Report",
                 "Length of plank over which the edge set is taken", 5000.0),
        Property("App::PropertyLinkListHidden", "Members", "Report", "The sheet", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        table = lines_layout([(line.Label, report.value) for line, report in reports_of(obj)])
        sheet = members_of(obj).get("Lines") or add_member(obj, "Spreadsheet::Sheet", "Lines", "Lines", "Lines")
        fill_sheet(sheet, table.header, table.rows, table.units, table.row_units)


def reports_of(obj):
    """The core's reports of a document object.

    Returns
    -------
    list of (document object of the line, Keyed of LineReport)
    """
    lines = [line for line in obj.Lines if line is not None]
    if not lines:
        raise PlanError(f"{obj.Label} has no lines", remedy="Put lines into its list Lines")
    surface = surface_object_of_line(lines[0])
    for line in lines[1:]:
        if surface_object_of_line(line) is not surface:
            raise PlanError(
                f"{obj.Label}: {line.Label} and {lines[0].Label} lie on different planked surfaces",
                remedy="Report on them one by one",
            )
    hull, stations, length = surface_of(surface), stations_of(surface), obj.PlankLength.Value
    other = _other(obj)
    found = []
    for line in lines:
        one = line_of(line)
        key = digest(one.key, [(s.name, s.x) for s in stations], length, other and other[1].key)
        others = [(other[0], other[1].value)] if other and other[1].key != one.key else []

        def make(one=one, others=others):
            return line_report(hull.value, one.value, stations, length, others)

        found.append((line, Keyed(_reports.get(key, make), key)))
    return found


def _other(obj):
    """(name, Keyed of a line) of the line compared with, or None."""
    other = obj.CompareWith
    if other is None:
        return None
    if kind_of(other) == TuckLineObject.KIND:
        tuck = tuck_of(other)
        if tuck.value.curve is None:
            raise PlanError(
                f"{obj.Label}: {other.Label} found no tuck to compare with",
                remedy="Ask for the other turn, or set CompareWith to none",
            )
        return other.Label, tuck
    if is_line(other):
        return other.Label, line_of(other)
    return f"{other.Label}, sheer", line_or_sheer_of(other)
