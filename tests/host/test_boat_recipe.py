# SPDX-License-Identifier: LGPL-2.1-or-later
"""As built and half model by a recipe: files, summary and plan.json."""

import csv
import json
import os

import make_hull
import pytest

from strakeplan.batch.cli import main
from strakeplan.batch.recipe import recipe_from
from strakeplan.batch.run import FILES
from strakeplan.core.errors import PlanError

RECIPE = """
[hull]
file = "marram.step"
half_siding = 37.5
[stations]
spacing = "2 m"
[line]
kind = "ends"
bow_girth = 1050
stern_girth = 950
[[belts]]
rule = "equal"
strakes = 5
[[belts]]
rule = "parallel"
width = 300
[planks]
thickness = 30
[as_built]
file = "tape.csv"
[half_model]
scale = "1 in = 1 ft"
skin = "1/16 in"
"""
BESIDE = ["marks-as-built.csv", "differences.csv", "readings.csv", "half-model.csv", "skin-allowance.csv"]


def rows_of(path):
    with open(path, encoding="utf-8", newline="") as handle:
        return list(csv.reader(handle))


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    folder = tmp_path_factory.mktemp("boat")
    make_hull.make_hull(str(folder))
    (folder / "tape.csv").write_text("Station,Rabbet,line\n1,1837,\n2,(2527),1752\n3,2746,1876\n4,2374,\n")
    (folder / "boat.toml").write_text(RECIPE)
    status = main([str(folder / "boat.toml"), "--out", str(folder / "out")])
    return folder, status


def test_files(planned, capsys):
    folder, status = planned
    assert status == 0
    out = folder / "out"
    assert sorted(os.listdir(out)) == sorted([*FILES, *BESIDE])
    built = rows_of(out / "marks-as-built.csv")
    drawn = rows_of(out / "marks.csv")
    assert built[0] == drawn[0] and [r[0] for r in built if r[0] != "Measured"] == [r[0] for r in drawn]
    rabbet = dict(zip(built[0], built[-1]))
    print(rabbet)
    assert float(rabbet["Station 1, mm"]) == 1837.0 and float(rabbet["Station 3, mm"]) == 2746.0
    readings = rows_of(out / "readings.csv")
    print(*readings, sep="\n")
    assert len(readings) == 7
    used = [r[readings[0].index("In use")] for r in readings[1:]]
    assert used.count("yes") == 5 and sum(u.startswith("no") for u in used) == 1


def test_half_model_file(planned):
    folder, _ = planned
    drawn, model = rows_of(folder / "out/marks.csv"), rows_of(folder / "out/half-model.csv")
    allowance = rows_of(folder / "out/skin-allowance.csv")
    full = dict(zip(drawn[0], drawn[-1]))
    small = dict(zip(model[0], model[-1]))
    more = dict(zip(allowance[0], allowance[-1]))
    name = "Station 3, mm"
    print(full[name], small[name], more[name])
    # each rounded to a hundredth of a mm
    assert float(small[name]) - float(more[name]) == pytest.approx(float(full[name]) / 12.0, abs=0.011)
    assert 0.0 < float(more[name]) < 25.4 / 16 * 3.15


def test_plan_json(planned):
    folder, _ = planned
    plan = json.loads((folder / "out/plan.json").read_text())
    built, model = plan["as_built"], plan["half_model"]
    print(built["notes"], model["notes"])
    assert len(built["readings"]) == 6 and sum(not r["in_use"] for r in built["readings"]) == 1
    assert [row["how"] for row in built["marks"]][:4] == ["drawn", "measured", "measured", "measured"]
    assert model["scale"] == 12.0 and model["skin"] == pytest.approx(25.4 / 16)
    assert all(len(row["girths"]) == len(built["seams"]) for row in built["marks"] + model["marks"])


def test_bad_readings_write_nothing(planned, capsys):
    folder, _ = planned
    (folder / "bad.csv").write_text("Station,Rabbet\n1,18O0\n")
    (folder / "bad.toml").write_text(RECIPE.replace("tape.csv", "bad.csv"))
    assert main([str(folder / "bad.toml"), "--out", str(folder / "none")]) == 2
    said = capsys.readouterr().err
    print(said)
    assert "18O0" in said and "row 2" in said and not os.path.exists(folder / "none")


PLAIN = {
    "hull": {"file": "x.step"}, "stations": {"spacing": 1000}, "line": {"kind": "ends", "bow_girth": 1, "stern_girth": 1},
    "belts": [{"rule": "equal", "strakes": 5}], "planks": {"thickness": 30},
}  # fmt: skip


def test_parts_may_be_left_out():
    recipe = recipe_from(PLAIN)
    assert recipe.as_built is None and recipe.half_model is None
    recipe = recipe_from({**PLAIN, "as_built": {"file": "tape.csv"}})
    assert recipe.as_built == {"file": "tape.csv", "unit": "mm", "ends": "drawn"} and recipe.half_model is None


@pytest.mark.parametrize("part", [{"as_built": {}}, {"as_built": {"file": "a", "unit": "yd"}}, {"half_model": {"skin": 2}},
                                  {"half_model": {"scale": "1:12", "skn": 2}}])  # fmt: skip
def test_parts_that_are_wrong(part):
    with pytest.raises(PlanError) as fault:
        recipe_from({**PLAIN, **part})
    print(fault.value)
    assert fault.value.remedy
