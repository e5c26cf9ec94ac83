# SPDX-License-Identifier: LGPL-2.1-or-later
"""Stations by list or spacing, with names and half stations, and refused where they cut nothing."""

import hulls
import numpy as np
import pytest

from strakeplan.core.errors import PlanError
from strakeplan.core.stations import Station, add_half_stations, stations_at, stations_spaced
from strakeplan.core.surface import SurfaceSettings, planked_surface

SETTINGS = SurfaceSettings(half_siding=45.0)


@pytest.fixture(scope="module")
def hull():
    """Bow at x = 0, stern at x = 11000."""
    return planked_surface(hulls.demo(), SETTINGS)


@pytest.fixture(scope="module")
def turned():
    """Bow at x = 11000, stern at x = 0."""
    m = np.diag([-1.0, 1.0, 1.0])
    return planked_surface(hulls.demo().transformed(m, (11000.0, 0.0, 0.0)), SETTINGS)


def names(stations):
    return [s.name for s in stations]


def places(stations):
    return [s.x for s in stations]


def test_spacing_counts_from_the_stem_head_aft(hull, turned):
    a, b = stations_spaced(hull, 1000.0), stations_spaced(turned, 1000.0)
    print(names(a), places(a), places(b))
    assert names(a) == names(b) == [str(k) for k in range(1, 11)]
    assert places(a) == [1000.0 * k for k in range(1, 11)]
    assert np.abs(np.array(places(b)) - [11000.0 - 1000.0 * k for k in range(1, 11)]).max() < 1e-9
    # the siding moves the stem head of the planking, not the stations
    bare = planked_surface(hulls.demo(), SurfaceSettings())
    assert places(stations_spaced(bare, 1000.0)) == places(a)


def test_half_stations_of_a_spacing(hull):
    s = stations_spaced(hull, 1000.0, half=True)
    print(names(s))
    assert names(s)[:3] == ["1/2", "1", "1 1/2"] and names(s)[-2:] == ["10", "10 1/2"]
    assert places(s) == [500.0 * k for k in range(1, 22)]


def test_spacing_from_an_origin_amidships(hull):
    s = stations_spaced(hull, 3000.0, origin=6000.0, half=True)
    print(list(zip(names(s), places(s))))
    assert names(s) == ["-1 1/2", "-1", "-1/2", "0", "1/2", "1", "1 1/2"]
    assert places(s) == [1500.0, 3000.0, 4500.0, 6000.0, 7500.0, 9000.0, 10500.0]


@pytest.mark.parametrize("given", [
    [1000, 2500.5, 4000], ["1000", "2500.5 mm", "4000"], "1000; 2500.5; 4000", "1000, 2500.5 mm, 4000",
    [4000, 2500.5, 1000], np.array([1000, 2500.5, 4000]), [Station("1", 1000.0), ("2", 2500.5), "3: 4000"],
])  # fmt: skip
def test_lists_in_every_form(hull, given):
    s = stations_at(hull, given)
    print(given, s)
    assert s == (Station("1", 1000.0), Station("2", 2500.5), Station("3", 4000.0))


def test_a_list_is_numbered_from_the_bow(turned):
    s = stations_at(turned, [1000, 2500, 4000])
    print(s)
    assert s == (Station("1", 4000.0), Station("2", 2500.0), Station("3", 1000.0))


def test_names_and_half_stations_of_a_list(hull):
    s = stations_at(hull, ["A: 1000", "mid: 3000", "7: 6000"], half=True)
    print(s)
    assert names(s) == ["A", "A 1/2", "mid", "mid 1/2", "7"]
    assert places(s) == [1000.0, 2000.0, 3000.0, 4500.0, 6000.0]
    assert add_half_stations(s[:1]) == s[:1] and add_half_stations(()) == ()


def test_every_station_cuts_the_planking(hull):
    lo, hi = hull.x_range
    for s in stations_spaced(hull, 137.0, half=True):
        cuts = hull.boundary.crossings(lambda uv, p, x=s.x: p[:, 0] - x)
        assert lo < s.x < hi and len(cuts), s
    print(f"planking from {lo:.3f} to {hi:.3f} mm")


@pytest.mark.parametrize("given, words", [
    ([1000, 3000, 2000], ("not in order", "2000 mm follows 3000 mm", "sort")),
    ([1000, 1000], ("same place", "1000 mm")),
    ([1000, 12000], ("station '2'", "12000", "abaft the stern")),
    ([0, 1000], ("station '1'", "ahead of the stem", "between 80 and 11000 mm")),
    ([-50, 1000], ("station '1'", "ahead of the stem")),
    (["A: 1000", "A: 2000"], ("called 'A'",)),
    (["A: forward"], ("no position", "'A: forward'")),
    ([float("nan")], ("no position",)),
    ([None], ("no position",)),
    ([], ("no stations", "spacing")),
    ("", ("no stations",)),
])  # fmt: skip
def test_bad_lists(hull, given, words):
    with pytest.raises(PlanError) as caught:
        stations_at(hull, given)
    print(caught.value)
    assert caught.value.remedy and all(w.lower() in str(caught.value).lower() for w in words)


@pytest.mark.parametrize("spacing, origin, words", [
    (0.0, None, ("0 mm", "above 0")), (-10.0, None, ("-10 mm",)), (float("nan"), None, ("nan",)), ("wide", None, ("nan",)),
    (1.0, None, ("does not suit",)), (1e5, None, ("does not suit", "10920 mm long")), (500.0, 5e4, ("off the hull",)),
    (500.0, float("nan"), ("off the hull",)),
])  # fmt: skip
def test_bad_spacings(hull, spacing, origin, words):
    with pytest.raises(PlanError) as caught:
        stations_spaced(hull, spacing, origin)
    print(caught.value)
    assert caught.value.remedy and all(w.lower() in str(caught.value).lower() for w in words)
