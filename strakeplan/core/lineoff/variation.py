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

from ..curve import curvatures
from ..spline.lobatto import lobatto
from ..spline.patch import geometry_of

__all__ = ["STRIDE", "Bending", "Places", "bending"]

STRIDE = 4  # places over which the change of curvature is taken


@dataclass(frozen=True, eq=False)
class Places:
    """Equally spaced places in zones, on the elements of the seams' lengthwise parameter.

    Attributes
    ----------
    nodes : (zones, places, degree + 1) int
        Nodes of the element that every place lies on.
    values : tuple of (zones, places, degree + 1)
        What takes values at these nodes to the place, and to the first and second derivative
        by the share of the zone.
    """

    nodes: np.ndarray
    values: tuple

    @classmethod
    def in_zones(cls, breaks, degree, zones, count):
        """`count` places, ends included, in every zone.

        Parameters
        ----------
        breaks : (e + 1,) increasing parameters at which the elements end
        degree : int
        zones : sequence of (float, float)
            Parameters at which each begins and ends.
        """
        share = np.linspace(0.0, 1.0, count)
        ends = np.array(zones)
        at = ends[:, :1] + (ends[:, 1:] - ends[:, :1]) * share
        # a place on a break belongs to the element on the zone's own side
        inside = at + 1e-9 * (ends.mean(axis=1, keepdims=True) - at)
        e = np.clip(np.searchsorted(breaks, inside, side="right") - 1, 0, len(breaks) - 2)
        width = breaks[e + 1] - breaks[e]
        x = np.clip(2.0 * (at - breaks[e]) / width - 1.0, -1.0, 1.0)
        rate = 2.0 * (ends[:, 1:] - ends[:, :1]) / width
        element = lobatto(degree)
        values = tuple(
            element.values(x.ravel(), k).reshape(*x.shape, degree + 1) * rate[..., None] ** k for k in (0, 1, 2)
        )
        return cls(e[..., None] * degree + np.arange(degree + 1), values)

    def read(self, nodes, order=0):
        """Values (seams, zones, places, c) of what is given at the nodes (seams, zones, places, degree + 1, c)."""
        return np.einsum("zpj,szpjc->szpc", self.values[order], nodes)


@dataclass(frozen=True, eq=False)
class Bending:
    """Edgewise bending of seams at the places of zones.

    Arrays are (seams, zones, places), with some places less for what lies between two of them.

    Attributes
    ----------
    kappa : geodesic curvature, 1/mm
    weight : of the trapezoidal rule, mm
    step : lengths between places four apart, mm
    rate : change of kappa by arc length over these, 1/mm^2
    speed : mm by the share of the zone
    gauss : Gauss's curvature, 1/mm^2
    jet : Jet, of all places in one row
    t, b : (n, 3) along and across the seams, in one row
    """

    kappa: np.ndarray
    weight: np.ndarray
    step: np.ndarray
    rate: np.ndarray
    speed: np.ndarray
    gauss: np.ndarray
    jet: object
    t: np.ndarray
    b: np.ndarray

    def along(self, values):
        """Change of values (..., places) by arc length."""
        return (values @ _differentiation(values.shape[-1]).T) / self.speed

    def columns(self, moved, shapes):
        """Changes of kappa and of its rate, for several ways of giving way.

        Parameters
        ----------
        moved : (seams, zones, places, 2)
            Change of (u, v) by the share of girth.
        shapes : (f, zones, places)
            Change of the share, the same for all seams.

        Returns
        -------
        kappa : (f, seams, zones, places)
        rate : (f, seams, zones, places - 4)
        """
        duv = moved.reshape(-1, 2)
        d = self.jet.su * duv[:, :1] + self.jet.sv * duv[:, 1:]
        across, along = (np.einsum("ij,ij->i", d, a).reshape(self.kappa.shape) for a in (self.b, self.t))
        eta, tau = across * shapes[:, None], along * shapes[:, None]
        kappa = self.along(self.along(eta)) + (self.kappa**2 + self.gauss) * eta + tau * self.along(self.kappa)
        longer = self.along(tau) - self.kappa * eta
        stretched = _between(longer * self.speed) * (STRIDE / (longer.shape[-1] - 1.0)) / self.step
        return kappa, (kappa[..., STRIDE:] - kappa[..., :-STRIDE]) / self.step - stretched * self.rate


def bending(patch, places, nodes):
    """Edgewise bending of seams.

    The rate of kappa is its difference between places four apart. Where a seam passes knot lines
    its curvature has corners, about which polynomials, and their derivatives more so, ring.

    Parameters
    ----------
    patch : SplinePatch
    places : Places
    nodes : (seams, zones, places, degree + 1, 2)
        (u, v) at the nodes that the places ask for.

    Returns
    -------
    Bending
    """
    at, d1, d2 = (places.read(nodes, order) for order in (0, 1, 2))
    shape = at.shape[:-1]
    jet = patch.jets(at[..., 0].ravel(), at[..., 1].ravel(), 2)
    g = geometry_of(jet)
    c = curvatures(jet, g, d1.reshape(-1, 2), d2.reshape(-1, 2))
    kappa, speed = c.kappa_g.reshape(shape), c.speed.reshape(shape)
    weight = speed / (shape[-1] - 1.0)
    weight[..., [0, -1]] *= 0.5
    step = _between(speed) * (STRIDE / (shape[-1] - 1.0))
    rate = (kappa[..., STRIDE:] - kappa[..., :-STRIDE]) / step
    return Bending(kappa, weight, step, rate, speed, g.K.reshape(shape), jet, c.t, c.b)


def _between(values):
    """Means (..., places - 4) of values (..., places) over stretches of four intervals."""
    total = np.zeros((*values.shape[:-1], values.shape[-1]))
    np.cumsum(0.5 * (values[..., 1:] + values[..., :-1]), axis=-1, out=total[..., 1:])
    return (total[..., STRIDE:] - total[..., :-STRIDE]) / STRIDE


@lru_cache(maxsize=None)
def _differentiation(count):
    """Matrix of derivatives on equally spaced places in [0, 1], fourth order throughout."""
    out = np.zeros((count, count))
    offsets = np.arange(5)
    for row in range(count):
        first = min(max(row - 2, 0), count - 5)
        x = first + offsets - row
        # the polynomial through five neighbours: its slope at the middle one
        weights = np.linalg.solve(np.vander(x, 5, increasing=True).T, np.eye(5)[1])
        out[row, first : first + 5] = weights * (count - 1)
    return out
