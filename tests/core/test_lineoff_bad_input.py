# SPDX-License-Identifier: LGPL-2.1-or-later
"""Belts that cannot be: refused with the object, the place and the remedy, never lined off."""

from types import SimpleNamespace

import demoplan
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lines.taut import taut_between_ends


def line(share=0.65):
    hull = demoplan.demo_hull()
    return taut_between_ends(hull, hull.stem_length * share, hull.stern_length * share)


def refused(make, *words):
    with pytest.raises(PlanError) as caught:
        make()
    error = caught.value
    print(error)
    assert error.what and error.remedy
    for word in words:
        assert word.lower() in str(error).lower(), word
    return error


@pytest.mark.parametrize("count", [0, 500, -3, 1000000, 2.5, float("nan"), float("inf")])
def test_numbers_of_strakes(count):
    refused(lambda: EqualBelt(count, line()), "strakes", "between 1 and")


def test_one_strake_is_a_number():
    plan = line_off(demoplan.demo_hull(), [EqualBelt(1, line()), ParallelBelt(150.0)])
    print(f"{len(plan.strakes)} strakes, {plan.strakes[0].name} {plan.strakes[0].rule}")
    assert [s.rule for s in plan.strakes[:2]] == ["equal", "parallel"]


def test_most_strakes_a_belt_may_have():
    """200 is taken, 201 is a slip of the pen."""
    assert EqualBelt(200, line()).count == 200
    refused(lambda: EqualBelt(201, line()), "between 1 and 200")


@pytest.mark.parametrize("width", [0.0, -50.0, 1e6, float("nan")])
def test_widths_of_parallel_strakes(width):
    refused(lambda: ParallelBelt(width), "width", "mm")


@pytest.mark.parametrize("width", [1.5, 4.0])
def test_too_many_parallel_strakes(width):
    belts = [EqualBelt(10, line()), ParallelBelt(width)]
    refused(lambda: line_off(demoplan.demo_hull(), belts), "strakes", "greater width")


@pytest.mark.parametrize(
    "belts",
    [[], [ParallelBelt()], ["planks"], [SimpleNamespace(count=3)]],
    ids=["none", "parallel first, of no width", "words", "something else"],
)
def test_belts_that_are_none(belts):
    refused(lambda: line_off(demoplan.demo_hull(), belts), "bel")


def test_a_parallel_belt_stands_last():
    belts = [EqualBelt(5, line(0.6)), ParallelBelt(90.0), EqualBelt(5, line(0.8))]
    refused(lambda: line_off(demoplan.demo_hull(), belts), "parallel", "belt 2")


def test_something_unknown_among_belts():
    refused(lambda: line_off(demoplan.demo_hull(), [EqualBelt(5, line()), "parallel"]), "belt 2", "rule")


@pytest.mark.parametrize("shares", [(0.8, 0.65), (0.65, 0.65)], ids=["upside down", "twice the same"])
def test_lines_in_the_wrong_order(shares):
    belts = [EqualBelt(5, line(share)) for share in shares]
    refused(lambda: line_off(demoplan.demo_hull(), belts), "lines", "hood ends")


def test_lines_that_cross_between_the_ends():
    """In order at the stem, the other way round at the stern."""
    hull = demoplan.demo_hull()
    first = taut_between_ends(hull, hull.stem_length * 0.62, hull.stern_length * 0.8)
    second = taut_between_ends(hull, hull.stem_length * 0.8, hull.stern_length * 0.62)
    refused(lambda: line_off(hull, [EqualBelt(5, first), EqualBelt(5, second)]), "cross")


@pytest.mark.parametrize("stand_off", [-1.0, float("nan"), float("inf"), 1e5, 6000.0])
def test_stand_offs(stand_off):
    hull = demoplan.demo_hull()
    refused(lambda: line_off(hull, [EqualBelt(5, line())], stand_off), "stand-off")


def test_a_line_of_another_hull():
    """The belt's line lies on a surface of its own: it cannot carry a belt of this one."""
    other = demoplan.demo_hull(30.0)
    foreign = taut_between_ends(other, other.stem_length * 0.65, other.stern_length * 0.65)
    refused(lambda: line_off(demoplan.demo_hull(), [EqualBelt(5, foreign)]), "hull")


def test_nothing_is_changed_by_a_refusal():
    hull = demoplan.demo_hull()
    before = np.array(hull.boundary.nodes), np.array(hull.patch.poles)
    with pytest.raises(PlanError):
        line_off(hull, [EqualBelt(5, line()), ParallelBelt(4.0)])
    assert np.array_equal(before[0], hull.boundary.nodes) and np.array_equal(before[1], hull.patch.poles)
