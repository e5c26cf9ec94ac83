# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lengths as a builder writes them: 32, "32 mm", "1 1/4 in", "6 ft 2 in"."""

import math
import re
from fractions import Fraction

__all__ = ["UNITS", "length_mm"]

#: unit -> millimetres; the inch is 25.4 mm by definition (international yard, 1959)
UNITS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    '"': Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "'": Fraction(3048, 10),
}

_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+"
_PART = re.compile(rf"\s*({_NUMBER})\s*(mm|cm|m|in|ft|\"|')\.?")


def length_mm(value):
    """Length in millimetres.

    Parameters
    ----------
    value : int, float or str
        A number counts as millimetres; a text is one or more numbers, each with its
        unit, and perhaps a sign before all of it.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        If it is neither.
    """
    if isinstance(value, bool):
        raise ValueError("a length is a number or a text")
    if isinstance(value, (int, float)):
        if not math.isfinite(value):
            raise ValueError("a length is a finite number")
        return float(value)
    if not isinstance(value, str):
        raise ValueError("a length is a number or a text")
    text = value.strip()
    sign = -1 if text.startswith("-") else 1
    text = text.lstrip("+-").strip()
    total, place = Fraction(0), 0
    while place < len(text):
        part = _PART.match(text, place)
        if part is None:
            raise ValueError(f"{value!r} is not a length with its unit")
        total += sum(map(Fraction, part.group(1).split())) * UNITS[part.group(2)]
        place = part.end()
        while place < len(text) and text[place] in " ,":
            place += 1
    if not text:
        raise ValueError("a length is missing")
    return float(sign * total)
