# SPDX-License-Identifier: LGPL-2.1-or-later
"""Readings of the tape: what is written, the forms of table, and what cannot be read."""

import pytest
from tapes import forward, plan

from strakeplan.core.asbuilt.readings import read_rows, rows_of_csv, set_aside
from strakeplan.core.asbuilt.tape import read_tape
from strakeplan.core.errors import PlanError

# inch 25.4 mm, foot 304.8 mm (international agreement of 1959); own arithmetic
WRITTEN = [
    ("1995", "mm", 1995.0),
    ("1995 mm", "in", 1995.0),
    ("199,5", "cm", 1995.0),
    ("1.995", "m", 1995.0),
    (1995, "mm", 1995.0),
    (1995.0, "mm", 1995.0),
    ("78.5", "in", 1993.9),
    ("6' 6 9/16\"", "mm", 78.5625 * 25.4),
    ("6 ft 6 9/16 in", "mm", 78.5625 * 25.4),
    ("6 feet 6.5 inches", "mm", 78.5 * 25.4),
    ("6'", "mm", 6 * 304.8),
    ("78 9/16 in", "mm", 78.5625 * 25.4),
    ("6-6-4", "mm", 78.5 * 25.4),
    ("6-6-4+", "eighths", 78.5625 * 25.4),
    ("6-6-9", "sixteenths", 78.5625 * 25.4),
]
UNREADABLE = ["", "abc", "6-12-0", "6-6-8", "0", "-5", "1995 mm 3", "6 in 6 ft", "12..5", "5/0 in x", None, True, float("nan")]


@pytest.mark.parametrize("text, unit, mm", WRITTEN)
def test_written_lengths(text, unit, mm):
    got = read_tape(text, unit).mm
    print(f"{text!r} ({unit}): {got} mm")
    assert got == pytest.approx(mm, abs=1e-9)


@pytest.mark.parametrize("text", UNREADABLE)
def test_what_is_no_length(text):
    with pytest.raises(ValueError) as fault:
        read_tape(text)
    print(repr(text), "->", fault.value)
    assert str(fault.value)


def test_dashes_need_the_right_parts():
    """Nine sixteenths are no eighths, and plain figures are no feet-inches-eighths."""
    with pytest.raises(ValueError):
        read_tape("6-6-9", "eighths")
    with pytest.raises(ValueError):
        read_tape("66", "eighths")
    with pytest.raises(ValueError):
        read_tape("66", "yards")


LIST = "Station,Mark,Measured,Set aside,Note\n3,Rabbet,1590,,\n4,line,(1458),,wet\n5, rabbet ,1944,kinked tape,\n\n6,Seam 02,534,,\n"
GRID = "Station;Line, mm;\"Rabbet (eighths)\"\nStation 3;1295,5;5-2-4\n4;;5-11-0\n"


def test_list_of_readings():
    drawn = plan()
    got = read_rows(rows_of_csv(LIST), drawn)
    print(*[(r.place, r.mm, r.aside) for r in got], sep="\n")
    assert [(r.station, r.mark, r.mm) for r in got] == [
        ("3", "Rabbet", 1590.0), ("4", "Taut line", 1458.0), ("5", "Rabbet", 1944.0), ("6", "Seam 02", 534.0),
    ]  # fmt: skip
    assert [bool(r.aside) for r in got] == [False, True, True, False]
    assert [r.row for r in got] == [2, 3, 4, 6]


def test_grid_of_readings_as_office_programs_write_it():
    got = read_rows(rows_of_csv("\ufeff" + GRID), plan())
    print(*[(r.place, r.mm) for r in got], sep="\n")
    assert [(r.station, r.mark) for r in got] == [("3", "Taut line"), ("3", "Rabbet"), ("4", "Rabbet")]
    assert [r.mm for r in got] == pytest.approx([1295.5, 62.5 * 25.4, 71 * 25.4])


def test_rows_of_a_spreadsheet():
    """Numbers stay numbers; 3.0 is station 3."""
    got = read_rows([["Station", "Rabbet"], [3.0, 1590.0], [4, None], ["Stem", 765]], plan())
    assert [(r.station, r.mm) for r in got] == [("3", 1590.0), ("Stem", 765.0)]


def test_marks_by_any_name():
    """Number, name in any case, whole girth and the line on which the equal strakes end."""
    drawn = plan(equal=6, parallel=3)
    names = {"7": 6, "seam 07": 6, "Seam 7": 6, "RABBET": 9, "whole": 9, "line": 5, "taut line": 5, "0": None, "10": None}
    got = {name: drawn.column_of(name) for name in names}
    print(got)
    assert got == names


FAULTS = [
    ("", "empty"),
    ("Frame no,Rabbet\n3,1590\n", "Station"),
    ("Station,Bilge\n3,1590\n", "'bilge'"),
    ("Station,Rabbet\n33,1590\n", "'33'"),
    ("Station,Rabbet\n,1590\n", "row 2"),
    ("Station,Mark,Measured\n3,Bilge,1590\n", "'Bilge'"),
    ("Station,Mark,Measured\n3,Rabbet,159O\n", "row 2"),
    ("Station,Mark,Measured,Colour\n3,Rabbet,1590,red\n", "Colour"),
    ("Station,Mark,Measured\n1,Seam 08,900\n", "does not come to station 1"),
    ("Station,Mark,Measured\n3,Rabbet,\n", "no reading"),
    ("Station,Rabbet\n3,159.0\n4,181\n5,195\n", "in cm"),
    ("Station,Rabbet\n3,62.5\n4,71\n5,76.5\n", "in in"),
    ("Station,Rabbet\n3,159000\n", "times the drawn"),
    ("Station\n3\n", "mark"),
]


@pytest.mark.parametrize("text, names", FAULTS)
def test_faults_name_their_place(text, names):
    """Every fault says what, where and what to do."""
    with pytest.raises(PlanError) as fault:
        read_rows(rows_of_csv(text), plan())
    print(fault.value)
    assert names.lower() in str(fault.value).lower() and fault.value.remedy


def test_unit_of_the_table():
    with pytest.raises(PlanError):
        read_rows([["Station", "Rabbet"], ["3", "62.5"]], plan(), unit="yard")
    got = read_rows([["Station", "Rabbet"], ["3", "62.5"]], plan(), unit="in")
    assert got[0].mm == 62.5 * 25.4


def test_setting_aside():
    got = read_rows(rows_of_csv("Station,Line,Rabbet\n3,1295,1590\n4,1458,1806\n"), plan())
    one = set_aside(got, 2, "kinked", "Rabbet")
    both = set_aside(got, 2)
    print([r.aside for r in one], [r.aside for r in both])
    assert [r.aside for r in one] == ["", "kinked", "", ""]
    assert [bool(r.aside) for r in both] == [True, True, False, False]
    with pytest.raises(PlanError):
        set_aside(got, 9)


def test_stations_of_a_model_that_looks_the_other_way():
    drawn = forward(plan())
    assert drawn.sense == -1.0 and drawn.row_of("station 3") == 3
