# SPDX-License-Identifier: LGPL-2.1-or-later
"""Geodesics that pass close by corners of the knot lines: which line is met first must not matter."""

import numpy as np
import pytest
from demoplan import demo_hull

from strakeplan.core.lines.march import march, reach


@pytest.mark.parametrize("line", [(3, 2), (5, 4), (7, 3)])
def test_a_fan_past_a_corner_of_the_knots(line):
    """Long steps and short ones end in the same places, and neighbours beside one another."""
    patch = demo_hull().patch
    corner = np.array([patch.breaks_u[line[0]], patch.breaks_v[line[1]]])
    jet = patch.jets(corner[:1], corner[1:], 1)
    n = np.cross(jet.su, jet.sv)[0]
    n /= np.linalg.norm(n)
    worst = rough = 0.0
    for heading in np.radians([20.0, 50.0, 80.0, 110.0, 140.0]):
        e = jet.su[0] / np.linalg.norm(jet.su[0])
        t = np.cos(heading) * e + np.sin(heading) * np.cross(n, e)
        uv, _, back = reach(patch, corner[None], -t[None], [137.0])  # from here the corner lies ahead
        normal = patch.geometry(*uv.T).n
        turn = np.concatenate([-np.geomspace(1e-2, 1e-8, 13), [0.0], np.geomspace(1e-8, 1e-2, 13)])
        fan = -back * np.cos(turn)[:, None] + np.cross(normal, -back) * np.sin(turn)[:, None]
        starts = np.repeat(uv, len(turn), axis=0)
        long = march(patch, starts, fan, [300.0]).p[0]
        short = march(patch, starts, fan, [300.0], patch.size / 2000.0).p[0]
        worst = max(worst, float(np.linalg.norm(long - short, axis=1).max()))
        apart = np.linalg.norm(np.diff(long, axis=0), axis=1) / (300.0 * np.diff(turn))
        rough = max(rough, float(np.abs(apart[np.diff(turn) > 1e-7] - 1.0).max()))
    print(f"corner {line}: long and short steps differ by {worst:.1e} mm; fans open evenly to {rough:.1e}")
    assert worst < 1e-5
    assert rough < 0.05
