# SPDX-License-Identifier: LGPL-2.1-or-later
"""Planks at nibs as the host's solids: sound, and no wood in common with the neighbour that takes over."""

import FreeCAD
import pytest
import test_lineoff_nibs as nibs

from strakeplan.host.solids import solid_of

COMMON = 1e-6  # of the smaller plank's volume

@pytest.mark.parametrize("case", nibs.CASES)
def test_planks_at_a_nib(case):
    """The host's own boolean common of the ended strake with both neighbours, valid and closed solids.

    That it sees common wood at all: the ended strake moved down by a tenth of a millimetre has
    some with the one below.
    """
    among = [n.strake for n in nibs.found(case).nibs if n.position is not None]
    ended = among[len(among) // 2]
    shapes = {shape.name: shape for shape in nibs.shapes_of(case)}
    names = [f"Starboard strake {n:02d}" for n in (ended - 1, ended, ended + 1)]
    above, own, below = solids = [solid_of(shapes[name]) for name in names]
    assert all(s.isValid() and s.isClosed() and len(s.Solids) == 1 for s in solids)
    smaller = min(s.Volume for s in solids)
    worst = max(abs(own.common(other).Volume) / smaller for other in (above, below))
    seen = own.translated(FreeCAD.Vector(0, 0, -0.1)).common(below).Volume / smaller
    print(f"{case}: strake {ended} beside its neighbours {worst:.1e} of the smaller one; moved 0.1 mm {seen:.1e}")
    assert worst < COMMON < seen
