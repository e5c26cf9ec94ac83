# SPDX-License-Identifier: LGPL-2.1-or-later
"""Half siding: how wide stem, keel and sternpost are where the planking lands on them."""

from dataclasses import dataclass

import numpy as np

__all__ = ["HalfSiding"]


@dataclass(frozen=True)
class HalfSiding:
    """Half siding as a function of the distance aft.

    Between the stem's value and the keel's, and between the keel's and the post's, it goes
    over a stretch of the *keel* next to the forefoot and the heel, so that stem and post keep
    their own all the way down. The step is 6 t^5 - 15 t^4 + 10 t^3, with two
    derivatives that vanish at both ends.

    Parameters
    ----------
    stem, keel, post : float
        Half sidings, mm.
    forefoot, heel : float
        Ship x where the boundary leaves the stem and where it starts up the stern, mm.

    Notes
    -----
    The stretch is ten times the difference, 200 mm at least and 45 % of the keel at most.
    """

    stem: float
    keel: float
    post: float
    forefoot: float = 0.0
    heel: float = 1.0

    @property
    def constant(self):
        """Whether all three are the same."""
        return self.stem == self.keel == self.post

    def _stretch(self, difference):
        return min(max(200.0, 10.0 * abs(difference)), 0.45 * (self.heel - self.forefoot))

    @property
    def _steps(self):
        """(start, length, change) of the two stretches, those without change left out."""
        fore, aft = self.keel - self.stem, self.post - self.keel
        steps = []
        if fore:
            steps.append((self.forefoot, self._stretch(fore), fore))
        if aft:
            length = self._stretch(aft)
            steps.append((self.heel - length, length, aft))
        return steps

    @property
    def breaks(self):
        """Ship x where the formula changes, mm."""
        return [x for start, length, _ in self._steps for x in (start, start + length)]

    def at(self, x):
        """Half siding at ship x (n,), mm."""
        h = np.full(np.shape(x), float(self.stem))
        for start, length, change in self._steps:
            t = np.clip((x - start) / length, 0.0, 1.0)
            h = h + change * t**3 * (10.0 + t * (6.0 * t - 15.0))
        return h

    def slope(self, x):
        """Derivative of the half siding at ship x (n,)."""
        d = np.zeros(np.shape(x))
        for start, length, change in self._steps:
            t = np.clip((x - start) / length, 0.0, 1.0)
            d = d + change / length * 30.0 * t**2 * (1.0 - t) ** 2
        return d
