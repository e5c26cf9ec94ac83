# SPDX-License-Identifier: LGPL-2.1-or-later
"""Feet, inches and sixteenths. The inch is 25.4 mm exactly (international agreement of 1959)."""

from fractions import Fraction

import pytest

from strakeplan.core.tables.units import MM_PER_INCH, feet_inches_sixteenths, metres

SIXTEENTH = 25.4 / 16.0

READ = [
    (0.0, '0"'),
    (0.79, '0"'),  # below half a sixteenth
    (0.80, '1/16"'),
    (-0.5, '0"'),  # no minus before nothing
    (9.525, '3/8"'),
    (25.4, '1"'),
    (1995.0, "6' 6 9/16\""),  # 78.543 inches
    (105.0, '4 1/8"'),
    (99.75, '3 15/16"'),
    (304.8, "1' 0\""),
    (304.8 - SIXTEENTH, '11 15/16"'),
    (304.8 - 0.49 * SIXTEENTH, "1' 0\""),  # carries from sixteenths to inches to feet
    (304.8 - 0.51 * SIXTEENTH, '11 15/16"'),
    (609.6 - 0.3, "2' 0\""),
    (25.4 - 0.3, '1"'),  # carries from sixteenths to an inch
    (304.8 + 12.7, "1' 1/2\""),
    (-304.8 - 12.7, "-1' 1/2\""),
    (-9.525, '-3/8"'),
    (-304.8 + 0.49 * SIXTEENTH, "-1' 0\""),
    (12345.6, "40' 6 1/16\""),
]


@pytest.mark.parametrize("mm, text", READ)
def test_written_as_a_builder_reads_it(mm, text):
    got = feet_inches_sixteenths(mm)
    print(f"{mm} mm: {got}")
    assert got == text


def value(text):
    """Sixteenths that a written length stands for."""
    sign = -1 if text.startswith("-") else 1
    total = Fraction(0)
    for word in text.lstrip("-").replace('"', "").split():
        total += Fraction(word[:-1]) * 12 if word.endswith("'") else Fraction(word)
    return sign * total * 16


def test_nearest_sixteenth_over_a_long_range():
    """What is written, read back, is never more than half a sixteenth off, and fractions are reduced."""
    worst = 0.0
    for k in range(-4000, 4000):
        mm = k * 1.7773
        text = feet_inches_sixteenths(mm)
        back = value(text)
        assert back.denominator == 1, text
        worst = max(worst, abs(float(back) * SIXTEENTH - mm))
        for even in ("2/16", "4/16", "6/16", "8/16", "10/16", "12/16", "14/16", "2/8", "4/8", "6/8", "2/4"):
            assert not any(word.rstrip('"') == even for word in text.split()), text
    print(f"8,000 lengths: off by {worst:.4f} mm at most, half a sixteenth is {SIXTEENTH / 2:.4f}")
    assert worst <= SIXTEENTH / 2 + 1e-9 and MM_PER_INCH == 25.4


def test_metres():
    """16 ft is 4.8768 m by definition of the foot (0.3048 m)."""
    for mm, text in ((4876.8, "4.88 m"), (5000.0, "5 m"), (4500.0, "4.5 m"), (10000.0, "10 m"), (4996.0, "5 m")):
        print(mm, metres(mm))
        assert metres(mm) == text
