# SPDX-License-Identifier: LGPL-2.1-or-later
"""From a recipe to the files: the document's own objects do the work, in their order."""

import contextlib
import json
import os
import shutil
import tempfile
import time

import FreeCAD

from ..core.cautions import CAUTIONS
from ..core.errors import PlanError
from ..core.lineoff.nibs import nib_curves
from ..core.planks.measure import measure_planks
from ..host.export import write_csv, write_json, write_step, write_text
from ..host.files import read_hull
from ..host.tables import counts_layout
from ..objects import make
from ..objects.comparison import compared_counts
from ..objects.line import line_of
from ..objects.line_off import lineoff_of
from ..objects.line_report import reports_of
from ..objects.marks_sheet import tables_of
from ..objects.planked_surface import stations_of, surface_of
from ..objects.planks import LAYERS, planks_of, solids_of
from ..objects.tuck_line import TURNS, crossings_of, tuck_of
from .belt_objects import make_line_off
from .boat import boat_notes, make_boat
from .checked import REPORT, make_checks
from .line_objects import TAUT, make_line
from .lines import ReportedLine, Tuck
from .picture import Sheet, draw, require_picture
from .report import Plan, figures, plan_data
from .searched import searched
from .trials import FILE as TRIALS
from .trials import make_trials, write_trials

__all__ = ["FILES", "run"]

#: what a run leaves in its folder
FILES = ("plan.FCStd", "planks.step", "marks.csv", "bevels.csv", "plan.json", "plan.png")


class _Clock:
    """Times the steps and tells of each as it ends."""

    def __init__(self, say):
        self.steps = []
        self.say = say

    @contextlib.contextmanager
    def step(self, name):
        start = time.perf_counter()
        yield
        took = time.perf_counter() - start
        self.steps.append((name, took))
        self.say(f"  {name:<24}{took:7.2f} s")


def run(recipe, folder, say=print):
    """Plan a hull and write all files.

    Parameters
    ----------
    recipe : Recipe
    folder : str
        Made when it is not there; files of an earlier run are replaced, or removed where this
        one has none of that name, others left alone.
    say : callable
        (text) -> None, told of every step.

    Returns
    -------
    Plan

    Raises
    ------
    PlanError
        Nothing has been written then.
    """
    require_picture()
    folder = os.path.abspath(folder)
    parent = os.path.dirname(folder)
    if os.path.exists(folder) and not os.path.isdir(folder):
        raise PlanError(f"{folder} is a file, not a folder", remedy="Choose another folder")
    try:
        os.makedirs(parent, exist_ok=True)
        draft = tempfile.mkdtemp(prefix=f".{os.path.basename(folder)}-", dir=parent)
    except OSError as fault:
        raise PlanError(
            f"Nothing can be written to {parent}: {fault.strerror}", remedy="Choose another folder"
        ) from fault
    document = FreeCAD.newDocument("Plan")
    clock = _Clock(say)
    try:
        plan = _plan(recipe, document, clock)
        _write(plan, document, draft, clock)
        os.makedirs(folder, exist_ok=True)
        names = plan.files(FILES)
        stale = [name for name in _written_before(folder) if name not in names]
        for name in names:
            os.replace(os.path.join(draft, name), os.path.join(folder, name))
        for name in stale:
            os.remove(os.path.join(folder, name))
            say(f"  removed {name}: of an earlier run, and no part of this plan")
    except OSError as fault:
        raise PlanError(
            f"The plan could not be written to {folder}: {fault.strerror or fault}",
            remedy="Check that the disk is not full and that you may write there",
        ) from fault
    finally:
        FreeCAD.closeDocument(document.Name)
        shutil.rmtree(draft, ignore_errors=True)
    return plan


def _written_before(folder):
    """Names of files in a folder that its plan.json says an earlier run has written."""
    try:
        with open(os.path.join(folder, "plan.json"), encoding="utf-8") as stream:
            names = json.load(stream)["files"]
        return [name for name in names if name == os.path.basename(name) and os.path.isfile(os.path.join(folder, name))]
    except (OSError, ValueError, KeyError, TypeError):
        return []  # none, or somebody else's


def _plan(recipe, document, clock):
    """Make the document's objects and gather what they found."""
    hull_keys = recipe.hull
    with clock.step("read the hull"):
        label, face = read_hull(recipe.hull_file, hull_keys["object"], hull_keys["face"])
        hull = document.addObject("Part::Feature", "Hull")
        hull.Label = hull_keys["name"] or label
        hull.Shape = face
    with clock.step("planked surface"):
        surface = make.make_planked_surface(hull, **_surface_values(recipe))
    others = {}
    for keys in recipe.lines:
        with clock.step(keys["name"]):
            others[keys["name"]] = _named(make_line(recipe, keys, surface, others), keys["name"])
    line, line_off = _lined_off(recipe, surface, others, clock)
    with clock.step("tuck"):
        tuck_line, tuck = _tuck(recipe, surface, line_off)
    checked = make_checks(recipe, line_off, tuck_line, others, clock)
    if recipe.search is not None:
        line, line_off, checked = searched(recipe, line, line_off, checked, clock)
        if tuck_line is not None:
            tuck = Tuck(tuck.line, crossings_of(tuck_line))
    tried = make_trials(recipe, checked, line, line_off, others, stations_of(surface), clock)
    with clock.step("strake sketches"):
        make.make_strake_sketches(line_off)
    with clock.step("planks"):
        layers = {core: shown for shown, core in LAYERS.items()}
        planks = make.make_planks(
            line_off,
            Thickness=recipe.planks["thickness"],
            Layer=layers[recipe.planks["layer"]],
            BothSides=recipe.planks["mirror"],
        )
    with clock.step("marks and bevels"):
        sheets = make.make_marks_and_bevels(line_off, Planks=planks)
        tables = dict(tables_of(sheets))
    counts = ()
    if recipe.checks["compare"]:
        with clock.step("numbers of strakes"):
            compared = make.make_comparison(
                line_off, Counts=list(recipe.checks["compare"]), PlankLength=recipe.checks["plank_length"]
            )
            counts = compared_counts(compared).value
            tables["Numbers"] = counts_layout(counts, recipe.checks["plank_length"])
    boat = make_boat(recipe, line_off, clock)
    with clock.step("line report"):
        report = make.make_line_report(
            [line, *others.values()], CompareWith=tuck_line, PlankLength=recipe.checks["plank_length"]
        )
        reported = [ReportedLine(o.Label, line_of(o).value, found.value) for o, found in reports_of(report)]
    with clock.step("measures"):
        lineoff = lineoff_of(line_off).value
        shapes = planks_of(planks).value
        return Plan(
            name=hull.Label,
            hull=surface_of(surface).value,
            line=reported[0],
            others=tuple(reported[1:]),
            tuck=tuck,
            lineoff=lineoff,
            lineoff_notes=tuple(line_off.Notes),
            counts=counts,
            stations=stations_of(surface),
            thickness=recipe.planks["thickness"],
            layer=recipe.planks["layer"],
            plank_length=recipe.checks["plank_length"],
            measures=measure_planks(lineoff, recipe.checks["plank_length"]),
            shapes=shapes,
            volumes=_volumes(shapes),
            solids=solids_of(planks).value,
            tables=tables,
            boat=boat,
            checked=checked,
            tried=tried,
            cautions=CAUTIONS,
        )


def _lined_off(recipe, surface, others, clock):
    """The recipe's own line and line-off."""
    with clock.step("taut line" if recipe.line["kind"] in TAUT else f"{recipe.line['kind']} line"):
        line = make_line(recipe, recipe.line, surface, others)
    with clock.step("line-off"):
        line_off = make_line_off(recipe, line, others)
    return line, line_off


def _volumes(shapes):
    """Volume of every plank, mm^3; a plank and its mirror image are measured once."""
    known = {}
    for shape in shapes:
        key = (shape.strake, shape.part)
        if key not in known:
            known[key] = shape.volume
    return [known[shape.strake, shape.part] for shape in shapes]


def _surface_values(recipe):
    """Properties of the planked surface's document object."""
    keys, stations = recipe.hull, recipe.stations
    values = {"HalfSiding": keys["half_siding"], "HalfStations": stations["half"]}
    own = {part: keys[f"half_siding_{part}"] for part in ("stem", "keel", "post")}
    if any(value is not None for value in own.values()):
        values["SeparateSidings"] = True
        for part, value in own.items():
            name = f"HalfSiding{part.capitalize()}"
            values[name] = keys["half_siding"] if value is None else value
    for name in ("up", "forward"):
        if keys[name] is not None:
            given = keys[name]
            text = given if isinstance(given, str) else ", ".join(repr(v) for v in given)
            values[name.capitalize()] = text
    if keys["centreplane"] is not None:
        values["Centreplane"] = keys["centreplane"]
    for key, name in (("sheer_edge", "SheerEdge"), ("stem_edge", "StemEdge")):
        if keys[key] is not None:
            values[name] = keys[key]
    if stations["positions"] is not None:
        values["StationPositions"] = list(stations["positions"])
        values["StationNames"] = list(stations["names"] or ())
    else:
        values["StationSpacing"] = stations["spacing"]
    return values


def _named(obj, name):
    obj.Label = name
    return obj


def _tuck(recipe, surface, line_off):
    """The tuck line's object and a Tuck; None for what is not asked for, or not there.

    Its object stays in the document only where there is a tuck.
    """
    turn = recipe.checks["tuck"]
    if turn == "none":
        return None, None
    shown = {core: name for name, core in TURNS.items()}
    obj = make.make_tuck_line(surface, Turn=shown[turn], Lines=[line_off])
    tuck = Tuck(tuck_of(obj).value, crossings_of(obj))
    if tuck.line.curve is None:
        obj.Document.removeObject(obj.Name)
        return None, tuck
    return obj, tuck


def _write(plan, document, draft, clock):
    """Write every file into the draft folder."""

    def path(name):
        return os.path.join(draft, name)

    with clock.step("plan.FCStd"):
        document.saveAs(path("plan.FCStd"))
    with clock.step("planks.step"):
        write_step(path("planks.step"), plan.solids)
    with clock.step("tables and plan.json"):
        for name, table in plan.tables.items():
            write_csv(path(f"{name.lower()}.csv"), table.header, table.rows)
        for name, table in plan.boat.tables.items():
            write_csv(path(name), table.header, table.rows)
        for name, table in plan.checked.tables.items():
            write_csv(path(name), table.header, table.rows)
        if plan.checked.report:
            write_text(path(REPORT), plan.checked.report.rstrip("\n") + "\n" + boat_notes(plan.boat))
        if plan.tried:
            write_trials(path(TRIALS), plan.tried)
        write_json(path("plan.json"), {**plan_data(plan), "files": list(plan.files(FILES))})
    with clock.step("plan.png"):
        draw(
            path("plan.png"),
            Sheet(
                title=plan.name,
                hull=plan.hull,
                line=plan.line.line.curve,
                seams=[part.curve for seam in plan.lineoff.seams for part in seam.parts],
                nibs=list(nib_curves(plan.lineoff)),
                stations=plan.stations,
                planks=plan.shapes,
                skin=plan.thickness if plan.layer == "outside" else 0.0,
                figures=figures(plan),
                cautions=list(plan.cautions),
            ),
        )
