# SPDX-License-Identifier: LGPL-2.1-or-later
"""The batch runner: all files from one recipe; status 2 and nothing written where it cannot."""

import csv
import json
import os
import subprocess
import sys

import FreeCAD
import make_hull
import numpy as np
import Part
import pytest

from strakeplan.batch.cli import main
from strakeplan.batch.run import FILES
from strakeplan.host import compat
from strakeplan.host.files import read_hull

REPOSITORY = os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__))))

RECIPE = """
[hull]
file = "{hull}"
half_siding = 37.5
name = "Marram"
[stations]
positions = [2000, "4 m", 6000, 8000]
names = ["A", "B", "C", "D"]
half = true
[line]
kind = "ends"
bow_girth = 1050
stern_girth = 950
[[belts]]
rule = "equal"
strakes = 6
[[belts]]
rule = "parallel"
width = 300
[planks]
thickness = "1 1/4 in"
"""


@pytest.fixture(scope="module")
def hulls(tmp_path_factory):
    folder = tmp_path_factory.mktemp("hull")
    make_hull.make_hull(str(folder))
    return folder


@pytest.fixture(scope="module")
def planned(hulls):
    """One run through the command line: (folder, what it printed)."""
    recipe = hulls / "boat.toml"
    recipe.write_text(RECIPE.format(hull="marram.step"))
    out = hulls / "out"
    out.mkdir()
    (out / "mine.txt").write_text("left alone")
    (out / "plan.json").write_text("from an earlier run")
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONPATH"}
    done = subprocess.run(
        [sys.executable, "-m", "strakeplan", str(recipe), "--out", str(out)],
        cwd=REPOSITORY, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return out, done.stdout


def test_all_files_and_nothing_else(planned):
    out, printed = planned
    print(printed)
    assert sorted(os.listdir(out)) == sorted([*FILES, "mine.txt"])
    assert (out / "mine.txt").read_text() == "left alone"
    assert all((out / name).stat().st_size > 1000 for name in FILES)
    assert [n for n in os.listdir(out.parent) if n.startswith(".")] == []


def test_summary_is_one_screen_with_everything(planned):
    out, printed = planned
    summary = printed[printed.index("Marram:"):]
    for word in ("strakes a side", "width at bow", "greatest", "at stern", "edge set", "closed solids",
                 "Volume", "Caution", "Taut line"):  # fmt: skip
        assert word in summary, word
    print(len(summary.splitlines()), "lines")
    assert len(summary.splitlines()) <= 40
    for step in ("planked surface", "taut line", "line-off", "planks", "planks.step", "plan.png", "altogether"):
        assert any(step in line and line.endswith(" s") for line in printed.splitlines()), step


def test_step_file_holds_every_plank_by_name(planned):
    out, _ = planned
    plan = json.loads((out / "plan.json").read_text())
    names = [p["name"] for p in plan["planks"]]
    document = FreeCAD.newDocument("Back")
    try:
        compat.insert_step(str(out / "planks.step"), document)
        solids = {
            o.Label: o.Shape for o in document.Objects
            if o.isDerivedFrom("Part::Feature") and o.Shape.Solids
        }  # fmt: skip
        assert sorted(solids) == sorted(names)
        for name, shape in solids.items():
            assert len(shape.Solids) == 1 and shape.isValid(), name
            assert all(s.isClosed() for s in shape.Shells) and shape.Volume > 0, name
    finally:
        FreeCAD.closeDocument(document.Name)
    sides = {p["side"] for p in plan["planks"]}
    volume = sum(p["volume"] for p in plan["planks"])
    print(len(names), "planks,", volume / 1e9, "m3")
    assert sides == {"port", "starboard"} and abs(volume / plan["volume"] - 1) < 1e-12


def test_document_is_parametric_and_up_to_date(planned):
    out, _ = planned
    document, opened = compat.open_document_quietly(str(out / "plan.FCStd"))
    try:
        labels = [o.Label for o in document.Objects]
        assert [o.Label for o in document.Objects if o.State != ["Up-to-date"]] == []
        for wanted in ("Marram", "Planked surface", "Taut line", "Line-off", "Marks", "Bevels",
                       "Strakes, body plan", "Port strake 01", "Starboard strake 06"):  # fmt: skip
            assert wanted in labels, wanted
        assert document.getObject("LineOff").Proxy is not None
    finally:
        if opened:
            FreeCAD.closeDocument(document.Name)


def test_marks_agree_with_the_hosts_own_section(planned, hulls):
    """Equal strakes: mark j is j/N of the girth, the girth taken from the host's section."""
    out, _ = planned
    with open(out / "marks.csv", encoding="utf-8", newline="") as handle:
        rows = list(csv.reader(handle))
    header, body = rows[0], {row[0]: row[1:] for row in rows[1:]}
    divided = dict(zip(header[1:], body["Equally divided"]))
    assert any(h.startswith("Station A 1/2,") for h in header)
    _, face = read_hull(str(hulls / "marram.step"))
    seam = [s for s in json.loads((out / "plan.json").read_text())["seams"]][6]
    line = np.array(seam["parts"][0]["points"])
    checked = 0
    for column, title in enumerate(header[1:]):
        if not (title.startswith("Station") and title.endswith(", mm")):
            continue
        if divided[title.replace(", mm", ", ft in 1/16")] != "yes":
            continue
        x = float(body["Along the ship"][column])
        (wire,) = face.slice(FreeCAD.Vector(1, 0, 0), x)
        # the taut line's point in this plane, by a cubic through the points near it
        near = np.argsort(np.abs(line[:, 0] - x))[:6]
        near.sort()
        point = np.array(
            [np.polyval(np.polyfit(line[near, 0] - x, line[near, k], 5), 0.0) for k in range(3)]
        )
        girth = _girth(wire, point)
        for j in range(1, 7):
            mark = float(body["Seam %02d" % j if j < 6 else _line_name(body)][column])
            off = mark - girth * j / 6
            assert abs(off) < 0.01, (title, j, mark, girth)
            checked += 1
        print(f"{title} girth by the host {girth:.3f}, sixth mark {mark:.3f}")
    assert checked >= 18


def _line_name(body):
    """The row of the taut line: the sixth seam."""
    return [name for name in body if not name.startswith(("Along", "Tape", "Equally"))][5]


def _girth(wire, point):
    """Length of the host's section from the sheer (its highest end) to a point."""
    edges = wire.OrderedEdges if hasattr(wire, "OrderedEdges") else wire.Edges
    ends = [wire.OrderedVertexes[0].Point, wire.OrderedVertexes[-1].Point]
    if ends[0].z < ends[1].z:
        edges = edges[::-1]
    total, best = 0.0, None
    for edge in edges:
        curve, (a, b) = edge.Curve, edge.ParameterRange
        top_first = edge.valueAt(a).z > edge.valueAt(b).z
        t = curve.parameter(FreeCAD.Vector(*point))
        if a - 1e-9 <= t <= b + 1e-9:
            gap = (curve.value(t) - FreeCAD.Vector(*point)).Length
            part = curve.length(a, t) if top_first else curve.length(t, b)
            if best is None or gap < best[0]:
                best = gap, total + part
        total += edge.Length
    assert best[0] < 1e-2, f"the point is {best[0]} mm off the host's section"
    return best[1]


def test_bevels_have_a_sign_and_a_line_for_each_edge(planned):
    out, _ = planned
    plan = json.loads((out / "plan.json").read_text())
    with open(out / "bevels.csv", encoding="utf-8", newline="") as handle:
        rows = list(csv.reader(handle))
    one_side = [p for p in plan["planks"] if p["side"] == plan["hull"]["modelled_side"]]
    assert len(rows) - 2 == 2 * len(one_side)
    values = [float(v) for row in rows[1:-1] for v in row[3:] if v]
    print(f"{len(values)} bevels from {min(values)} to {max(values)} degrees")
    assert min(values) < 0 < max(values) and "standing" in rows[-1][0]


def test_picture_is_a_whole_png(planned):
    out, _ = planned
    data = (out / "plan.png").read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n" and b"IEND" in data[-12:]


BAD = {
    "no strakes": ("strakes = 6", "strakes = 0", "0 strakes"),
    "500 strakes": ("strakes = 6", "strakes = 500", "500 strakes"),
    "mark off the stem": ("bow_girth = 1050", "bow_girth = 9000", "stem"),
    "thickness beyond the radius": ('thickness = "1 1/4 in"', "thickness = 3000", "radius"),
    "planks into the other side": ("half_siding = 37.5", "half_siding = 1", "side"),
    "aim marks through the sheer": (
        'kind = "ends"\nbow_girth = 1050\nstern_girth = 950',
        'kind = "marks"\nmarks = [[3000, 60], [8000, 1200]]',
        "sheer",
    ),
    "unknown key": ("[planks]", "[planks]\ncolour = 3", "colour"),
    "station off the hull": ("8000]", "18000]", "18000"),
    "hull missing": ("marram.step", "none.step", "none.step"),
    "hull empty": ("marram.step", "empty.step", "empty"),
    "hull of another kind": ("marram.step", "text.iges", "IGES"),
    "cube": ("marram.step", "cube.step", "6 faces"),
    "cube's side": ('file = "marram.step"', 'file = "cube.step"\nface = 1', "flat"),
    "no such object": ('file = "marram.step"', 'file = "marram.step"\nobject = "Deck"', "Deck"),
}


@pytest.mark.parametrize("fault", BAD)
def test_bad_input_is_status_2_and_nothing_written(fault, hulls, tmp_path, capsys):
    old, new, word = BAD[fault]
    text = RECIPE.format(hull="marram.step")
    assert old in text
    text = text.replace(old, new)
    if fault == "planks into the other side":
        text += 'layer = "inside"\n'
    for name in os.listdir(hulls):
        if name.startswith("marram"):
            os.symlink(hulls / name, tmp_path / name)
    (tmp_path / "empty.step").write_bytes(b"")
    (tmp_path / "text.iges").write_text("Dear builder,\n" * 30)
    Part.makeBox(1000, 200, 300).exportStep(str(tmp_path / "cube.step"))
    recipe = tmp_path / "boat.toml"
    recipe.write_text(text)
    out = tmp_path / "out"
    out.mkdir()
    (out / "plan.json").write_text("from an earlier run")
    before = sorted(os.listdir(tmp_path)), set(FreeCAD.listDocuments())
    assert main([str(recipe), "--out", str(out)]) == 2
    shown = capsys.readouterr()
    print(shown.err)
    assert word in shown.err and len(shown.err.strip().splitlines()) == 1
    assert os.listdir(out) == ["plan.json"] and (out / "plan.json").read_text() == "from an earlier run"
    assert (sorted(os.listdir(tmp_path)), set(FreeCAD.listDocuments())) == before


def test_status_2_through_the_command_line(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "strakeplan", str(tmp_path / "none.toml"), "--out", str(tmp_path / "out")],
        cwd=REPOSITORY, capture_output=True, text=True, check=False,
    )  # fmt: skip
    print(done.stderr)
    assert done.returncode == 2 and "none.toml does not exist" in done.stderr
    assert os.listdir(tmp_path) == []


def test_out_that_is_a_file(hulls, tmp_path, capsys):
    recipe = hulls / "other.toml"
    recipe.write_text(RECIPE.format(hull="marram.step"))
    (tmp_path / "out").write_text("a file")
    assert main([str(recipe), "--out", str(tmp_path / "out")]) == 2
    assert "not a folder" in capsys.readouterr().err
    assert (tmp_path / "out").read_text() == "a file"


def test_files_of_an_earlier_run_do_not_stay(hulls, tmp_path, capsys):
    """Reports of a run that had more parts go with it; a file of the user's own stays."""
    out = tmp_path / "out"
    small = RECIPE.format(hull=hulls / "marram.step").replace("strakes = 6", "strakes = 4") + "mirror = false\n"
    for number, more in enumerate(('[wood]\nspecies = "teak"\nframe_spacing = 350\n', "")):
        (tmp_path / "boat.toml").write_text(small + more)
        assert main([str(tmp_path / "boat.toml"), "--out", str(out)]) == 0
        if not number:
            assert (out / "report.txt").is_file() and (out / "strakes.csv").is_file()
            (out / "notes.txt").write_text("mine")
    said = capsys.readouterr().out
    print(said[-600:])
    assert "removed report.txt" in said and "removed strakes.csv" in said
    assert sorted(os.listdir(out)) == sorted([*FILES, "notes.txt"])


def test_no_picture_is_told_before_anything_is_computed(hulls, tmp_path, capsys, monkeypatch):
    import importlib.util

    find = importlib.util.find_spec
    monkeypatch.setattr(importlib.util, "find_spec", lambda name, *a: None if name == "matplotlib" else find(name, *a))
    (tmp_path / "boat.toml").write_text(RECIPE.format(hull=hulls / "marram.step"))
    assert main([str(tmp_path / "boat.toml"), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr()
    print(said.err)
    assert "matplotlib" in said.err and "read the hull" not in said.out and not (tmp_path / "out").exists()


def test_keys_are_printed(capsys):
    assert main(["--keys"]) == 0
    assert "| `thickness` |" in capsys.readouterr().out
