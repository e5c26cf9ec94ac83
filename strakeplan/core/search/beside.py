# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a search has to look at beside hull, wood and limits: stations for nibs, given lines, the tuck."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Optional, Tuple

import numpy as np

from ..checks.landings import GivenLine, check_tuck, tuck_angles
from ..lines.tuck import crossing_angles
from ..stations import Station

__all__ = ["Beside"]

_SPACING = 25.0  # mm between the places along the tuck that first looks go by


@dataclass(frozen=True, eq=False)
class Beside:
    """What a line-off is looked at beside.

    Attributes
    ----------
    stations : tuple of Station
        Nibs stand at these; none: anywhere.
    lines : tuple of GivenLine
        Lines that seams should run on or keep clear of.
    tuck : TuckLine or None
        The tuck that seams should not cross steeply.
    """

    stations: Tuple[Station, ...] = ()
    lines: Tuple[GivenLine, ...] = ()
    tuck: Optional[Any] = None

    def tuck_angles(self, plan, seams, exact):
        """Angles at which the seams of a plan cross the tuck.

        Parameters
        ----------
        plan : LineOff
        seams : SeamSamples
        exact : bool
            On the curves themselves; from the samples otherwise.

        Returns
        -------
        TuckAngles, or None without a tuck
        """
        if self.tuck is None or self.tuck.curve is None:
            return None
        if not exact:
            return tuck_angles(seams, self._tuck_points)
        return check_tuck(seams, crossing_angles(plan.hull, self.tuck, [(seam.name, seam) for seam in plan.seams]))

    @cached_property
    def _tuck_points(self):
        curve = self.tuck.curve
        return curve.sample(max(2, int(np.ceil(curve.length / _SPACING)) + 1)).p
