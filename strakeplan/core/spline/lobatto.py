# SPDX-License-Identifier: LGPL-2.1-or-later
"""Polynomials through Gauss-Lobatto nodes on [-1, 1].

References
----------
C. Canuto, M. Y. Hussaini, A. Quarteroni, T. A. Zang, *Spectral Methods: Fundamentals in
Single Domains*, Springer 2006, sections 2.3 (nodes) and 3.4 (stiffness matrix).
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre

__all__ = ["Lobatto", "lobatto"]

_ORDERS = 3  # highest derivative that is ever asked for


@dataclass(frozen=True, eq=False)
class Lobatto:
    """Nodes and matrices of one polynomial degree p.

    Attributes
    ----------
    degree : int
    nodes : (p + 1,) increasing, ends included
    stiffness : (p + 1, p + 1)
        Integrals of products of the cardinal polynomials' derivatives over [-1, 1].
    weights : (p + 1,)
        Of the quadrature at the nodes, exact to degree 2 p - 1.
    derivative : (p + 1, p + 1)
        Node values to the derivative's node values.
    to_legendre : tuple of (p + 1, p + 1)
        Node values to Legendre coefficients of the polynomial and of its derivatives.
    """

    degree: int
    nodes: np.ndarray
    stiffness: np.ndarray
    weights: np.ndarray
    derivative: np.ndarray
    to_legendre: tuple

    def values(self, x, order=0):
        """Matrix (n, p + 1) that takes node values to the order-th derivative at x (n,)."""
        return legendre.legvander(x, self.degree) @ self.to_legendre[order]


def _differentiation(degree):
    """Legendre coefficients of a polynomial to those of its derivative."""
    out = np.zeros((degree + 1, degree + 1))
    for k in range(1, degree + 1):
        c = np.zeros(k + 1)
        c[k] = 1.0
        d = legendre.legder(c)
        out[: len(d), k] = d
    return out


@lru_cache(maxsize=None)
def lobatto(degree):
    """The Lobatto element of a degree (1 to 16)."""
    c = np.zeros(degree + 1)
    c[degree] = 1.0
    inner = legendre.legroots(legendre.legder(c)) if degree > 1 else np.empty(0)
    d2 = legendre.legder(c, 2)
    d1 = legendre.legder(c)
    for _ in range(2):  # polish the companion-matrix roots
        if degree > 1:
            inner = inner - legendre.legval(inner, d1) / legendre.legval(inner, d2)
    nodes = np.concatenate([[-1.0], np.sort(inner), [1.0]])
    nodes = 0.5 * (nodes - nodes[::-1])
    first = np.linalg.inv(legendre.legvander(nodes, degree))
    d = _differentiation(degree)
    to_legendre = [first]
    for _ in range(_ORDERS):
        to_legendre.append(d @ to_legendre[-1])
    gx, gw = legendre.leggauss(degree + 1)
    slope = legendre.legvander(gx, degree) @ to_legendre[1]
    stiffness = slope.T @ (gw[:, None] * slope)
    at_nodes = legendre.legvander(nodes, degree)
    weights = 2.0 / (degree * (degree + 1) * at_nodes[:, -1] ** 2)
    derivative = at_nodes @ to_legendre[1]
    for a in (nodes, stiffness, weights, derivative, *to_legendre):
        a.setflags(write=False)
    return Lobatto(degree, nodes, stiffness, weights, derivative, tuple(to_legendre))
