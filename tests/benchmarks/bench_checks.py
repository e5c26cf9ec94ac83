#!/usr/bin/python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Time of the checks along strakes, all together and group by group.

    OPENBLAS_NUM_THREADS=1 /usr/bin/python3 tests/benchmarks/bench_checks.py

Prints medians of the time on the clock and of the processor's time, which other work on the
machine does not touch; nothing is asserted, for a clock is no test. 31 strakes of 120 places: tori's
parallels with bending added to them, as uneven as those of a hull.
"""

import os
import statistics
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
sys.path[:0] = [ROOT, os.path.join(ROOT, "examples"), os.path.join(ROOT, "tests", "core")]

import made_samples  # noqa: E402
import numpy as np  # noqa: E402
from made_wood import FIR  # noqa: E402

from strakeplan.core.checks import verdict  # noqa: E402
from strakeplan.core.checks.bending import check_bending  # noqa: E402
from strakeplan.core.checks.boards import board_widths  # noqa: E402
from strakeplan.core.checks.fairness import check_fairness  # noqa: E402
from strakeplan.core.checks.hollow import check_hollow  # noqa: E402
from strakeplan.core.checks.landings import GivenLine, check_landings  # noqa: E402
from strakeplan.core.checks.springing import check_springing  # noqa: E402
from strakeplan.core.checks.widths import check_widths  # noqa: E402
from strakeplan.core.develop import edge_sets, laid_flat  # noqa: E402

TIMES = 41


def median_ms(work, times=TIMES):
    """Medians of `times` runs, ms: on the clock, of the processor."""
    work()
    spent = []
    for _ in range(times):
        start = time.perf_counter(), time.process_time()
        work()
        spent.append((time.perf_counter() - start[0], time.process_time() - start[1]))
    return [1e3 * statistics.median(some) for some in zip(*spent)]


def samples(m=31, n=120):
    """Strakes and seams of m strakes, from made-up figures that vary along and across."""
    share, row = np.linspace(0.0, 1.0, n), np.linspace(0.0, 1.0, m)[:, None]
    wave = lambda k, phase: np.sin(k * np.pi * share + 3.0 * row + phase)  # noqa: E731
    strakes = made_samples.made(
        9000.0 + 3000.0 * row[:, 0], n, width=70.0 + 40.0 * np.sin(np.pi * share) + 5.0 * row,
        edgewise=4e-5 * wave(3.0, 0.0), bend=1e-4 * (1.2 + wave(2.0, 1.0)), twist=1e-4 * wave(1.0, 2.0),
        across=3e-4 * (1.1 + wave(2.0, 0.5)), gauss=2e-8 * wave(1.5, 0.3),
    )  # fmt: skip
    seams = made_samples.made_seams(
        9000.0 + 3000.0 * row[:, 0], n, edgewise=4e-5 * wave(3.0, 0.1), bend=1e-4 * (1.2 + wave(2.0, 1.1))
    )
    return strakes, seams


def main():
    strakes, seams = samples()
    job = verdict.Job(FIR, 30.0, 4900.0, 300.0)
    on = (30.0, 4900.0, 300.0)
    flat = laid_flat(strakes.s, strakes.edgewise)
    line = GivenLine("Wale", np.stack([np.linspace(0.0, 12000.0, 240), np.zeros(240), np.full(240, 15.0)], axis=1))
    rows = (
        ("laid flat", lambda: laid_flat(strakes.s, strakes.edgewise)),
        ("edge sets", lambda: edge_sets(flat, 4900.0)),
        ("widths", lambda: check_widths(strakes)),
        ("springing, edge sets and roll in it", lambda: check_springing(strakes, FIR, *on)),
        ("bend and twist", lambda: check_bending(strakes, FIR, *on)),
        ("hollow", lambda: check_hollow(strakes, 30.0)),
        ("boards", lambda: board_widths(strakes, flat, 4900.0)),
        ("fairness", lambda: check_fairness(seams)),
        ("one given line", lambda: check_landings(seams, [line], 20.0)),
        ("all checks, margins and classes", lambda: verdict.check_strakes(strakes, seams, job)),
        ("the same with one given line", lambda: verdict.check_strakes(strakes, seams, job, lines=[line])),
    )
    print(f"{strakes.s.shape[0]} strakes of {strakes.s.shape[1]} places: medians of {TIMES}, ms")
    print(f"  {'':40s}{'clock':>8s}{'cpu':>8s}")
    for label, work in rows:
        print("  {:40s}{:8.2f}{:8.2f}".format(label, *median_ms(work)))


if __name__ == "__main__":
    main()
