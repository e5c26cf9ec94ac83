# SPDX-License-Identifier: LGPL-2.1-or-later
"""Try one design: line it off for a first look, check every strake, take the worst margin."""

from dataclasses import dataclass, replace
from typing import Optional

import numpy as np

from ..checks.verdict import check_strakes
from ..errors import PlanError
from ..lineoff.belts import EqualBelt, ParallelBelt
from ..lineoff.lineoff import line_off
from ..lineoff.resolution import EXACT, QUICK
from ..lineoff.stealers import line_off_with_stealers
from ..lineoff.whatif import WhatIf
from ..lines.eased import eased_line
from ..lines.geodesic import geodesic_between
from ..lines.line import LEAVES, HullLine, require_inside
from ..lines.marks import Mark, places
from ..lines.relax import Tension
from ..lines.taut import taut_line
from ..strakes.samples import seam_samples, strake_samples
from .space import Design

__all__ = ["Judge", "Outcome"]

#: margin of a design that cannot be lined off at all
IMPOSSIBLE = -1e3
_TIE = 1e-3  # weight of the mean margin, which decides between equals
_PLACES = 100  # along a line, where it is looked at whether it stays on the planking
_FINE = replace(QUICK, line_elements=16, line_degree=8)  # for lengths that are subtracted


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
    score : float
        The margin and, between equals, a thousandth of the mean margin of the strakes.
    """

    design: Design
    margin: float
    plan: Optional[object] = None
    checks: Optional[object] = None
    reason: str = ""
    score: float = IMPOSSIBLE

    @property
    def binds(self):
        """What binds: Binding, or None."""
        if self.checks is None:
            return None
        return self.checks.binds if self.design.kind.spiled else self.checks.binds_sprung


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
        marks = [Mark(edge="stem", share=design.bow), Mark(edge="stern", share=design.stern)]
        if not design.kind.eased:
            return taut_line(hull, marks) if exact else self._quick.taut_line(marks)
        if not exact:
            return self._heavy(design, marks, self._quick.resolution)[0]
        _, slack = self._heavy(design, marks, _FINE)
        return eased_line(hull, *marks, slack=slack)

    def _heavy(self, design, marks, resolution):
        """The heavy string with the design's pull, and how much longer than the taut line it is."""
        hull = self.hull
        fore, aft = places(hull, marks)
        tension = Tension(1e-3 * design.pull, 0.5 * float(fore.p[2] + aft.p[2]))
        fine = {"elements": resolution.line_elements, "degree": resolution.line_degree, "passes": 0}
        taut = geodesic_between(hull.patch, fore.uv, aft.uv, **fine)
        curve = geodesic_between(hull.patch, fore.uv, aft.uv, guess=taut, tension=tension, **fine)

        def leaving(c, edge):
            return PlanError(
                f"{hull.name}: the eased line {LEAVES[edge]}", f"at {hull.frame.station_label(c.p[0, 0])}",
                "ease it less, or move its ends",
            )  # fmt: skip

        require_inside(hull, curve, leaving, _PLACES)
        error = resolution.error
        return HullLine("Eased line", curve, float(fore.s), float(aft.s), error, error), curve.length - taut.length

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
        margin = float(checks.worst_margin if design.kind.spiled else checks.worst_sprung)
        if not np.isfinite(margin):
            margin = 1.0  # no limit is looked at: all margins are whole
        each = np.clip(checks.classes.margin if design.kind.spiled else checks.classes.sprung, -10.0, 1.0)
        return Outcome(design, margin, plan, checks, score=margin + _TIE * float(np.mean(each)))
