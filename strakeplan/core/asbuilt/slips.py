# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a builder may have meant by a reading that lies off the trend.

Slips of the tape and of the pencil: digits swapped, missed, doubled or misread; a tape held
at a round figure or misread by one; feet for inches; the reading of a neighbour or of another mark.
"""

from dataclasses import dataclass

from ..tables.units import feet_inches_sixteenths

__all__ = ["Slip", "slips_of"]

_FOOT, _INCH = 304.8, 25.4


@dataclass(frozen=True)
class Slip:
    """One slip that would explain a reading.

    Attributes
    ----------
    kind : str
        'digits swapped', 'slip of 100 mm', 'digit missed', 'reading of station 5' ...
    meant : float
        What the tape would have read, mm.
    text : str
        For the user: 'digits swapped: 1297 for 1279?'.
    """

    kind: str
    meant: float
    text: str


def slips_of(tape, expected, within, elsewhere=()):
    """Slips that turn a reading into one that fits.

    Parameters
    ----------
    tape : Tape
    expected : float
        What the trend lets expect, mm.
    within : float
        How near a slip must bring the reading, mm.
    elsewhere : sequence of (str, float)
        Where else the tape may have been: ('station 5', girth expected there, mm).

    Returns
    -------
    tuple of Slip
        The likeliest first: in the order of kinds above, then the nearest.
    """
    found = {}

    def fits(kind, meant, text, rank):
        off = abs(meant - expected)
        if off <= within and meant > 0.0:
            known = found.get(kind)
            if known is None or off < known[1]:
                found[kind] = (rank, off, Slip(kind, meant, text))

    def put(kind, meant, rank):
        fits(kind, meant, f"{kind}: {_own(tape)} for {tape.written(meant)}?", rank)

    if tape.digits is not None:
        for kind, digits, rank in _of_digits(tape.digits):
            put(kind, float(digits) * tape.size, rank)
    else:
        feet, inches, fraction = tape.parts
        if feet < 12:
            put("feet and inches swapped", inches * _FOOT + (feet + float(fraction)) * _INCH, 0)
    metric = (("100 mm", 100.0), ("10 mm", 10.0), ("a metre", 1000.0), ("50 mm", 50.0))
    imperial = (("an inch", _INCH), ("a foot", _FOOT), ("10 inches", 10.0 * _INCH), ("half an inch", 0.5 * _INCH))
    for name, size in metric if tape.digits is not None else imperial:
        for sign in (1.0, -1.0):
            put(f"slip of {name}", tape.mm + sign * size, 1)
    if tape.digits is not None:
        # a tape with inches on its other edge
        for name, size in imperial[:2]:
            for sign in (1.0, -1.0):
                put(f"slip of {name}", tape.mm + sign * size, 4)
    # the reading itself is right, but of another place: what was meant is not known
    for name, girth in elsewhere:
        if abs(tape.mm - girth) <= within:
            kind = f"reading of {name}"
            text = f"{kind}? {tape.written(girth)} is expected there, {tape.written(expected)} here"
            found[kind] = (2, abs(tape.mm - girth), Slip(kind, float("nan"), text))
    return tuple(entry[2] for entry in sorted(found.values(), key=lambda e: e[:2]))


def _own(tape):
    return tape.digits if tape.digits is not None else feet_inches_sixteenths(tape.mm)


def _of_digits(figure):
    """(kind, figure meant, rank) of slips of the pencil in a decimal figure."""
    for k in range(len(figure) - 1):
        a, b = figure[k], figure[k + 1]
        if a != b and a != "." and b != ".":
            yield "digits swapped", figure[:k] + b + a + figure[k + 2 :], 0
    for k in range(len(figure) + 1):
        for digit in "0123456789":
            yield "digit missed", figure[:k] + digit + figure[k:], 3
    for k, old in enumerate(figure):
        rest = figure[:k] + figure[k + 1 :]
        if old != "." and rest.strip("."):
            yield "digit too many", rest, 3
        if old != ".":
            for digit in "0123456789":
                if digit != old:
                    yield "digit misread", figure[:k] + digit + figure[k + 1 :], 3.5
