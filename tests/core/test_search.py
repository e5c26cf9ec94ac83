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

from strakeplan.core.checks.limits import Limits
from strakeplan.core.checks.verdict import Job
from strakeplan.core.errors import PlanError
from strakeplan.core.search.judge import IMPOSSIBLE, Judge
from strakeplan.core.search.search import search
from strakeplan.core.search.space import Design, Kind, Space
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


def test_spaces_that_cannot_be():
    for bad in (dict(counts=(9, 3)), dict(counts=(0, 3)), dict(bow=(0.8, 0.3)), dict(stern=(0.5, 1.5)),
                dict(pull=(1.0, 0.0))):  # fmt: skip
        with pytest.raises(PlanError) as caught:
            Space(**bad)
        print(caught.value)
