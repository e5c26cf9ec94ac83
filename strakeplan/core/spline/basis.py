# SPDX-License-Identifier: LGPL-2.1-or-later
"""B-spline basis functions of one parameter, as polynomials of each knot span.

The de Boor-Cox recursion is run once on polynomial coefficients, span by span,
so that evaluating many points afterwards is a gather and a Horner scheme.

References
----------
C. de Boor, *A Practical Guide to Splines*, Springer 1978, chapters IX and X.
"""

from functools import lru_cache

import numpy as np

__all__ = ["BasisTable", "basis_table", "flat_knots"]


def flat_knots(knots, multiplicities):
    """Repeat every distinct knot by its multiplicity.

    Parameters
    ----------
    knots : (k,) increasing distinct knots
    multiplicities : (k,) int

    Returns
    -------
    (sum(multiplicities),) ndarray
    """
    return np.repeat(np.asarray(knots, float), np.asarray(multiplicities, int))


class BasisTable:
    """Values and derivatives of the degree + 1 basis functions alive on a span.

    Parameters
    ----------
    knots : (n + degree + 1,) array
        Clamped, non-decreasing flat knot vector.
    degree : int
    orders : int
        Highest derivative wanted.
    """

    def __init__(self, knots, degree, orders=2):
        knots = np.asarray(knots, float)
        self.degree = degree
        self.orders = orders
        self.breaks = np.unique(knots)
        self.lower = self.breaks[:-1]
        self.middle = 0.5 * (self.breaks[1:] + self.breaks[:-1])
        self.inverse_width = 1.0 / np.diff(self.breaks)
        # index of the last flat knot at or before each span's start
        self.last = np.searchsorted(knots, self.lower, side="right") - 1
        self.first_pole = self.last - degree
        self.coefficients = np.array(
            [self._span(knots, int(k)) for k in self.last]
        )  # (spans, orders + 1, power, basis)

    def _span(self, knots, k):
        """Coefficients in x = (u - middle)/width of basis and derivatives.

        Powers of a share that stays within a half either way lose far fewer digits than
        powers of one from 0 to 1.
        """
        p = self.degree
        middle, width = 0.5 * (knots[k] + knots[k + 1]), knots[k + 1] - knots[k]
        polys = np.zeros((p + 1, p + 1))  # (basis, power); basis i is N_{k-p+i}
        polys[p, 0] = 1.0
        for d in range(1, p + 1):
            new = np.zeros_like(polys)
            for i in range(p - d, p + 1):
                j = k - p + i
                # left term (u - t_j)/(t_{j+d} - t_j) N_{j,d-1}
                if i > p - d:
                    den = knots[j + d] - knots[j]
                    new[i] += _times_linear(polys[i], (middle - knots[j]) / den, width / den)
                # right term (t_{j+d+1} - u)/(t_{j+d+1} - t_{j+1}) N_{j+1,d-1}
                if i < p:
                    den = knots[j + d + 1] - knots[j + 1]
                    new[i] += _times_linear(
                        polys[i + 1], (knots[j + d + 1] - middle) / den, -width / den
                    )
            polys = new
        out = np.zeros((self.orders + 1, p + 1, p + 1))
        current = polys.T  # (power, basis)
        for order in range(self.orders + 1):
            out[order] = current
            shifted = np.zeros_like(current)
            shifted[:-1] = current[1:] * np.arange(1, p + 1)[:, None] / width
            current = shifted
        return out

    def locate(self, u):
        """Span index of every parameter; outside the domain the end span. (n,) int."""
        return np.searchsorted(self.breaks[1:-1], u, side="right")

    def evaluate(self, u, order, span=None):
        """Basis functions and derivatives.

        Parameters
        ----------
        u : (n,) array
        order : int
            Highest derivative.
        span : (n,) int, optional
            Spans to use, so that a value on a knot can be taken from either side.

        Returns
        -------
        span : (n,) int
        values : (n, order + 1, degree + 1)
        """
        if span is None:
            span = self.locate(u)
        x = ((u - self.middle[span]) * self.inverse_width[span])[:, None, None]
        c = self.coefficients[span, : order + 1]  # (n, order + 1, power, basis)
        values = c[:, :, self.degree]
        for power in range(self.degree - 1, -1, -1):
            values = values * x + c[:, :, power]
        return span, values


    def matrices(self, u, poles):
        """Values and first derivatives of all basis functions at u (n,): two (n, poles)."""
        span, values = self.evaluate(np.asarray(u, float), 1)
        out = np.zeros((2, len(span), poles))
        rows = np.arange(len(span))[:, None]
        columns = self.first_pole[span][:, None] + np.arange(self.degree + 1)
        out[0, rows, columns] = values[:, 0]
        out[1, rows, columns] = values[:, 1]
        return out[0], out[1]



def basis_table(knots, degree):
    """The `BasisTable` of flat knots; the faces of many planks share their knots."""
    return _cached(np.asarray(knots, float).tobytes(), degree)


@lru_cache(maxsize=256)
def _cached(knots, degree):
    return BasisTable(np.frombuffer(knots), degree)

def _times_linear(poly, a, b):
    """(a + b x) poly, the top power being known to vanish."""
    out = a * poly
    out[1:] += b * poly[:-1]
    return out
