# SPDX-License-Identifier: LGPL-2.1-or-later
"""From strake checks to a search and back: what is made is what was shown, in one undo step."""

import numpy as np
import pytest
from test_strake_checks_host import Boat

from strakeplan.core.errors import PlanError
from strakeplan.core.search.judge import Judge
from strakeplan.core.search.space import Design, Effort, Kind, Space
from strakeplan.objects import make
from strakeplan.objects.found import make_found, quest_of
from strakeplan.objects.job import job_of, limits_of
from strakeplan.objects.line_off import lineoff_of
from strakeplan.objects.strake_checks import checks_of
from strakeplan.objects.tuck_line import TURNS

ROUND = next(shown for shown, core in TURNS.items() if core == "round")


@pytest.fixture
def boat(document):
    return Boat(document)


def tried(checks, design, space=Space()):
    """The outcome of one design, as a search from these checks would find it."""
    quest = quest_of(checks)
    return Judge(quest.hull, quest.job, quest.limits, space, quest.beside).outcome(design, exact=True)


def names(document):
    return [o.Name for o in document.Objects]


def test_one_undo_step(boat):
    document = boat.document
    checks = make.make_strake_checks(boat.line_off, Thickness=25, LimitForce="900 N", Wood="western larch")
    document.UndoMode = 1
    before = names(document)
    outcome = tried(checks, Design(Kind(True, False, True), 0.72, 0.63, 0.01, 13), Space(parallel_width=110.0))
    line, line_off, made = make_found(checks, outcome, Space(parallel_width=110.0))
    print(line.Label, line.Slack, line_off.Label, made.Label, document.UndoNames)
    print(f"margin told {outcome.margin!r}, of the checks made {made.Margin!r}")
    assert made.Margin == outcome.margin and line.Proxy.KIND == "EasedLine" and line.Slack.Value == outcome.slack > 0.0
    assert (job_of(made), limits_of(made)) == (job_of(checks), limits_of(checks))
    assert line_off.ParallelWidth.Value == 110.0 and checks.LineOff is boat.line_off and boat.line_off.Line is boat.line
    assert document.UndoNames == ["Better line-off"]
    document.undo()
    assert names(document) == before and document.UndoCount == 0


def test_nibs_stand_where_the_line_off_puts_them(boat):
    """Stations are given: nibs stand at these, in the search as in the line-off."""
    make.change(boat.surface, "stations", StationPositions=[1700.0, 2500.0, 3300.0, 4100.0, 5300.0, 8000.0, 9000.0])
    checks = make.make_strake_checks(boat.line_off, LimitNarrowest=45, LimitHoodEnd=60)
    outcome = tried(checks, Design(Kind(False, True, True), 0.6, 0.6, 0.0, 16))
    _, line_off, made = make_found(checks, outcome)
    places = [(n.strake, n.end, n.position) for n in outcome.plan.nibs]
    print(outcome.margin, places, line_off.FoundNibs)
    assert [(n.strake, n.end, n.position) for n in lineoff_of(line_off).value.nibs] == places
    given = {p for strake, _, p in places if strake <= 16}
    assert given and given <= {1700.0, 2500.0, 3300.0, 4100.0, 5300.0, 8000.0, 9000.0}
    assert line_off.NarrowestStrake.Value == 60.0 and made.Margin == outcome.margin


def test_tuck_and_given_lines_are_looked_at(boat):
    wale = make.make_parallel_line(boat.surface, 400)
    tuck = make.make_tuck_line(boat.surface, Turn=ROUND)
    checks = make.make_strake_checks(boat.line_off, Lines=[wale], Tuck=tuck, LimitTuckAngle=5)
    quest = quest_of(checks)
    assert quest.beside.lines[0].name == wale.Label and quest.beside.tuck.curve is not None
    design = Design(Kind(False, False, True), 0.6, 0.6, 0.0, 12)
    quick = Judge(quest.hull, quest.job, quest.limits, Space(), quest.beside).outcome(design)
    outcome = tried(checks, design)
    _, _, made = make_found(checks, outcome)
    found = checks_of(made).value
    for other in (quick.checks, outcome.checks):
        print(other.landings.name, other.tuck.angle, other.seam_margins.worst()[0].min())
    assert made.Margin == outcome.margin and made.Tuck is tuck and made.Lines == [wale]
    assert np.array_equal(found.seam_margins.margin, outcome.checks.seam_margins.margin, equal_nan=True)
    assert len(found.seam_margins.items) == 3  # fairness, the wale, the tuck
    worst = [other.seam_margins.worst()[0].min() for other in (quick.checks, outcome.checks)]
    assert worst[0] == pytest.approx(worst[1], abs=0.05)


def test_search_from_checks(boat):
    checks = make.make_strake_checks(boat.line_off)
    quest = quest_of(checks)
    space = Space(counts=(12, 13), easing=False, spiling=False)
    found = quest.search(space, seed=2, effort=Effort(4, 1, 4, 0))
    present = quest.present(space)
    print(found.tried, present[:7], found.best[0].margin)
    _, _, made = make_found(checks, found.best[0], space, quest.key)
    # the checks made class strakes as spiled that the search was to spring
    assert checks_of(made).value.worst_sprung == found.best[0].margin
    assert present[0] == "Present line-off" and present[7] == 12


def test_what_is_refused(boat):
    checks = make.make_strake_checks(boat.line_off)
    key = quest_of(checks).key
    outcome = tried(checks, Design(Kind(False, False, True), 0.6, 0.6, 0.0, 12))
    make.change(boat.line, "lower", BowGirth=1000)
    before = names(boat.document)
    never = tried(checks, Design(Kind(True, False, True), 0.6, 0.6, 5.0, 12))  # eased beyond all measure
    calls = (
        lambda: make_found(checks, outcome, Space(), key), lambda: quest_of(boat.line_off),
        lambda: make_found(checks, never),
    )  # fmt: skip
    for call in calls:
        with pytest.raises(PlanError) as fault:
            call()
        print(fault.value)
    assert names(boat.document) == before
