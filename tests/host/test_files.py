# SPDX-License-Identifier: LGPL-2.1-or-later
"""Hulls from files: every kind read alike, and whatever is not in order refused."""

import re
import shutil

import FreeCAD
import numpy as np
import Part
import pytest
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.host.faces import patch_from_face
from strakeplan.host.files import READABLE, read_hull
from strakeplan.host.shapes import face_of


@pytest.fixture(scope="module")
def hull_files(tmp_path_factory):
    """The demonstration hull in every kind of file, by ending."""
    folder = tmp_path_factory.mktemp("hulls")
    face = face_of(SplinePatch(*demo_patch_data()))
    document = FreeCAD.newDocument("Hulls")
    hull = document.addObject("Part::Feature", "Hull")
    hull.Label = "Moulded surface"
    hull.Shape = face
    document.addObject("App::Annotation", "Words")
    document.recompute()
    document.saveAs(str(folder / "hull.FCStd"))
    FreeCAD.closeDocument(document.Name)
    face.exportStep(str(folder / "hull.step"))
    face.exportIges(str(folder / "hull.iges"))
    face.exportBrep(str(folder / "hull.brep"))
    shutil.copy(folder / "hull.step", folder / "hull.stp")
    shutil.copy(folder / "hull.iges", folder / "hull.igs")
    shutil.copy(folder / "hull.brep", folder / "hull.brp")
    files = {e: str(folder / f"hull{e}") for e in READABLE if e != ".fcstd"}
    files[".fcstd"] = str(folder / "hull.FCStd")
    return files


@pytest.mark.parametrize("ending", sorted(READABLE))
def test_every_kind_gives_the_same_surface(hull_files, ending):
    open_before = set(FreeCAD.listDocuments())
    label, face = read_hull(hull_files[ending])
    assert set(FreeCAD.listDocuments()) == open_before, "a document was left open"
    patch = patch_from_face(face, label)
    truth = SplinePatch(*demo_patch_data())
    u, v = np.random.default_rng(1).uniform(0, 1, (2, 200))

    def at(p):
        (a, b), (c, d) = p.u_range, p.v_range
        return p.points(a + (b - a) * u, c + (d - c) * v)

    off = np.linalg.norm(at(patch) - at(truth), axis=1).max()
    print(f"{ending}: {label!r}, points off by {off:.1e} mm")
    # what the host writes: STEP 12 to 15 digits; IGES fewer, on a hull of 1e4 mm about 10
    assert off < (1e-5 if ending in (".iges", ".igs") else 1e-7)


def test_object_by_name_or_label(hull_files):
    for name in ("Hull", "Moulded surface"):
        label, face = read_hull(hull_files[".fcstd"], name)
        assert label == "Moulded surface" and face.Area > 0
    with pytest.raises(PlanError) as caught:
        read_hull(hull_files[".fcstd"], "Deck")
    print(caught.value)
    assert "'Deck'" in caught.value.what and "Moulded surface" in caught.value.remedy


def test_document_open_already_stays_open(hull_files):
    document = FreeCAD.openDocument(hull_files[".fcstd"])
    try:
        read_hull(hull_files[".fcstd"])
        assert document.Name in FreeCAD.listDocuments()
        assert document.getObject("Hull").Shape.Faces
    finally:
        FreeCAD.closeDocument(document.Name)


def test_hull_inside_a_moved_container_is_where_it_is_seen(tmp_path):
    document = FreeCAD.newDocument("Container")
    part = document.addObject("App::Part", "Ship")
    part.Placement.Base = Vector(5000, 0, 0)
    hull = document.addObject("Part::Feature", "Hull")
    hull.Shape = Part.makeCylinder(10, 20).Faces[0]
    hull.Placement.Base = Vector(0, 7, 0)
    part.addObject(hull)
    document.recompute()
    path = str(tmp_path / "container.FCStd")
    document.saveAs(path)
    FreeCAD.closeDocument(document.Name)
    _, face = read_hull(path)
    centre = face.BoundBox.Center
    print("centre", centre)
    assert (centre - Vector(5000, 7, 10)).Length < 1e-6


def test_several_objects_or_faces_must_be_chosen(tmp_path):
    document = FreeCAD.newDocument("Two")
    for name in ("Port", "Starboard"):
        document.addObject("Part::Feature", name).Shape = Part.makeBox(1, 2, 3)
    path = str(tmp_path / "two.FCStd")
    document.saveAs(path)
    FreeCAD.closeDocument(document.Name)
    with pytest.raises(PlanError, match="2 objects") as caught:
        read_hull(path)
    assert "Port" in caught.value.remedy and "Starboard" in caught.value.remedy
    with pytest.raises(PlanError, match="6 faces"):
        read_hull(path, "Port")
    with pytest.raises(PlanError, match="no face 7"):
        read_hull(path, "Port", 7)
    label, face = read_hull(path, "Port", 6)
    assert label == "Port" and len(face.Faces) == 1


def test_step_products_are_found_by_name(tmp_path):
    from strakeplan.host.export import write_step

    path = str(tmp_path / "two.step")
    write_step(path, [("First", Part.makeBox(1, 2, 3)), ("Second", Part.makeBox(4, 5, 6))])
    label, face = read_hull(path, "Second", 1)
    assert label == "Second"
    with pytest.raises(PlanError, match="'Third'"):
        read_hull(path, "Third")


def test_object_without_a_face_is_refused(tmp_path):
    document = FreeCAD.newDocument("Lines")
    document.addObject("Part::Feature", "Line").Shape = Part.makeLine(Vector(), Vector(1, 0, 0))
    path = str(tmp_path / "lines.FCStd")
    document.saveAs(path)
    FreeCAD.closeDocument(document.Name)
    with pytest.raises(PlanError, match="No object"):
        read_hull(path)
    with pytest.raises(PlanError, match="Line has no face"):
        read_hull(path, "Line")


@pytest.mark.parametrize("ending", sorted(READABLE))
@pytest.mark.parametrize("fault", ["missing", "empty", "text", "cut short", "other kind"])
def test_spoilt_files_are_refused(hull_files, tmp_path, ending, fault):
    path = tmp_path / f"hull{ending}"
    whole = open(hull_files[ending], "rb").read()
    other = ".step" if ending not in (".step", ".stp") else ".brep"
    content = {
        "empty": b"",
        "text": b"Dear builder, the hull will follow.\n" * 20,
        "cut short": whole[: len(whole) // 3],
        "other kind": open(hull_files[other], "rb").read(),
    }
    if fault != "missing":
        path.write_bytes(content[fault])
    with pytest.raises(PlanError) as caught:
        read_hull(str(path))
    print(caught.value)
    assert path.name in str(caught.value) and caught.value.remedy


def test_unknown_ending_is_refused(tmp_path):
    path = tmp_path / "hull.stl"
    path.write_text("solid")
    with pytest.raises(PlanError) as caught:
        read_hull(str(path))
    assert ".step" in caught.value.remedy


@pytest.mark.parametrize("ending", [".step", ".brep"])
def test_spoilt_number_is_refused_without_ending_the_process(hull_files, tmp_path, ending):
    """A pole that is not a number: the host's own conversion of such a face crashes."""
    text = open(hull_files[ending], encoding="ascii").read()
    y = demo_patch_data()[4][5, 4, 1]
    numbers = [m for m in re.finditer(r"[-+]?\d+\.\d*(E[-+]\d+)?", text) if float(m.group()) == y]
    assert len(numbers) == 1
    path = tmp_path / f"spoilt{ending}"
    path.write_text(text[: numbers[0].start()] + "nan" + text[numbers[0].end():])
    with pytest.raises(PlanError) as caught:
        label, face = read_hull(str(path))
        patch_from_face(face, label)
    print(caught.value)
    assert "spoilt" in str(caught.value) and caught.value.remedy
