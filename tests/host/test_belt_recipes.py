# SPDX-License-Identifier: LGPL-2.1-or-later
"""Recipes with belts of every rule, nibs, stealers and numbers side by side: what they make and what is refused."""

import copy
import csv
import json

import FreeCAD
import make_hull
import pytest

from strakeplan.batch.belt_rules import lower_lines, simple
from strakeplan.batch.cli import main
from strakeplan.batch.recipe import recipe_from
from strakeplan.batch.run import FILES
from strakeplan.core.errors import PlanError

GOOD = {
    "hull": {"file": "hull.step"},
    "stations": {"spacing": 1000},
    "lines": [{"name": "wale", "kind": "parallel", "of": "sheer", "distance": 300}],
    "line": {"kind": "ends", "bow_girth": 900, "stern_girth": 800},
    "belts": [{"rule": "equal", "strakes": 4}],
    "planks": {"thickness": 30},
}

RECIPE = """
[hull]
file = "marram.step"
half_siding = 37.5
name = "Marram"
[stations]
spacing = "1 m"
[[lines]]
name = "Wale"
kind = "parallel"
of = "sheer"
distance = 300
[line]
kind = "ends"
bow_girth = 1050
stern_girth = 950
[[belts]]
rule = "by_widths"
stations = [3000, 7000]
widths = [["1 ft", 250], [250, 250]]
line = "Wale"
[[belts]]
rule = "equal"
greatest_width = 450
[[belts]]
rule = "parallel"
width = 200
garboard_least = 0.4
[[nibs]]
strake = 8
end = "bow"
depth = 100
[[nibs]]
strake = 4
end = "stern"
station = "9"
depth = 200
[planks]
thickness = 25
[checks]
compare = [2, 3, 5]
"""


def recipe(belts, **more):
    return recipe_from({**copy.deepcopy(GOOD), "belts": belts, **more}, "boat.toml")


EQUAL = {"rule": "equal", "strakes": 4}
REST = {"rule": "parallel", "width": 90}


@pytest.mark.parametrize(
    "belts, lines, is_simple",
    [
        ([EQUAL], [""], True),
        ([EQUAL, {"rule": "parallel"}], ["", None], True),
        ([EQUAL, REST], ["", None], True),
        ([{**EQUAL, "line": "wale"}, {"rule": "graded", "weights": [1, 1.5]}, REST], ["wale", "", None], False),
        ([{"rule": "equal", "greatest_width": 95}], [""], False),
        ([EQUAL, {"rule": "parallel", "width": 90, "strakes": 3, "along": "lower"}], [None, ""], False),
        ([{"rule": "parallel", "width": 90, "strakes": 2}, EQUAL, {**REST, "garboard_least": 0.3}], [None, "", None], False),
        ([{"rule": "by_widths", "stations": [1, 2], "widths": [[9, 9], [9, "1 in"]], "stem_widths": [9, 9]}], [""], False),
    ],
)
def test_belts_and_the_lines_they_end_at(belts, lines, is_simple):
    found = recipe(belts)
    print(found.belts)
    assert lower_lines(found.belts) == lines and simple(found.belts) == is_simple


WRONG = {
    "none at all": ([], "missing"),
    "a number and a width": ([{**EQUAL, "greatest_width": 90}], "one of strakes and greatest_width"),
    "neither": ([{"rule": "equal"}], "needs strakes or greatest_width"),
    "weights of nothing": ([{"rule": "graded", "weights": []}], "list of numbers"),
    "weights that are words": ([{"rule": "graded", "weights": ["wide"]}], "list of numbers"),
    "two at the [line]": ([EQUAL, EQUAL], "both end at the [line]"),
    "none at the [line]": ([{**EQUAL, "line": "wale"}, REST], "No belt ends at the [line]"),
    "a line unheard of": ([{**EQUAL, "line": "rail"}], "no line 'rail'"),
    "parallel in the middle": ([{"rule": "parallel", "width": 90}, EQUAL], "above another one needs strakes"),
    "parallel without width": ([EQUAL, {"rule": "parallel", "strakes": 3}], "needs width"),
    "along a lower line, endless": ([EQUAL, {"rule": "parallel", "width": 90, "along": "lower"}], "needs strakes"),
    "a line it does not end at": ([EQUAL, {**REST, "line": "wale"}], "does not end at a line of its own"),
    "a garboard where none is": ([{**REST, "strakes": 2, "garboard_least": 0.3}, EQUAL], "no garboard"),
    "rows of unlike length": ([{"rule": "by_widths", "stations": [1, 2], "widths": [[9, 9], [9]]}], "2 rows of widths"),
    "rows that are none": ([{"rule": "by_widths", "stations": [1], "widths": [9, 9]}], "lists of lengths"),
    "weights for equal": ([{**EQUAL, "weights": [1, 2]}], "has no weights"),
}


@pytest.mark.parametrize("fault", WRONG)
def test_belts_that_cannot_be(fault):
    belts, word = WRONG[fault]
    with pytest.raises(PlanError) as caught:
        recipe(belts)
    print(caught.value)
    assert word in str(caught.value) and caught.value.remedy and "boat.toml" in str(caught.value)


@pytest.mark.parametrize(
    "nib, word",
    [
        ({"strake": 3, "end": "bow"}, "needs position, station or depth"),
        ({"strake": 3, "end": "bow", "position": 1, "station": "2"}, "one of position and station"),
        ({"strake": 3, "end": "fore", "depth": 10}, "'bow', 'stern'"),
        ({"end": "bow", "depth": 10}, "'strake' is missing"),
    ],
)
def test_nibs_that_cannot_be(nib, word):
    with pytest.raises(PlanError) as caught:
        recipe([EQUAL], nibs=[nib])
    print(caught.value)
    assert word in str(caught.value) and "boat.toml" in str(caught.value)


def test_a_part_stealers_needs_its_breadth():
    with pytest.raises(PlanError, match="narrowest"):
        recipe([EQUAL], stealers={})
    assert recipe([EQUAL], stealers={"narrowest": "2 in"}).stealers == {"narrowest": 50.8}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("belts")
    make_hull.make_hull(str(folder))
    return folder


@pytest.fixture(scope="module")
def planned(folder):
    (folder / "boat.toml").write_text(RECIPE)
    assert main([str(folder / "boat.toml"), "--out", str(folder / "out")]) == 0
    return folder / "out", json.loads((folder / "out" / "plan.json").read_text())


def rows_of(path):
    with open(path, encoding="utf-8", newline="") as handle:
        return list(csv.reader(handle))


def test_files_of_a_plan_with_nibs(planned):
    out, plan = planned
    names = sorted(p.name for p in out.iterdir())
    print(names)
    assert names == sorted([*FILES, "nibs.csv", "numbers.csv"])
    print(plan["belts"], plan["notes"], sep="\n")
    rules = [(b["rule"], b["strakes"]) for b in plan["belts"]]
    assert rules[0] == ("by widths", 2) and rules[1][0] == "equal" and rules[2] == ("parallel", None)
    count = rules[1][1]
    middle = [s for s in plan["strakes"] if s["rule"] == "equal"]
    # by the tape; square to the middle line a strake is a shade narrower. Strakes 3 and 4 are left
    # out: the depth of the nib between them asks for other shares
    widest = max(s["greatest"] for s in middle if s["strake"] not in (3, 4))
    print(f"{count} equal strakes, the widest {widest:.1f} mm square")
    assert count >= 2 and widest < 450.0
    assert {s["strake"] for s in middle} == set(range(3, 3 + count))


def test_nibs_are_in_every_table(planned):
    out, plan = planned
    nibs = {(n["strake"], n["end"]): n for n in plan["nibs"]}
    assert set(nibs) == {(8, "bow"), (4, "stern")}
    assert abs(nibs[4, "stern"]["position"] - 9000.0) < 1e-6 and abs(nibs[8, "bow"]["depth"] - 100.0) < 0.1
    table = rows_of(out / "nibs.csv")
    print(*table, sep="\n")
    assert len(table) == 3 and abs(float(table[1][5]) - nibs[4, "stern"]["girth"]) < 0.01
    marks = {row[0]: row for row in rows_of(out / "marks.csv")}
    head = marks["Tape from the sheer down"]
    seam = marks["Seam 03"]
    print(seam)
    assert seam[head.index("Station 9, mm")] and not seam[head.index("Station 10, mm")] and not seam[head.index("Stern, mm")]
    kinds = {s["strake"]: (s["fore_kind"], s["aft_kind"]) for s in plan["strakes"]}
    print(kinds)
    assert kinds[4] == ("hood", "nib") and kinds[8][0] == "nib"
    # strake 3 takes over the breadth of strake 4 at the stern: both hood ends' girths together
    three = next(s for s in plan["strakes"] if s["strake"] == 3)
    stern = head.index("Stern, mm")
    girth = float(marks["Seam 04"][stern]) - float(marks["Parallel line"][stern])
    print(f"strake 3 is {three['stern_girth']:.2f} mm at the stern, by the marks {girth:.2f}")
    assert abs(three["stern_girth"] - girth) < 0.02


def test_numbers_side_by_side(planned):
    out, plan = planned
    table = rows_of(out / "numbers.csv")
    assert table[0] == ["Equal strakes", "2", "3", "5"]
    named = {row[0]: row[1:] for row in table}
    in_all = [int(v) for v in named["Strakes in all"]]
    assert in_all[1] == in_all[0] + 1 and in_all[2] == in_all[0] + 3
    stem = [float(v) for v in named["Their width along the stem, mm"]]
    print(in_all, stem)
    assert max(abs(n * w - 2 * stem[0]) for n, w in zip((2, 3, 5), stem)) < 0.05
    assert [c["count"] for c in plan["compared"]] == [2, 3, 5]


def test_the_document_holds_belts_and_is_valid(planned):
    out, plan = planned
    document = FreeCAD.openDocument(str(out / "plan.FCStd"))
    try:
        document.recompute()
        kinds = [o.Proxy.KIND for o in document.Objects if hasattr(o, "Proxy") and o.Proxy]
        assert kinds.count("Belt") == 3 and kinds.count("Comparison") == 1
        line_off = document.getObject("LineOff")
        assert line_off.isValid() and [b.Label for b in line_off.Belts] == ["Belt 1", "Belt 2", "Belt 3"]
        print(*line_off.FoundBelts, *line_off.FoundNibs, sep="\n")
        assert len(line_off.FoundNibs) == 2 and line_off.StrakeCount == plan["strakes"][-1]["strake"]
        planks = [o for o in document.Objects if getattr(o, "FilledAs", "").startswith(("Port", "Starboard"))]
        assert len(planks) == len(plan["planks"])
        for plank in planks:
            assert plank.Shape.isValid() and len(plank.Shape.Solids) == 1 and plank.Shape.Shells[0].isClosed()
    finally:
        FreeCAD.closeDocument(document.Name)


@pytest.mark.parametrize(
    "old, new, word",
    [
        ("strake = 8", "strake = 99", "no strake 99"),
        ('station = "9"', 'station = "Z"', "no station 'Z'"),
        ("distance = 300", "distance = 3000", "line"),
        ("stations = [3000, 7000]", "stations = [30000, 70000]", "no station with widths"),
        ("garboard_least = 0.4", "garboard_least = 0.4\nstrakes = 90", "garboard"),
    ],
)
def test_what_the_hull_does_not_allow_is_status_2(folder, tmp_path, capsys, old, new, word):
    assert old in RECIPE
    text = RECIPE.replace(old, new).replace('file = "marram.step"', f'file = "{folder / "marram.step"}"')
    (tmp_path / "boat.toml").write_text(text)
    assert main([str(tmp_path / "boat.toml"), "--out", str(tmp_path / "out")]) == 2
    shown = capsys.readouterr().err
    print(shown)
    assert word in shown and not (tmp_path / "out").exists()
