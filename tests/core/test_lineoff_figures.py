# SPDX-License-Identifier: LGPL-2.1-or-later
"""Figures of a line-off: pointed ends, garboard, nibs as they are carried to the boat, numbers side by side."""

from functools import lru_cache

import demoplan
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.belts import EqualBelt, GradedBelt, ParallelBelt
from strakeplan.core.lineoff.compare import compare_counts, counts_around
from strakeplan.core.lineoff.figures import SHARP, line_off_figures
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lineoff.nibs import Nib
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.planks.measure import measure_planks
from strakeplan.core.sections import sections_at
from strakeplan.core.stations import stations_at, stations_spaced
from strakeplan.core.tables.bevels import bevel_table
from strakeplan.core.tables.marks import marks_table
from strakeplan.core.tables.nibs import nib_table

NIBS = (Nib(3, "bow", 1700.0), Nib(6, "stern", 9300.0, 120.0), Nib(12, "stern", None, 60.0))


@lru_cache(maxsize=None)
def line():
    hull = demoplan.demo_hull()
    return taut_between_ends(hull, 0.65 * hull.stem_length, 0.65 * hull.stern_length)


@lru_cache(maxsize=None)
def nibbed():
    return line_off(demoplan.demo_hull(), [EqualBelt(8, line()), ParallelBelt()], None, NIBS)


def test_angles_at_which_strakes_run_out_on_the_rabbet():
    """Against the angle between chords of seam and rabbet near the point, from 1 mm and 2 mm, extrapolated."""
    plan = demoplan.demo_plan()
    figures = line_off_figures(plan)
    assert figures.run_outs
    for r in figures.run_outs:
        part = plan.strakes[r.strake - 1].planks[0].upper
        border, fore = plan.hull.boundary, r.end == "bow"
        at, s = (0.0, part.s_fore) if fore else (part.whole.length, part.s_aft)
        sign = 1.0 if fore else -1.0
        angles = []
        for step in (1.0, 2.0):
            a, b = part.whole.points([at + sign * step])[0], border.points([s + sign * step])[0]
            tip = part.whole.points([at])[0]
            a, b = a - tip, b - tip
            angles.append(np.arccos(a @ b / np.linalg.norm(a) / np.linalg.norm(b)))
        expected = 2.0 * angles[0] - angles[1]
        x = plan.hull.frame.to_model_station(part.whole.points([at])[0, 0])
        print(f"strake {r.strake} {r.end} at {r.position:.1f}: {np.degrees(r.angle):.4f}, by chords {np.degrees(expected):.4f}")
        assert abs(r.angle - expected) < 1e-5 and abs(r.position - x) < 1e-6
    sharp = [r for r in figures.run_outs if r.angle < SHARP]
    print(figures.notes())
    assert sharp and len(figures.notes()) == 1 and "narrowest breadth" in figures.notes()[0]
    assert f"{np.degrees(min(r.angle for r in sharp)):.1f}" in figures.notes()[0]


def test_garboard_and_least_breadth_agree_with_the_measures_of_planks():
    plan = demoplan.demo_plan()
    figures = line_off_figures(plan)
    measures = measure_planks(plan, 5000.0)
    garboard = measures[-1].greatest
    least = min(min(m.bow, m.stern) for m in measures if m.rule == "equal")
    print(f"garboard {figures.garboard.value:.2f} at {figures.garboard.position:.0f}, measured {garboard:.2f}; "
          f"least {figures.least.value:.2f} (strake {figures.least.strake}), measured {least:.2f}")  # fmt: skip
    assert abs(figures.garboard.value - garboard) < 0.5 and figures.garboard.strake == len(plan.strakes)
    assert abs(figures.least.value - least) < 0.5


def test_a_garboard_that_takes_all_below_the_line_is_told():
    plan = line_off(demoplan.demo_hull(), [EqualBelt(8, line())])
    figures = line_off_figures(plan)
    print(figures.garboard, figures.garboard_ratio, figures.notes())
    assert figures.garboard_ratio > 2.0 and "parallel strakes" in figures.notes()[-1]


def test_nibs_are_told_by_tape_and_depth():
    """Corner readings against girths summed along the section, in small chords."""
    plan = nibbed()
    rows = nib_table(plan)
    assert [(r.strake, r.end) for r in rows] == [(3, "bow"), (6, "stern"), (12, "stern")]
    assert abs(rows[0].position - 1700.0) < 1e-6 and abs(rows[1].position - 9300.0) < 1e-6
    assert abs(rows[1].depth - 120.0) < 1.5 and abs(rows[2].depth - 60.0) < 0.1
    assert [r.lower_on for r in rows] == ["Seam 03", "Seam 06", "rabbet"]
    frame = plan.hull.frame
    for r in rows:
        part = plan.seams[r.strake - 1].parts[0 if r.end == "bow" else -1]
        cut = part.fore if r.end == "bow" else part.aft
        for corner, x, girth in ((0, r.position, r.girth), (-1, r.lower_position, r.lower_girth)):
            p = cut.across.points([0.0, cut.across.length])[corner]
            section = sections_at(plan.hull, [float(frame.to_ship_station(x))]).single(0)
            s = np.linspace(0.0, section.length, 20001)
            q = section.points(s)
            k = int(np.argmin(np.linalg.norm(q - p, axis=1)))
            expected = float(np.sum(np.linalg.norm(np.diff(q[: k + 1], axis=0), axis=1)))
            off = np.linalg.norm(q[k] - p)
            print(f"{r.words}: corner {corner} {girth:.2f}, summed {expected:.2f}, {off:.3f} mm beside the section")
            assert abs(girth - expected) < 0.3 and off < 0.3


def test_marks_stop_at_nibs():
    plan = nibbed()
    table = marks_table(plan, stations_spaced(plan.hull, 400.0))
    for nib, row in zip(NIBS, nib_table(plan)):
        column = nib.strake - 2  # the seam above the ended strake
        for mark in table.rows:
            reading = mark.readings[column]
            if mark.position is None:
                beyond = mark.name == ("Stem" if nib.end == "bow" else "Stern")
            else:
                beyond = mark.position < row.position if nib.end == "bow" else mark.position > row.position
            if beyond:
                assert reading is None, f"{table.seams[column]} has a mark at {mark.name}, beyond its nib"
        there = [m for m in table.rows if m.readings[column] is not None]
        print(f"{table.seams[column]}: marks from {there[0].name} to {there[-1].name}, nib at {row.position:.0f}")
        assert len(there) > 10


@pytest.mark.parametrize("off", [-1e-10, 0.0, 1e-10])
def test_a_nib_at_a_station_has_its_mark_and_bevel_there_whatever_the_rounding(off):
    plan = nibbed()
    stations = stations_at(plan.hull, [1700.0 + off, 5000.0, 9300.0 - off])
    marks = {row.name: row.readings for row in marks_table(plan, stations).rows}
    nibs = nib_table(plan)
    print(marks["1"][1], nibs[0].girth, marks["3"][4], nibs[1].girth)
    assert abs(marks["1"][1] - nibs[0].girth) < 1e-5 and abs(marks["3"][4] - nibs[1].girth) < 1e-5
    bevels = {(r.strake, r.edge): r.bevels for r in bevel_table(plan, stations)}
    assert bevels[3, "upper"][0] is not None and bevels[6, "upper"][2] is not None


def test_bevels_stop_at_nibs_and_both_sides_of_a_seam_share():
    """At a station beyond a nib the joined plank has no edge there, and bevels of its own edges only."""
    plan = nibbed()
    stations = stations_spaced(plan.hull, 400.0)
    rows = {(r.strake, r.edge): r.bevels for r in bevel_table(plan, stations)}
    row = nib_table(plan)[0]
    before = [k for k, s in enumerate(stations) if s.x < row.position]
    after = [k for k, s in enumerate(stations) if row.lower_position + 50.0 < s.x < 9000.0]
    taken_over, ended = rows[2, "lower"], rows[3, "upper"]
    print("lower edge of strake 2:", np.round(np.array(taken_over, float), 2))
    assert all(ended[k] is None for k in before) and all(ended[k] is not None for k in after)
    assert all(taken_over[k] is not None for k in after) and any(taken_over[k] is not None for k in before)
    # before the nib strake 2's lower edge is the seam that strake 4 has as its upper one
    for k in before:
        if taken_over[k] is not None:
            assert rows[4, "upper"][k] is not None and abs(taken_over[k]) < 90.0


def test_numbers_side_by_side_agree_with_each_line_off_by_itself():
    hull = demoplan.demo_hull()
    belts = [EqualBelt(8, line()), ParallelBelt()]
    found = compare_counts(hull, belts, (6, 8), 5000.0, narrowest=120.0)
    for one in found:
        plan = line_off(hull, [EqualBelt(one.count, line()), ParallelBelt()])
        measures = measure_planks(plan, 5000.0)
        mine = [m for m in measures if m.strake <= one.count]
        worst = max(measures, key=lambda m: m.edge_set)
        widest = max(m.greatest for m in mine)
        print(f"{one.count}: {one.strakes} strakes, stem {one.stem[0]:.2f}, greatest {one.greatest.value:.2f} "
              f"({widest:.2f}), edge set {one.edge_set.value:.2f} ({worst.edge_set:.2f}, strake {worst.strake})")  # fmt: skip
        assert one.strakes == len(plan.strakes) and one.fault == ""
        assert abs(one.stem[0] - min(m.bow_girth for m in mine)) < 1e-6
        assert abs(one.stern[1] - max(m.stern_girth for m in mine)) < 1e-6
        assert abs(one.greatest.value - widest) < 0.5 and abs(one.parallel_width - plan.parallel_width) < 1e-9
        assert abs(one.edge_set.value - worst.edge_set) < 0.5
        narrow = {m.strake for m in mine if min(m.bow, m.stern) < 120.0}
        assert one.too_narrow >= len(narrow) > 0
    # equal division: n strakes between the same lines, so n times the width is the same
    widths = [one.count * one.stem[0] for one in found]
    print("number times width at the stem:", widths)
    assert abs(widths[0] - widths[1]) < 1e-6
    assert counts_around(2) == (1, 2, 3, 4, 5) and counts_around(20) == tuple(range(17, 24))


def test_what_cannot_be_compared_is_refused():
    hull = demoplan.demo_hull()
    belts = [EqualBelt(8, line()), ParallelBelt()]
    for bad in ((), (0,), (2.5,), (500,), tuple(range(1, 60))):
        with pytest.raises(PlanError) as caught:
            compare_counts(hull, belts, bad, 5000.0)
        print(caught.value)
    with pytest.raises(PlanError) as caught:
        compare_counts(hull, [GradedBelt((1.0, 1.0), line())], (2, 3), 5000.0)
    assert "equal strakes" in str(caught.value)
    with pytest.raises(PlanError):
        compare_counts(hull, belts, (8,), 0.0)
