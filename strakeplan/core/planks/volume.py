# SPDX-License-Identifier: LGPL-2.1-or-later
"""Volumes of bodies bounded by spline faces, and of a layer on a hull.

References
----------
Divergence theorem: the volume is a third of the integral of p . n over the faces. Layer:
J. Steiner's formula, dV = (1 - 2 H z + K z^2) dA dz.
"""

import numpy as np
from numpy.polynomial import legendre

__all__ = ["enclosed_volume", "gauss_on_spans"]


def gauss_on_spans(breaks, points):
    """Gauss-Legendre abscissae and weights on every span between breaks."""
    x, w = legendre.leggauss(points)
    half = 0.5 * np.diff(breaks)[:, None]
    mid = 0.5 * (breaks[1:] + breaks[:-1])[:, None]
    return (mid + half * x).ravel(), (half * w).ravel()


def enclosed_volume(patches, origin=None):
    """Volume inside a closed set of faces.

    Parameters
    ----------
    patches : sequence of SplinePatch
        Their su x sv points outward.
    origin : (3,), optional
        Reference point near the body, so that no digits are lost far from the model's
        origin; default the first face's first pole.

    Returns
    -------
    float, mm^3; exact to rounding for polynomial faces.
    """
    origin = patches[0].poles[0, 0] if origin is None else np.asarray(origin, float)
    total = 0.0
    for patch in patches:
        # p . (su x sv) is of degree 3p - 1 in u and 3q - 1 in v
        nu = (3 * patch.degree_u + 1) // 2 + 1
        nv = (3 * patch.degree_v + 1) // 2 + 1
        u, wu = gauss_on_spans(patch.breaks_u, nu)
        v, wv = gauss_on_spans(patch.breaks_v, nv)
        p, su, sv = patch.grid(u, v)
        flux = np.einsum("nmk,nmk->nm", p - origin, np.cross(su, sv))
        total += float(wu @ flux @ wv) / 3.0
    return total
