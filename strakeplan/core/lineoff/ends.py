# SPDX-License-Identifier: LGPL-2.1-or-later
"""What happens to a divided belt at the ends of the hull: zones, nibs, shares of the edges."""

import numpy as np

from ..errors import PlanError
from .crossfamily import cross_curves
from .divide import Zone, divide, girths_between
from .nibs import end_weights, nib_depth

__all__ = ["EndPlan"]

_LEAD = 1.0  # of a nib's distance from the end: how far before the nib the seams begin to give way
_DEPTH = 0.05  # mm; nobody cuts a nib nearer
_TRIES = 8


class EndPlan:
    """The ends of one divided belt.

    Parameters
    ----------
    hull : PlankedSurface
    belt : divided belt
    above : int
        Number of strakes above the belt.
    nibs : sequence of Nib
        Of the whole line-off; those of other belts are left alone.
    upper, lower : HullLine or None
        The belt's lines; None is the sheer.
    """

    def __init__(self, hull, belt, above, nibs, upper, lower):
        self.hull, self.belt, self.upper, self.lower = hull, belt, upper, lower
        self.nibs = [n for n in nibs if above < n.strake <= above + belt.count]
        self.local = {n: int(n.strake) - above - 1 for n in self.nibs}
        for nib in self.nibs:
            self._check(nib)
        self._start = {edge: self._first_start(edge) for edge in ("stem", "stern")}
        a, b = self._start["stem"], self._start["stern"]
        if a is not None and b is not None and a >= b:
            self._shorten()

    def _check(self, nib):
        if nib.position is None:
            raise PlanError(
                "a nib in a divided belt has no station", nib.name,
                "say at which station it stands; its depth may be given besides",
            )  # fmt: skip
        k = self.local[nib]
        if k == 0:
            raise PlanError(
                "the first strake of a divided belt cannot end in a nib", nib.name,
                "let the strake below it end, which it then takes over",
            )  # fmt: skip
        for other in self.nibs:
            if other.end == nib.end and self.local[other] == k - 1:
                raise PlanError(
                    f"strakes {other.strake} and {nib.strake} lie side by side and both end at the {nib.end}",
                    nib.name, "leave a whole strake between strakes that end",
                )  # fmt: skip

    def _x(self, nib):
        return float(self.hull.frame.to_ship_station(nib.position))

    def _end_x(self, edge):
        """Ship position of the belt's end there: of its lower line, or of the line above."""
        x = [line.curve.points([0.0, line.curve.length])[:, 0] for line in (self.upper, self.lower) if line is not None]
        return min(e[0] for e in x) if edge == "stem" else max(e[1] for e in x)

    def _first_start(self, edge):
        """Where the seams begin to give way to nibs at an end; None without any."""
        mine = [self._x(n) for n in self.nibs if n.edge == edge]
        if not mine:
            return None
        farthest = max(mine) if edge == "stem" else min(mine)
        return farthest + _LEAD * (farthest - self._end_x(edge))

    def _shorten(self):
        """Both ends want the same stretch: each gives way."""
        nibs = {edge: [self._x(n) for n in self.nibs if n.edge == edge] for edge in ("stem", "stern")}
        fore, aft = max(nibs["stem"]), min(nibs["stern"])
        if fore >= aft:
            raise PlanError(
                "nibs of the bow stand abaft nibs of the stern in one belt",
                self.hull.frame.station_label(fore), "move them apart, or end the strakes in other belts",
            )  # fmt: skip
        self._start = {"stem": fore + 0.45 * (aft - fore), "stern": aft - 0.45 * (aft - fore)}

    def parted(self):
        """Ship positions at which the lengthwise elements have to end."""
        return [x for x in self._start.values() if x is not None] + list(self.belt.knots(self.hull.frame))

    def zones(self, family):
        """Zones of the belt on a family of cross curves."""
        out = []
        for fan, edge in ((family.bow, "stem"), (family.stern, "stern")):
            start = self._start[edge]
            if start is None and not fan.reach:
                continue
            inner = fan.x_section if start is None else fan.sign * min(fan.sign * start, fan.sign * fan.x_section)
            out.append(Zone(edge, float(inner), float(fan.x_section + fan.sign * fan.reach)))
        if len(out) == 2 and out[0].start >= out[1].start:
            raise PlanError(
                "the nibs leave no sections on which the belt keeps its shares",
                self.hull.frame.station_label(out[0].start), "move the nibs nearer to the ends",
            )  # fmt: skip
        return out

    def divided(self, family):
        """Seams of the belt, its nibs as deep as they are wanted.

        Returns
        -------
        list of SeamPart
        """
        zones = self.zones(family)
        ends = self._end_shares(family)
        wanted = [n for n in self.nibs if n.depth is not None]
        pins = {}
        for turn in range(_TRIES):
            parts, shares = divide(
                self.hull, family, self.upper, self.lower, self.belt, zones, ends, list(pins.values())
            )
            off = {n: self._depth(parts, n) - n.depth for n in wanted}
            if all(abs(value) < _DEPTH for value in off.values()):
                return parts
            for n in wanted:
                seam, at = self.local[n] - 1, self._pin(family, zones, n)
                girth = self._girth(family, at)
                pins[n] = (seam, at, float(shares(np.array([at]))[seam, 0]) + off[n] / girth)
        n = max(wanted, key=lambda n: abs(off[n]))
        raise PlanError(
            f"the nib cannot be made {n.depth:g} mm deep there: it would be {off[n] + n.depth:.1f} mm",
            n.name, "choose another depth, or move the station",
        )  # fmt: skip

    def _pin(self, family, zones, nib):
        """Parameter of the cross curve about which a nib stands."""
        zone = next(z for z in zones if z.edge == nib.edge)
        low, high = sorted((zone.start, zone.end))
        clear = 0.02 * (high - low)
        return float(np.clip(self._x(nib), low + clear, high - clear))

    def _girth(self, family, parameter):
        """Girth between the belt's lines on one cross curve, mm."""
        at = np.array([parameter])
        curves = cross_curves(self.hull, self.lower, at, family.bow, family.stern)
        top, bottom = girths_between(family, curves, at, self.upper, self.lower)
        return float(bottom[0] - top[0])

    def _depth(self, parts, nib):
        k = self.local[nib]
        lower = parts[k].whole if k < len(parts) else self.lower.curve
        return nib_depth(self.hull, parts[k - 1].whole, lower, nib)

    def _end_shares(self, family):
        ends = (family.parameter[0], family.parameter[-1])
        whole = self.belt.shares(self.hull.frame, family.parameter, ends)
        out = {}
        for edge, column in (("stem", 0), ("stern", -1)):
            part = np.concatenate([[0.0], whole[:, column], [1.0]])
            mine = sorted(self.local[n] for n in self.nibs if n.edge == edge)
            out[edge] = end_weights(np.diff(part), mine) if mine else whole[:, column]
        return out
