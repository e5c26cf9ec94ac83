# SPDX-License-Identifier: LGPL-2.1-or-later
"""A first look against the line-off worked out to the end, on several hulls.

Aims: widths within 0.2 mm, edge set within 1 mm, the same strakes.
"""

from functools import lru_cache

import demoplan
import hulls
import numpy as np
import pytest

from strakeplan.core.lineoff.belts import EqualBelt, GradedBelt, ParallelBelt, StationBelt
from strakeplan.core.lineoff.lineoff import line_off
from strakeplan.core.lineoff.resolution import EXACT, QUICK
from strakeplan.core.lineoff.whatif import WhatIf
from strakeplan.core.lines.line import lateral_distance
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.taut import taut_line
from strakeplan.core.planks.measure import measure_planks
from strakeplan.core.strakes.samples import seam_samples, strake_samples
from strakeplan.core.surface import SurfaceSettings, planked_surface

HULLS = {
    "demonstration": lambda: demoplan.demo_hull(),
    "thin stem": lambda: planked_surface(
        hulls.demo(), SurfaceSettings(half_siding_stem=30.0, half_siding_keel=37.5, half_siding_post=37.5, name="thin stem")
    ),
    "lofted": lambda: planked_surface(hulls.lofted(), SurfaceSettings(half_siding=40.0, name="lofted")),
    "double-ender": lambda: planked_surface(
        hulls.lofted(stern=0.0, length=9000.0), SurfaceSettings(half_siding=40.0, name="double-ender")
    ),
    "full bow": lambda: planked_surface(
        hulls.lofted(entrance=0.5, section=4.0, rake=(300.0, 500.0)), SurfaceSettings(half_siding=40.0, name="full bow")
    ),
    "slack": lambda: planked_surface(
        hulls.lofted(section=2.0, beam=1000.0), SurfaceSettings(half_siding=30.0, name="slack")
    ),
}
SHARES = {
    "demonstration": (0.66, 0.62), "thin stem": (0.721, 0.45), "lofted": (0.6, 0.6), "double-ender": (0.55, 0.6),
    "full bow": (0.6, 0.5), "slack": (0.6, 0.55),
}  # fmt: skip


@lru_cache(maxsize=None)
def hull(name):
    return HULLS[name]()


@lru_cache(maxsize=None)
def marks(name):
    h, (bow, stern) = hull(name), SHARES[name]
    return Mark.end("stem", bow * h.stem_length), Mark.end("stern", stern * h.stern_length)


@lru_cache(maxsize=None)
def plans(name):
    """(to the end, first look)."""
    exact = line_off(hull(name), [EqualBelt(16, taut_line(hull(name), list(marks(name)), look_for_others=False)), ParallelBelt()])
    what_if = WhatIf(hull(name))
    quick = what_if.relined([EqualBelt(16, what_if.taut_line(marks(name))), ParallelBelt()])
    return exact, quick


@pytest.mark.parametrize("name", HULLS)
def test_first_look_has_the_same_strakes(name):
    exact, quick = plans(name)
    print(f"{name}: {len(exact.strakes)} strakes, {len(quick.strakes)} at first look; width {exact.parallel_width:.4f}, "
          f"{quick.parallel_width:.4f} mm")  # fmt: skip
    assert [s.rule for s in exact.strakes] == [s.rule for s in quick.strakes]
    assert [len(s.parts) for s in exact.seams] == [len(s.parts) for s in quick.seams]
    assert exact.resolution is EXACT and quick.resolution is QUICK
    assert abs(exact.parallel_width - quick.parallel_width) < 0.05


@pytest.mark.parametrize("name", HULLS)
def test_first_look_widths(name):
    exact, quick = plans(name)
    a, b = strake_samples(exact, 90), strake_samples(quick, 90)
    off = np.abs(a.width - b.width).max(axis=1)
    girth = np.nanmax(np.abs(a.girth_width - b.girth_width))
    ends = max(np.abs(a.bow_girth - b.bow_girth).max(), np.abs(a.stern_girth - b.stern_girth).max())
    print(f"{name}: widths off by {off.max():.3f} mm (strake {a.number[int(np.argmax(off))]}), "
          f"by the tape {girth:.3f}, hood ends {ends:.3f}")  # fmt: skip
    assert off.max() < 0.2 and girth < 0.2 and ends < 0.2


@pytest.mark.parametrize("name", HULLS)
def test_first_look_edge_set(name):
    exact, quick = (measure_planks(plan, 4000.0) for plan in plans(name))
    off = [abs(a.edge_set - b.edge_set) for a, b in zip(exact, quick)]
    k = int(np.argmax(off))
    print(f"{name}: edge set off by {off[k]:.3f} of {exact[k].edge_set:.1f} mm (strake {exact[k].strake})")
    assert off[k] < 1.0


@pytest.mark.parametrize("name", HULLS)
def test_quick_taut_line(name):
    line = WhatIf(hull(name)).taut_line(marks(name))
    exact = taut_line(hull(name), list(marks(name)), look_for_others=False)
    off = lateral_distance(exact.curve, line.curve)
    print(f"{name}: quick taut line off by {off:.4f} mm, says {line.error_position:g}")
    assert off < line.error_position and line.s_bow == exact.s_bow and line.s_stern == exact.s_stern


def test_other_belts_at_first_look():
    """Graded widths, widths by stations, several belts: the same seams within the aim."""
    h = hull("demonstration")
    what_if = WhatIf(h)
    upper = taut_line(h, [Mark.end("stem", 0.35 * h.stem_length), Mark.end("stern", 0.35 * h.stern_length)], look_for_others=False)
    lower = taut_line(h, list(marks("demonstration")), look_for_others=False)
    x0, x1 = h.x_range
    stations = tuple(float(x) for x in h.frame.to_model_station(np.linspace(x0 + 3000.0, x1 - 3000.0, 3)))
    belts = [
        GradedBelt((1.3, 1.0, 1.0, 1.0, 1.1), upper),
        StationBelt(stations, ((80.0, 90.0, 100.0, 90.0), (90.0, 90.0, 90.0, 90.0), (100.0, 90.0, 80.0, 90.0)), lower),
        ParallelBelt(90.0),
    ]
    a, b = strake_samples(line_off(h, belts), 80), strake_samples(what_if.relined(belts), 80)
    off = np.abs(a.width - b.width).max(axis=1)
    print(f"{len(a.number)} strakes of three belts: widths off by {off.max():.3f} mm, strake {a.number[int(np.argmax(off))]}")
    assert np.array_equal(a.number, b.number) and off.max() < 0.2


def test_first_looks_do_not_hang_on_one_another():
    """The same belts give the same seams to the last digit, whatever was looked at between."""
    h = hull("demonstration")
    what_if = WhatIf(h)
    belts = [EqualBelt(12, what_if.taut_line(marks("demonstration"))), ParallelBelt()]
    one = what_if.relined(belts)
    what_if.relined([EqualBelt(15, what_if.taut_line([Mark.end("stem", 700.0), Mark.end("stern", 800.0)])), ParallelBelt()])
    two = WhatIf(h).relined(belts)
    off = max(
        float(np.abs(a.curve.nodes - b.curve.nodes).max())
        for p, q in zip(one.seams, two.seams) for a, b in zip(p.parts, q.parts)
    )  # fmt: skip
    print(f"nodes differ by {off:g}")
    assert off == 0.0


@pytest.mark.parametrize("name", HULLS)
@pytest.mark.parametrize("width", [60.0, 75.0])
def test_first_look_of_many_parallel_strakes(name, width):
    """The same parts of seams, none of them wild: lines that have left the planking stay out.

    Down to the forefoot and the heel, where what a parallel runs on over, the surface's own
    continuation, runs wild: seams of a first look must not come back from there.
    """
    h, (bow, stern) = hull(name), SHARES[name]
    what_if = WhatIf(h)
    for move in (0.0, 0.04):
        ends = [Mark.end("stem", (bow + move) * h.stem_length), Mark.end("stern", stern * h.stern_length)]
        exact = line_off(h, [EqualBelt(16, taut_line(h, ends, look_for_others=False)), ParallelBelt(width)])
        quick = what_if.relined([EqualBelt(16, what_if.taut_line(ends)), ParallelBelt(width)])
        lengths = [[[part.curve.length for part in seam.parts] for seam in plan.seams] for plan in (exact, quick)]
        assert [len(s) for s in lengths[0]] == [len(s) for s in lengths[1]]
        # an end on a rabbet that the line nearly lies along moves by more than the line does
        off = max(abs(a - b) / a for p, q in zip(*lengths) for a, b in zip(p, q))
        bends = [seam_samples(plan, 80).edgewise for plan in (exact, quick)]
        bend = float(np.abs(bends[0] - bends[1]).max())
        print(f"{name}, {width:g} mm, {len(exact.seams)} seams: lengths off by {1e3 * off:.3f} in a thousand, "
              f"edgewise bending by {bend:.2e} 1/mm")  # fmt: skip
        assert off < 2e-3 and bend < 1e-4
