# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strake checks: every strake of a line-off beside the limits, as sheets and a page to read."""

from ..core.checks.landings import check_tuck, given_line
from ..core.checks.report import checks_report, plan_sentence, strake_verdict, what_binds
from ..core.checks.remedies import what_to_try
from ..core.checks.stations import rows_at_stations
from ..core.checks.verdict import check_strakes
from ..core.errors import PlanError
from ..core.lines.tuck import crossing_angles
from ..core.strakes.samples import seam_samples, strake_samples
from ..host.cache import Keyed, Results, digest
from ..host.check_tables import checks_layout, station_checks_layout
from ..host.sheets import fill_sheet
from .base import HIDDEN, READ_ONLY, PlanObject, Property, kind_of, linked, set_value
from .job import JOB_PROPERTIES, LIMIT_PROPERTIES, job_of, limits_of
from .line import line_or_sheer_of, surface_object_of_line
from .line_off import LineOffObject, lineoff_of, surface_object_of
from .members import add_member, members_of
from .planked_surface import stations_of, surface_of
from .tuck_line import TuckLineObject, tuck_of

__all__ = ["StrakeChecksObject", "check_tables_of", "checks_of", "given_lines_of", "given_tuck_of", "report_of"]

_checks = Results(8)
_samples = Results(4)


class StrakeChecksObject(PlanObject):
    """Proxy of the checks of a line-off."""

    KIND = "StrakeChecks"
    PROPERTIES = (
        Property("App::PropertyLink", "LineOff", "Checks", "Line-off whose strakes are looked at"),
        Property("App::PropertyLink", "Tuck", "Checks", "Tuck line that seams should not cross steeply; none: not looked at"),
        Property("App::PropertyLinkList", "Lines", "Checks",
                 "Lines that seams should run on or keep clear of, such as a wale, a knuckle or a rail"),
        *JOB_PROPERTIES,
        *LIMIT_PROPERTIES,
        Property("App::PropertyString", "Sentence", "Found", "The plan in a sentence", "", READ_ONLY),
        Property("App::PropertyFloat", "Margin", "Found",
                 "Least margin of all strakes and seams, a share of its limit; below 0 where a limit is passed",
                 0.0, READ_ONLY),
        Property("App::PropertyStringList", "Binds", "Found", "What binds", [], READ_ONLY),
        Property("App::PropertyStringList", "Remedies", "Found", "What to try", [], READ_ONLY),
        Property("App::PropertyStringList", "Verdicts", "Found", "A sentence on every strake", [], READ_ONLY),
        Property("App::PropertyInteger", "Sprung", "Found",
                 "Strakes and parts of them that go on straight and tapered", 0, READ_ONLY),
        Property("App::PropertyInteger", "Spiled", "Found", "Those that have to be spiled", 0, READ_ONLY),
        Property("App::PropertyInteger", "WillNotGo", "Found", "Those that go neither way", 0, READ_ONLY),
        Property("App::PropertyLinkListHidden", "Members", "Checks", "The sheets and the report", None, HIDDEN),
    )  # fmt: skip

    def build(self, obj):
        checks = checks_of(obj).value
        tables, text = check_tables_of(obj), report_of(obj)
        there = members_of(obj)
        for key, table in tables.items():
            sheet = there.get(key) or add_member(obj, "Spreadsheet::Sheet", key, key.replace(" ", ""), key)
            fill_sheet(sheet, table.header, table.rows, table.units)
        page = there.get("Report") or add_member(obj, "App::TextDocument", "Report", "Report", "Strake report")
        set_value(page, "Text", text)
        worst, method = checks.worst_margin, list(checks.classes.method)
        set_value(obj, "Sentence", plan_sentence(checks))
        set_value(obj, "Margin", worst if worst < float("inf") else 1.0)
        set_value(obj, "Binds", list(what_binds(checks)))
        set_value(obj, "Remedies", list(what_to_try(checks)))
        set_value(obj, "Verdicts", [strake_verdict(checks, k) for k in range(len(method))])
        for name, word in (("Sprung", "spring"), ("Spiled", "spile"), ("WillNotGo", "neither")):
            set_value(obj, name, method.count(word))


def checks_of(obj):
    """The core's checks of a document object.

    Returns
    -------
    Keyed of Checks

    Raises
    ------
    PlanError
    """
    source = linked(obj, "LineOff", LineOffObject.KIND, "line-off")
    lineoff, job, limits = lineoff_of(source), job_of(obj), limits_of(obj)
    surface = surface_object_of(source)
    lines = given_lines_of(obj, surface)
    tuck = given_tuck_of(obj, surface)
    key = digest(lineoff.key, job, limits, [(name, line.key) for name, line in lines], tuck and tuck.key)

    def make():
        strakes, seams = _samples.get(lineoff.key, lambda: _sampled(lineoff.value))
        across = None
        if tuck is not None and tuck.value.curve is not None:
            named = [(seam.name, seam) for seam in lineoff.value.seams]
            across = check_tuck(seams, crossing_angles(surface_of(surface).value, tuck.value, named))
        given = [given_line(name, line.value) for name, line in lines]
        return check_strakes(strakes, seams, job, limits, given, across)

    return Keyed(_checks.get(key, make), key)


def _sampled(lineoff):
    strakes = strake_samples(lineoff)
    return strakes, seam_samples(lineoff, runs=strakes.runs)


def given_lines_of(obj, surface):
    """(label, Keyed of a line) of the lines that seams should run on or keep clear of."""
    return [(line.Label, _line(obj, line, surface)) for line in obj.Lines if line is not None]


def _line(obj, line, surface):
    found = line_or_sheer_of(line)
    if surface_object_of_line(line) is not surface:
        raise PlanError(
            f"{obj.Label}: {line.Label} lies on another hull than {surface.Label}",
            remedy="Take it out of the list Lines",
        )
    return found


def given_tuck_of(obj, surface):
    """Keyed of the core's tuck line of a document object, or None."""
    if obj.Tuck is None:
        return None
    if kind_of(obj.Tuck) != TuckLineObject.KIND or obj.Tuck.Surface is not surface:
        raise PlanError(
            f"{obj.Label}: {obj.Tuck.Label} is no tuck line of {surface.Label}",
            remedy="Set its property Tuck to a tuck line of the same hull, or to none",
        )
    return tuck_of(obj.Tuck)


def check_tables_of(obj):
    """The tables of a document object.

    Returns
    -------
    dict of str -> Table
        "Strakes" and "Strakes at stations".
    """
    checks = checks_of(obj).value
    rows = rows_at_stations(checks, stations_of(surface_object_of(obj.LineOff)))
    return {"Strakes": checks_layout(checks), "Strakes at stations": station_checks_layout(checks, rows)}


def report_of(obj):
    """The page to read of a document object.

    Returns
    -------
    str
    """
    checks = checks_of(obj).value
    hull = surface_of(surface_object_of(obj.LineOff)).value
    notes = list(checks.job.wood.notes)
    if obj.Tuck is not None and tuck_of(obj.Tuck).value.curve is None:
        notes.append(f"{obj.Tuck.Label} found no tuck, so no angle across it is looked at.")
    return checks_report(checks, hull.name, notes)
