#!/usr/bin/python3
# SPDX-License-Identifier: LGPL-2.1-or-later
"""Taut lines beside general mesh geodesics of the same surface, in one run.

    PYTHONPATH=FOLDER /usr/bin/python3 tests/benchmarks/bench_meshes.py [--large]

FOLDER holds potpourri3d (edge-flip geodesics) and pygeodesic (exact geodesics of the mesh),
both from PyPI; neither is needed for anything else. The surface is a prolate spheroid,
semi-axes 6000 and 1500 mm, and the truth its exact geodesic (pygeodesy's GeodesicExact agrees
to 1e-11 mm with the length written here, see test_taut_closed_forms).

Medians of several runs; nothing is asserted, for a clock is no test.
"""

import os
import statistics
import sys
import time

HERE = os.path.dirname(os.path.abspath(__file__))
ROOT = os.path.dirname(os.path.dirname(HERE))
sys.path[:0] = [ROOT, os.path.join(ROOT, "examples"), os.path.join(ROOT, "tests", "core")]

import numpy as np  # noqa: E402
import potpourri3d  # noqa: E402
from pygeodesic import geodesic as exact_mesh  # noqa: E402
from surfaces import spheroid  # noqa: E402

from strakeplan.core.lines.line import lateral_distance  # noqa: E402
from strakeplan.core.lines.geodesic import geodesic_between  # noqa: E402
from strakeplan.core.lines.relax import relax  # noqa: E402
from strakeplan.core.spline.patch import SplinePatch  # noqa: E402

AXIAL, RADIAL = 6000.0, 1500.0
START, END = np.radians([(-60.0, 30.0), (55.0, 120.0)])  # (beta, lambda)
LENGTH = 10437.1683840821298


def median_ms(work, times):
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        result = work()
        spent.append(1e3 * (time.perf_counter() - start))
    return statistics.median(spent), result


def mesh(count):
    """Triangles of the whole spheroid with vertices at both ends: (v, f, start, end)."""
    rows = int(round(np.sqrt(count / 2.2)))
    columns = count // rows
    beta = np.linspace(-0.5 * np.pi, 0.5 * np.pi, rows + 2)[1:-1]
    lam = np.linspace(0.0, 2.0 * np.pi, columns, endpoint=False)
    # the rows and columns nearest to the ends are moved on to them
    for b, l in (START, END):
        beta[np.argmin(np.abs(beta - b))] = b
        lam[np.argmin(np.abs(lam - l))] = l
    b, l = np.meshgrid(beta, lam, indexing="ij")
    v = np.stack([AXIAL * np.sin(b), RADIAL * np.cos(b) * np.cos(l), RADIAL * np.cos(b) * np.sin(l)], 2)
    index = np.arange(rows * columns).reshape(rows, columns)
    a, c = index[:-1], index[1:]
    b2, d = np.roll(a, -1, axis=1), np.roll(c, -1, axis=1)
    f = np.concatenate([np.stack([a, b2, d], 2).reshape(-1, 3), np.stack([a, d, c], 2).reshape(-1, 3)])
    where = [
        int(index[np.argmin(np.abs(beta - p)), np.argmin(np.abs(lam - q))]) for p, q in (START, END)
    ]
    return np.ascontiguousarray(v.reshape(-1, 3)), np.ascontiguousarray(f), *where


def sideways(truth, path):
    """Greatest distance of a polyline's points from the true line, mm."""
    s = np.linspace(0.0, truth.length, 20001)
    dense = truth.points(s)
    return max(float(np.min(np.linalg.norm(dense - p, axis=1))) for p in path)


def peers(count, truth, times):
    v, f, a, b = mesh(count)
    setup, solver = median_ms(lambda: potpourri3d.EdgeFlipGeodesicSolver(v, f), max(1, times // 3))
    run, path = median_ms(lambda: solver.find_geodesic_path(a, b), times)
    length = float(np.sum(np.linalg.norm(np.diff(path, axis=0), axis=1)))
    print(f"  edge-flip, {len(v):7d} vertices     {setup:9.1f} + {run:7.2f}   {abs(length - LENGTH):.2e}"
          f"   {sideways(truth, path):.2e}")
    best = setup + run, abs(length - LENGTH), sideways(truth, path)
    algorithm = exact_mesh.PyGeodesicAlgorithmExact(v, f)
    run, (length, path) = median_ms(lambda: algorithm.geodesicDistance(a, b), 1)
    print(f"  exact on mesh, {len(v):7d} vertices           {run:10.1f}   {abs(length - LENGTH):.2e}"
          f"   {sideways(truth, path):.2e}")
    return min(best, (run, abs(length - LENGTH), sideways(truth, path)))


def main():
    known = spheroid(AXIAL, RADIAL)
    patch = known.patch
    ends = [np.array([float(x) for x in known.uv(*e)]) for e in (START, END)]
    truth = geodesic_between(patch, *ends, elements=40, degree=10)
    print("spheroid 6000/1500, one line; ms, then errors in mm of length and sideways")
    print(f"  truth here: length {truth.length - LENGTH:+.1e} mm from the exact one")

    def fresh():
        return SplinePatch(patch.degree_u, patch.degree_v, patch.knots_u, patch.knots_v, patch.poles,
                           patch.weights)

    ours = {}
    for name, elements, degree, passes in (
        ("quick", 10, 8, 1), ("standard", 8, 8, 8), ("fine", 16, 8, 8),
    ):
        run, line = median_ms(
            lambda: geodesic_between(fresh(), *ends, elements=elements, degree=degree, passes=passes), 15
        )
        errors = abs(line.length - LENGTH), lateral_distance(truth, line)
        print(f"  taut line, {name:9s} cold          {run:10.2f}           {errors[0]:.2e}   {errors[1]:.2e}")
        ours[name] = run, *errors
    line = geodesic_between(patch, *ends, elements=10, degree=6)
    widths = line.piece_lengths

    def moved():
        nodes = line.nodes.copy()
        nodes[-1, -1] += [0.0, 1e-4]
        return relax(patch, nodes, widths, done=1e-6)[0]

    run, _ = median_ms(moved, 25)
    print(f"  taut line, a mark moved (warm)    {run:10.2f}")
    run, _ = median_ms(
        lambda: [geodesic_between(patch, ends[0], ends[1] + [0.0, 1e-3 * k], elements=10, degree=5, passes=0)
                 for k in range(40)], 5)
    print(f"  40 taut lines at 0.05 mm          {run:10.2f}")
    for count, times in ((10_000, 9), (100_000, 3))[: 2 if "--large" in sys.argv else 1]:
        best = peers(count, truth, times)
        for name, (run, length, aside) in ours.items():
            print(f"  {name} at {count} vertices: {best[0] / run:.1f} times faster than the faster peer, with "
                  f"{best[2] / max(aside, 1e-12):.1e} times less sideways error and "
                  f"{best[1] / max(length, 1e-12):.1e} times less error of length")


if __name__ == "__main__":
    main()
