# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks re-divided for measured girths: at the stations measured, between them, at the ends."""

import numpy as np
import pytest
from demoplan import demo_hull, demo_plan
from scipy.interpolate import make_interp_spline
from tapes import forward, plan, read

from strakeplan.core.asbuilt.asbuilt import as_built, corrected_table
from strakeplan.core.asbuilt.blend import fair_blend
from strakeplan.core.asbuilt.drawn import DrawnMarks, drawn_marks
from strakeplan.core.asbuilt.redivide import redivided
from strakeplan.core.errors import PlanError
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt
from strakeplan.core.halfmodel import HalfModel, half_model_marks
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lineoff.nibs import Nib
from strakeplan.core.lines.taut import taut_between_ends
from strakeplan.core.stations import stations_spaced
from strakeplan.core.tables.marks import MarkRow, MarksTable

LENGTH = 12000.0


def girths(drawn, mark):
    """Drawn girths to a mark by the names of the stations."""
    c = drawn.column_of(mark)
    return {r.name: drawn.readings(r)[c] for r in drawn.table.rows if r.position is not None}


def values(drawn, table):
    """(rows, m + 1) girths, nan where there is no mark."""
    return np.array([drawn.readings(row) for row in table.rows])


def off(a, b):
    assert np.array_equal(np.isnan(a), np.isnan(b))
    return float(np.nanmax(np.abs(a - b)))


@pytest.mark.parametrize("ends", ["drawn", "held"])
@pytest.mark.parametrize("marks", [("rabbet",), ("line",), ("line", "rabbet"), ("2", "line", "8", "rabbet"), ("2",), ("8",)])
def test_readings_equal_to_the_drawing_change_nothing(marks, ends):
    drawn = plan()
    some = []
    for mark in marks:
        known = {k: v for k, v in girths(drawn, mark).items() if np.isfinite(v) and int(k) % 2}
        some += read(drawn, mark, known)
    built = as_built(drawn, some, ends)
    worst = off(values(drawn, built.table), values(drawn, drawn.table))
    print(f"{marks}, ends {ends}: {worst:.2e} mm")
    assert worst < 1e-9 and not built.doubts


def test_at_a_measured_station_shares_and_widths():
    """Above the line shares of the measured girth, below it the drawn widths, the garboard the rest."""
    drawn = plan()
    line, whole = girths(drawn, "line")["6"], girths(drawn, "rabbet")["6"]
    some = read(drawn, "line", {"6": line + 12.0}) + read(drawn, "rabbet", {"6": whole - 5.0})
    row = values(drawn, as_built(drawn, some).table)[6]
    widths = np.diff(row, prepend=0.0)
    print(np.round(widths, 6))
    assert widths[:6] == pytest.approx([(1600.0 + 12.0) / 6] * 6)  # 6 equal strakes
    assert widths[6:9] == pytest.approx([90.0] * 3)
    assert widths[9] == pytest.approx(123.0 - 12.0 - 5.0)  # drawn 1993 - 1870


def test_only_the_whole_girth():
    """The line goes down by the same share: 2 % here."""
    drawn = plan()
    row = values(drawn, as_built(drawn, read(drawn, "rabbet", {"6": 1993.0 * 1.02})).table)[6]
    print(np.round(row, 6))
    assert row[5] == pytest.approx(1600.0 * 1.02)
    assert np.diff(row)[5:8] == pytest.approx([90.0] * 3)
    assert row[9] == pytest.approx(1993.0 * 1.02)


def test_only_the_girth_to_the_line():
    """What is below the line keeps its widths, the garboard too."""
    drawn = plan()
    built = as_built(drawn, read(drawn, "line", {"6": 1612.0}))
    row = values(drawn, built.table)[6]
    print(np.round(row, 6), built.notes)
    assert row[:6] == pytest.approx(1612.0 * np.arange(1, 7) / 6)
    assert row[6:] - values(drawn, drawn.table)[6][6:] == pytest.approx(12.0)
    assert any("measured nowhere" in n for n in built.notes)


def test_a_seam_already_hung():
    """The sheer and two strakes are on: the rest of the belt is divided below them, by shares."""
    drawn = plan()
    some = read(drawn, "2", {"6": 540.0}) + read(drawn, "rabbet", {"6": 1993.0})
    row = values(drawn, as_built(drawn, some).table)[6]
    widths = np.diff(row, prepend=0.0)
    print(np.round(widths, 4))
    assert widths[:2] == pytest.approx([270.0] * 2)
    assert widths[2:6] == pytest.approx([(1600.0 - 540.0) / 4] * 4)
    assert row[5:] == pytest.approx(values(drawn, drawn.table)[6][5:])


def test_graded_belts_keep_their_proportions():
    """Any rule of shares: strakes of 1.5 : 1 : 1 : 2 stay so."""
    rng = np.random.default_rng(8)
    for _ in range(50):
        drawn_widths = rng.uniform(50.0, 150.0, 7)
        drawn = np.cumsum(drawn_widths)
        fixed = {6: drawn[6] * rng.uniform(0.9, 1.1)}
        got, lost = redivided(drawn, (False,) * 7, fixed)
        assert np.diff(got, prepend=0.0) / drawn_widths == pytest.approx(fixed[6] / drawn[6])
        assert lost == ()


def test_a_garboard_that_runs_out():
    """Where the hull is so much smaller that the garboard is gone, its mark is taken away and told of."""
    drawn = plan()
    built = as_built(drawn, read(drawn, "line", {"6": 1600.0}) + read(drawn, "rabbet", {"6": 1860.0}))
    row = values(drawn, built.table)[6]
    print(np.round(row, 3), built.notes)
    assert np.isnan(row[8]) and row[9] == 1860.0 and row[7] == pytest.approx(1780.0)
    assert any("Seam 09" in note for note in built.notes)
    gone = [d for d in built.differences if d.station == "6" and d.mark == "Seam 09"]
    assert len(gone) == 1 and gone[0].built is None and gone[0].difference is None


def test_marks_that_cross_are_refused():
    drawn = plan()
    for some in (
        read(drawn, "line", {"6": 1600.0}) + read(drawn, "rabbet", {"6": 1600.0}),
        read(drawn, "2", {"6": 1700.0}) + read(drawn, "rabbet", {"6": 1993.0}),
    ):
        with pytest.raises(PlanError) as fault:
            as_built(drawn, some)
        print(fault.value)
        assert "station 6" in fault.value.where.lower() and fault.value.remedy


def test_repeated_readings_count_by_their_mean():
    drawn = plan()
    some = read(drawn, "rabbet", {"6": 1998.0}) + read(drawn, "rabbet", {"6": 2000.0})
    built = as_built(drawn, some)
    assert values(drawn, built.table)[6][9] == 1999.0 and len(built.used) == 2


# --- between and at the ends ---------------------------------------------------------------
def test_blend_passes_the_values_and_does_not_swing_out():
    """On 500 random rows of values the curve leaves the range of all values by at most sqrt(2) - 1 of it.

    Own arithmetic: from 0 to 1 with slopes 3 and -3 the cubic is 3 t - 2 t^3, whose greatest value is sqrt(2);
    with slopes 1.5 and -1.5 between equal values it is 3/8.
    """
    rng = np.random.default_rng(4)
    worst = 0.0
    for _ in range(500):
        n = rng.integers(2, 12)
        x = np.cumsum(rng.uniform(20.0, 2000.0, n))
        v = rng.normal(size=n)
        f = fair_blend(x, v)
        assert np.max(np.abs(f(x) - v)) < 1e-12
        fine = np.linspace(x[0], x[-1], 2001)
        spread = np.ptp(v)
        worst = max(worst, (np.max(f(fine)) - v.max()) / spread, (v.min() - np.min(f(fine))) / spread)
    print(f"swings out by at most {worst:.3f} of the spread")
    assert worst <= np.sqrt(2.0) - 1.0 + 1e-9
    natural = make_interp_spline([0.0, 50.0, 2000.0], [0.0, 1.0, 1.0], 3, bc_type="natural")
    fine = np.linspace(0.0, 2000.0, 2001)
    held = np.max(fair_blend([0.0, 50.0, 2000.0], [0.0, 1.0, 1.0])(fine))
    print(f"two stations 50 mm apart: a batten goes to {natural(fine).max():.2f}, ours to {held:.2f}")
    assert held < 1.3 < natural(fine).max()


def test_blend_is_the_natural_spline_where_that_does_not_swing_out():
    """Differences as a hull has them: error falls with the fourth power of the spacing in the middle."""
    errors = []
    for n in (17, 33, 65):
        x = np.linspace(0.0, 1.0, n)
        fine = np.linspace(0.3, 0.7, 401)
        errors.append(np.max(np.abs(fair_blend(x, np.sin(2.5 * x + 0.3))(fine) - np.sin(2.5 * fine + 0.3))))
    order = np.log2(np.array(errors[:-1]) / errors[1:])
    print("errors", errors, "orders", order)
    assert np.all(order > 3.5)


@pytest.mark.parametrize("turn", [lambda d: d, forward])
def test_interpolated_stations_follow_a_smooth_departure(turn):
    """Every second station measured: the others come within 0.3 mm of a smooth departure of 10 mm."""
    drawn = turn(plan())
    whole = girths(drawn, "rabbet")
    x = np.arange(1, 12) * 1000.0
    worst = 0.0
    for size in (10.0, -10.0):
        true = size * np.sin(np.pi * x / LENGTH)
        some = {k: v + t for (k, v), t in zip(whole.items(), true) if int(k) % 2}
        built = as_built(drawn, read(drawn, "rabbet", some))
        got = values(drawn, built.table)[1:-1, -1] - np.array(list(whole.values()))
        worst = max(worst, float(np.max(np.abs(got - true))))
        assert built.how[1:-1] == ("measured", "interpolated") * 5 + ("measured",)
        assert built.how[0] == built.how[-1] == "drawn"
    print(f"off by {worst:.3f} mm at most")
    assert worst < 0.3


def test_hood_ends():
    """Drawn: nothing changes at the stem. Held: the share of the nearest station. Measured: as read."""
    drawn = plan()
    some = read(drawn, "rabbet", {k: v * 1.01 for k, v in girths(drawn, "rabbet").items()})
    stem = values(drawn, drawn.table)[0]
    free = values(drawn, as_built(drawn, some).table)[0]
    held = values(drawn, as_built(drawn, some, "held").table)[0]
    own = as_built(drawn, some + read(drawn, "rabbet", {"Stem": 775.0}))
    print(free[-1], held[-1], values(drawn, own.table)[0][-1], own.how)
    assert np.array_equal(free, stem, equal_nan=True)
    assert held[-1] == pytest.approx(stem[-1] * 1.01) and held[5] == pytest.approx(stem[5] * 1.01)
    assert values(drawn, own.table)[0][-1] == 775.0 and own.how[0] == "measured" and own.how[-1] == "drawn"
    with pytest.raises(PlanError):
        as_built(drawn, some, "free")


def test_corrected_table_at_other_stations():
    """Rows asked for later lie on the same fields; those measured keep what the tape read."""
    drawn = plan()
    odd = MarksTable(drawn.table.seams, tuple(r for r in drawn.table.rows if r.position is None or int(r.name) % 2))
    few = DrawnMarks(odd, drawn.keeps_width, drawn.ends)
    some = {k: v + 7.0 for k, v in girths(few, "rabbet").items()}
    built = as_built(few, read(few, "rabbet", some))
    table, how, differences = corrected_table(built, drawn)
    direct = as_built(drawn, read(drawn, "rabbet", some))
    worst = off(values(drawn, table), values(drawn, direct.table))
    print(how, f"{worst:.2e}")
    assert worst < 1e-9 and how == direct.how
    assert {d.how for d in differences if d.station == "4"} == {"interpolated"}
    with pytest.raises(PlanError):
        corrected_table(built, plan(equal=5))


def test_interpolated_marks_run_fair():
    """Along every seam the difference has no second difference greater than its own size: no jogs.

    Own arithmetic: 10 mm in half a wave over 12 m has a curvature of 10 (pi/12)^2 = 0.69 mm per m^2.
    """
    drawn = plan(23, spacing=500.0)
    x = np.arange(1, 24) * 500.0
    whole = girths(drawn, "rabbet")
    some = {k: v + 10.0 * np.sin(np.pi * s / LENGTH) for (k, v), s in zip(whole.items(), x) if int(k) % 4 == 0}
    got = values(drawn, as_built(drawn, read(drawn, "rabbet", some)).table)[1:-1]
    bend = np.diff(got[:, :7] - values(drawn, drawn.table)[1:-1][:, :7], 2, axis=0) / 0.25
    print(f"greatest curvature of differences {np.abs(bend).max():.3f} mm per m^2")
    assert np.abs(bend).max() < 2.0


def test_differences_add_up():
    """Every mark is in the list once, and the list agrees with both tables."""
    drawn = plan()
    built = as_built(drawn, read(drawn, "rabbet", {k: v + 9.0 for k, v in girths(drawn, "rabbet").items()}))
    marks = int(np.sum(np.isfinite(values(drawn, drawn.table))))
    print(len(built.differences), "of", marks)
    assert len(built.differences) == marks
    new = {(r.name, n): v for r in built.table.rows for n, v in zip(drawn.names, drawn.readings(r))}
    assert all(new[d.station, d.mark] == d.built for d in built.differences)
    assert all(d.difference == pytest.approx(9.0) for d in built.differences if d.mark == "Rabbet" and d.how == "measured")


@pytest.mark.parametrize("seed", range(20))
def test_random_readings_hold(seed):
    """Whatever is measured where: measured marks read as measured, all marks in order, none lost silently."""
    rng = np.random.default_rng(seed)
    drawn = plan(int(rng.integers(2, 14)), int(rng.integers(1, 9)), int(rng.integers(0, 5)))
    some = ()
    for mark in rng.permutation(len(drawn.names))[: rng.integers(1, 4)]:
        name = drawn.names[mark]
        known = {k: v + rng.normal() * 6.0 for k, v in girths(drawn, name).items() if np.isfinite(v) and rng.random() < 0.6}
        some += read(drawn, name, known)
    built = as_built(drawn, some)
    got = {(d.station, d.mark): d.built for d in built.differences}
    for r in some:
        assert got[r.station, r.mark] == r.mm or got[r.station, r.mark] is None and "any more" in str(built.notes)
    for row in built.table.rows:
        g = drawn.readings(row)
        assert np.all(np.diff(g[np.isfinite(g)]) > 0.0)
    print(len(some), "readings;", built.notes[0])
    assert len(built.used) + len(built.aside) == len(some)


# --- on a hull --------------------------------------------------------------------------------
def test_demonstration_hull():
    """The line is found as the boundary of the belts; a hull 10 mm fuller is re-divided everywhere."""
    hull, lineoff = demo_hull(), demo_plan()
    drawn = drawn_marks(lineoff, stations_spaced(hull, 1000.0))
    assert drawn.boundaries == (19,) and drawn.column_of("line") == 19 and drawn.sense == 1.0
    whole = girths(drawn, "rabbet")
    same = as_built(drawn, read(drawn, "rabbet", whole))
    assert off(values(drawn, same.table), values(drawn, drawn.table)) < 1e-9
    built = as_built(drawn, read(drawn, "rabbet", {k: v + 10.0 for k, v in whole.items()}))
    for row, new in zip(drawn.table.rows, built.table.rows):
        if row.position is None:
            continue
        a, b = drawn.readings(row), drawn.readings(new)
        there = np.isfinite(a[:-1]) & np.isfinite(b[:-1])
        # above the line shares of the same whole, below it the drawn widths
        assert b[:20] / a[:20] == pytest.approx((a[-1] + 10.0) / a[-1])
        assert np.diff(b[:-1][there][19:]) == pytest.approx(np.diff(a[:-1][there][19:]))
    print(built.notes)
    ends = np.array(drawn.ends)
    print(f"the line's ends at {ends[19]}, the hull's at {ends[-1]}")
    assert np.all(ends[:20, 0] >= hull.x_range[0] - 1e-6) and not built.doubts


def test_two_lines_of_one_kind():
    """Two equal belts end on taut lines: their marks are told apart, and both are boundaries where rules change."""
    hull = demo_hull()
    upper = taut_between_ends(hull, 500.0, 450.0)
    lower = taut_between_ends(hull, 1000.0, 900.0)
    lineoff = line_off(hull, [EqualBelt(4, upper), EqualBelt(5, lower), ParallelBelt(200.0)])
    drawn = drawn_marks(lineoff, stations_spaced(hull, 2000.0))
    print(drawn.names)
    assert len(set(drawn.names)) == len(drawn.names) and drawn.boundaries == (8,)
    assert drawn.column_of("line") == 8 and drawn.column_of("4") == 3
    with pytest.raises(PlanError):
        DrawnMarks(MarksTable(("A", "a"), drawn.table.rows[:0]), (False,) * 3, ((0.0, 1.0),) * 3)


def test_strakes_that_end_in_nibs():
    """Beyond a nib the strake above has the breadth of two: readings equal to the drawing change nothing,
    and a fuller hull is shared in the drawn proportions there too."""
    hull = demo_hull()
    line = taut_between_ends(hull, 0.65 * hull.stem_length, 0.65 * hull.stern_length)
    lineoff = line_off(hull, [EqualBelt(8, line), ParallelBelt(200.0)], nibs=[Nib(3, "bow", position=2500.0)])
    drawn = drawn_marks(lineoff, stations_spaced(hull, 1000.0))
    table = values(drawn, drawn.table)
    missing = np.isnan(table[:, :8]).any(axis=1)
    print("rows without all eight marks:", [r.name for r, m in zip(drawn.table.rows, missing) if m])
    assert missing[:3].all() and not missing[4:].any()
    whole = girths(drawn, "rabbet")
    same = as_built(drawn, read(drawn, "rabbet", whole))
    assert off(values(drawn, same.table), table) < 1e-9
    more = values(drawn, as_built(drawn, read(drawn, "rabbet", {k: 1.01 * v for k, v in whole.items()})).table)
    ratio = (more / table)[1:-1, :8]
    print(f"ratios {np.nanmin(ratio):.6f} .. {np.nanmax(ratio):.6f}")
    assert np.nanmax(np.abs(ratio - 1.01)) < 1e-9
    model = half_model_marks(lineoff, stations_spaced(hull, 1000.0), HalfModel(12.0, 1.0))
    assert np.array_equal(np.isnan(values(drawn, model.table))[1:-1], np.isnan(table)[1:-1])


def test_strakes_of_constant_width_below_the_sheer():
    """Two strakes of one width above a belt of shares that goes down to the rabbet: they keep their width."""
    whole = 1000.0 + 200.0 * np.sin(np.pi * np.arange(1, 6) / 6.0)
    rows = [MarkRow("Stem", None, (80.0, 160.0, 480.0), 800.0, True)]
    rows += [MarkRow(str(k), 1000.0 * k, (80.0, 160.0, 80.0 + w / 2.0), w, True) for k, w in enumerate(whole, 1)]
    rows.append(MarkRow("Stern", None, (80.0, 160.0, 480.0), 800.0, True))
    drawn = DrawnMarks(
        MarksTable(("A", "B", "C"), tuple(rows)), (True, True, False, False), ((0.0, 6000.0),) * 4
    )
    assert drawn.boundaries == (1,)
    built = as_built(drawn, read(drawn, "rabbet", {str(k): w * 1.02 for k, w in enumerate(whole, 1)}))
    got = values(drawn, built.table)[1:-1]
    print(np.round(got, 3))
    assert got[:, 0] == pytest.approx(80.0) and got[:, 1] == pytest.approx(160.0)
    assert got[:, 2] - 160.0 == pytest.approx((1.02 * whole - 160.0) / 2.0)
    # and a reading to the lower of the two puts both where they are
    more = as_built(drawn, read(drawn, "rabbet", {"3": whole[2]}) + read(drawn, "B", {"3": 164.0}))
    row = values(drawn, more.table)[3]
    assert row == pytest.approx([82.0, 164.0, 164.0 + (whole[2] - 164.0) / 2.0, whole[2]])
