#!/usr/bin/python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Time and error of taut lines, beside an exact ellipsoid and an integrator of the same run.

    PYTHONPATH=FOLDER-WITH-PYGEODESY /usr/bin/python3 tests/benchmarks/bench_taut.py

Prints medians; nothing is asserted, for a clock is no test.  Cold: a patch never evaluated
before, and no guess but the straight line in the parameters.  Warm: the line known, one end then
moved by a millimetre or so, as when a mark is dragged.  Errors are against the closed forms of
test_taut_closed_forms and, on the hull, against the DOP853 integration of geodesic_ode.
"""

import os
import statistics
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
sys.path[:0] = [ROOT, os.path.join(ROOT, "examples"), os.path.join(ROOT, "tests", "core")]

import numpy as np  # noqa: E402
from demo_hull import demo_patch_data  # noqa: E402
from geodesic_ode import SpanPolynomials, shoot  # noqa: E402
from pygeodesy.ellipsoids import Ellipsoid  # noqa: E402
from test_taut_closed_forms import CASES  # noqa: E402

from strakeplan.core.lines.march import march  # noqa: E402
from strakeplan.core.lines.geodesic import geodesic_between  # noqa: E402
from strakeplan.core.lines.relax import end_pull  # noqa: E402
from strakeplan.core.lines.taut import taut_between_ends, taut_through_marks  # noqa: E402
from strakeplan.core.spline.patch import SplinePatch  # noqa: E402
from strakeplan.core.surface import SurfaceSettings, planked_surface  # noqa: E402

TIMES = 15


def median_ms(work, prepare=lambda: None, times=TIMES):
    """Median of `times` runs, ms; `prepare` is not timed and its answer handed to the work."""
    spent = []
    for _ in range(times):
        ready = prepare()
        start = time.perf_counter()
        work(ready)
        spent.append(1e3 * (time.perf_counter() - start))
    return statistics.median(spent)


def fresh(patch):
    """The same patch with nothing worked out yet."""
    return SplinePatch(patch.degree_u, patch.degree_v, patch.knots_u, patch.knots_v, patch.poles,
                       patch.weights)


def known_surfaces():
    """Strings between two points of surfaces with closed forms, 8 and 16 elements."""
    print(f"strings on known surfaces: medians of {TIMES}, ms; errors, mm")
    print(f"  {'':38s}{'elements':>9s}{'cold':>8s}{'warm':>8s}{'length':>10s}{'position':>10s}")
    for case, (known, closed, a, b) in CASES.items():
        ends = [np.array([float(x) for x in known.uv(*e)]) for e in (a, b)]
        length, s, p = closed(known, a, b)
        span = known.patch.v_range[1] - known.patch.v_range[0]
        for elements in (8, 16):
            curve = geodesic_between(known.patch, *ends, elements=elements)
            cold = median_ms(lambda patch: geodesic_between(patch, *ends, elements=elements),
                             lambda: fresh(known.patch))
            moved = ends[1] - np.array([0.0, 3e-4 * span])
            warm = median_ms(lambda _: geodesic_between(known.patch, ends[0], moved, guess=curve,
                                                        elements=elements))
            off = np.linalg.norm(curve.points(s) - p, axis=1).max()
            print(f"  {case:38s}{curve.pieces:9d}{cold:8.2f}{warm:8.2f}{curve.length - length:+10.1e}{off:10.1e}")


def exact_ellipsoid():
    """pygeodesy's GeodesicExact between the same two points of the spheroid."""
    _, closed, a, b = CASES["prolate spheroid"]

    def inverse(_):
        exact = Ellipsoid(1500.0, 6000.0).geodesicx
        lat = [np.degrees(np.arctan(0.25 * np.tan(x[0]))) for x in (a, b)]
        return exact.Inverse(lat[0], np.degrees(a[1]), lat[1], np.degrees(b[1])).s12

    length = closed(CASES["prolate spheroid"][0], a, b)[0]
    print(f"  {'GeodesicExact, same spheroid':47s}{median_ms(inverse):8.2f}{'':8s}{inverse(None) - length:+10.1e}")


def demonstration_hull():
    """Whole lines on the hull as planned, and their errors."""
    data = demo_patch_data()
    hull = planked_surface(SplinePatch(*data), SurfaceSettings(half_siding=60.0, name="Marram"))
    spans = SpanPolynomials(*data)
    marks = (3000.0, 1000.0), (8000.0, 1100.0)
    line = taut_between_ends(hull, 800.0, 900.0)
    curve = line.curve
    through = taut_through_marks(hull, *marks).curve
    ends = curve.nodes[0, 0], curve.nodes[-1, -1]
    moved = hull.uv_at_girth("stern", 901.0)
    print(f"demonstration hull: medians of {TIMES}, ms")
    rows = (
        ("taut_between_ends, both runs", lambda _: taut_between_ends(hull, 800.0, 900.0)),
        ("taut_through_marks, both runs", lambda _: taut_through_marks(hull, *marks)),
        ("one string, 16 elements, cold", lambda _: geodesic_between(hull.patch, *ends, elements=16)),
        ("one string, 16 elements, end moved 1 mm",
         lambda _: geodesic_between(hull.patch, ends[0], moved, guess=curve, elements=16)),
        ("march from the bow, default step",
         lambda _: march(hull.patch, ends[0][None], end_pull(curve, 0)[None], [curve.length])),
        ("DOP853 span by span, once along the line",
         lambda _: spans.geodesic(ends[0], end_pull(curve, 0), curve.length)),
    )
    for label, work in rows:
        print(f"  {label:47s}{median_ms(work, times=9):8.2f}")
    for label, c in (("between end marks", curve), ("through aim marks", through)):
        run, missed = shoot(spans, c.nodes[0, 0], c.nodes[-1, -1], end_pull(c, 0), c.length)
        off = np.linalg.norm(c.points(run.s) - run.p, axis=1).max()
        print(f"  errors, {label}: length {c.length - run.length:+.1e}, position {off:.1e} mm "
              f"(DOP853 misses the mark by {missed:.0e})")
    print("  degree of the string, elements: ms, position mm")
    for degree in (4, 6, 8, 10):
        for elements in (8, 16, 32):
            c = geodesic_between(hull.patch, *ends, elements=elements, degree=degree)
            ms = median_ms(lambda _: geodesic_between(hull.patch, *ends, elements=elements, degree=degree),
                           times=7)
            run, _ = shoot(spans, *ends, end_pull(curve, 0), curve.length)
            off = np.linalg.norm(c.points(run.s) - run.p, axis=1).max()
            print(f"    degree {degree:2d}, {c.pieces:2d} elements: {ms:7.2f} {off:10.1e}")


if __name__ == "__main__":
    known_surfaces()
    exact_ellipsoid()
    demonstration_hull()
