# SPDX-License-Identifier: LGPL-2.1-or-later
"""Bending a batten in: from strings drawn taut from mark to mark to the fair curve."""

from math import pi

from ..errors import PlanError
from .elastica import Ends, newton, settle
from .elements import chained, laid_again, raised
from .geodesic import geodesic_between

__all__ = ["bent"]

_LOW = 6  # degree of the elements while the corners are bent away
_LEAST_BEND = 1.0 / 128.0  # share of the corners bent away at a time before giving up


def bent(patch, marks, holds=(None, None), degree=8, elements=24):
    """Bend a batten in from strings drawn taut from mark to mark.

    The strings are an exact batten that may have corners at the marks. Newton's method takes
    the corners out at one go where they are small, and by degrees where they are not.

    Returns
    -------
    Batten, its last Newton system, Ends
    """
    low = min(degree, _LOW)
    strings = [
        geodesic_between(patch, a, b, elements=1, degree=low, passes=1)
        for a, b in zip(marks[:-1], marks[1:])
    ]
    good, corners = chained(patch, strings)
    head = None if holds[0] is None else _aim(patch, marks[:2], 0, good.state[0, 0, 2])
    tail = None if holds[1] is None else _aim(patch, marks[-2:], -1, good.state[-1, -1, 2])

    def ends(share):
        return Ends(
            marks, (1.0 - share) * corners,
            None if head is None else head + share * holds[0],
            None if tail is None else tail - share * holds[1],
        )  # fmt: skip

    longest = float(good.length.sum()) / elements
    done, more = 0.0, 1.0
    while done < 1.0:
        share = min(1.0, done + more)
        batten, _ = newton(good, ends(share))
        if batten is None:
            more *= 0.5
            if more < _LEAST_BEND:
                raise PlanError(
                    "the batten does not settle on the surface",
                    f"with {100.0 * done:.0f} per cent of the corners at the marks bent away",
                    "move the marks so that the line turns less sharply, or leave one out",
                )
            continue
        good, done, more = laid_again(batten, longest, low)[0], share, 2.0 * more
    batten, step = settle(good if degree == low else raised(good, degree), ends(1.0), longest, degree)
    if batten is None:
        raise PlanError(
            "the batten does not settle on the surface", "",
            "move the marks so that the line turns less sharply, or leave one out",
        )  # fmt: skip
    return batten, step, ends(1.0)


def _aim(patch, pair, end, near):
    """Angle theta at one end of the taut string between two marks, on the turn of a rough one."""
    theta = bent(patch, pair)[0].state[end, end, 2]
    return theta - 2.0 * pi * round((theta - near) / (2.0 * pi))
