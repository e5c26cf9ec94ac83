# SPDX-License-Identifier: LGPL-2.1-or-later
"""The demonstration hull's files: one B-spline face each, the poles as given, the same again."""

import os
import subprocess
import sys
import zipfile

import FreeCAD
import make_hull
import numpy as np
import Part
from demo_hull import LABEL, demo_patch_data


def poles_of(face):
    surface = face.Surface
    assert isinstance(surface, Part.BSplineSurface)
    return surface, np.array([[tuple(p) for p in row] for row in surface.getPoles()])


def test_both_files_hold_the_face(tmp_path):
    native, step = make_hull.make_hull(str(tmp_path))
    assert sorted(os.listdir(tmp_path)) == ["marram.FCStd", "marram.step"]
    poles = demo_patch_data()[4]
    document = FreeCAD.openDocument(native)
    try:
        hull = document.getObject("Hull")
        assert hull.Label == LABEL and hull.TypeId == "Part::Feature"
        shapes = {"FCStd": hull.Shape.copy()}
    finally:
        FreeCAD.closeDocument(document.Name)
    shapes["STEP"] = Part.Shape()
    shapes["STEP"].read(step)
    for kind, shape in shapes.items():
        assert shape.isValid() and len(shape.Faces) == 1 and not shape.Solids
        surface, found = poles_of(shape.Faces[0])
        gap = np.abs(found - poles).max()
        print(f"{kind}: area {shape.Area / 1e6:.4f} m2, poles off by {gap:.1e} mm")
        assert gap < 1e-8             # the STEP file prints about 12 digits
        assert (surface.UDegree, surface.VDegree) == (3, 3)
        assert not surface.isURational() and surface.getUMultiplicities()[1:-1] == [1] * 8


def test_the_same_files_on_every_run(tmp_path):
    made = []
    for name in ("first", "second"):
        native, step = make_hull.make_hull(str(tmp_path / name))
        with zipfile.ZipFile(native) as packed, open(step, "rb") as handle:
            # the entry's name changed between releases of the host
            (shape,) = [name for name in packed.namelist() if name.endswith(".brp")]
            made.append((packed.read(shape), handle.read()))
    print("shape", len(made[0][0]), "bytes, STEP", len(made[0][1]), "bytes")
    assert made[0] == made[1]


def run(*arguments):
    return subprocess.run([sys.executable, make_hull.__file__, *arguments],
                          capture_output=True, text=True)


def test_as_a_command(tmp_path):
    done = run(str(tmp_path / "a" / "b"))
    print(done.stdout, done.stderr)
    assert done.returncode == 0
    assert all(os.path.isfile(line) for line in done.stdout.split())


def test_a_folder_that_cannot_be_made(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    done = run(str(blocked / "hull"))
    print(done.stderr)
    assert done.returncode == 2
    assert "could not be written" in done.stderr and "Traceback" not in done.stderr
    assert run("--wrong").returncode == 2
    assert blocked.read_text() == "no folder"
