# SPDX-License-Identifier: LGPL-2.1-or-later
"""Taut lines that cannot be: refused by name, place and remedy, and the place is the true one.

Where a line leaves the hull is found once more by `geodesic_ode` and compared with the message.
"""

import re

import hulls
import numpy as np
import pytest
from geodesic_ode import shoot
from test_taut_hull import SIDING, Y, hull, on_section, on_stem, on_transom, spans

from strakeplan.core.errors import PlanError
from strakeplan.core.lines.batten import batten_line
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.relax import end_pull
from strakeplan.core.lines.taut import taut_between_ends, taut_line, taut_through_marks
from strakeplan.core.surface import SurfaceSettings, planked_surface

PLACE = 30.0       # mm; a place in a message is looked up at some hundred points of the line


def refused(work, *words):
    """The PlanError of `work`, with hull, place, remedy and the words wanted."""
    with pytest.raises(PlanError) as caught:
        work()
    error = caught.value
    print(str(error))
    assert error.what.startswith("Marram: ") and error.remedy
    for word in words:
        assert word in str(error), (word, str(error))
    return error


def place_of(error, axis="X"):
    return float(re.search(rf"{axis} = (-?\d+) mm", error.where).group(1))


def marked(fore, aft):
    """Independent geodesic between two aim marks, and its directions at them, out of them."""
    s = spans()
    uv0, uv1 = on_section(*fore), on_section(*aft)
    guess = s.points(*uv1) - s.points(*uv0)
    run, missed = shoot(s, uv0, uv1, guess, np.linalg.norm(guess))
    assert missed < 1e-6
    out = []
    for k, sign in ((0, -1.0), (-1, 1.0)):
        u, v, du, dv = run.state[k]
        d = s.jets(u, v)
        out.append(((u, v), sign * (du * d[1, 0] + dv * d[0, 1])))
    return run, out


@pytest.mark.parametrize("fore, aft, end, leaves, remedy", [
    ((3000.0, 500.0), (6000.0, 100.0), "stern", "climbs over the sheer", "lower"),
    ((6000.0, 100.0), (9000.0, 500.0), "stem", "climbs over the sheer", "lower"),
    ((3000.0, 1500.0), (8000.0, 1900.0), "stern", "runs under the rabbet", "raise"),
    ((3000.0, 1800.0), (8000.0, 1100.0), "stem", "runs under the rabbet", "raise"),
])  # fmt: skip
def test_aim_marks_whose_line_leaves_before_it_reaches_an_end(fore, aft, end, leaves, remedy):
    error = refused(lambda: taut_through_marks(hull(), fore, aft), leaves, f"before it reaches the {end}",
                    "100 mm" if "sheer" in leaves else "mm")
    assert remedy in error.remedy
    s = spans()
    start, t = marked(fore, aft)[1][0 if end == "stem" else 1]

    def outside(y, span):
        return min(y[1], s.jets(y[0], y[1], span)[0, 0, Y] - SIDING)

    x = s.geodesic(start, t, 20000.0, stop=outside).p[-1, 0]
    print(f"leaves at X = {x:.1f} mm by DOP853")
    assert abs(place_of(error) - x) < PLACE


@pytest.mark.parametrize("bow, stern", [(500.0, 400.0), (100.0, 100.0), (1300.0, 30.0)])
def test_end_marks_whose_line_climbs_over_the_sheer(bow, stern):
    error = refused(lambda: taut_between_ends(hull(), bow, stern), "climbs over the sheer", f"{bow:.0f} mm",
                    f"{stern:.0f} mm", "stem", "stern")
    assert "lower" in error.remedy
    s = spans()
    uv0, uv1 = on_stem(bow), on_transom(stern)
    string = geodesic_between(hull().patch, uv0, uv1)      # no more than a first aim
    run, missed = shoot(s, uv0, uv1, end_pull(string, 0), string.length)
    assert missed < 1e-6
    k = int(np.argmax(run.state[:, 1] < 0.0))
    assert k > 0
    x = np.interp(0.0, -run.state[k - 1 : k + 1, 1], run.p[k - 1 : k + 1, 0])
    print(f"leaves near X = {x:.0f} mm by DOP853")
    assert abs(place_of(error) - x) < PLACE


def test_aim_marks_whose_line_climbs_over_the_sheer_between_them():
    error = refused(lambda: taut_through_marks(hull(), (3000.0, 100.0), (8000.0, 100.0)),
                    "climbs over the sheer", "X = 3000 mm", "X = 8000 mm")
    run, _ = marked((3000.0, 100.0), (8000.0, 100.0))
    k = int(np.argmax(run.state[:, 1] < 0.0))
    x = np.interp(0.0, -run.state[k - 1 : k + 1, 1], run.p[k - 1 : k + 1, 0])
    print(f"leaves near X = {x:.0f} mm by DOP853")
    assert "lower" in error.remedy and abs(place_of(error) - x) < PLACE


@pytest.mark.parametrize("fore, aft, words", [
    ((3000.0, 9000.0), (8000.0, 900.0), ("9000", "off the girth", "X = 3000 mm")),
    ((3000.0, 900.0), (8000.0, -5.0), ("-5", "off the girth", "X = 8000 mm")),
    ((8000.0, 900.0), (1000.0, 2000.0), ("2000", "off the girth", "X = 1000 mm")),
])
def test_aim_marks_off_the_girth(fore, aft, words):
    error = refused(lambda: taut_through_marks(hull(), fore, aft), *words)
    # the girth that there is, which the remedy refers to, found independently
    x, girth = next((x, g) for x, g in (fore, aft) if f"X = {x:.0f} mm" in error.where)
    s = spans()
    whole = s.level_curve([s.u_on_sheer(0, x), 0.0], 0, 20000.0, 1,
                          stop=lambda y, span: s.jets(y[0], y[1], span)[0, 0, Y] - SIDING).length
    said = float(re.search(r"girth is ([\d.]+) mm", error.where).group(1))
    print(f"the girth at X = {x:.0f} mm is {whole:.4f} mm, the message says {said}")
    assert abs(said - whole) <= 0.051 and not 0.0 <= girth <= whole


@pytest.mark.parametrize("bow, stern, edge, length", [
    (1494.0, 500.0, "stem", "1493.8"), (-1.0, 500.0, "stem", "1493.8"), (500.0, 1400.0, "stern", "1330.7"),
])  # fmt: skip
def test_end_marks_off_their_edge(bow, stern, edge, length):
    refused(lambda: taut_between_ends(hull(), bow, stern), f"off the {edge} edge", length, "starboard")


@pytest.mark.parametrize("fore, aft", [((3000.0, 900.0), (3000.0, 1000.0)), ((3000.0, 900.0), (3000.5, 900.0))])
def test_aim_marks_at_one_station(fore, aft):
    error = refused(lambda: taut_through_marks(hull(), fore, aft), "X = 3000 mm")
    assert "apart" in error.remedy


@pytest.mark.parametrize("marks", [((-500.0, 500.0), (8000.0, 1000.0)), ((3000.0, 500.0), (12000.0, 1000.0))])
def test_aim_marks_off_the_hull(marks):
    off = next(x for x, _ in marks if not 0.0 < x < 11000.0)
    error = refused(lambda: taut_through_marks(hull(), *marks), f"X = {off:.0f} mm", "X = 11000 mm")
    assert "station" in error.remedy


@pytest.mark.parametrize("find", [
    lambda h: taut_between_ends(h, float("nan"), 500.0),
    lambda h: taut_between_ends(h, 500.0, float("inf")),
    lambda h: taut_through_marks(h, (3000.0, float("nan")), (8000.0, 1000.0)),
    lambda h: taut_through_marks(h, (float("nan"), 500.0), (8000.0, 1000.0)),
])  # fmt: skip
def test_marks_that_are_no_numbers(find):
    refused(lambda: find(hull()))


def test_places_are_called_by_the_models_own_coordinates():
    """Bow at the other end and the length along Y: messages speak the model's language."""
    turn = np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]])
    other = planked_surface(hulls.demo().transformed(turn), SurfaceSettings(half_siding=SIDING, name="Marram"))
    here = refused(lambda: taut_between_ends(hull(), 500.0, 400.0))
    there = refused(lambda: taut_between_ends(other, 500.0, 400.0), "Y = -")
    assert place_of(there, "Y") == -place_of(here)


@pytest.mark.parametrize("work, says, remedy", [
    (lambda: taut_line(hull(), [Mark.at(5600.0, 1700.0)], heading=0.3), "climbs over the sheer before it reaches the stem",
     "lower the mark, or give a heading that falls less going aft"),
    (lambda: taut_line(hull(), [Mark.at(1500.0, 400.0)], heading=-0.1), "climbs over the sheer before it reaches the stern",
     "lower the mark, or give a heading that falls more going aft"),
    (lambda: taut_line(hull(), [Mark.at(1500.0, 1100.0)], heading=0.3), "runs under the rabbet before it reaches the stern",
     "raise the mark, or give a heading that falls less going aft"),
    (lambda: taut_line(hull(), [Mark.end("stem", 800.0), Mark.at(3000.0, 100.0)]), "climbs over the sheer", "lower the marks"),
    (lambda: taut_through_marks(hull(), (3000.0, 500.0), (6000.0, 100.0)), "climbs over the sheer", "lower the aim marks"),
    (lambda: batten_line(hull(), [Mark.at(3000.0, 500.0), Mark.at(5600.0, 400.0), Mark.at(7000.0, 50.0)]),
     "before it reaches the stern", "lower the last mark of the batten"),
    (lambda: batten_line(hull(), [Mark.at(3500.0, 50.0), Mark.at(5600.0, 500.0), Mark.at(8000.0, 500.0)]),
     "before it reaches the stem", "lower the first mark of the batten"),
])  # fmt: skip
def test_what_is_run_on_says_what_steers_it(work, says, remedy):
    """Headings and battens have no aim marks."""
    error = refused(work, says)
    assert error.remedy == remedy and "X = " in error.where
