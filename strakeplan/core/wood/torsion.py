# SPDX-License-Identifier: LGPL-2.1-or-later
"""Twist of a plank: torsion of a rectangular bar.

References
----------
S. Timoshenko and J. N. Goodier, *Theory of Elasticity*, McGraw-Hill: torsion of a bar of
narrow and of any rectangular section, exact series (from memory).
"""

import numpy as np

__all__ = ["shear_strain", "torsion_constant"]

_TERMS = 2.0 * np.arange(8) + 1.0  # the series falls with the fifth power: 8 odd terms give 1e-9


def _sides(width, thickness):
    a, b = np.maximum(width, thickness), np.minimum(width, thickness)
    return np.asarray(a, float), np.asarray(b, float)


def torsion_constant(width, thickness):
    """Torsion constant J of a rectangle, mm^4.

    J = a b^3 / 3 (1 - 192 b / (pi^5 a) sum tanh(n pi a / 2 b) / n^5), n odd, a the longer side.

    Parameters
    ----------
    width, thickness : (...) mm
    """
    a, b = _sides(width, thickness)
    ratio = (a / b)[..., None]
    series = np.sum(np.tanh(0.5 * np.pi * _TERMS * ratio) / _TERMS**5, axis=-1)
    return a * b**3 / 3.0 * (1.0 - 192.0 / np.pi**5 * b / a * series)


def shear_strain(width, thickness, twist):
    """Greatest shear strain of a twisted plank, at the middle of its flats.

    gamma = b |twist| (1 - 8 / pi^2 sum 1 / (n^2 cosh(n pi a / 2 b))), n odd.

    Parameters
    ----------
    width, thickness : (...) mm
    twist : (...) radians/mm
    """
    a, b = _sides(width, thickness)
    ratio = np.minimum(0.5 * np.pi * _TERMS * (a / b)[..., None], 300.0)  # cosh beyond is infinite enough
    series = np.sum(1.0 / (_TERMS**2 * np.cosh(ratio)), axis=-1)
    return b * np.abs(twist) * (1.0 - 8.0 / np.pi**2 * series)
