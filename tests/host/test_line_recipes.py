# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lines of every kind through a recipe: the same as by hand, and told in the summary and the data."""

import contextlib
import copy
import io
import json
import os
import re
import tomllib

import FreeCAD
import make_hull
import Part
import pytest
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.batch.cli import main
from strakeplan.batch.keys import LINE_KINDS
from strakeplan.batch.line_objects import make_line
from strakeplan.batch.recipe import recipe_from
from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.host import compat
from strakeplan.host.files import read_drawing
from strakeplan.host.shapes import AIM, face_of
from strakeplan.objects import make
from strakeplan.objects.line import line_of

REPOSITORY = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))

GOOD = {
    "hull": {"file": "hull.FCStd"},
    "stations": {"spacing": 1000},
    "line": {"kind": "ends", "bow_girth": 1050, "stern_girth": "950 mm"},
    "belts": [{"rule": "equal", "strakes": 4}],
    "planks": {"thickness": 30},
}
ENDS = {"bow_girth": 1050, "stern_girth": 950}


def recipe_with(line, *lines):
    data = copy.deepcopy(GOOD)
    data["line"] = line
    if lines:
        data["lines"] = list(lines)
    return data


@pytest.fixture
def surface(document):
    hull = document.addObject("Part::Feature", "Hull")
    hull.Shape = face_of(SplinePatch(*demo_patch_data()))
    return make.make_planked_surface(hull, HalfSiding=37.5, StationSpacing=1000)


#: recipe's keys -> how the same line is made by hand
LINES = {
    "ends": (ENDS, lambda s: make.make_taut_line(s, BowGirth=1050, SternGirth=950)),
    "ends by share": (
        {"kind": "ends", "bow_girth": "60 %", "stern_girth": "55.5%"},
        lambda s: make.make_taut_line(
            s, BowGivenBy="Share of the girth", BowShare=0.6, SternGivenBy="Share of the girth", SternShare=0.555
        ),
    ),
    "marks": (
        {"marks": [["4 m", 1350], [7000, "57 %"]]},
        lambda s: make.make_taut_line(
            s, Marks="Through aim marks", MarkPosition1=4000, MarkGirth1=1350, MarkPosition2=7000,
            MarkGivenBy2="Share of the girth", MarkShare2=0.57,
        ),
    ),
    "end_and_mark": (
        {"stern_girth": 900, "marks": [[5000, 1300]]},
        lambda s: make.make_taut_line(
            s, Marks="From an end through a mark", End="Stern", SternGirth=900, MarkPosition1=5000, MarkGirth1=1300
        ),
    ),
    "heading": (
        {"marks": [[5500, 1400]], "heading": -1.5, "bridge": True},
        lambda s: make.make_taut_line(
            s, Marks="Through a mark by a heading", MarkPosition1=5500, MarkGirth1=1400, Heading=-1.5, Bridge=True
        ),
    ),
    "eased": (
        {**ENDS, "slack": "1/2 in"},
        lambda s: make.make_eased_line(s, BowGirth=1050, SternGirth=950, Slack=12.7),
    ),
    "eased through": (
        {"kind": "eased", **ENDS, "through": [5500, "50 %"]},
        lambda s: make.make_eased_line(
            s, BowGirth=1050, SternGirth=950, EasedBy="Girth to pass", PassGivenBy="Share of the girth",
            PassPosition=5500, PassShare=0.5,
        ),
    ),
    "batten": (
        {**ENDS, "marks": [[4000, 1350], [7000, 1450]], "tolerance": 2, "hold_bow": 0.5},
        lambda s: make.make_batten_line(
            s, BowGirth=1050, SternGirth=950, MarkPositions=[4000, 7000], MarkGirths=[1350, 1450], Tolerance=2,
            BowHeld=True, BowAngle=0.5,
        ),
    ),
    "batten without ends": (
        {"kind": "batten", "marks": [[3000, "60 %"], [5500, "58 %"], [8000, "60 %"]]},
        lambda s: make.make_batten_line(
            s, BowEnd=False, SternEnd=False, MarksGivenBy="Share of the girth",
            MarkPositions=[3000, 5500, 8000], MarkShares=[0.6, 0.58, 0.6],
        ),
    ),
    "parallel": ({"of": "sheer", "distance": 90}, lambda s: make.make_parallel_line(s, 90)),
}  # fmt: skip


@pytest.mark.parametrize("name", LINES)
def test_line_is_the_same_as_made_by_hand(surface, name):
    keys, by_hand = LINES[name]
    recipe = recipe_from(recipe_with({"kind": name, **keys}), "boat.toml")
    found = line_of(make_line(recipe, recipe.line, surface, {})).value
    wanted = line_of(by_hand(surface)).value
    off = abs(found.curve.sample(21).p - wanted.curve.sample(21).p).max()
    print(f"{name}: {found.kind}, {found.curve.length:.3f} mm, off by {off:.1e} mm")
    assert off < 1e-9 and found.kind == wanted.kind


def test_every_kind_is_among_them():
    kinds = {keys.get("kind", name) for name, (keys, _) in LINES.items()}
    assert kinds | {"drawn"} == set(LINE_KINDS)


def test_points_picked(surface):
    line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
    edge = line.Shape.Edges[0]
    picked = [edge.valueAt(edge.FirstParameter), edge.valueAt((edge.FirstParameter + edge.LastParameter) / 2)]
    keys = {"kind": "end_and_mark", "bow_point": list(picked[0]), "marks": [list(picked[1])]}
    recipe = recipe_from(recipe_with(keys), "boat.toml")
    again = make_line(recipe, recipe.line, surface, {})
    off = [again.Shape.distToShape(Part.Vertex(p))[0] for p in picked]
    print(f"it starts {off[0]:.1e} mm from the first point and passes the second at {off[1]:.1e} mm")
    assert max(off) < 2 * AIM  # the points were taken from what is shown of a line, and so is this line


@pytest.mark.parametrize("ending", ["FCStd", "step"])
def test_drawn_line_from_a_file(surface, tmp_path, ending):
    """A polyline drawn in the profile, in a document and in a STEP file."""
    line = make.make_taut_line(surface, BowGirth=1050, SternGirth=950)
    a, b = (v.Point for v in line.Shape.Vertexes[:1] + line.Shape.Vertexes[-1:])
    a, b = Vector(a.x, 4000, a.z), Vector(b.x, 4000, b.z)
    shape = Part.makePolygon([a + (a - b) * 0.1, (a + b) * 0.5, b + (b - a) * 0.1])
    path = str(tmp_path / f"lines.{ending}")
    other = FreeCAD.newDocument("Lines")
    wale = other.addObject("Part::Feature", "Wale")
    wale.Shape = shape
    other.recompute()
    if ending == "FCStd":
        other.saveAs(path)
    else:
        import Import

        Import.export([wale], path)
    FreeCAD.closeDocument(other.Name)
    keys = {"kind": "drawn", "file": f"lines.{ending}", "object": "Wale", "way": "profile"}
    recipe = recipe_from(recipe_with(keys), str(tmp_path / "boat.toml"))
    found = make_line(recipe, recipe.line, surface, {})
    p = line_of(found).value.curve.sample(15).p
    print(f"{ending}: {found.LineLength}, moved by {found.GreatestMove}")
    # every point of it keeps its height
    worst = max(abs(q[2] - (a.z + (q[0] - a.x) * (b.z - a.z) / (b.x - a.x))) for q in p)
    print(f"off the drawing, seen in profile: {worst:.1e} mm")
    assert worst < 1e-6
    for wrong, word in (({"object": "Rail"}, "Rail"), ({"edges": [7]}, "edge 7"), ({"file": "no.FCStd"}, "no.FCStd")):
        recipe = recipe_from(recipe_with({**keys, **wrong}), str(tmp_path / "boat.toml"))
        before = [o.Name for o in surface.Document.Objects]
        with pytest.raises(PlanError) as caught:
            make_line(recipe, recipe.line, surface, {})
        print(caught.value)
        assert word in str(caught.value) and [o.Name for o in surface.Document.Objects] == before


def test_lines_of_a_step_file_with_several(surface, tmp_path):
    """By name where the host tells curves by name; refused, not mixed up, where it does not."""
    import Import

    other = FreeCAD.newDocument("Lines")
    for k, name in enumerate(("Wale", "Rail")):
        drawn = other.addObject("Part::Feature", name)
        drawn.Shape = Part.makeLine(Vector(-500, 4000, 300 + 100 * k), Vector(12000, 4000, 300 + 100 * k))
    other.recompute()
    path = str(tmp_path / "lines.step")
    Import.export(other.Objects, path)
    FreeCAD.closeDocument(other.Name)
    print(compat.step_products(path))
    assert {"Wale", "Rail"} <= set(compat.step_products(path))
    try:
        label, shape = read_drawing(path, "Rail")
    except PlanError as fault:
        print(fault)
        assert "'Rail'" in str(fault) and "file of its own" in str(fault)
    else:
        print(label, [v.Point for v in shape.Vertexes])
        assert label == "Rail" and len(shape.Edges) == 1
        assert all(abs(v.Z - 400) < 1e-9 for v in shape.Vertexes)


def test_readmes_recipes_make_their_lines(surface):
    with open(os.path.join(REPOSITORY, "README.md"), encoding="utf-8") as handle:
        blocks = [tomllib.loads(text) for text in re.findall(r"```toml\n(.*?)```", handle.read(), re.S)]
    assert any("lines" in block for block in blocks) and len(blocks) >= 2
    for block in blocks:
        recipe = recipe_from({**GOOD, **block}, "README.md")
        made = {}
        for keys in recipe.lines:
            made[keys["name"]] = make_line(recipe, keys, surface, made)
        line = make_line(recipe, recipe.line, surface, made)
        print(list(made), line.Label, line.LineLength)
        assert line.LineLength.Value > 0 and line.isValid()


REFUSED = {
    "no such kind": ({"kind": "string", **ENDS}, "kind"),
    "a key of another kind": ({"kind": "ends", **ENDS, "slack": 3}, "has no slack"),
    "one end": ({"kind": "ends", "bow_girth": 900}, "stern_girth or stern_point"),
    "an end given twice": ({"kind": "ends", **ENDS, "bow_point": [1, 2, 3]}, "one of bow_girth and bow_point"),
    "one aim mark": ({"kind": "marks", "marks": [[3000, 900]]}, "2 mark"),
    "three for a heading": ({"kind": "heading", "heading": 1, "marks": [[1, 2], [3, 4], [5, 6]]}, "1 mark"),
    "both ends and a mark": ({"kind": "end_and_mark", **ENDS, "marks": [[1, 2]]}, "one of bow_girth and stern_girth"),
    "no heading": ({"kind": "heading", "marks": [[1, 2]]}, "heading"),
    "slack and a girth": ({"kind": "eased", **ENDS, "slack": 1, "through": [5000, 900]}, "slack and through"),
    "neither": ({"kind": "eased", **ENDS}, "slack or through"),
    "marks that are none": ({"kind": "batten", **ENDS, "marks": [[1]]}, "marks"),
    "share beyond words": ({"kind": "ends", "bow_girth": "-5 %", "stern_girth": 900}, "share of the girth"),
    "angle as a text": ({"kind": "heading", "marks": [[1, 2]], "heading": "3 deg"}, "degrees"),
    "parallel to nothing": ({"kind": "parallel", "distance": 100}, "of"),
    "parallel to an unknown line": ({"kind": "parallel", "of": "wale", "distance": 100}, "'wale'"),
    "drawn without an object": ({"kind": "drawn", "way": "profile"}, "object"),
    "direction without its way": ({"kind": "drawn", "object": "Wale", "direction": "Y"}, "direction"),
    "way without its direction": ({"kind": "drawn", "object": "Wale", "way": "direction"}, "direction"),
    "edges as texts": ({"kind": "drawn", "object": "Wale", "edges": ["Edge1"]}, "whole numbers"),
}


@pytest.mark.parametrize("fault", REFUSED)
def test_wrong_keys_are_refused_before_anything_is_read(fault):
    line, word = REFUSED[fault]
    with pytest.raises(PlanError) as caught:
        recipe_from(recipe_with(line), "boat.toml")
    print(caught.value)
    assert word in str(caught.value) and "[line] of boat.toml" in str(caught.value) and caught.value.remedy


def test_lines_are_known_in_their_order():
    wale = {"name": "wale", "kind": "parallel", "of": "sheer", "distance": 200}
    ok = recipe_from(recipe_with({"kind": "parallel", "of": "wale", "distance": 600}, wale), "boat.toml")
    assert ok.lines[0]["name"] == "wale" and ok.line["of"] == "wale"
    for lines, word in (
        ([{**wale, "of": "bilge"}, {"name": "bilge", "kind": "ends", **ENDS}], "'bilge' before this one"),
        ([wale, wale], "another line called 'wale'"),
        ([{**wale, "name": "sheer"}], "another line called 'sheer'"),
        ([{k: v for k, v in wale.items() if k != "name"}], "name"),
    ):
        with pytest.raises(PlanError) as caught:
            recipe_from(recipe_with({"kind": "ends", **ENDS}, *lines), "boat.toml")
        print(caught.value)
        assert word in str(caught.value)


RECIPE = """
[hull]
file = "marram.step"
half_siding = 37.5
name = "Marram"
[stations]
spacing = "2 m"
[[lines]]
name = "Aim"
kind = "ends"
bow_girth = 1050
stern_girth = 950
[[lines]]
name = "Wale"
kind = "parallel"
of = "sheer"
distance = 90
[line]
kind = "batten"
bow_girth = 1050
stern_girth = 950
marks = [[4000, 1400], [7000, 1450]]
[[belts]]
rule = "equal"
strakes = 4
[planks]
thickness = 30
mirror = false
[checks]
plank_length = "4 m"
tuck = "round"
"""


@pytest.fixture(scope="module")
def planned(tmp_path_factory):
    """One run with lines of several kinds: (folder, printed)."""
    folder = tmp_path_factory.mktemp("lines")
    make_hull.make_hull(str(folder))
    (folder / "boat.toml").write_text(RECIPE)
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        assert main([str(folder / "boat.toml"), "--out", str(folder / "out")]) == 0
    return folder / "out", printed.getvalue()


def test_summary_tells_of_every_line_and_the_tuck(planned):
    _, printed = planned
    print(printed)
    for words in ("Batten line:", "Aim (taut line", "Wale (parallel line", "Tuck:", "edge set", "twist up to",
                  "degrees per metre", "position good to", "Seams cross it"):  # fmt: skip
        assert words in printed, words


def test_data_has_a_report_of_every_line(planned):
    out, _ = planned
    plan = json.loads((out / "plan.json").read_text())
    names = [line["name"] for line in (plan["line"], *plan["lines"])]
    print(names, [line["kind"] for line in (plan["line"], *plan["lines"])])
    assert names == ["Batten line", "Aim", "Wale"]
    for line in (plan["line"], *plan["lines"]):
        report = line["report"]
        assert 0 < line["error_position"] < 1e-3 and report["plank_length"] == 4000.0
        assert len(report["along"]["length"]) == len(report["along"]["twist"]) > 20
        assert len(report["girths"]) == len(plan["stations"])
    aim = plan["lines"][0]["report"]
    assert abs(aim["stem_girth"] - 1050) < 1e-3 and abs(aim["stern_girth"] - 950) < 1e-3
    print(f"edge set of the taut line {aim['edge_set']['value']:.2e} mm")
    assert abs(aim["edge_set"]["value"]) < 1e-3  # a straight plank lies along it
    assert plan["lines"][0]["report"]["beside"][0]["line"] == "Tuck line"


def test_data_has_the_tuck_and_its_crossings(planned):
    out, _ = planned
    plan = json.loads((out / "plan.json").read_text())
    tuck = plan["tuck"]
    print(tuck["turn"], tuck["least_radius"], [(c["seam"], round(c["angle"], 1)) for c in tuck["crossings"]])
    assert tuck["found"] and tuck["turn"] == "round" and tuck["crossings"]
    seams = {seam["name"]: seam for seam in plan["seams"]}
    for crossing in tuck["crossings"]:
        assert 0.0 <= crossing["angle"] <= 90.0
        # the place lies on the seam and on the tuck; their points are joined by chords here
        for points in ([p for part in seams[crossing["seam"]]["parts"] for p in part["points"]], tuck["points"]):
            chain = Part.makePolygon([Vector(*p) for p in points])
            off = chain.distToShape(Part.Vertex(*crossing["point"]))[0]
            print(f"{crossing['seam']} {off:.3f} mm off the chords")
            # 110 mm long, bent to 0.7 m or wider: 110^2 / 8 R = 2.2 mm
            assert off < 2.2


def test_document_holds_the_lines_by_name(planned):
    out, _ = planned
    document, opened = compat.open_document_quietly(str(out / "plan.FCStd"))
    try:
        labels = [o.Label for o in document.Objects]
        print([label for label in labels if "strake" not in label])
        assert {"Aim", "Wale", "Batten line", "Tuck line", "Line report", "Lines"} <= set(labels)
        sheet = document.getObject("LineReport").Members[0]
        assert [sheet.get(f"{c}1") for c in "BCD"] == ["Batten line", "Aim", "Wale"]
        assert [o.Label for o in document.Objects if o.State != ["Up-to-date"]] == []
        assert document.getObject("LineOff").Line.Label == "Batten line"
    finally:
        if opened:
            FreeCAD.closeDocument(document.Name)


@pytest.mark.parametrize(
    "old, new, word",
    [
        ("distance = 90", "distance = 9000", "distance"),
        ("marks = [[4000, 1400], [7000, 1450]]", "marks = [[4000, 9400]]", "9400"),
        ('tuck = "round"', 'tuck = "flat"', "tuck"),
    ],
)
def test_line_that_cannot_be_is_status_2_and_nothing_written(planned, tmp_path, capsys, old, new, word):
    folder = planned[0].parent
    assert old in RECIPE
    recipe = folder / "wrong.toml"
    recipe.write_text(RECIPE.replace(old, new))
    before = set(FreeCAD.listDocuments())
    assert main([str(recipe), "--out", str(tmp_path / "out")]) == 2
    shown = capsys.readouterr().err
    print(shown)
    assert word in shown and os.listdir(tmp_path) == [] and set(FreeCAD.listDocuments()) == before
