# SPDX-License-Identifier: LGPL-2.1-or-later
"""Try one design: line it off for a first look, check every strake, take the worst margin."""

from dataclasses import dataclass
from typing import Optional

import numpy as np

from ..checks.verdict import check_strakes
from ..errors import PlanError
from ..lineoff.belts import EqualBelt, ParallelBelt
from ..lineoff.lineoff import line_off
from ..lineoff.resolution import EXACT
from ..lineoff.stealers import line_off_with_stealers
from ..lineoff.whatif import WhatIf
from ..lines.eased import eased_line
from ..lines.marks import Mark
from ..lines.taut import taut_line
from ..strakes.samples import seam_samples, strake_samples
from .space import Design

__all__ = ["Judge", "Outcome"]

#: margin of a design that cannot be lined off at all
IMPOSSIBLE = -1e3


@dataclass(frozen=True, eq=False)
class Outcome:
    """What became of a design.

    Attributes
    ----------
    design : Design
    margin : float
        Least margin of any strake or seam: (limit - value) / limit, below 0 beyond a limit.
    plan : LineOff or None
        None where the design cannot be lined off.
    checks : Checks or None
    reason : str
        Why it cannot be lined off.
    """

    design: Design
    margin: float
    plan: Optional[object] = None
    checks: Optional[object] = None
    reason: str = ""

    @property
    def binds(self):
        """What binds: Binding, or None."""
        return None if self.checks is None else self.checks.binds


class Judge:
    """Tries designs on one hull.

    Parameters
    ----------
    hull : PlankedSurface
    job : Job
    limits : Limits
    space : Space
    """

    def __init__(self, hull, job, limits, space):
        self.hull, self.job, self.limits, self.space = hull, job, limits, space
        self.tried = 0
        self._quick = WhatIf(hull)

    def line(self, design, exact=False):
        """The design's line."""
        hull = self.hull
        bow, stern = Mark(edge="stem", share=design.bow), Mark(edge="stern", share=design.stern)
        if design.kind.eased:
            return eased_line(hull, bow, stern, slack=design.slack)
        return taut_line(hull, [bow, stern]) if exact else self._quick.taut_line([bow, stern])

    def plan(self, design, exact=False):
        """The design lined off."""
        belts = [EqualBelt(design.count, self.line(design, exact)), ParallelBelt(self.space.parallel_width)]
        resolution = EXACT if exact else self._quick.resolution
        if design.kind.stealers:
            narrowest = [v for v in (self.limits.narrowest, self.limits.hood_end) if v is not None]
            if narrowest:
                return line_off_with_stealers(self.hull, belts, max(narrowest), resolution=resolution).lineoff
        return line_off(self.hull, belts, resolution=resolution)

    def outcome(self, design, exact=False):
        """Try a design.

        Returns
        -------
        Outcome
        """
        self.tried += 1
        try:
            plan = self.plan(design, exact)
            samples = (strake_samples(plan), seam_samples(plan)) if exact else self._quick.samples(plan)
            checks = check_strakes(*samples, self.job, self.limits)
        except PlanError as fault:
            return Outcome(design, IMPOSSIBLE, reason=str(fault))
        margin = checks.worst_margin if design.kind.spiled else checks.worst_sprung
        return Outcome(design, float(margin) if np.isfinite(margin) else IMPOSSIBLE, plan, checks)
