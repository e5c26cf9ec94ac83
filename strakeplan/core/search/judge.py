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
from .beside import Beside
from .space import Design

__all__ = ["Judge", "Outcome", "narrowest_of"]

#: margin of a design that cannot be lined off at all
IMPOSSIBLE = -1e3
_TIE = 1e-3  # weight of the mean margin, which decides between equals
_PLACES = 100  # along a line, where it is looked at whether it stays on the planking
_COURSE = 5.0  # mm: lines farther apart are not the same string
_COURSE_PLACES = 17
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
    each : (m,) or None
        Margins by every limit: those of strake 1, of the seam below it, of strake 2 and so on
        from the sheer down, the least of which is `margin`; 1 where nothing is looked at.
    slack : float
        How much longer than the taut line between its ends the line is, mm; told where the
        outcome is worked out to the end.
    """

    design: Design
    margin: float
    plan: Optional[object] = None
    checks: Optional[object] = None
    reason: str = ""
    score: float = IMPOSSIBLE
    each: Optional[np.ndarray] = None
    slack: float = 0.0

    @property
    def binds(self):
        """What binds: Binding, or None."""
        if self.checks is None:
            return None
        return self.checks.binds if self.design.kind.spiled else self.checks.binds_sprung


def narrowest_of(limits):
    """Breadth (mm) below which strakes end in nibs where they may; None without a limit."""
    return max((v for v in (limits.narrowest, limits.hood_end) if v is not None), default=None)


class Judge:
    """Tries designs on one hull.

    Parameters
    ----------
    hull : PlankedSurface
    job : Job
    limits : Limits
    space : Space
    beside : Beside, optional
        Stations for nibs, given lines, the tuck.
    """

    def __init__(self, hull, job, limits, space, beside=Beside()):
        self.hull, self.job, self.limits, self.space, self.beside = hull, job, limits, space, beside
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
        return eased_line(hull, *marks, slack=self.slack(design))

    def borne_out(self, outcome):
        """Whether the line of a first look is the design's line, and not another string between the same ends.

        On a full hull more than one string lies taut between two marks; a first look takes the
        one it comes to, and a line-off that is made the shortest.
        """
        quick = outcome.plan.belts[0].lower.curve
        try:
            exact = self.line(outcome.design, exact=True).curve
        except PlanError:
            return False
        share = np.linspace(0.0, 1.0, _COURSE_PLACES)
        gap = quick.at(share * quick.length).p - exact.at(share * exact.length).p
        return bool(np.max(np.linalg.norm(gap, axis=1)) < _COURSE)

    def slack(self, design):
        """How much longer than the taut line between its ends the design's line is, mm; 0 for a taut one."""
        if not design.kind.eased:
            return 0.0
        marks = [Mark(edge="stem", share=design.bow), Mark(edge="stern", share=design.stern)]
        return float(self._heavy(design, marks, _FINE)[1])

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
        narrowest = narrowest_of(self.limits) if design.kind.stealers else None
        if narrowest is not None:
            stations = self.beside.stations
            return line_off_with_stealers(self.hull, belts, narrowest, stations, resolution=resolution).lineoff
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
            strakes, seams = _sampled(plan) if exact else self._quick.samples(plan)
            tuck = self.beside.tuck_angles(plan, seams, exact)
            checks = check_strakes(strakes, seams, self.job, self.limits, self.beside.lines, tuck)
            slack = self.slack(design) if exact else 0.0
        except PlanError as fault:
            return Outcome(design, IMPOSSIBLE, reason=str(fault))
        own, each = checks.own(design.kind.spiled)[0], _each(checks, design.kind.spiled, len(plan.strakes))
        margin = float(np.min(each))
        mean = float(np.mean(np.clip(own, -10.0, 1.0)))
        return Outcome(design, margin, plan, checks, score=margin + _TIE * mean, each=each, slack=slack)


def _each(checks, spiled, strakes):
    """Margins by every limit, in an order that is the same for all line-offs as far as they have strakes.

    Each is smooth in the design, as the least of them is not.
    """
    table, seams, classes = checks.strake_margins, checks.seam_margins, checks.classes
    sprung = checks.own(spiled)[0] == classes.sprung
    asked = {"any": True, "spring": sprung, "spile": ~sprung}
    a, b = len(table.items), len(seams.items)
    each = np.full((strakes + 1, a + b), np.inf)
    for k, item in enumerate(table.items):
        np.fmin.at(each[:, k], checks.strakes.number, np.where(asked[item.group], table.margin[k], np.nan))
    for k in range(b):
        np.fmin.at(each[:, a + k], checks.seams.number, seams.margin[k])
    each = np.where(np.isfinite(each), np.clip(each, IMPOSSIBLE, 1.0), 1.0)
    return each[1:].ravel()  # the sheer, seam 0, is not ours to move


def _sampled(plan):
    strakes = strake_samples(plan)
    return strakes, seam_samples(plan, runs=strakes.runs)
