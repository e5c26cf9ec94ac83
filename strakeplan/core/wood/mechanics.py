# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strains of planks that lie on a hull, and the stock hollow planks need.

Everything is closed form and takes arrays of any shapes that broadcast. Lengths mm, curvatures
1/mm, strains pure numbers (.001 is one tenth of one per cent). ``width`` is measured square to
the plank's middle line, ``thickness`` square to its flat.
"""

from typing import NamedTuple

import numpy as np

__all__ = [
    "CompoundStrain",
    "SecondMoments",
    "bend_ratio",
    "bend_strain",
    "compound_strain",
    "corner_strain",
    "edgewise_strain",
    "hollow_depth",
    "second_moments",
    "stock_thickness",
    "torsion_constant",
    "twist_shear",
]

_ODD = 2.0 * np.arange(6) + 1.0  # terms fall off as exp(-pi n): six leave 1e-15
_ZETA5 = 31.0 / 32.0 * 1.0369277551433699  # sum of 1 / n^5 over odd n = 31/32 zeta(5)


class SecondMoments(NamedTuple):
    """Second moments of a plank's section, mm^4.

    ``edgewise`` = thickness width^3 / 12 resists springing in its own plane, ``flat`` = width
    thickness^3 / 12 resists bending across the flat.
    """

    edgewise: np.ndarray
    flat: np.ndarray


class CompoundStrain(NamedTuple):
    """Strains along the plank that double curvature asks; positive is stretched.

    Attributes
    ----------
    edge_unrelaxed : both edges if the middle keeps its length, -K w^2 / 8
    edge : both edges when the plank's ends are free to come to rest, -K w^2 / 12
    middle : its middle line then, +K w^2 / 24
    """

    edge_unrelaxed: np.ndarray
    edge: np.ndarray
    middle: np.ndarray


def second_moments(width, thickness):
    """Second moments of area of a rectangular section.

    Parameters
    ----------
    width, thickness : (...) mm

    Returns
    -------
    SecondMoments, (...) mm^4
    """
    width, thickness = np.asarray(width, float), np.asarray(thickness, float)
    return SecondMoments(thickness * width**3 / 12.0, width * thickness**3 / 12.0)


def edgewise_strain(width, kappa_g):
    """Strain at the edges of a straight plank sprung edgewise, w |kappa_g| / 2.

    Parameters
    ----------
    width : (...) mm
    kappa_g : (...) 1/mm, geodesic curvature of its middle line

    Returns
    -------
    (...); stretched at the convex edge, compressed by as much at the concave one
    """
    return 0.5 * np.asarray(width, float) * np.abs(kappa_g)


def bend_strain(thickness, kappa_n):
    """Strain at the faces of a plank bent across its flat, t / 2R.

    Parameters
    ----------
    thickness : (...) mm
    kappa_n : (...) 1/mm, normal curvature along the plank

    Returns
    -------
    (...)
    """
    return 0.5 * np.asarray(thickness, float) * np.abs(kappa_n)


def bend_ratio(thickness, kappa_n):
    """Radius of the bend across the flat over the thickness, R / t.

    Parameters
    ----------
    thickness : (...) mm
    kappa_n : (...) 1/mm

    Returns
    -------
    (...); infinite where the plank lies straight
    """
    with np.errstate(divide="ignore"):
        return 1.0 / (np.asarray(thickness, float) * np.abs(kappa_n))


def compound_strain(width, gauss):
    """Strains of double curvature, which no straight board takes without stretching.

    A line at y beside a geodesic is shorter by the factor 1 - K y^2 / 2 (Jacobi's equation
    w'' + K w = 0). A plank whose ends are free takes up the mean, and no force along it is left.

    Parameters
    ----------
    width : (...) mm
    gauss : (...) 1/mm^2, Gauss's curvature K

    Returns
    -------
    CompoundStrain; what is left out is of order K^2 w^4
    """
    square = np.asarray(gauss, float) * np.square(width)
    return CompoundStrain(-square / 8.0, -square / 12.0, square / 24.0)


def corner_strain(width, thickness, kappa_g, kappa_n, gauss=0.0, relaxed=True):
    """Greatest strain along the plank: edgewise, flatwise and compound added at the worst corner.

    Edgewise strain has either sign at the two edges, flatwise at the two faces; the compound
    one is alike at both edges. At one corner of the four all three have the same sign.

    Parameters
    ----------
    width, thickness : (...) mm
    kappa_g, kappa_n : (...) 1/mm
    gauss : (...) 1/mm^2
    relaxed : bool
        Whether the plank's ends are free while it is put on; see `compound_strain`.

    Returns
    -------
    (...), never negative. Divide by `Wood.breaking_strain` for the share of it.
    """
    compound = compound_strain(width, gauss)
    edge = compound.edge if relaxed else compound.edge_unrelaxed
    return edgewise_strain(width, kappa_g) + bend_strain(thickness, kappa_n) + np.abs(edge)


def torsion_constant(width, thickness):
    """Saint-Venant's torsion constant J of a rectangle, by the exact series.

    J = w t^3 (1/3 - 64 / pi^5 (t/w) sum over odd n of tanh(n pi w / 2t) / n^5), w the longer
    side (Timoshenko and Goodier, Theory of Elasticity, art. 109, from memory). The sum is
    taken from its limit for tanh = 1, so six terms are exact to rounding.

    One shear modulus is taken for the whole section, that of the wide face: where the other
    differs by a quarter, a plank four times as wide as thick is off by about 2 %.

    Parameters
    ----------
    width, thickness : (...) mm

    Returns
    -------
    (...) mm^4
    """
    width, thickness = np.broadcast_arrays(np.asarray(width, float), np.asarray(thickness, float))
    long, short = np.maximum(width, thickness), np.minimum(width, thickness)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        ratio = np.where(long > 0.0, short / long, 1.0)
        missing = 2.0 / (np.exp(np.pi * _ODD / ratio[..., None]) + 1.0)
    total = _ZETA5 - np.sum(missing / _ODD**5, axis=-1)
    return long * short**3 * (1.0 / 3.0 - 64.0 / np.pi**5 * ratio * total)


def twist_shear(width, thickness, twist):
    """Greatest shear strain of a twisted plank, at the middle of its wide faces.

    gamma = t |twist| (1 - 8 / pi^2 sum over odd n of 1 / (n^2 cosh(n pi w / 2t))), the exact
    series for a rectangle (Timoshenko and Goodier, art. 109, from memory); nearly t |twist|
    for a thin plank.

    Parameters
    ----------
    width, thickness : (...) mm
    twist : (...) radians/mm, geodesic torsion

    Returns
    -------
    (...). Divide by `Wood.breaking_shear` for the share of the shear that breaks.
    """
    width, thickness = np.broadcast_arrays(np.asarray(width, float), np.asarray(thickness, float))
    long, short = np.maximum(width, thickness), np.minimum(width, thickness)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        ratio = np.where(long > 0.0, short / long, 1.0)
        terms = 1.0 / (_ODD**2 * np.cosh(0.5 * np.pi * _ODD / ratio[..., None]))
    return short * np.abs(twist) * (1.0 - 8.0 / np.pi**2 * np.sum(terms, axis=-1))


def hollow_depth(width, across):
    """Depth of backing out: a chord as long as the width on a circle, w^2 kappa / 8.

    Parameters
    ----------
    width : (...) mm
    across : (...) 1/mm
        Curvature square to the plank, positive where its inner face is hollowed.

    Returns
    -------
    (...) mm, negative where the inner face must be rounded
    """
    return np.square(width) * across / 8.0


def stock_thickness(width, thickness, across):
    """Thickness of the stock: the finished one and the depth of hollow or round, once.

    The inner hollow and the outer round share the same chord, so the depth counts once.

    Parameters
    ----------
    width, thickness : (...) mm
    across : (...) 1/mm

    Returns
    -------
    (...) mm
    """
    return thickness + np.abs(hollow_depth(width, across))
