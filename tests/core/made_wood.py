# SPDX-License-Identifier: LGPL-2.1-or-later
"""Wood with round figures, so that checks can be reckoned by hand."""

from types import SimpleNamespace

__all__ = ["FIR"]

#: softwood, about that of coast Douglas-fir at 12 % (Wood Handbook, Table 5-3), rounded
FIR = SimpleNamespace(
    name="softwood", along=14000.0, shear_modulus=1000.0, breaking_strain=6.4e-3, breaking_shear=9.0e-3
)
