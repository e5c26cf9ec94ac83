#!/usr/bin/python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Time of 10,000 points with second derivatives: SplinePatch beside a loop over the host's calls.

    /usr/bin/python3 tests/benchmarks/bench_patch.py

Prints medians of the same run; nothing is asserted, for a clock is no test.  The host's Python
answers one point per call and one derivative per call (getD0, getDN), so the loop that yields
what `jets` yields is six calls a point; two cheaper loops are timed beside it.
"""

import os
import statistics
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
sys.path[:0] = [ROOT, os.path.join(ROOT, "examples"), os.path.join(ROOT, "tests", "core"),
                os.path.join(ROOT, "tests", "host")]

import numpy as np  # noqa: E402

from strakeplan.host.locate import use_host  # noqa: E402

use_host()

import surfaces  # noqa: E402
from demo_hull import demo_patch_data  # noqa: E402
from test_patch_against_host import host_surface  # noqa: E402

from strakeplan.core.spline.patch import SplinePatch  # noqa: E402

POINTS, TIMES = 10_000, 9


def median_ms(work):
    """Median of TIMES runs after one that warms up, ms."""
    work()
    spent = []
    for _ in range(TIMES):
        start = time.perf_counter()
        work()
        spent.append(1e3 * (time.perf_counter() - start))
    return statistics.median(spent)


def main():
    """Time both on the demonstration hull and on a rational surface."""
    rng = np.random.default_rng(1)
    for name, patch in (("demonstration hull, bicubic", SplinePatch(*demo_patch_data())),
                        ("spheroid, rational biquadratic", surfaces.spheroid().patch)):
        u, v = rng.uniform(*patch.u_range, POINTS), rng.uniform(*patch.v_range, POINTS)
        a, b = u.tolist(), v.tolist()
        host = host_surface(patch)
        d0, dn = host.getD0, host.getDN
        rows = (
            ("SplinePatch.points", lambda: patch.points(u, v)),
            ("SplinePatch.jets, order 1", lambda: patch.jets(u, v, 1)),
            ("SplinePatch.jets, order 2", lambda: patch.jets(u, v, 2)),
            ("SplinePatch.geometry (K, H, n too)", lambda: patch.geometry(u, v)),
            ("host loop: getD0", lambda: [d0(x, y) for x, y in zip(a, b)]),
            ("host loop: getD0 and both first getDN",
             lambda: [(d0(x, y), dn(x, y, 1, 0), dn(x, y, 0, 1)) for x, y in zip(a, b)]),
            ("host loop: getD0 and all five getDN",
             lambda: [(d0(x, y), dn(x, y, 1, 0), dn(x, y, 0, 1), dn(x, y, 2, 0), dn(x, y, 1, 1),
                       dn(x, y, 0, 2)) for x, y in zip(a, b)]),
        )
        print(f"{name}: median of {TIMES} for {POINTS} points")
        for label, work in rows:
            print(f"  {label:40s} {median_ms(work):8.2f} ms")


if __name__ == "__main__":
    main()
