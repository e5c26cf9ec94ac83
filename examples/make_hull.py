#!/usr/bin/python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Write the demonstration hull as a designer would hand it over.

    /usr/bin/python3 examples/make_hull.py [DIR]

leaves ``marram.FCStd`` and ``marram.step`` in DIR (default ``examples/hull``): one bicubic
B-spline face, the starboard side, run to the centreplane, in millimetres.
"""

import os
import re
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path[:0] = [HERE, os.path.dirname(HERE)]

from demo_hull import LABEL, NAME, demo_patch_data  # noqa: E402
from strakeplan.core.errors import PlanError  # noqa: E402
from strakeplan.host.locate import use_host  # noqa: E402

__all__ = ["demo_face", "make_hull"]


def demo_face():
    """The demonstration hull as a Part face (FreeCAD's modules must be importable).

    Returns
    -------
    Part.Face
    """
    import FreeCAD
    import Part

    degree_u, degree_v, knots_u, knots_v, poles = demo_patch_data()

    def distinct(flat):
        values = sorted(set(flat.tolist()))
        return values, [int((flat == k).sum()) for k in values]

    ku, mu = distinct(knots_u)
    kv, mv = distinct(knots_v)
    surface = Part.BSplineSurface()
    surface.buildFromPolesMultsKnots(
        [[FreeCAD.Vector(*p) for p in row] for row in poles.tolist()],
        mu, mv, ku, kv, False, False, degree_u, degree_v)
    return surface.toShape()


def make_hull(folder):
    """Write the hull's FCStd and STEP files.

    Parameters
    ----------
    folder : str
        Made if it is missing.

    Returns
    -------
    (str, str)
        Paths of the FCStd and the STEP file.

    Raises
    ------
    PlanError
        The folder cannot be written to, or the host is not installed.
    """
    use_host()
    import FreeCAD

    face = demo_face()
    stem = NAME.lower()
    paths = [os.path.join(folder, stem + end) for end in (".FCStd", ".step")]
    try:
        os.makedirs(folder, exist_ok=True)
        # Both files are complete before either takes its place.
        with tempfile.TemporaryDirectory(dir=folder) as work:
            made = [os.path.join(work, os.path.basename(p)) for p in paths]
            face.exportStep(made[1])
            _settle_step_header(made[1])
            document = FreeCAD.newDocument(NAME)
            try:
                hull = document.addObject("Part::Feature", "Hull")
                hull.Label = LABEL
                hull.Shape = face
                document.recompute()
                document.saveAs(made[0])
            finally:
                FreeCAD.closeDocument(document.Name)
            for source, target in zip(made, paths):
                os.replace(source, target)
    except OSError as error:
        raise PlanError(f"The demonstration hull could not be written: {error.strerror or error}",
                        where=f"folder {folder}",
                        remedy="Name a folder you may write to") from error
    return tuple(paths)


def _settle_step_header(path):
    """Take the time of day out of the header, so that the same hull gives the same file."""
    with open(path, encoding="utf-8") as handle:
        text = handle.read()
    text, count = re.subn(r"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d'", "'2000-01-01T00:00:00'", text, count=1)
    if count != 1:
        raise PlanError("The STEP file's header holds no date", where=path,
                        remedy="Report this with the version of FreeCAD used")
    text = re.sub(r"PRODUCT\('[^']*',\s*'[^']*'", f"PRODUCT('{LABEL}','{LABEL}'", text, count=1)
    with open(path, "w", encoding="utf-8", newline="\n") as handle:
        handle.write(text)


def main(arguments):
    """Command line: one optional folder; returns the exit status."""
    if len(arguments) > 1 or any(a.startswith("-") for a in arguments):
        print(__doc__.strip())
        return 0 if arguments in (["-h"], ["--help"]) else 2
    try:
        paths = make_hull(arguments[0] if arguments else os.path.join(HERE, "hull"))
    except PlanError as error:
        print(error, file=sys.stderr)
        return 2
    for path in paths:
        print(path)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
