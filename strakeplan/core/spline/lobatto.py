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


@dataclass(frozen=True, eq=False)
class Lobatto:
    """Nodes and matrices of one polynomial degree p.

    Attributes
    ----------
    degree : int
    nodes : (p + 1,) increasing, ends included
    stiffness : (p + 1, p + 1)
        Integrals of products of the cardinal polynomials' derivatives over [-1, 1].
    to_legendre : (p + 1, p + 1)
        Node values to Legendre coefficients.
    """

    degree: int
    nodes: np.ndarray
    stiffness: np.ndarray
    to_legendre: np.ndarray

    def values(self, x, order=0):
        """Matrix (n, p + 1) that takes node values to the order-th derivative at x (n,)."""
        return _legendre_matrix(x, self.degree, order) @ self.to_legendre


def _legendre_matrix(x, degree, order):
    """Derivatives of Legendre polynomials: (n, degree + 1)."""
    columns = []
    for k in range(degree + 1):
        c = np.zeros(k + 1)
        c[k] = 1.0
        columns.append(legendre.legval(x, legendre.legder(c, order)) + 0.0 * x)
    return np.stack(columns, axis=-1)


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
    to_legendre = np.linalg.inv(_legendre_matrix(nodes, degree, 0))
    gx, gw = legendre.leggauss(degree + 1)
    d = _legendre_matrix(gx, degree, 1) @ to_legendre
    stiffness = d.T @ (gw[:, None] * d)
    for a in (nodes, stiffness, to_legendre):
        a.setflags(write=False)
    return Lobatto(degree, nodes, stiffness, to_legendre)
