# SPDX-License-Identifier: LGPL-2.1-or-later
"""The search: the known best on a cylinder, and against a plain grid on three hulls."""

import time
from functools import lru_cache

import demoplan
import hulls
import numpy as np
import pytest
from scipy.interpolate import make_interp_spline
from scipy.optimize import brentq

from strakeplan.core.checks.landings import given_line
from strakeplan.core.checks.limits import Limits
from strakeplan.core.checks.verdict import Job
from strakeplan.core.errors import PlanError
from strakeplan.core.search.beside import Beside
from strakeplan.core.search.judge import IMPOSSIBLE, Judge
from strakeplan.core.search.search import search
from strakeplan.core.search.space import EFFORTS, Design, Effort, Kind, Space
from strakeplan.core.search.words import HEADINGS, outcome_row, present_row, search_words, shortfall
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface
from strakeplan.core.wood.handbook import species_named

NARROWEST, WIDEST, SIDING = 50.0, 150.0, 40.0
STRAKES = 12


def job(thickness=25.0, plank_length=4000.0):
    return Job(species_named("western larch").wood("12 %"), thickness, plank_length, 300.0)


def only(**limits):
    """Limits that look at nothing but what is named."""
    none = {name: None for name in Limits.__dataclass_fields__ if name != "always_spiled"}
    return Limits(**{**none, **limits})


@lru_cache(maxsize=None)
def cylinder():
    """The side of a round barge: a quarter of a cylinder, its planked arc twelve times 75 mm.

    75 mm leaves 50 mm and 150 mm the same margin: (150 - 75)/150 = (75 - 50)/50 = 1/2.
    """
    arc = STRAKES * 2.0 / (1.0 / WIDEST + 1.0 / NARROWEST)
    radius = brentq(lambda r: r * np.arccos(SIDING / r) - arc, 400.0, 2000.0)
    angle = np.linspace(0.0, np.pi / 2.0, 41)
    x = np.linspace(0.0, 5000.0, 6)
    points = np.empty((len(x), len(angle), 3))
    points[..., 0] = x[:, None]
    points[..., 1] = radius * np.cos(angle)
    points[..., 2] = -radius * np.sin(angle)
    along = make_interp_spline(x, points, 3)
    down = make_interp_spline(angle, np.swapaxes(along.c, 0, 1), 5)
    patch = SplinePatch(3, 5, along.t, down.t, np.swapaxes(down.c, 0, 1))
    return planked_surface(patch, SurfaceSettings(half_siding=SIDING, name="Round barge"))


def test_the_known_best_on_a_cylinder():
    """On a cylinder every straight or helical seam is a geodesic: only widths count.

    The line parallel to the sheer leaves (W - n)/(W + n) = 1/2 of margin to both limits of
    width, whatever the number above the line, if the strakes are 75 mm wide; no other does
    better, because some strake is then wider or narrower than 75 mm.
    """
    limits = only(narrowest=NARROWEST, widest=WIDEST)
    known = (WIDEST - NARROWEST) / (WIDEST + NARROWEST)
    found = search(cylinder(), job(), limits, Space(counts=(4, 11), easing=False, spiling=False))
    best = found.best[0]
    widths = best.checks.strakes.width
    print(f"margin {best.margin:.4f}, known best {known:.4f}; {best.design}; widths {np.nanmin(widths):.2f} to "
          f"{np.nanmax(widths):.2f} mm; {found.tried} tries")  # fmt: skip
    assert known - 0.02 < best.margin < known + 1e-3


@lru_cache(maxsize=None)
def three_hulls(name):
    if name == "demonstration":
        return demoplan.demo_hull()
    shape = dict(stern=0.0, beam=1200.0, rake=(900.0, 900.0)) if name == "double-ender" else dict(stern=0.5)
    return planked_surface(hulls.lofted(**shape), SurfaceSettings(half_siding=40.0, name=name.capitalize()))


def test_the_search_beats_a_plain_grid(name="transom stern"):
    """500 tries of a grid: 5 ends at the bow, 5 at the stern, 4 easings, 5 numbers of strakes.

    Both judge by the same quick look. Processor time is compared in one run and printed;
    what is asserted is the number of tries, and that the margin is greater. The other hulls are
    compared in tests/benchmarks/bench_search.py.
    """
    hull, limits = three_hulls(name), Limits()
    space = Space(counts=(9, 25), spiling=False)
    start = time.process_time()
    found = search(hull, job(), limits, space)
    took = time.process_time() - start
    quick = Judge(hull, job(), limits, space)
    best = max(quick.outcome(o.design).margin for o in found.best)
    start, grid = time.process_time(), []
    for bow in np.linspace(*space.bow, 5):
        for stern in np.linspace(*space.stern, 5):
            for share in np.linspace(0.0, 1.0, 4):
                for count in np.linspace(*space.counts, 5).astype(int):
                    kind = Kind(share > 0.0, False, False)
                    pull = space.design(hull, Kind(True, False, False), (0.0, 0.0, share), 9).pull
                    design = Design(kind, bow, stern, pull if share > 0.0 else 0.0, int(count))
                    grid.append(quick.outcome(design))
    grid_took = time.process_time() - start
    top = max(grid, key=lambda o: o.margin)
    print(f"{name}: search {best:.4f} in {found.tried} tries, {took:.1f} s; grid of {len(grid)} {top.margin:.4f}, "
          f"{grid_took:.1f} s; {found.best[0].design}; binds {found.best[0].binds}")  # fmt: skip
    assert len(grid) == 500 and found.tried < len(grid)
    assert best > top.margin > IMPOSSIBLE


def test_the_same_seed_tries_the_same():
    hull, limits = cylinder(), only(narrowest=NARROWEST, widest=WIDEST)
    space = Space(counts=(5, 8), easing=False, spiling=False)
    runs = []
    for seed in (3, 3, 4):
        told = []
        search(
            hull, job(), limits, space, seed, stop=lambda told=told: len(told) >= 40,
            tell=lambda n, of, top, told=told: told.append((n, top.design)),
        )  # fmt: skip
        runs.append(told)
    print(f"{len(runs[0])}, {len(runs[1])} and {len(runs[2])} tries")
    assert runs[0] == runs[1] and runs[0] != runs[2]


def test_it_can_be_stopped_and_keeps_what_it_has():
    hull, limits = cylinder(), only(narrowest=NARROWEST, widest=WIDEST)
    tries = []
    found = search(
        hull, job(), limits, Space(counts=(5, 8), easing=False, spiling=False),
        tell=lambda n, of, top: tries.append(n), stop=lambda: len(tries) >= 6,
    )  # fmt: skip
    print(f"stopped after {len(tries)} tries: margin {found.best[0].margin:.3f}")
    # six first looks, and the best of them worked out to the end
    assert found.stopped and tries == [1, 2, 3, 4, 5, 6, 7] and found.tried == 7 and found.best[0].plan is not None


def test_it_can_be_stopped_while_the_best_are_worked_out():
    hull, limits = cylinder(), only(narrowest=NARROWEST, widest=WIDEST, edge_set=80.0)
    space, few, whole = Space(counts=(5, 6), easing=False), Effort(3, 1, 2, 0), []
    every = search(hull, job(), limits, space, tell=lambda n, of, top: whole.append((n, of)), effort=few)
    first = len(whole) - len(every.best) + 1  # tries until the first one is worked out
    told = []
    found = search(
        hull, job(), limits, space, tell=lambda n, of, top: told.append((n, of)), stop=lambda: len(told) >= first,
        effort=few,
    )  # fmt: skip
    print(f"{len(whole)} tries, {len(every.best)} kinds; stopped after {len(told)}: {len(found.best)}; {whole[-3:]}")
    assert len(every.best) == 2 and whole[-1][0] == whole[-1][1] and not every.stopped
    assert found.stopped and len(found.best) == 1 and told == whole[:first]
    assert found.best[0].design in [o.design for o in every.best]


def test_the_same_seed_finds_the_same():
    hull, limits, few = cylinder(), only(narrowest=NARROWEST, widest=WIDEST), EFFORTS["few"]
    runs = [search(hull, job(), limits, Space(counts=(5, 7), easing=False, spiling=False), s, effort=few) for s in (5, 5)]
    print([(r.tried, r.best[0].margin, r.best[0].design) for r in runs])
    assert runs[0].tried == runs[1].tried and outcome_row(runs[0].best[0]) == outcome_row(runs[1].best[0])
    assert runs[0].best[0].margin == runs[1].best[0].margin


def test_given_lines_are_kept_clear_of():
    """A line between the fourth and the fifth seam of a cylinder, 0.4 of 75 mm from the fourth."""
    hull, limits = cylinder(), only(line_clear=20.0)
    design = Design(Kind(False, False, False), 5 / STRAKES, 5 / STRAKES, 0.0, 5)
    line = Judge(hull, job(), limits, Space()).line(Design(design.kind, 4.4 / STRAKES, 4.4 / STRAKES, 0.0, 5), True)
    judge = Judge(hull, job(), limits, Space(), Beside(lines=(given_line("Wale", line),)))
    quick, exact = judge.outcome(design), judge.outcome(design, exact=True)
    girth = 0.4 * 75.0  # mm along the arc
    print(f"margins {quick.margin:.4f}, {exact.margin:.4f}; {exact.binds}; along the arc {girth:.2f} mm")
    assert exact.binds.item.key == "clear of Wale" and exact.binds.label == "Seam 04"
    # the distance is measured straight: the chord of 30 mm of arc
    radius = float(np.linalg.norm(hull.patch.points(np.array([0.0]), np.array([0.0]))[0, 1:]))
    chord = 2.0 * radius * np.sin(0.5 * girth / radius)
    assert abs(exact.binds.value - chord) < 0.02 and abs(quick.margin - exact.margin) < 0.01
    assert abs(exact.margin - (chord - 20.0) / 20.0) < 1e-3


def test_a_longer_string_is_no_line():
    """Where several strings lie taut between two ends, a first look may come to one that is not the shortest."""
    hull = demoplan.demo_hull()
    judge = Judge(hull, job(), Limits(), Space())
    kind = Kind(False, False, False)
    for ends, borne in (((0.6995073818625961, 0.400926764288685), False), ((0.65, 0.65), True)):
        quick = judge.outcome(Design(kind, *ends, 0.0, 17))
        exact = judge.line(quick.design, exact=True).curve
        more = quick.plan.belts[0].lower.curve.length - exact.length
        print(f"ends {ends}: the first look's line is {more:.4f} mm longer; borne out: {judge.borne_out(quick)}")
        assert judge.borne_out(quick) == borne and (more < 0.1) == borne


def test_figures_side_by_side():
    """Of a plan that is there and of the same plan as an outcome: all but its name is the same."""
    hull, limits = cylinder(), only(narrowest=NARROWEST, widest=WIDEST)
    found = Judge(hull, job(), limits, Space()).outcome(
        Design(Kind(False, False, False), 0.5, 0.5, 0.0, 6), exact=True
    )
    rows = [dict(zip(HEADINGS, row)) for row in (outcome_row(found), present_row(found.plan, found.checks, False))]
    print(*rows, sep="\n")
    assert rows[0]["Least width amidships, mm"] == rows[0]["Greatest width amidships, mm"] == 75.0
    assert rows[0].pop("Slack, mm") == 0.0 and rows[1].pop("Slack, mm") is None
    assert rows[0].pop("Kind") != rows[1].pop("Kind") and rows[0] == rows[1]
    assert rows[0]["Margin, %"] == round(100.0 * found.margin, 1) and rows[0]["Equal strakes"] == 6


def test_it_says_what_binds_when_nothing_will_do():
    """Strakes between 99 and 100 mm on an arc that tapers: one limit is broken, and it says which."""
    hull, limits = three_hulls("transom stern"), only(narrowest=99.0, widest=100.0)
    tries = []
    found = search(
        hull, job(), limits, Space(counts=(5, 9), easing=False, spiling=False),
        tell=lambda n, of, top: tries.append(n), stop=lambda: len(tries) >= 60,
    )  # fmt: skip
    binds = found.best[0].binds
    print(f"margin {found.best[0].margin:.3f}: {binds}")
    assert not found.satisfies and binds.item.key in ("narrowest", "widest") and binds.margin < 0.0
    said = shortfall(found)
    print(said)
    assert binds.label in said and f"passes one by {-100.0 * binds.margin:.0f} %" in said
    assert "X = " in said and said == search_words(found)[-1]


def test_spaces_that_cannot_be():
    for bad in (dict(counts=(9, 3)), dict(counts=(0, 3)), dict(bow=(0.8, 0.3)), dict(stern=(0.5, 1.5)),
                dict(pull=(1.0, 0.0)), dict(parallel_width=0.0)):  # fmt: skip
        with pytest.raises(PlanError) as caught:
            Space(**bad)
        print(caught.value)
    for bad in (dict(seed=-1), dict(seed=0.5)):
        with pytest.raises(PlanError) as caught:
            search(cylinder(), job(), Limits(), Space(), **bad)
        print(caught.value)
    with pytest.raises(PlanError) as caught:
        Effort(0)
    print(caught.value)
