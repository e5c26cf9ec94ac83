# SPDX-License-Identifier: LGPL-2.1-or-later
"""How long a changed mark or number of strakes takes on the demonstration hull.

    OPENBLAS_NUM_THREADS=1 python3 tests/benchmarks/bench_lineoff.py [REPEATS]

Every repeat moves the line by a millimetre or changes the number of strakes, so that nothing
can be had from the last one. Median, least and greatest of wall time, and the median of the
processor's time, which other work on the machine disturbs less; milliseconds.
"""

import sys
import time
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "examples"), str(ROOT / "tests" / "core")]

from demo_hull import demo_patch_data  # noqa: E402

from strakeplan.core.checks.verdict import Job, check_strakes  # noqa: E402
from strakeplan.core.lineoff.belts import EqualBelt, ParallelBelt  # noqa: E402
from strakeplan.core.lineoff.crossfamily import cross_family  # noqa: E402
from strakeplan.core.lineoff.ends import EndPlan  # noqa: E402
from strakeplan.core.lineoff.lineoff import line_off  # noqa: E402
from strakeplan.core.lineoff.parallels import parallel_seams  # noqa: E402
from strakeplan.core.lineoff.resolution import QUICK  # noqa: E402
from strakeplan.core.lineoff.whatif import WhatIf  # noqa: E402
from strakeplan.core.lines.marks import Mark  # noqa: E402
from strakeplan.core.lines.taut import taut_line  # noqa: E402
from strakeplan.core.spline.patch import SplinePatch  # noqa: E402
from strakeplan.core.strakes.samples import seam_samples, strake_samples  # noqa: E402
from strakeplan.core.surface import SurfaceSettings, planked_surface  # noqa: E402
from strakeplan.core.wood.species import Wood  # noqa: E402

WIDTH = 75.0  # mm, of the parallel strakes
# a softwood in round figures: what it is made of costs no time
JOB = Job(Wood("softwood", "12 %", 1.0, 12500.0, 14000.0, 1000.0, 80.0, 9.0), 28.0, 4900.0, 300.0)


class Clock:
    """Wall and processor time of steps by name, ms."""

    def __init__(self):
        self.times = {}

    def time(self, name, function):
        """Call, and note how long it took."""
        wall, cpu = time.perf_counter(), time.process_time()
        out = function()
        took = 1e3 * (time.perf_counter() - wall), 1e3 * (time.process_time() - cpu)
        self.times.setdefault(name, []).append(took)
        return out

    def show(self, names):
        """Table of medians."""
        print(f"{'':34}{'median':>8}{'least':>8}{'greatest':>9}{'processor':>10}")
        for name in names:
            wall, cpu = np.array(self.times[name]).T
            print(f"{name:34}{np.median(wall):8.2f}{wall.min():8.2f}{wall.max():9.2f}{np.median(cpu):10.2f}")


def main(repeats):
    """Run and print."""
    clock = Clock()
    hull = planked_surface(
        SplinePatch(*demo_patch_data()),
        SurfaceSettings(half_siding_stem=30.0, half_siding_keel=37.5, half_siding_post=37.5),
    )
    what_if = clock.time("made ready, once a hull", lambda: WhatIf(hull))
    for turn in range(-2, repeats):
        if turn == 0:
            clock.times = {"made ready, once a hull": clock.times["made ready, once a hull"]}
        count = 20 + turn % 2
        marks = [Mark.end("stem", 1100.0 + turn), Mark.end("stern", 1000.0)]
        line = what_if.taut_line(marks)
        belts = [EqualBelt(count, line), ParallelBelt(WIDTH)]
        family = clock.time("  cross curves", lambda: cross_family(hull, line, resolution=QUICK))
        ends = EndPlan(hull, belts[0], 0, (), None, line)
        clock.time("  division", lambda: ends.divided(family))
        clock.time("  parallels", lambda: parallel_seams(hull, line.curve, WIDTH, 0.5, QUICK))

        def everything():
            line = clock.time("taut line", lambda: what_if.taut_line(marks))
            belts = [EqualBelt(count, line), ParallelBelt(WIDTH)]
            plan = clock.time("line-off", lambda: what_if.relined(belts))
            samples = clock.time("samples", lambda: what_if.samples(plan))
            return plan, samples, clock.time("checks", lambda: check_strakes(*samples, JOB))

        plan, samples, checks = clock.time("changed mark or number, with checks", everything)
    print(f"{len(plan.strakes)} strakes, {samples[0].s.shape[1]} places on each, {repeats} repeats")
    clock.show(["made ready, once a hull", "taut line", "  cross curves", "  division", "  parallels", "line-off",
                "samples", "checks", "changed mark or number, with checks"])  # fmt: skip
    exact = Clock()
    for turn in range(3):
        line = exact.time("taut line", lambda: taut_line(hull, marks))
        plan = exact.time("line-off", lambda: line_off(hull, [EqualBelt(20, line), ParallelBelt(WIDTH)]))
        samples = exact.time("samples", lambda: (strake_samples(plan), seam_samples(plan)))
        exact.time("checks", lambda: check_strakes(*samples, JOB))
    print("\nto the end, instead of for a first look")
    exact.show(["taut line", "line-off", "samples", "checks"])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
