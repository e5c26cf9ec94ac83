# SPDX-License-Identifier: LGPL-2.1-or-later
"""A search for a better line-off: from strake checks in the document to a search, and back into the document."""

from dataclasses import dataclass
from typing import Any

from ..core.checks.landings import given_line
from ..core.checks.limits import Limits
from ..core.checks.verdict import Job
from ..core.errors import PlanError
from ..core.search.beside import Beside
from ..core.search.judge import narrowest_of
from ..core.search.search import search
from ..core.search.space import Effort, Space
from ..core.search.words import present_row
from ..host.cache import digest
from .base import all_or_nothing, kind_of, make_object, recompute
from .eased_line import EasedLineObject
from .job import JOB_PROPERTIES, LIMIT_PROPERTIES, job_of, limits_of
from .line_off import LineOffObject, lineoff_of, surface_object_of
from .marked import SHARE
from .planked_surface import are_stations_given, stations_of, surface_of
from .strake_checks import StrakeChecksObject, checks_of, given_lines_of, given_tuck_of
from .taut_line import TautLineObject

__all__ = ["Quest", "make_found", "quest_of"]


@dataclass(frozen=True, eq=False)
class Quest:
    """All that a search needs: plain data, so that it may run beside the program.

    Attributes
    ----------
    hull : PlankedSurface
    job : Job
    limits : Limits
    beside : Beside
    plan : LineOff
    checks : Checks
        The line-off that is there, and its checks.
    key : str
        Of everything it was taken from: a change of any of it is a change of the key.
    """

    hull: Any
    job: Job
    limits: Limits
    beside: Beside
    plan: Any
    checks: Any
    key: str

    def search(self, space, seed=0, effort=Effort(), tell=None, stop=None):
        """Search: see `core.search.search`."""
        return search(self.hull, self.job, self.limits, space, seed, tell, stop, self.beside, effort)

    def present(self, space):
        """Row of the line-off that is there: see `core.search.words`."""
        return present_row(self.plan, self.checks, space.spiling)


def quest_of(checks):
    """What a search for a better line-off than that of some strake checks starts from.

    Parameters
    ----------
    checks : document object
        Strake checks: they say on which hull, of what wood, within which limits, beside which
        lines and tuck.

    Returns
    -------
    Quest

    Raises
    ------
    PlanError
    """
    _require_checks(checks)
    there = checks_of(checks)
    source = surface_object_of(checks.LineOff)
    stations = stations_of(source) if are_stations_given(source) else ()
    lines = tuple(given_line(name, line.value) for name, line in given_lines_of(checks, source))
    tuck = given_tuck_of(checks, source)
    key = digest(there.key, [(s.name, s.x) for s in stations])
    return Quest(
        surface_of(source).value, job_of(checks), limits_of(checks), Beside(stations, lines, tuck and tuck.value),
        lineoff_of(checks.LineOff).value, there.value, key,
    )  # fmt: skip


def make_found(checks, outcome, space=Space(), key=None):
    """Make the line, the line-off and the strake checks of an outcome, in one undo step.

    What was there stays as it was.

    Parameters
    ----------
    checks : document object
        Strake checks that the search started from: wood, planks and limits are taken over.
    outcome : Outcome
    space : Space
        The search's.
    key : str, optional
        Of the search's `Quest`: refused where the document has changed since.

    Returns
    -------
    document objects of the line, the line-off and the strake checks

    Raises
    ------
    PlanError
    """
    _require_checks(checks)
    if outcome.plan is None:
        raise PlanError(f"{checks.Label}: that line-off cannot be made. {outcome.reason}", remedy="Choose another one")
    if key is not None and quest_of(checks).key != key:
        raise PlanError(f"{checks.Label} or its line-off was changed since the search", remedy="Search again")
    surface, design = surface_object_of(checks.LineOff), outcome.design
    ends = {"BowGivenBy": SHARE, "BowShare": design.bow, "SternGivenBy": SHARE, "SternShare": design.stern}
    values = {"Strakes": design.count, "ParallelWidth": space.parallel_width or 0.0}
    if design.kind.stealers:
        values["NarrowestStrake"] = narrowest_of(limits_of(checks)) or 0.0
    same = {p.name: getattr(checks, p.name) for p in (*JOB_PROPERTIES, *LIMIT_PROPERTIES)}
    document = checks.Document
    with all_or_nothing(document, "Better line-off"):
        if design.kind.eased:
            line = make_object(
                document, "Part::FeaturePython", EasedLineObject, "Eased line", Surface=surface, **ends, Slack=outcome.slack
            )
        else:
            line = make_object(document, "Part::FeaturePython", TautLineObject, "Taut line", Surface=surface, **ends)
        line_off = make_object(document, "Part::FeaturePython", LineOffObject, "Line-off", Line=line, **values)
        found = make_object(
            document, "App::FeaturePython", StrakeChecksObject, "Strake checks", LineOff=line_off, Tuck=checks.Tuck,
            Lines=checks.Lines, **same,
        )  # fmt: skip
        recompute(document, line, line_off, found)
    return line, line_off, found


def _require_checks(checks):
    if kind_of(checks) != StrakeChecksObject.KIND:
        raise PlanError(
            f"{checks.Label} is no object of strake checks, which say what a line-off has to keep to",
            remedy="Make strake checks first",
        )
