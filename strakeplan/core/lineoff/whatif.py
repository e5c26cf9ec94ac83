# SPDX-License-Identifier: LGPL-2.1-or-later
"""What if: a hull lined off again and again, each time for a first look.

Everything that stays the same for a hull (where sections lie on its surface, its edges) is
worked out once, when a `WhatIf` is made; a changed mark, number or width then takes some
hundredths of a second. Nothing else is kept: equal belts give equal results, in any order.
"""

from dataclasses import dataclass

import numpy as np

from ..errors import PlanError
from ..lines.geodesic import geodesic_between
from ..lines.line import LEAVES, HullLine, require_inside
from ..lines.marks import places
from ..lines.taut import taut_line
from ..strakes.samples import seam_samples, strake_samples
from ..xtable import u_guess
from .lineoff import line_off
from .resolution import QUICK, Resolution

__all__ = ["WhatIf"]

_PLACES = 100  # along a line, where it is looked at whether it stays on the planking


@dataclass(frozen=True, eq=False)
class WhatIf:
    """A hull ready to be lined off quickly.

    Parameters
    ----------
    hull : PlankedSurface
    resolution : Resolution
    """

    hull: object
    resolution: Resolution = QUICK

    def __post_init__(self):
        u_guess(self.hull.patch)
        for edge in (self.hull.boundary, self.hull.sheer):
            edge.table  # noqa: B018 - read once and kept by the curve

    def taut_line(self, marks, heading=None):
        """Taut line as `taut_line` makes it, for a first look between two end marks.

        Returns
        -------
        HullLine
            Whether other strings lie taut between the marks is not looked for.
        """
        hull, quick = self.hull, self.resolution
        marks = list(marks)
        found = places(hull, marks) if len(marks) == 2 and heading is None else []
        if {place.edge for place in found} != {"stem", "stern"} or quick.march_steps is None:
            return taut_line(hull, marks, heading, look_for_others=False)
        fore, aft = sorted(found, key=lambda place: place.p[0])
        curve = geodesic_between(
            hull.patch, fore.uv, aft.uv, elements=quick.line_elements, degree=quick.line_degree, passes=0
        )

        def leaving(c, edge):
            return PlanError(
                f"{hull.name}: the taut line from {fore.label} to {aft.label} {LEAVES[edge]}",
                f"at {hull.frame.station_label(c.p[0, 0])}",
                ("lower the " if edge == "sheer" else "raise the ") + "end marks",
            )

        require_inside(hull, curve, leaving, _PLACES)
        return HullLine(
            "Taut line between end marks", curve, float(fore.s), float(aft.s), quick.error, quick.error
        )

    def relined(self, belts, stand_off=None, nibs=()):
        """The line-off of belts: see `line_off`."""
        return line_off(self.hull, belts, stand_off, nibs, self.resolution)

    def samples(self, plan):
        """Samples of a line-off's strakes and seams, as finely as the resolution says.

        Returns
        -------
        StrakeSamples, SeamSamples
        """
        n = int(np.ceil(1.0 / self.resolution.places)) + 1
        strakes = strake_samples(plan, n)
        return strakes, seam_samples(plan, n, strakes.runs)
