# SPDX-License-Identifier: LGPL-2.1-or-later
"""Faces and settings that cannot be planked are refused, with object, place and remedy."""

import hulls
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface


def changed(change):
    """The demonstration hull with its poles (12, 10, 3) changed."""
    p = hulls.demo()
    poles = np.array(p.poles)
    poles = change(poles)
    return SplinePatch(p.degree_u, p.degree_v, p.knots_u, p.knots_v, poles)


def plate(a, b, corner=(0, 0, 0)):
    corner, a, b = (np.array(x, float) for x in (corner, a, b))
    poles = np.array([[corner, corner + b], [corner + a, corner + a + b]])
    return SplinePatch(1, 1, [0, 0, 1, 1], [0, 0, 1, 1], poles)


def sphere():
    """Half a sphere, y > 0, as one face with two collapsed edges, exact."""
    r = np.sqrt(0.5)
    arc = np.array([[1, 0], [1, 1], [0, 1], [-1, 1], [-1, 0]], float)
    w = np.array([1, r, 1, r, 1])
    poles = np.array([[[x * c, y * c, s] for x, y in arc] for s, c in ((-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0))])
    knots = [0, 0, 0, 0.5, 0.5, 1, 1, 1]
    return SplinePatch(2, 2, knots, knots, 1000.0 * poles, np.outer(w, w))


def pipe():
    """Half a pipe lying fore and aft: round, but its upper edge is no sheer."""
    r = np.sqrt(0.5)
    arc = np.array([[0, 1], [1, 1], [1, 0], [1, -1], [0, -1]], float)
    poles = np.array([[[x, 500 * y, 500 * z] for y, z in arc] for x in (0.0, 6000.0)])
    return SplinePatch(1, 2, [0, 0, 1, 1], [0, 0, 0, 0.5, 0.5, 1, 1, 1], poles, np.tile([1, r, 1, r, 1], (2, 1)))


def knuckled(degrees):
    """The demonstration hull bent by an angle along v = 0.5, where the knots are made full."""
    p = hulls.demo()
    v = float(p.breaks_v[3])
    p = p.with_knots(v=[v] * (p.degree_v - 1))
    row = int(np.searchsorted(p.knots_v, v)) - 1
    poles = np.array(p.poles)
    u = 4
    a, b, c = poles[u, row - 1 : row + 2].copy()  # in line where nothing is bent
    axis = np.array([1.0, 0.0, 0.0])
    turn = np.radians(degrees)
    for i in range(poles.shape[0]):
        d = poles[i, row + 1] - poles[i, row]
        poles[i, row + 1] = poles[i, row] + d * np.cos(turn) + np.cross(axis, d) * np.sin(turn)
    assert np.linalg.norm(np.cross(b - a, c - b)) < 1e-6 * np.linalg.norm(b - a) * np.linalg.norm(c - b)
    return SplinePatch(p.degree_u, p.degree_v, p.knots_u, p.knots_v, poles)


def put(index, value):
    def change(poles):
        poles[index] = value
        return poles

    return lambda: changed(change)


def both_sides(poles):
    return np.concatenate([poles, (poles * [1, -1, 1])[:, -2::-1]], axis=1)


def whole_hull():
    p = hulls.demo()
    poles = both_sides(np.array(p.poles))
    knots = np.concatenate([[0] * 4, np.linspace(0, 1, poles.shape[1] - 2)[1:-1], [1] * 4])
    return SplinePatch(3, 3, p.knots_u, knots, poles)


def turned(matrix, shift=(0, 0, 0)):
    return lambda: hulls.demo().transformed(np.array(matrix, float), shift)


def in_plan(degrees):
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return turned([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def dented(poles):
    poles[5:8, 4:7, 1] = 10.0
    return poles


def rows_in_one(poles):
    poles[4:7] = poles[3]
    return poles


def crossed(poles):
    poles[[4, 7]] = poles[[7, 4]]
    return poles


FACES = {
    "pole not a number": (put((3, 4, 2), np.nan), {}, ("pole (4, 5)",)),
    "pole infinite": (put((0, 0, 0), np.inf), {}, ("pole (1, 1)",)),
    "side of a cube": (lambda: plate((1000, 0, 0), (0, 0, 1000), (0, 500, 0)), {}, ("flat", "choose")),
    "end of a cube": (lambda: plate((0, 1000, 0), (0, 0, 1000), (500, 0, 0)), {}, ("flat",)),
    "top of a cube": (lambda: plate((1000, 0, 0), (0, 1000, 0), (0, 0, 500)), {}, ("flat",)),
    "sphere": (sphere, {}, ("collapsed", "edge u0")),
    "pipe": (pipe, {}, ("upper edge", "no sheer")),
    "stem collapsed": (put(0, (0.0, 0.0, 1570.0)), {}, ("edge u0", "collapsed", "(0, 0, 1570)")),
    "no area inside": (lambda: changed(rows_in_one), {}, ("no area", "X = ", "u = ")),
    "folded": (lambda: changed(crossed), {}, ("folds back", "X = ")),
    "knuckle": (lambda: knuckled(0.5), {}, ("knuckle of 0.5", "X = ", "split the face")),
    "both sides": (whole_hull, {}, ("both sides", "one side only")),
    "on its side": (turned([[1, 0, 0], [0, 0, 1], [0, 1, 0]], (0, 1500, 0)), {}, ("on its side", "set up")),
    "keel up": (turned(np.diag([1, 1, -1])), {}, ("keel up", "-Z")),
    "off the centreplane": (turned(np.eye(3), (0, 2500, 0)), {}, ("no keel", "centreplane")),
    "turned in plan": (in_plan(35), {}, ("forward",)),
    "dented to the centreplane": (lambda: changed(dented), dict(half_siding=45.0), ("inside the planking", "X = ", "hollow")),
    "modelled in metres": (turned(0.001 * np.eye(3)), dict(half_siding=45.0), ("nothing is left", "45 mm", "modelled in mm")),
    "siding wider than the hull": (hulls.demo, dict(half_siding=2000.0), ("nothing is left", "1679", "smaller half siding")),
    "siding negative": (hulls.demo, dict(half_siding=-1.0), ("-1 mm", "stem")),
    "siding not a number": (hulls.demo, dict(half_siding_keel=float("nan")), ("nan mm", "keel")),
    "siding a word": (hulls.demo, dict(half_siding_post="wide"), ("sternpost",)),
}  # fmt: skip


@pytest.mark.parametrize("case", FACES)
def test_is_refused(case):
    build, settings, words = FACES[case]
    with pytest.raises(PlanError) as caught:
        planked_surface(build(), SurfaceSettings(name="Marram", **settings))
    text = str(caught.value)
    print(f"{case}: {text}")
    assert caught.value.remedy
    for word in words:
        assert word.lower() in text.lower(), (word, text)
    if not case.startswith("pole"):  # a face that is not even a surface has no name yet
        assert text.startswith("Marram: ")


def test_a_hundredth_of_a_degree_is_no_knuckle():
    hull = planked_surface(knuckled(0.01), SurfaceSettings(half_siding=45.0))
    print(f"bent by 0.01 degrees: accepted, boundary {hull.boundary.length:.3f} mm")
    assert hull.boundary.length > 12000.0


def test_rational_arcs_of_full_multiplicity_are_no_knuckles():
    patch = hulls.arc_hull()
    hull = planked_surface(patch, SurfaceSettings(half_siding=40.0))
    print("inner multiplicities", patch.mult_v[1:-1], "degree", patch.degree_v, "accepted")
    assert (patch.mult_v[1:-1] == patch.degree_v).all() and hull.trimmed.any()


@pytest.mark.parametrize("shape, settings, word", [
    (np.eye(3) * 0.01, {}, "millimetres"),
    (np.eye(3), {}, None),
])  # fmt: skip
def test_odd_but_possible_is_noted(shape, settings, word):
    hull = planked_surface(hulls.demo().transformed(shape), SurfaceSettings(**settings))
    print(hull.notes)
    odd = [n for n in hull.notes if "millimetres" in n or "lies elsewhere" in n]
    assert (len(odd) == 1 and word in odd[0]) if word else not odd


def test_a_hull_beside_its_centreplane_is_noted_and_a_small_overshoot_trimmed():
    beside = planked_surface(hulls.demo().transformed(np.eye(3), (0, 300, 0)), SurfaceSettings(half_siding=45.0))
    print(beside.notes)
    assert any("lies elsewhere" in n and "300 mm" in n for n in beside.notes)
    over = planked_surface(hulls.demo().transformed(np.eye(3), (0, -20, 0)), SurfaceSettings(half_siding=45.0))
    print(over.notes)
    assert any("overshoots the centreplane by up to 20.0 mm" in n for n in over.notes)
    want = planked_surface(hulls.demo(), SurfaceSettings(half_siding=65.0))
    gap = abs(over.boundary.length - want.boundary.length)
    print(f"20 mm over and 45 mm of siding is 65 mm of siding: {gap:.1e} mm")
    assert gap < 1e-8
