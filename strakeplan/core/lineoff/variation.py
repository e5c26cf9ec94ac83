# SPDX-License-Identifier: LGPL-2.1-or-later
"""How the edgewise bending of seams changes when they give way along the cross curves.

Every place of a seam is moved by eta across it, along b = n x t, and by tau along it. To the
first order its geodesic curvature at the place moved changes by

    eta'' + (kappa_g^2 + K) eta + tau kappa_g'

and a length of it by the share tau' - kappa_g eta, dashes being derivatives by arc length and
K Gauss's curvature.

References
----------
M. P. do Carmo, *Riemannian Geometry*, Birkhauser 1992, chapter 9: the second variation's
operator eta'' + K eta, to which a curve that is no geodesic adds the other terms (own
derivation; compared with differences by the tests).
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

from ..curve import curvatures
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of

__all__ = ["Bending", "bending"]


@dataclass(frozen=True, eq=False)
class Bending:
    """Edgewise bending at Gauss points of some elements of many seams.

    All arrays are (seams, elements, points).

    Attributes
    ----------
    kappa : geodesic curvature, 1/mm
    rate : its change by arc length, 1/mm^2
    weight : of the quadrature, mm
    speed : mm by the element's local parameter
    gauss : Gauss's curvature, 1/mm^2
    to_points : (points, degree + 1)
        Takes values at an element's nodes to its points.
    differentiate : (points, points)
        Takes values at an element's points to their change by the local parameter.
    jet : Jet, of all points in one row
    t, b : (n, 3) along and across the seams, in one row
    """

    kappa: np.ndarray
    rate: np.ndarray
    weight: np.ndarray
    speed: np.ndarray
    gauss: np.ndarray
    to_points: np.ndarray
    differentiate: np.ndarray
    jet: object
    t: np.ndarray
    b: np.ndarray

    def along(self, values):
        """Change of values (seams, elements, points) by arc length."""
        return (values @ self.differentiate.T) / self.speed

    def columns(self, moved, shapes):
        """Changes of kappa and of its rate, for several ways of giving way.

        Parameters
        ----------
        moved : (seams, elements, degree + 1, 2)
            Change of (u, v) by the share of girth, at the nodes.
        shapes : (f, elements, points)
            Change of the share at the points, the same for all seams.

        Returns
        -------
        kappa, rate : (f, seams, elements, points)
        """
        duv = np.matmul(self.to_points, moved).reshape(-1, 2)
        d = self.jet.su * duv[:, :1] + self.jet.sv * duv[:, 1:]
        across, along = (np.einsum("ij,ij->i", d, a).reshape(self.kappa.shape) for a in (self.b, self.t))
        eta, tau = across * shapes[:, None], along * shapes[:, None]
        kappa = self.along(self.along(eta)) + (self.kappa**2 + self.gauss) * eta + tau * self.rate
        longer = self.along(tau) - self.kappa * eta
        return kappa, self.along(kappa) - longer * self.rate


def bending(patch, uv):
    """Edgewise bending of seams.

    Parameters
    ----------
    patch : SplinePatch
    uv : (seams, elements, degree + 1, 2)
        At the Gauss-Lobatto nodes of every element.

    Returns
    -------
    Bending
    """
    gw, values, differentiate = _at_points(uv.shape[2] - 1)
    at, d1, d2 = (np.matmul(matrix, uv) for matrix in values)
    shape = at.shape[:-1]
    jet = patch.jets(at[..., 0].ravel(), at[..., 1].ravel(), 2)
    g = geometry_of(jet)
    c = curvatures(jet, g, d1.reshape(-1, 2), d2.reshape(-1, 2))
    kappa, speed = c.kappa_g.reshape(shape), c.speed.reshape(shape)
    return Bending(
        kappa, (kappa @ differentiate.T) / speed, speed * gw, speed, g.K.reshape(shape), values[0],
        differentiate, jet, c.t, c.b,
    )  # fmt: skip


@lru_cache(maxsize=None)
def _at_points(degree):
    """Weights of Gauss's points, matrices from the nodes of an element to them, of order 0, 1
    and 2, and the one that differentiates along them."""
    count = degree + 2
    gx, gw = legendre.leggauss(count)
    values = tuple(lobatto(degree).values(gx, order) for order in (0, 1, 2))
    slope = np.stack([legendre.legval(gx, legendre.legder(row)) for row in np.eye(count)], axis=1)
    return gw, values, slope @ np.linalg.inv(legendre.legvander(gx, count - 1))
