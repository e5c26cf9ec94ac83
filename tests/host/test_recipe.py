# SPDX-License-Identifier: LGPL-2.1-or-later
"""Recipes: every key documented and checked, unknown ones refused with the nearest known."""

import copy

import pytest

from strakeplan.batch.keys import ARRAYS, KEYS, SECTIONS, as_markdown
from strakeplan.batch.lengths import length_mm
from strakeplan.batch.recipe import read_recipe, recipe_from
from strakeplan.core.errors import PlanError

GOOD = {
    "hull": {"file": "hull.step"},
    "stations": {"spacing": 1000},
    "line": {"kind": "ends", "bow_girth": 900, "stern_girth": "800 mm"},
    "belts": [{"rule": "equal", "strakes": 12}, {"rule": "parallel", "width": "3 1/2 in"}],
    "planks": {"thickness": "1 1/4 in"},
}


def changed(section, **values):
    """The good recipe with some keys set, or taken out where the value is None."""
    data = copy.deepcopy(GOOD)
    table = data["belts"][0] if section == "belts" else data.setdefault(section, {})
    for name, value in values.items():
        if value is None:
            del table[name]
        else:
            table[name] = value
    return data


def refused(data):
    with pytest.raises(PlanError) as caught:
        recipe_from(data, "boat.toml")
    print(caught.value)
    assert caught.value.remedy and "boat.toml" in str(caught.value)
    return str(caught.value)


def test_good_recipe_with_defaults():
    recipe = recipe_from(GOOD, "/boats/boat.toml")
    assert recipe.hull_file == "/boats/hull.step"
    assert recipe.line["stern_girth"] == 800.0
    assert recipe.planks == {"thickness": 31.75, "layer": "outside", "mirror": True}
    assert abs(recipe.belts[1]["width"] - 88.9) < 1e-12
    assert recipe.checks["plank_length"] == 5000.0


@pytest.mark.parametrize(
    "text, mm",
    [
        ("1 1/4 in", 31.75),
        ("32 mm", 32.0),
        ("6 ft 2 in", 1879.6),
        ("6' 2 1/2\"", 1892.3),
        ("2.5 m", 2500.0),
        ("-1/2 in", -12.7),
        ("10 cm", 100.0),
        (7, 7.0),
    ],
)
def test_lengths(text, mm):
    # the inch is 25.4 mm and the foot 12 inches by definition
    found = length_mm(text)
    print(f"{text!r} is {found} mm")
    assert abs(found - mm) < 1e-12 * abs(mm)


@pytest.mark.parametrize("text", ["", "thirty", "3 1/4", "3 yd", True, None, float("nan"), "mm 3"])
def test_what_is_no_length(text):
    with pytest.raises(ValueError):
        length_mm(text)


@pytest.mark.parametrize(
    "section, wrong, nearest",
    [
        ("planks", "thicknes", "thickness"),
        ("hull", "half_sidings", "half_siding"),
        ("belts", "strake", "strakes"),
        ("line", "bow_girt", "bow_girth"),
        ("stations", "position", "positions"),
        ("checks", "planklength", "plank_length"),
    ],
)
def test_unknown_key_names_the_nearest(section, wrong, nearest):
    assert f"nearest known one is '{nearest}'" in refused(changed(section, **{wrong: 1}))


def test_unknown_part_names_the_nearest():
    assert "nearest known one is 'planks'" in refused({**GOOD, "plank": {}})


def test_unlike_anything_lists_what_is_known():
    assert "thickness, layer, mirror" in refused(changed("planks", xyzzy=1))


@pytest.mark.parametrize(
    "section, values",
    [
        ("hull", {"file": 3}),
        ("hull", {"file": None}),
        ("hull", {"sheer_edge": "top"}),
        ("hull", {"forward": [1, 2]}),
        ("stations", {"spacing": None}),
        ("stations", {"positions": [1000, 2000]}),
        ("stations", {"spacing": "wide"}),
        ("line", {"kind": "taut"}),
        ("line", {"bow_girth": None}),
        ("line", {"marks": [[1, 2], [3, 4]]}),
        ("line", {"kind": "marks"}),
        ("belts", {"strakes": "many"}),
        ("belts", {"strakes": 12.5}),
        ("belts", {"strakes": None}),
        ("belts", {"width": 90}),
        ("belts", {"rule": "parallel"}),
        ("planks", {"thickness": True}),
        ("planks", {"mirror": "yes"}),
        ("planks", {"layer": "above"}),
    ],
)
def test_wrong_values_are_refused(section, values):
    refused(changed(section, **values))


def test_names_must_be_as_many_as_positions():
    data = copy.deepcopy(GOOD)
    data["stations"] = {"positions": [1000, 2000], "names": ["A"]}
    assert "1 names for 2 stations" in refused(data)


@pytest.mark.parametrize(
    "belts", [[], [{"rule": "equal", "strakes": 3}] * 2, {"rule": "equal"}, [3]]
)
def test_belts_out_of_order(belts):
    refused({**GOOD, "belts": belts})


def test_files_that_are_no_recipe(tmp_path):
    with pytest.raises(PlanError, match="does not exist"):
        read_recipe(str(tmp_path / "none.toml"))
    for name, content in (("bad.toml", b"[hull\nfile="), ("binary.toml", bytes(range(128, 256)))):
        path = tmp_path / name
        path.write_bytes(content)
        with pytest.raises(PlanError) as caught:
            read_recipe(str(path))
        print(caught.value)
        assert name in str(caught.value)


def test_every_key_is_documented():
    text = as_markdown()
    for key in KEYS:
        assert key.section in SECTIONS
        assert f"| `{key.name}` |" in text and key.doc in text
    for section in ARRAYS:
        assert f"[[{section}]]" in text
    assert len({(k.section, k.name) for k in KEYS}) == len(KEYS)
