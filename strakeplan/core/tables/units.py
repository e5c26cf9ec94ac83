# SPDX-License-Identifier: LGPL-2.1-or-later
"""Lengths written as a boatbuilder reads them."""

from fractions import Fraction

__all__ = ["MM_PER_INCH", "feet_inches_sixteenths", "metres"]

MM_PER_INCH = 25.4  # exact by definition since 1959


def feet_inches_sixteenths(mm):
    """A length in feet, inches and sixteenths, rounded to the nearest sixteenth.

    Parameters
    ----------
    mm : float

    Returns
    -------
    str
        For instance ``6' 6 9/16"`` or ``3/8"``; the sign in front where it is negative.
    """
    sixteenths = round(abs(mm) / MM_PER_INCH * 16)
    sign = "-" if mm < 0 and sixteenths else ""
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    words = []
    if feet:
        words.append(f"{feet}'")
    fraction = Fraction(part, 16)
    if inches or not part:
        words.append(f"{inches} {fraction}\"" if part else f'{inches}"')
    else:
        words.append(f'{fraction}"')
    return sign + " ".join(words)


def metres(mm):
    """A length in metres to the centimetre: '4.88 m', '5 m'."""
    return f"{mm / 1000.0:.2f}".rstrip("0").rstrip(".") + " m"
