# SPDX-License-Identifier: LGPL-2.1-or-later
"""The same surface described otherwise carries the same taut line.

Compared at equal shares of the length, in the model's coordinates undone by the known motion.
Allowed: 1e-7 mm on a hull of 11 m, in proportion on a scaled one.
"""

from functools import lru_cache

import hulls
import numpy as np
import pytest
import surfaces
from test_taut_closed_forms import CASES

from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.taut import taut_between_ends, taut_through_marks
from strakeplan.core.surface import SurfaceSettings, planked_surface

SHARES = np.linspace(0.0, 1.0, 61)
ALLOWED = 1e-7
SIDING = 60.0
INCH = 25.4

TURN = np.array([[0.0, -1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])     # length along Y


def apart(points, wanted):
    return np.linalg.norm(points - wanted, axis=1).max()


# --- between two points of a surface --------------------------------------------------------------
def identity(uv):
    return uv


def forms(patch):
    """(label, patch, map of (u, v)) of the same surface."""
    (u0, u1), (v0, v1) = patch.u_range, patch.v_range
    some = [u0 + (u1 - u0) * f for f in (0.13, 0.37, 0.61, 0.83)]
    others = [v0 + (v1 - v0) * f for f in (0.21, 0.47, 0.72)]
    return [
        ("u and v exchanged", patch.swapped(), lambda uv: uv[::-1]),
        ("u reversed", patch.reversed_u(), lambda uv: np.array([u0 + u1 - uv[0], uv[1]])),
        ("v reversed", patch.reversed_v(), lambda uv: np.array([uv[0], v0 + v1 - uv[1]])),
        ("seven knots more", patch.with_knots(u=some, v=others), identity),
        ("degrees raised", surfaces.raised_degrees(patch), identity),
    ]


@pytest.mark.parametrize("case", ["torus", "prolate spheroid", "helicoid"])
def test_forms_of_a_known_surface(case):
    known, _, a, b = CASES[case]
    ends = [np.array([float(x) for x in known.uv(*e)]) for e in (a, b)]
    first = geodesic_between(known.patch, *ends, elements=24)
    p = first.points(SHARES * first.length)
    back = geodesic_between(known.patch, ends[1], ends[0], elements=24)
    found = {"ends exchanged": (back.length, back.points((1.0 - SHARES) * back.length))}
    for label, patch, way in forms(known.patch):
        curve = geodesic_between(patch, way(ends[0]), way(ends[1]), elements=24)
        found[label] = curve.length, curve.points(SHARES * curve.length)
    for label, (length, q) in found.items():
        print(f"{case}, {label}: length {length - first.length:+.1e}, line {apart(q, p):.1e} mm")
    for label, (length, q) in found.items():
        assert abs(length - first.length) < ALLOWED and apart(q, p) < ALLOWED, label


# --- the whole way from a face ----------------------------------------------------------------------
@lru_cache(maxsize=None)
def hull_as_drawn():
    return planked_surface(hulls.demo(), SurfaceSettings(half_siding=SIDING, name="Marram"))


FORE, AFT = (3000.0, 1000.0), (8000.0, 1100.0)


def lines(hull, scale=1.0, station=None):
    """Both taut lines of a hull whose size is `scale`; `station` maps x aft to the model's."""
    def identical(x):
        return scale * x

    station = station or identical
    return [
        taut_between_ends(hull, 800.0 * scale, 900.0 * scale),
        taut_through_marks(hull, (station(FORE[0]), FORE[1] * scale), (station(AFT[0]), AFT[1] * scale)),
    ]


@lru_cache(maxsize=None)
def wanted():
    return [(line.curve.length, line.curve.points(SHARES * line.curve.length)) for line in lines(hull_as_drawn())]


def check(label, patch, undo, scale=1.0, station=None, **settings):
    """Plan a changed face; `undo` takes model points back to the face as drawn."""
    settings = dict(dict(half_siding=SIDING * scale, name="Marram"), **settings)
    hull = planked_surface(patch, SurfaceSettings(**settings))
    for line, (length, p) in zip(lines(hull, scale, station), wanted()):
        q = undo(hull.frame.points_to_model(line.curve.points(SHARES * line.curve.length)))
        print(f"{label}: {line.kind.lower()}: length {line.curve.length / scale - length:+.1e}, "
              f"line {apart(q, p):.1e} mm at full size")
        assert abs(line.curve.length / scale - length) < ALLOWED
        assert apart(q, p) < ALLOWED


def same(p):
    return p


@pytest.mark.parametrize("form", range(5))
def test_forms_of_the_hull(form):
    label, patch, _ = forms(hulls.demo())[form]
    check(label, patch, same)


def test_aim_marks_in_the_other_order():
    a, b = lines(hull_as_drawn())[1], taut_through_marks(hull_as_drawn(), AFT, FORE)
    gap = apart(b.curve.points(SHARES * b.curve.length), a.curve.points(SHARES * a.curve.length))
    print(f"aim marks in the other order: {gap:.1e} mm")
    assert gap < 1e-12


def test_ends_exchanged_on_the_hull():
    patch, line = hull_as_drawn().patch, lines(hull_as_drawn())[0].curve
    back = geodesic_between(patch, line.nodes[-1, -1], line.nodes[0, 0], elements=16)
    gap = apart(back.points((1.0 - SHARES) * back.length), wanted()[0][1])
    print(f"string run from stern to bow: length {back.length - line.length:+.1e}, line {gap:.1e} mm")
    assert abs(back.length - line.length) < ALLOWED and gap < ALLOWED


OFFSET = np.array([1234.5, 0.0, -678.9])


@pytest.mark.parametrize("label, matrix, offset, station, settings", [
    ("moved along and up", np.eye(3), OFFSET, lambda x: x + OFFSET[0], {}),
    ("length along Y", TURN, np.zeros(3), lambda x: x, {}),
    ("length along Y, moved off the centreplane", TURN, np.array([250.0, 4000.0, 100.0]),
     lambda x: x + 4000.0, dict(centreplane=250.0)),
    ("mirrored to port", np.diag([1.0, -1.0, 1.0]), np.zeros(3), lambda x: x, {}),
    ("bow at the other end", np.diag([-1.0, 1.0, 1.0]), np.zeros(3), lambda x: -x, {}),
    ("turned half round", np.diag([-1.0, -1.0, 1.0]), np.zeros(3), lambda x: -x, {}),
    ("lying on its side, up = Y", np.array([[1.0, 0, 0], [0, 0, 1], [0, -1, 0]]).T @ np.diag([1.0, -1.0, 1.0]),
     np.zeros(3), lambda x: x, None),
])  # fmt: skip
def test_moved_hulls(label, matrix, offset, station, settings):
    if settings is None:
        settings = dict(up=tuple(matrix @ [0.0, 0.0, 1.0]), forward=tuple(matrix @ [-1.0, 0.0, 0.0]))
    patch = hulls.demo().transformed(matrix, offset)
    check(label, patch, lambda p: (p - offset) @ matrix, station=station, **settings)


@pytest.mark.parametrize("seed", [1, 2])
def test_turned_any_way(seed):
    m = hulls.rotation(seed)
    forward = m @ [-1.0, 0.0, 0.0]
    sense = -np.sign(forward[np.argmax(np.abs(forward))])
    check(f"rotation {seed}", hulls.demo().transformed(m), lambda p: p @ m, station=lambda x: sense * x,
          up=tuple(m @ [0.0, 0.0, 1.0]), forward=tuple(forward))


@pytest.mark.parametrize("label, scale", [("ten times", 10.0), ("a tenth", 0.1), ("modelled in inches", 1.0 / INCH)])
def test_scaled_hulls(label, scale):
    check(label, hulls.demo().transformed(scale * np.eye(3)), lambda p: p / scale, scale=scale)
