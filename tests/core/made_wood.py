# SPDX-License-Identifier: LGPL-2.1-or-later
"""Wood with round figures, so that checks can be reckoned by hand."""

from strakeplan.core.wood.species import Wood

__all__ = ["FIR"]

#: a softwood, about coast Douglas-fir at 12 % (Wood Handbook, Table 5-3), rounded:
#: breaking strain 80 / 12500 = 0.0064, breaking shear 9 / 1000 = 0.009
FIR = Wood(
    "softwood", "12 %", 1.0, modulus=12500.0, along=14000.0, shear_modulus=1000.0, rupture=80.0, shear_strength=9.0
)
