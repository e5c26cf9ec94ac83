# SPDX-License-Identifier: LGPL-2.1-or-later
"""Host faces become spline patches: every kind of surface, trimmed or not, untouched."""

import math

import FreeCAD
import numpy as np
import Part
import pytest
from FreeCAD import Vector

from strakeplan.core.errors import PlanError
from strakeplan.host.faces import patch_from_face


def wavy():
    """A cubic B-spline surface through a grid of points."""
    points = [
        [Vector(i * 1000, j * 300, 100 * math.sin(i) + 50 * j * j) for j in range(5)]
        for i in range(8)
    ]
    surface = Part.BSplineSurface()
    surface.interpolate(points)
    return surface


def moved(shape):
    shape = shape.copy()
    shape.Placement = FreeCAD.Placement(
        Vector(10, 20, 30), FreeCAD.Rotation(Vector(1, 1, 0), 33)
    )
    return shape


def iso_trimmed():
    """A face on part of its surface, its edges lines of constant parameter."""
    s = wavy()
    edges = [
        s.uIso(0.2).toShape(0.1, 0.8),
        s.vIso(0.8).toShape(0.2, 0.7),
        s.uIso(0.7).toShape(0.1, 0.8),
        s.vIso(0.1).toShape(0.2, 0.7),
    ]
    face = Part.Face(s, Part.Wire(edges))
    face.validate()
    return face


def clamped_off():
    """A B-spline surface whose knots are not clamped at the ends."""
    s = Part.BSplineSurface()
    poles = [[Vector(i * 100, j * 100, (i * j) % 3 * 10) for j in range(5)] for i in range(6)]
    knots_u, knots_v = [float(k) for k in range(10)], [0.0, 1.0, 2.0]
    s.buildFromPolesMultsKnots(poles, [1] * 10, [4, 1, 4], knots_u, knots_v, False, False, 3, 3)
    return s.toShape()


FACES = {
    "plane": lambda: Part.makeBox(1000, 2000, 3000).Faces[0],
    "cylinder": lambda: Part.makeCylinder(1000, 3000).Faces[0],
    "cylinder of 120 degrees": lambda: Part.makeCylinder(
        1000, 3000, Vector(), Vector(0, 0, 1), 120
    ).Faces[0],
    "cone": lambda: Part.makeCone(1000, 500, 3000).Faces[0],
    "sphere": lambda: Part.makeSphere(1000).Faces[0],
    "part of a sphere": lambda: Part.makeSphere(
        1000, Vector(), Vector(0, 0, 1), -30, 40, 200
    ).Faces[0],
    "torus": lambda: Part.makeTorus(4000, 1500).Faces[0],
    "B-spline": lambda: wavy().toShape(),
    "B-spline, moved": lambda: moved(wavy().toShape()),
    "part of a B-spline": iso_trimmed,
    "unclamped B-spline": clamped_off,
}


@pytest.mark.parametrize("kind", FACES)
def test_patch_lies_on_the_face_and_covers_it(kind):
    face = FACES[kind]()
    if kind == "unclamped B-spline":
        s = face.Surface
        assert s.getUMultiplicities()[0] == 1, "the host clamped it: nothing is tested"
    before = face.exportBrepToString()
    patch = patch_from_face(face, kind)
    assert face.exportBrepToString() == before, "the user's shape was changed"
    rng = np.random.default_rng(5)
    u, v = rng.uniform(*patch.u_range, 60), rng.uniform(*patch.v_range, 60)
    points = patch.points(u, v)
    off = max(face.distToShape(Part.Vertex(Vector(*p)))[0] for p in points)
    # and the other way round: the area by quadrature per knot span is the host's
    area = _area(patch)
    share = abs(area / face.Area - 1.0)
    print(f"{kind}: {off:.1e} mm off the face, area differs by {share:.1e}")
    assert off < 1e-9 * 1e4
    assert share < 1e-6  # the host's own area is no better


def _area(patch):
    x, w = np.polynomial.legendre.leggauss(24)

    def nodes(breaks):
        half = np.diff(breaks) / 2
        middle = (breaks[1:] + breaks[:-1]) / 2
        return (middle[:, None] + half[:, None] * x).ravel(), (half[:, None] * w).ravel()

    (u, wu), (v, wv) = nodes(patch.breaks_u), nodes(patch.breaks_v)
    uu, vv = np.meshgrid(u, v, indexing="ij")
    jet = patch.jets(uu.ravel(), vv.ravel(), 1)
    element = np.linalg.norm(np.cross(jet.su, jet.sv), axis=1)
    return float(element @ np.outer(wu, wv).ravel())


def test_trimmed_face_is_refused_with_its_place():
    face = wavy().toShape()
    cut = face.cut(Part.makeBox(8000, 8000, 8000, Vector(-500, -4000, 400)))
    with pytest.raises(PlanError) as caught:
        patch_from_face(cut.Faces[0], "Hull")
    print(caught.value)
    assert caught.value.what.startswith("Hull is a trimmed face")
    assert "mm" in caught.value.where and caught.value.remedy


def test_face_with_a_hole_is_refused():
    outer = Part.makePolygon([Vector(0, 0), Vector(100, 0), Vector(100, 100), Vector(0, 100), Vector(0, 0)])
    inner = Part.makePolygon([Vector(40, 40), Vector(60, 40), Vector(60, 60), Vector(40, 60), Vector(40, 40)])
    face = Part.Face([Part.Wire(outer), Part.Wire(inner)])
    with pytest.raises(PlanError, match="hole"):
        patch_from_face(face, "Hull")


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_pole_that_is_no_number_is_refused(bad):
    s = wavy()
    s.setPole(3, 2, Vector(100, bad, 0))
    with pytest.raises(PlanError) as caught:
        patch_from_face(_unchecked_face(s), "Hull")
    print(caught.value)
    assert "pole" in caught.value.what and "(3, 2)" in caught.value.where


class _unchecked_face:
    """Stands for a face read from a spoilt file: the host makes none with such poles."""

    def __init__(self, surface):
        self.Surface = surface

    def isNull(self):
        return False


def test_collapsed_poles_are_refused():
    s = wavy()
    for i in range(1, s.NbUPoles + 1):
        for j in range(1, s.NbVPoles + 1):
            s.setPole(i, j, Vector(float(i), 0, 0))
    with pytest.raises(PlanError, match="no surface"):
        patch_from_face(s.toShape(), "Hull")
