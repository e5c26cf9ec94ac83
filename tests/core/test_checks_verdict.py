# SPDX-License-Identifier: LGPL-2.1-or-later
"""Margins, classes, verdicts and the report."""

from dataclasses import fields, replace
from types import SimpleNamespace

import demoplan
import made_samples
import numpy as np
import pytest
from made_wood import FIR

from strakeplan.core.cautions import CAUTIONS
from strakeplan.core.checks.landings import GivenLine, check_tuck
from strakeplan.core.checks.limits import Limits
from strakeplan.core.checks.remedies import names, what_to_try
from strakeplan.core.checks.report import checks_report, plan_sentence, strake_rows, strake_verdict, what_binds
from strakeplan.core.checks.verdict import Job, check_strakes
from strakeplan.core.checks.widths import check_widths
from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lines.eased import eased_line
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.lines.tuck import TuckCrossing
from strakeplan.core.strakes.samples import seam_samples, strake_samples

JOB = Job(FIR, 28.0, 4900.0, 300.0, "never")
NONE = Limits(**{f.name: None for f in fields(Limits) if f.name != "always_spiled"})
SEAMS = made_samples.made_seams([9000.0])


def checked(strakes, limits=Limits(), job=JOB, seams=SEAMS, **more):
    return check_strakes(strakes, seams, job, limits, **more)


def arcs(r, width=100.0, length=9000.0, **more):
    """Strakes of even edgewise curvature."""
    r = np.atleast_1d(np.asarray(r, float))
    return made_samples.made(
        np.full(len(r), length), width=width, edgewise=(1.0 / r)[:, None], bend=1.0 / 10000.0, **more
    )


def test_margins_are_signed_shares_of_the_limit():
    """(80 - d) / 80 of the circle's sagitta; (w - 50) / 50 of the hood end; by hand."""
    r = np.array([60000.0, 30000.0])
    found = checked(arcs(r, bow_girth=[64.0, 25.0]), replace(NONE, edge_set=80.0, hood_end=50.0))
    d = r * (1.0 - np.cos(2450.0 / r))
    table = found.strake_margins
    print("edge set margins", table.margin[table.row("edge_set")], "hood ends", table.margin[table.row("hood_bow")])
    assert np.allclose(table.margin[table.row("edge_set")], (80.0 - d) / 80.0)
    assert np.allclose(table.margin[table.row("hood_bow")], [14.0 / 50.0, -0.5])
    assert np.sum(np.isfinite(table.margin)) == 6  # two strakes; edge set and both hood ends
    bind = found.binds
    assert (
        bind.label == "Strake 02"
        and bind.item.key == "hood_bow"
        and np.isclose(found.worst_margin, -0.5)
        and bind.x == 0.0
    )


def test_nothing_is_looked_at():
    found = checked(arcs([30000.0]), NONE)
    assert found.binds is None and found.worst_margin == np.inf and found.binding(0) is None
    assert what_binds(found) == ("No limit is looked at.",) and list(found.classes.method) == ["spring"]
    assert what_to_try(found) == () and "no limit is looked at" in plan_sentence(found)


@pytest.mark.parametrize("name", [f.name for f in fields(Limits) if f.name != "always_spiled"])
def test_every_limit_alone(name):
    """A limit set so that the figure passes it, and one that it keeps."""
    strakes = made_samples.made(
        [9000.0], width=100.0 + 30.0 * np.sin(np.linspace(0.0, np.pi, 121)), edgewise=1.0 / 40000.0, bend=1.0 / 3000.0,
        twist=2e-4, across=1.0 / 1500.0, gauss=1.0 / 4.5e6,
    )  # fmt: skip
    jump = 4e-5 * (np.arange(121) > 60)
    seams = made_samples.made_seams([9000.0], edgewise=jump)
    line = GivenLine("Wale", seams.point[0] + np.array([0.0, 0.0, 30.0]))
    least = name in ("hood_end", "narrowest", "bend_cold", "bend_steamed", "line_clear")
    job = replace(JOB, steam="always" if name.endswith("_steamed") else "never")
    tuck = check_tuck(seams, [TuckCrossing("Seam 01", 0.4, 4000.0, (0, 0, 0), 0.0, 0.0)])
    # a board counts where a strake is spiled
    rule = replace(NONE, always_spiled=("equal",) if name == "board" else ())
    margins = []
    for factor in (1e-6, 1e6):
        limits = replace(rule, **{name: factor})
        found = check_strakes(strakes, seams, job, limits, [line], tuck)
        margins.append(found.worst_sprung)
    tight, loose = margins[::-1] if least else margins
    print(f"{name}: {tight:.3g} beyond it, {loose:.3g} within")
    assert tight < 0.0 < loose


def test_limits_must_be_figures():
    for wrong in (0.0, -1.0, np.nan):
        with pytest.raises(PlanError, match="edge set"):
            Limits(edge_set=wrong)
    for name in ("thickness", "plank_length", "frame_spacing"):
        with pytest.raises(PlanError, match=name.replace("_", " ")):
            replace(JOB, **{name: 0.0})
    with pytest.raises(PlanError, match="where needed"):
        replace(JOB, steam="a little")


def test_spring_spile_or_neither():
    """A gentle strake springs; a bent one is spiled; one that no board holds goes neither way; a garboard is spiled."""
    r = [60000.0, 20000.0, 4000.0, 60000.0]
    found = checked(arcs(r, rule=("equal", "equal", "equal", "garboard")), replace(NONE, edge_set=80.0, board=300.0))
    board = np.array([(x + 50.0) - (x - 50.0) * np.cos(2450.0 / x) for x in r])
    print(list(found.classes.method), "boards", np.round(found.boards.plank), "by hand", np.round(board))
    assert list(found.classes.method) == ["spring", "spile", "neither", "spile"]
    assert np.allclose(found.boards.plank, board, rtol=1e-3)
    assert np.isclose(found.classes.margin[1], (300.0 - board[1]) / 300.0, atol=1e-3)
    sagitta = 20000.0 * (1.0 - np.cos(2450.0 / 20000.0))
    assert np.isclose(found.classes.sprung[1], (80.0 - sagitta) / 80.0)
    assert found.worst_margin < 0.0 and found.worst_sprung <= found.worst_margin


def test_spiling_mends_neither_width_nor_twist():
    found = checked(arcs([60000.0], width=200.0), replace(NONE, widest=150.0, edge_set=80.0))
    assert list(found.classes.method) == ["spring"] and np.isclose(found.worst_margin, -1.0 / 3.0)


def test_steam_where_it_is_needed():
    """R/t 40 is too tight cold (100) and goes steamed (25); then it keeps no strain of bending."""
    strakes = made_samples.made([9000.0] * 2, width=100.0, bend=np.array([[1.0 / 1120.0], [1.0 / 5600.0]]))
    limits = replace(NONE, bend_cold=100.0, bend_steamed=25.0, share=0.5)
    found = checked(strakes, limits, replace(JOB, steam="where needed"))
    table = found.strake_margins
    print("steamed:", found.steamed, "bend margins", table.margin[table.row("bend")])
    assert list(found.steamed) == [True, False] and np.allclose(table.margin[table.row("bend")], [0.6, 1.0])
    assert found.springing.flatwise.worst[0] == 0.0 and found.springing.flatwise.worst[1] > 0.0
    cold = checked(strakes, limits)
    assert not cold.steamed.any() and np.isclose(cold.worst_margin, min(-0.6, 1.0 - 28.0 / 2240.0 / 6.4e-3 / 0.5))


def test_common_practice_at_the_hood_ends():
    """Common practice, no source: 25 mm at the hood ends is too narrow, 50 to 64 mm is wanted."""
    ends = np.array([25.0, 50.0, 64.0])
    found = checked(arcs([1e6] * 3, bow_girth=ends), replace(NONE, hood_end=Limits().hood_end))
    margin = found.strake_margins.margin[0]
    print("hood ends of", ends, "mm: margins", margin)
    assert margin[0] < 0.0 <= margin[1] < margin[2]


def test_a_seam_beside_a_wale_binds():
    n = 121
    x = np.linspace(0.0, 9000.0, n)
    point = np.stack([np.stack([x, 0 * x, 0 * x + z], axis=1) for z in (0.0, -30.0, -110.0)])
    seams = made_samples.made_seams([9000.0] * 3, n, point)
    seams = replace(seams, number=np.array([0, 1, 2]), name=("Sheer", "Seam 01", "Seam 02"))
    wale = GivenLine("Wale", np.array([[0.0, 0.0, -38.0], [9000.0, 0.0, -38.0]]))
    found = checked(arcs([1e6, 1e6]), replace(NONE, line_clear=20.0), seams=seams, lines=[wale])
    assert found.binds.label == "Seam 01" and found.binds.seam and np.isclose(found.binds.margin, (8.0 - 20.0) / 20.0)
    text = " ".join(what_to_try(found))
    print(what_binds(found)[0], "|", text)
    assert "move it 12 mm off, or on to it" in text and "Wale" in text
    # the sheer is given: it is never told off
    assert np.isnan(found.seam_margins.margin[found.seam_margins.row("clear of Wale"), 0])


def test_what_to_try_is_in_figures():
    """20 strakes of 40 mm at the stem where 50 are wanted: 16; sagitta with the square of the length."""
    many = arcs([45000.0] * 20, bow_girth=np.full(20, 40.0))
    text = " ".join(what_to_try(checked(many, replace(NONE, hood_end=50.0))))
    print(text)
    assert "with 16 equal strakes instead of 20" in text and "ease the line" in text
    text = " ".join(what_to_try(checked(arcs([20000.0]), replace(NONE, edge_set=80.0, board=300.0))))
    print(text)
    # 4.9 sqrt(80 / 149.9) = 3.58 m, taken down to a tenth
    assert "Planks of 3.5 m" in text and "Spile strake 1 (edge set 149.9 mm where 80.0 mm is allowed)" in text


def test_names_of_strakes():
    found = checked(arcs([1e6] * 9), NONE)
    assert names(found, [0]) == "strake 1" and names(found, [0, 1, 2, 3, 6, 8]) == "strakes 1 to 4, 7 and 9"


@pytest.fixture(scope="module")
def hull_checks():
    plan = demoplan.demo_plan()
    return check_strakes(strake_samples(plan), seam_samples(plan), Job(FIR, 30.0, 4900.0, 300.0))


def test_report_of_the_demonstration_hull(hull_checks):
    text = checks_report(hull_checks, "Marram", notes=("The sheer is as drawn.",))
    print(text)
    lines = text.splitlines()
    assert lines[0].startswith("Marram: 31 strakes a side, 30 mm softwood") and len(lines) < 70
    for heading in ("What binds", "What to try", "common practice, no source", "Note: The sheer is as drawn."):
        assert heading in text
    assert all(caution in text for caution in CAUTIONS)
    assert max(map(len, lines)) < 180
    rows = strake_rows(hull_checks)
    assert len(rows) == len(hull_checks.strakes.number) and len({len(row) for row in rows}) == 1
    assert "nan" not in text and "inf" not in text
    for row in range(len(rows)):
        verdict = strake_verdict(hull_checks, row)
        assert verdict.startswith(f"Strake {hull_checks.strakes.number[row]:02d}") and "margin" in verdict


def test_a_figure_at_its_limit_keeps_it():
    """50 mm / 20 is not 2.5 to the last bit everywhere: nothing is passed by nothing."""
    found = checked(arcs([1e6], bow_girth=[50.0 * (1.0 - 4e-16)]), replace(NONE, hood_end=50.0))
    text = checks_report(found)
    print(found.worst_margin, text.splitlines()[0])
    assert found.worst_margin == 0.0 and "-0" not in text and "all limits kept, 0 % to spare" in text


def test_a_nib_is_no_hood_end():
    """A strake that ends in a nib 30 mm deep breaks no limit of hood ends; the page calls it a nib."""
    runs = SimpleNamespace(whole=np.array([True, True]), bow_nib=np.array([True, False]), stern_nib=np.zeros(2, bool))
    strakes = replace(arcs([1e6, 1e6], bow_girth=[30.0, 64.0]), runs=runs)
    found = checked(strakes, replace(NONE, hood_end=50.0))
    rows = strake_rows(found)
    print(found.widths.bow, found.widths.nib_bow, rows[0])
    assert np.isnan(found.widths.bow[0]) and found.widths.nib_bow[0] == 30.0 and found.widths.bow[1] == 64.0
    assert found.worst_margin > 0.0 and "nib 30" in rows[0]


def test_strakes_are_counted_once_and_spiled_for_their_own_reasons():
    """Strake 1 in two parts, one sprung and one spiled; strakes 2 and 3 spiled for different reasons."""
    strakes = arcs([60000.0, 20000.0, 20000.0, 60000.0])
    strakes = replace(strakes, number=np.array([1, 1, 2, 3]), part=np.array([1, 2, 0, 0]),
                      bend=np.stack([np.zeros(121)] * 3 + [np.full(121, 1.0 / 500.0)]))  # fmt: skip
    limits = replace(NONE, edge_set=80.0, hold_down=100.0, board=400.0)
    found = checked(strakes, limits)
    sentence, ways = plan_sentence(found), what_to_try(found)
    print(sentence, ways)
    assert "3 strakes" in sentence and "2 spiled, 1 partly one, partly another" in sentence
    spile = next(text for text in ways if text.startswith("Spile"))
    assert "edge set" in spile and "strake 3 (force to hold it down" in spile


def test_worst_places_are_where_they_are_said_to_be(hull_checks):
    """Every figure of the margins that has a value along the strake is that value at its place."""
    c = hull_checks
    rows = np.arange(len(c.strakes.number))
    along = {
        "widest": c.widths.wide, "narrowest": c.widths.narrow, "share": c.springing.share, "force": c.springing.force,
        "hold_down": c.springing.hold_down, "bend": c.bending.over_thickness, "frame_force": c.bending.frame_force,
        "hollow": c.hollows.hollow,
    }  # fmt: skip
    table = c.strake_margins
    for key, figure in along.items():
        k = table.row(key)
        there = figure.value[rows, table.index[k]]
        assert np.allclose(there, table.value[k], equal_nan=True), key


def test_easing_makes_ends_wider_and_the_middle_narrower():
    """The same hood ends; the eased line is lifted towards the sheer amidships. Strakes are chosen to
    keep the taut line's width amidships: their ends are wider by the ratio of the numbers (common
    practice, no source; own arithmetic)."""
    hull = demoplan.demo_hull()
    ends = hull.stem_length * 0.65, hull.stern_length * 0.65
    taut = taut_between_ends(hull, *ends)
    eased = eased_line(hull, Mark.end("stem", ends[0]), Mark.end("stern", ends[1]), slack=25.0)
    widths = {}
    for name, line, count in (("taut", taut, 20), ("eased", eased, 20), ("eased, fewer", eased, 18)):
        plan = line_off(hull, [EqualBelt(count, line), ParallelBelt()])
        some = strake_samples(plan)
        found = check_widths(some)
        equal = np.asarray(some.rule) == "equal"
        widths[name] = (found.bow[equal].mean(), found.wide.worst[equal].mean(), found.taper_bow[equal].mean())
        print(f"{name}, {count} strakes: {widths[name][0]:.1f} mm at the stem, greatest {widths[name][1]:.1f} mm")
    assert widths["eased"][1] < widths["taut"][1] and widths["eased"][2] > widths["taut"][2]
    assert widths["eased, fewer"][0] > 1.1 * widths["taut"][0]
    assert widths["eased, fewer"][1] < 1.05 * widths["taut"][1]
