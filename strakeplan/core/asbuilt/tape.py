# SPDX-License-Identifier: LGPL-2.1-or-later
"""Readings of a tape as they are written down: 1995, "1995 mm", 6' 6 9/16", 6-6-4."""

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Optional, Tuple

from ..tables.units import feet_inches_sixteenths

__all__ = ["UNITS", "Tape", "read_tape"]

#: what a plain number may mean -> mm; the inch is 25.4 mm by definition (1959)
UNITS = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
    "eighths": None,
    "sixteenths": None,
}

_SIZES = {"mm": "mm", "cm": "cm", "m": "m", "in": "in", "inches": "in", '"': "in", "ft": "ft", "feet": "ft", "'": "ft"}
_NUMBER = r"\d+\s+\d+/\d+|\d+/\d+|\d+\.?\d*|\.\d+"
_PART = re.compile(rf"\s*({_NUMBER})\s*(mm|cm|m|inches|in|feet|ft|\"|')\.?", re.IGNORECASE)
_DASHES = re.compile(r"\s*(\d+)\s*-\s*(\d+)\s*-\s*(\d+)\s*(\+?)\s*")


@dataclass(frozen=True)
class Tape:
    """One length as read off a tape.

    Attributes
    ----------
    mm : float
    text : str
        As it was written.
    digits : str or None
        The figure of a reading in one decimal unit, such as "1297" or "129.7"; None for
        feet and inches.
    size : float
        What one of that figure's units is, mm.
    parts : (int, int, Fraction) or None
        Feet, whole inches and the fraction of an inch, of a reading in feet and inches.
    """

    mm: float
    text: str
    digits: Optional[str] = None
    size: float = 1.0
    parts: Optional[Tuple[int, int, Fraction]] = None

    def written(self, mm):
        """Another length, written the way this one is."""
        if self.digits is None:
            return feet_inches_sixteenths(mm)
        places = len(self.digits.partition(".")[2])
        return f"{mm / self.size:.{places}f}"


def read_tape(value, unit="mm"):
    """A length off a tape.

    Parameters
    ----------
    value : str, int or float
        A plain number counts in `unit`. A text may carry its own units ("1995 mm",
        ``6' 6 9/16"``), or give feet, inches and eighths (or sixteenths) with dashes between
        as a table of offsets does, a plus for half an eighth more: 6-6-4+.
    unit : 'mm', 'cm', 'm', 'in', 'ft', 'eighths' or 'sixteenths'
        The last two are for dashes, which count eighths unless told otherwise.

    Returns
    -------
    Tape

    Raises
    ------
    ValueError
        It is no such length; the message says why.
    """
    if unit not in UNITS:
        raise ValueError(f"{unit!r} is no unit of a tape: one of {', '.join(UNITS)}")
    if isinstance(value, bool) or value is None:
        raise ValueError("it is no length")
    if isinstance(value, (int, float)):
        if not math.isfinite(value):
            raise ValueError("it is no finite number")
        value = repr(int(value)) if float(value).is_integer() else repr(float(value))
    text = str(value).strip()
    dashes = _DASHES.fullmatch(text)
    if dashes:
        return _from_dashes(text, dashes, 16 if unit == "sixteenths" else 8)
    plain = re.fullmatch(r"\d+[.,]?\d*|[.,]\d+", text)
    if plain:
        if UNITS[unit] is None:
            raise ValueError(f"feet, inches and {unit} are written with dashes, such as 6-6-4")
        digits = text.replace(",", ".")
        size = UNITS[unit]
        return _decimal(text, digits, size)
    return _with_units(text)


def _decimal(text, digits, size):
    mm = float(Fraction(digits.rstrip(".") or "0") * size)
    if mm <= 0.0:
        raise ValueError("a girth is above 0")
    return Tape(mm, text, digits, float(size))


def _from_dashes(text, match, parts_of_inch):
    feet, inches, part = (int(g) for g in match.groups()[:3])
    if inches >= 12 or part >= parts_of_inch:
        raise ValueError(
            f"after the feet come inches below 12 and then {'sixteenths' if parts_of_inch == 16 else 'eighths'} "
            f"below {parts_of_inch}"
        )
    fraction = Fraction(2 * part + (1 if match.group(4) else 0), 2 * parts_of_inch)
    return _feet(text, feet, inches, fraction)


def _feet(text, feet, inches, fraction):
    mm = float((12 * feet + inches + fraction) * UNITS["in"])
    if mm <= 0.0:
        raise ValueError("a girth is above 0")
    return Tape(mm, text, parts=(feet, inches, fraction))


def _with_units(text):
    place, found = 0, []
    while place < len(text):
        part = _PART.match(text, place)
        if part is None:
            raise ValueError('it is neither a plain number, nor one with its unit such as "1995 mm" or 6\' 6 9/16", nor 6-6-4')
        if re.search(r"/0+$", part.group(1)):
            raise ValueError("a fraction cannot have 0 below the line")
        number = sum(map(Fraction, part.group(1).split()))
        found.append((number, _SIZES[part.group(2).lower()], part.group(1)))
        place = part.end()
        while place < len(text) and text[place] in " ,":
            place += 1
    if not found:
        raise ValueError("it is empty")
    if len(found) == 1 and "/" not in found[0][2] and found[0][1] in ("mm", "cm", "m"):
        return _decimal(text, found[0][2], UNITS[found[0][1]])
    sizes = [size for _, size, _ in found]
    if sizes not in (["ft", "in"], ["ft"], ["in"]):
        raise ValueError("one unit, or feet and then inches, make a reading")
    total = sum(number * UNITS[size] for number, size, _ in found) / UNITS["in"]
    feet = int(found[0][0]) if sizes[0] == "ft" else 0
    rest = total - 12 * feet
    return _feet(text, feet, int(rest), rest - int(rest))
