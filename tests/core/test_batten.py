# SPDX-License-Identifier: LGPL-2.1-or-later
"""The batten line on the demonstration hull: marks, tolerances, held ends, and what must change nothing."""

from batten_cases import demo_marks, demo_uv
import numpy as np
import pytest
from demoplan import demo_hull

from strakeplan.core.develop import edge_set
from strakeplan.core.errors import PlanError
from strakeplan.core.lines.batten import batten_line, batten_on_patch
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.taut import taut_between_ends

POSITION = 1e-4  # mm, asked for


# --- the taut line, marks and tolerances -------------------------------------------------------
def test_two_marks_give_the_taut_line():
    hull = demo_hull()
    line = batten_line(hull, [Mark.end("stem", 900.0), Mark.end("stern", 800.0)])
    taut = taut_between_ends(hull, 900.0, 800.0)
    share = np.linspace(0.0, 1.0, 101)
    off = np.linalg.norm(
        line.curve.points(share * line.curve.length) - taut.curve.points(share * taut.curve.length), axis=1).max()
    print(f"two marks on the ends: {off:.1e} mm from the taut line, bending {line.bending:.1e} 1/mm")
    assert off < 1e-6 and line.bending < 1e-20


def test_marks_on_a_taut_line_give_it_back():
    hull = demo_hull()
    taut = taut_between_ends(hull, 900.0, 800.0)
    p = taut.curve.points(np.array([0.15, 0.4, 0.7, 0.88]) * taut.curve.length)
    line = batten_line(hull, [Mark(point=tuple(q)) for q in hull.frame.points_to_model(p)])
    share = np.linspace(0.0, 1.0, 101)
    off = np.linalg.norm(
        line.curve.points(share * line.curve.length) - taut.curve.points(share * taut.curve.length), axis=1).max()
    print(f"four marks on a taut line, run on to both ends: {off:.1e} mm from it; {line.notes}")
    assert off < 1e-5 and line.notes == ()
    assert abs(line.s_bow - taut.s_bow) < 1e-5 and abs(line.s_stern - taut.s_stern) < 1e-5


def test_a_straight_batten_on_the_taut_line_has_no_edge_set():
    """Common practice, no source: it lies with no edge set, whatever its width."""
    line = batten_line(demo_hull(), [Mark.at(3000.0, 900.0), Mark.at(8000.0, 950.0)])
    value, _ = edge_set(line.curve, line.curve.length)
    print(f"edge set over {line.curve.length:.0f} mm: {value:.1e} mm")
    assert value < 1e-6


def fair_marks(error=0.0, at=4, n=9):
    """Marks on a fair line of the demonstration hull, one of them off it by `error` mm keelwards."""
    hull = demo_hull()
    fair = batten_line(hull, [Mark.at(2500.0, 850.0), Mark.at(5600.0, 1120.0), Mark.at(9000.0, 900.0)])
    c = fair.curve.at(np.linspace(0.12, 0.9, n) * fair.curve.length)
    p = c.p.copy()
    p[at] += error * c.b[at]
    return fair, [Mark(point=tuple(q)) for q in hull.frame.points_to_model(p)]


@pytest.mark.parametrize("at", [1, 4, 7])
def test_a_bad_mark_is_named(at):
    fair, marks = fair_marks(10.0, at)
    line = batten_line(demo_hull(), marks)
    without = batten_line(demo_hull(), marks[:at] + marks[at + 1 :])
    bad = line.marks[at]
    c = line.curve.at([bad.s])
    near = without.curve.at([without.curve.length * bad.s / line.curve.length])
    for _ in range(6):
        near = without.curve.at(near.s + np.einsum("ij,ij->i", c.p - near.p, near.t))
    truly = float((near.p - c.p)[0] @ c.b[0])
    print(f"{line.notes}; left out, the line moves {truly:.4f} mm there, told {bad.moves:.4f} mm")
    assert [m.unfair for m in line.marks] == [k == at for k in range(len(marks))]
    assert len(line.notes) == 1 and bad.label in line.notes[0]
    assert abs(bad.moves - truly) < 0.01
    assert -14.0 < bad.moves < -6.0


@pytest.mark.parametrize("at", [1, 4, 7])
def test_a_bad_mark_is_not_followed_beyond_its_tolerance(at):
    fair, marks = fair_marks(10.0, at)
    hull = demo_hull()
    exact = batten_line(hull, marks)
    line = batten_line(hull, marks, tolerance=3.0)
    offsets = np.array([m.offset for m in line.marks])
    pulls = np.array([m.pull for m in line.marks])
    # measured again: distance of every mark from the line
    p = hull.frame.points_to_ship(np.array([m.point for m in marks]))
    s = np.linspace(0.0, line.curve.length, 20001)
    q = line.curve.points(s)
    far = np.array([np.linalg.norm(q - one, axis=1).min() for one in p])
    print(f"offsets {np.round(offsets, 3)}, measured {np.round(far, 3)} mm, bending {line.bending:.3e}, "
          f"through the marks {exact.bending:.3e} 1/mm; {line.notes}")
    assert np.all(far < 3.0 + 2e-2) and abs(far[at] - 3.0) < 2e-2
    assert offsets[at] < 0.0 and line.bending < 0.6 * exact.bending
    assert [m.unfair for m in line.marks] == [k == at for k in range(len(marks))]
    # a mark pulls only where the line lies hard against its tolerance, and then back to itself
    hard = np.abs(offsets) > 3.0 - 1e-6
    most = np.abs(pulls).max()
    print(f"pulls {pulls} 1/mm^2")
    assert np.all(np.abs(pulls[~hard]) < 1e-6 * most) and np.all(pulls[hard] * offsets[hard] < 0.0)


def test_fair_marks_are_not_blamed():
    _, marks = fair_marks(0.0)
    line = batten_line(demo_hull(), marks)
    print(f"fair marks: moves {[round(m.moves, 2) for m in line.marks]} mm")
    assert line.notes == () and not any(m.unfair for m in line.marks)


def test_a_wide_tolerance_lets_the_batten_lie_straight():
    _, marks = fair_marks(10.0)
    line = batten_line(demo_hull(), marks, tolerance=120.0)
    exact = batten_line(demo_hull(), marks)
    value, _ = edge_set(line.curve, 5000.0)
    print(f"bending {line.bending:.1e} for {exact.bending:.1e} 1/mm, edge set {value:.1e} mm, "
          f"offsets {[round(m.offset, 1) for m in line.marks]}")
    assert line.bending < 1e-9 * exact.bending and value < 1e-3
    assert max(abs(m.offset) for m in line.marks) <= 120.0


# --- held ends ---------------------------------------------------------------------------------
@pytest.mark.parametrize("angle", [0.0, 0.06, -0.04])
def test_held_bow_has_the_angle_asked_for(angle):
    """Measured with the string from the first mark to the second; positive to the keel's side."""
    hull = demo_hull()
    marks = [Mark.end("stem", 900.0), *demo_marks()[1:-1], Mark.end("stern", 800.0)]
    line = batten_line(hull, marks, hold_bow=angle)
    string = batten_line(hull, [marks[0], marks[1]])
    a, b = (x.curve.at([0.0]) for x in (line, string))
    turned = np.arctan2(a.t[0] @ b.b[0], a.t[0] @ b.t[0])
    print(f"held at {angle}: leaves the string by {turned:.9f} rad, kappa_g there {a.kappa_g[0]:.2e} 1/mm")
    assert abs(turned - angle) < 1e-7


def test_held_as_it_lies_freely_changes_nothing():
    hull = demo_hull()
    marks = [Mark.end("stem", 900.0), *demo_marks()[1:-1], Mark.end("stern", 800.0)]
    free = batten_line(hull, marks)
    angles = []
    for pair, end, sign in ((marks[:2], 0.0, 1.0), (marks[-2:], 1.0, -1.0)):
        string = batten_line(hull, pair)
        a, b = (x.curve.at([end * x.curve.length]) for x in (free, string))
        angles.append(sign * np.arctan2(a.t[0] @ b.b[0], a.t[0] @ b.t[0]))
    held = batten_line(hull, marks, 0.0, *angles)
    off = np.linalg.norm(held.curve.sample(101).p - free.curve.sample(101).p, axis=1).max()
    print(f"held at {np.degrees(angles)} deg as it lies: {off:.1e} mm off")
    assert off < POSITION


# --- what must change nothing ------------------------------------------------------------------
def test_invariances():
    patch, marks = demo_hull().patch, demo_uv()
    share = np.linspace(0.0, 1.0, 101)
    u0, u1 = patch.u_range
    curve = batten_on_patch(patch, marks)
    p = curve.points(share * curve.length)
    flip = np.diag([1.0, -1.0, 1.0])
    turned = np.stack([u0 + u1 - marks[:, 0], marks[:, 1]], axis=1)
    others = {
        "mirrored": (patch.transformed(flip), marks, lambda q: q @ flip),
        "marks reversed": (patch, marks[::-1], lambda q: q[::-1]),
        "a thousandth the size": (patch.transformed(1e-3 * np.eye(3)), marks, lambda q: 1e3 * q),
        "moved far away": (patch.transformed(np.eye(3), (2e4, -1e4, 3e4)), marks, lambda q: q - [2e4, -1e4, 3e4]),
        "u and v exchanged": (patch.swapped(), marks[:, ::-1], lambda q: q),
        "u reversed": (patch.reversed_u(), turned, lambda q: q),
        "more knots": (patch.with_knots(u=[0.33, 0.61], v=[0.47]), marks, lambda q: q),
    }
    for name, (other, uv, back) in others.items():
        same = batten_on_patch(other, uv)
        off = np.linalg.norm(back(same.points(share * same.length)) - p, axis=1).max()
        print(f"{name}: {off:.1e} mm")
        assert off < 1e-5


def test_error_told_bounds_the_true_one():
    """Against elements of degree 12."""
    hull = demo_hull()
    line = batten_line(hull, demo_marks())
    inner = line.curve.between(line.marks[0].s, line.marks[-1].s)
    best = batten_on_patch(hull.patch, demo_uv(), degree=12, elements=24)
    share = np.linspace(0.0, 1.0, 201)
    off = np.linalg.norm(inner.points(share * inner.length) - best.points(share * best.length), axis=1).max()
    print(f"true error {off:.1e} mm, told {line.error_position:.1e} mm; length {inner.length - best.length:+.1e}")
    assert off < line.error_position < 1e-2 and off < POSITION


def test_fifty_marks():
    hull = demo_hull()
    fair, marks = fair_marks(n=50)
    line = batten_line(hull, marks)
    p = hull.frame.points_to_ship(np.array([m.point for m in marks]))
    through = np.linalg.norm(line.curve.points(np.array([m.s for m in line.marks])) - p, axis=1).max()
    print(f"50 marks: {line.curve.pieces} pieces, misses them by {through:.1e} mm, bending "
          f"{line.bending / fair.bending:.6f} of the fair line's; {line.notes}")
    assert through < 1e-5 and abs(line.bending / fair.bending - 1.0) < 0.05


# --- errors ------------------------------------------------------------------------------------
GOOD = [Mark.at(2500.0, 850.0), Mark.at(5600.0, 1120.0), Mark.at(9000.0, 900.0)]
BAD = {
    "one mark": (GOOD[:1], {}, "two marks"),
    "out of order": ([GOOD[1], GOOD[0], GOOD[2]], {}, "order"),
    "two at one station": ([*GOOD[:2], Mark.at(5600.0, 900.0)], {}, "one to a station"),
    "two at one place": ([GOOD[0], GOOD[1], GOOD[1], GOOD[2]], {}, "at one place"),
    "stem mark in the middle": ([GOOD[0], Mark.end("stem", 500.0), GOOD[2]], {}, "from the stem aft"),
    "off the girth": ([GOOD[0], Mark.at(5600.0, 9000.0)], {}, "off the girth"),
    "picked off the hull": ([GOOD[0], Mark(point=(5600.0, 4000.0, 0.0))], {}, "off the planked surface"),
    "climbs over the sheer": (
        [Mark.at(3500.0, 20.0), Mark.at(5600.0, 1600.0), Mark.at(7500.0, 20.0)], {}, "over the sheer"),
    "negative tolerance": (GOOD, {"tolerance": -1.0}, "tolerance"),
    "too few tolerances": (GOOD, {"tolerance": [1.0, 2.0]}, "tolerance"),
    "no number": (GOOD, {"tolerance": float("nan")}, "tolerance"),
    "held backwards": (GOOD, {"hold_bow": 3.0}, "At the bow"),
}


@pytest.mark.parametrize("case", BAD)
def test_errors_say_what_where_and_what_to_do(case):
    marks, options, word = BAD[case]
    with pytest.raises(PlanError) as caught:
        batten_line(demo_hull(), marks, **options)
    print(f"{case}: {caught.value}")
    assert word in str(caught.value) and "Marram" in str(caught.value)
    assert caught.value.remedy
