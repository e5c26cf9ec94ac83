# SPDX-License-Identifier: LGPL-2.1-or-later
"""Recipes with trial planks: the page, plan.json and the summary; and what is refused."""

import copy
import json

import FreeCAD
import make_hull
import pytest

from strakeplan.batch.cli import main
from strakeplan.batch.recipe import recipe_from
from strakeplan.core.cautions import CAUTIONS
from strakeplan.core.errors import PlanError
from strakeplan.objects.base import kind_of
from strakeplan.objects.trial_plank import trial_of

GOOD = {
    "hull": {"file": "hull.step"},
    "stations": {"spacing": 1000},
    "line": {"kind": "ends", "bow_girth": 900, "stern_girth": 800},
    "belts": [{"rule": "equal", "strakes": 4}],
    "planks": {"thickness": 28},
    "wood": {"species": "teak", "frame_spacing": 350},
    "trials": [{"on": "line", "width": 105}],
}

RECIPE = """
[hull]
file = "marram.step"
half_siding = 37.5
[stations]
positions = ["2 m", "4 m", "6 m", "8 m"]
names = ["A", "B", "C", "D"]
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
rule = "equal"
strakes = 12
[planks]
thickness = 25
mirror = false
[checks]
plank_length = "4.9 m"
[wood]
species = "Douglas-fir, coast"
frame_spacing = "300 mm"
[limits]
force = 900
[[trials]]
name = "Wale plank"
on = "Wale"
station = "C"
width = "4 1/8 in"
[[trials]]
strake = 2
width = 90
thickness = 30
length = "4 m"
steamed = true
[[trials]]
on = "sheer"
position = 5500
width = 60
[[trials]]
on = "line"
width = 105
"""


def test_from_a_recipe_to_the_files(tmp_path, capsys):
    (tmp_path / "boat.toml").write_text(RECIPE)
    make_hull.make_hull(str(tmp_path))
    status = main([str(tmp_path / "boat.toml"), "--out", str(tmp_path / "out")])
    said = capsys.readouterr()
    print(said.out, said.err)
    assert status == 0 and "trials.txt" in said.out
    out = tmp_path / "out"
    text = (out / "trials.txt").read_text()
    trials = json.loads((out / "plan.json").read_text())["trials"]
    assert [t["name"] for t in trials] == ["Wale plank", "Trial 2", "Trial 3", "Trial 4"]
    assert [t["on"] for t in trials][:2] == ["Wale", "strake 2"] and trials[2]["on"].endswith("sheer")
    assert [(t["width"], t["thickness"], t["length"], t["steamed"]) for t in trials][:2] == [
        (104.775, 25.0, 4900.0, False), (90.0, 30.0, 4000.0, True),
    ]  # fmt: skip
    assert abs(trials[0]["position"] - 6000.0) < 0.01 and abs(trials[2]["position"] - 5500.0) < 0.01
    for t in trials:
        assert t["name"] in text and t["verdict"][0] in text and f"{t['name']}: " in said.out
        assert t["verdict"][0] in said.out
    assert text.count("Cautions:") == 4 and all(c in text for c in CAUTIONS)
    # 48 E I d / l^3 with the figures of the plan: modulus a tenth above the printed 13 400 MPa is what wood.in_words says
    e, t = 1.1 * 13445.0, trials[0]
    own = 48.0 * e * (t["thickness"] * t["width"] ** 3 / 12.0) * t["edge_set"] / t["length"] ** 3
    print(t["one_clamp"], own)
    assert abs(t["one_clamp"] / own - 1.0) < 1e-4
    assert abs(t["margins"]["force"] - (1.0 - t["one_clamp"] / 900.0)) < 1e-9
    assert trials[3]["edge_set"] < 1e-3 and trials[3]["towards"] is None  # a taut line
    document = FreeCAD.openDocument(str(out / "plan.FCStd"))
    try:
        made = [o for o in document.Objects if kind_of(o) == "TrialPlank"]
        assert [o.Label for o in made] == [t["name"] for t in trials]
        for obj, t in zip(made, trials):
            assert trial_of(obj).value.edge_set == pytest.approx(t["edge_set"], abs=1e-6)
            assert obj.OneClamp.getValueAs("N").Value == pytest.approx(t["one_clamp"], abs=1e-3)
    finally:
        FreeCAD.closeDocument(document.Name)


WRONG = {
    "no wood": ({"wood": None}, "no [wood] beside [[trials]]"),
    "on nothing": ({"trials": [{"width": 105}]}, "on one thing"),
    "on two things": ({"trials": [{"width": 105, "on": "line", "strake": 2}]}, "on one thing"),
    "a line unheard of": ({"trials": [{"width": 105, "on": "wale"}]}, "no line 'wale'"),
    "no width": ({"trials": [{"on": "line"}]}, "'width' is missing"),
    "two places": ({"trials": [{"width": 105, "on": "line", "station": "2", "position": 5}]}, "one of position and station"),
    "a part of a line": ({"trials": [{"width": 105, "on": "line", "part": 1}]}, "no parts"),
    "two of a name": ({"trials": [{"width": 9, "on": "line", "name": "A"}] * 2}, "another trial plank"),
    "one table": ({"trials": {"width": 105, "on": "line"}}, "[[trials]]"),
}


@pytest.mark.parametrize("fault", WRONG)
def test_what_is_refused(fault):
    assert recipe_from(copy.deepcopy(GOOD), "boat.toml").trials[0]["on"] == "line"
    values, word = WRONG[fault]
    data = {**copy.deepcopy(GOOD), **values}
    with pytest.raises(PlanError) as found:
        recipe_from({k: v for k, v in data.items() if v is not None}, "boat.toml")
    print(found.value)
    assert word in str(found.value)


@pytest.mark.parametrize("change, word", [
    (('station = "C"', 'station = "Q"'), "no station 'Q'"),
    (("strake = 2", "strake = 99"), "no strake 99"),
    (("position = 5500", "position = 99000"), "between"),
    (('length = "4 m"', 'length = "40 m"'), "shorter plank"),
])  # fmt: skip
def test_what_the_hull_refuses(tmp_path, capsys, change, word):
    (tmp_path / "boat.toml").write_text(RECIPE.replace(*change))
    make_hull.make_hull(str(tmp_path))
    status = main([str(tmp_path / "boat.toml"), "--out", str(tmp_path / "out")])
    said = capsys.readouterr()
    print(said.err)
    assert status == 2 and word in said.err and not (tmp_path / "out").exists()
