#!/usr/bin/python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Processor time of one request for a line, by its kind: median and worst.

    /usr/bin/python3 tests/benchmarks/bench_lines.py [HULLS]

The requests are the 500 of test_lines_random on 20 hulls, and besides strings over deep hollows
(the hulls of test_bridging_hulls) and battens of 20 marks within 60 mm. Processor time, not the
clock: it does not hang on what else the machine does. Nothing is asserted.
"""

import os
import sys
import time
from collections import defaultdict

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
sys.path[:0] = [ROOT, os.path.join(ROOT, "examples"), os.path.join(ROOT, "tests", "core")]

import numpy as np  # noqa: E402
import random_lines  # noqa: E402
import hollows  # noqa: E402

from strakeplan.core.errors import PlanError  # noqa: E402
from strakeplan.core.lines.batten import batten_line  # noqa: E402
from strakeplan.core.lines.bridging import bridging_line  # noqa: E402
from strakeplan.core.lines.marks import Mark  # noqa: E402


def measured(work):
    """(seconds, whether it gave a line)."""
    start = time.process_time()
    try:
        work()
    except PlanError:
        return time.process_time() - start, False
    return time.process_time() - start, True


def loose_batten(hull, seed, tolerance=60.0, count=20):
    rng = np.random.default_rng(seed)
    x0, x1 = hull.x_range
    stations = hull.frame.to_model_station(x0 + np.linspace(0.08, 0.92, count) * (x1 - x0))
    shares = 0.45 + rng.uniform(-0.03, 0.03, count)
    marks = [Mark(station=float(x), share=float(s)) for x, s in zip(stations, shares)]
    return lambda: batten_line(hull, marks, tolerance=tolerance)


def main(hulls):
    spent = defaultdict(list)
    for number in range(hulls):
        for q, request in enumerate(random_lines.requests(number)):
            random_lines.base(random_lines.hull(number)[1])  # what parallels and drawings start from
            spent[request.kind].append((*measured(request.work), f"hull {number}, request {q}"))
    for name, (places, bow, stern, _) in hollows.HULLS.items():
        hull = hollows.hollow_hull(places)
        ends = hollows.marks(hull, bow, stern)
        spent["bridging a hollow"].append((*measured(lambda: bridging_line(hull, ends)), name))  # noqa: B023
    for seed in range(8):
        hull = random_lines.hull(seed)[1]
        spent["batten, 20 marks within 60"].append((*measured(loose_batten(hull, seed)), f"hull {seed}"))
    print(f"{'processor time of one request, s':34s}{'requests':>9s}{'lines':>7s}{'median':>9s}{'worst':>9s}")
    for kind, rows in spent.items():
        rows.sort()
        print(f"{kind:34s}{len(rows):9d}{sum(r[1] for r in rows):7d}{np.median([r[0] for r in rows]):9.3f}"
              f"{rows[-1][0]:9.3f}  {rows[-1][2]}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else random_lines.HULLS)
