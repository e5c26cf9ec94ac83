# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fairing: the course of least edgewise bending for seams at the ends of the hull.

Least integral of kappa_g^2 + (a kappa_g')^2, a being a quarter of the zone. The second term
spreads the bending out; without it, it would crowd where the zone begins.
"""

import numpy as np
from numpy.polynomial import legendre

from ..curve import SurfaceCurve

__all__ = ["faired", "shapes_of"]

_FAIRING = 3  # free coefficients of each seam in each zone
_ROUNDS = 2  # Gauss-Newton rounds; the second changes bending by less than a thousandth


def shapes_of(zones, parameter):
    """Ways (f, m) in which a seam's share may change in the zones.

    None changes place, direction or curvature where a zone begins, nor the place at the end.
    """
    out = []
    for zone in zones:
        x = zone.share(parameter)
        out += [x**3 * (1.0 - x) * x**k for k in range(_FAIRING)]
    return np.array(out).reshape(-1, len(parameter))


def faired(hull, family, zones, start, nodes, pins=()):
    """Coefficients (seams, f) of the shapes for least edgewise bending.

    Parameters
    ----------
    hull : PlankedSurface
    family : CrossFamily
        Its elements are parted where the zones begin.
    zones : sequence of Zone
    start : (seams, m) shares to begin with
    nodes : callable
        (seams, m) shares -> (seams, m, 2) places (u, v).
    pins : sequence of (int, (f,) array, float)
        Seams that have to pass a mark: the shapes' values there, and by how much the seam's
        share there has to differ from its start.
    """
    shapes = shapes_of(zones, family.parameter)
    change = np.zeros((len(start), len(shapes)))
    if not len(shapes):
        return change
    middle = 0.5 * (family.breaks[1:] + family.breaks[:-1])
    inside = [zone.share(middle) > 0.0 for zone in zones]
    elements = np.flatnonzero(np.any(inside, axis=0))
    spread = 0.25 * np.max([abs(zone.end - zone.start) * mine for zone, mine in zip(zones, inside)], axis=0)[elements]
    scale = 1e-3
    for _ in range(_ROUNDS):
        fractions = start + change @ shapes
        base, weight = _bending(hull, family, nodes(fractions), elements, spread)
        columns = []
        for shape in shapes:
            moved, _ = _bending(hull, family, nodes(fractions + scale * shape), elements, spread)
            columns.append((moved - base) / scale)
        columns = np.stack(columns, axis=2)  # (seams, points, f)
        root = np.sqrt(weight)
        change = change + np.stack(
            [
                _least(root[j, :, None] * columns[j], -root[j] * base[j], [
                    (at, value - at @ change[j]) for seam, at, value in pins if seam == j
                ])
                for j in range(len(base))
            ]
        )  # fmt: skip
    return change


def _least(matrix, right, pins):
    """Least squares, exact where pins want it: a @ x = value for each (a, value)."""
    if not pins:
        return np.linalg.lstsq(matrix, right, rcond=None)[0]
    rows, values = np.array([a for a, _ in pins]), np.array([v for _, v in pins])
    fixed = np.linalg.lstsq(rows, values, rcond=None)[0]
    free = np.linalg.svd(rows)[2][len(rows) :].T
    rest = np.linalg.lstsq(matrix @ free, right - matrix @ fixed, rcond=None)[0]
    return fixed + free @ rest


def _bending(hull, family, uv, elements, spread):
    """What is squared and summed to make a seam's bending.

    Returns
    -------
    terms : (seams, points)
        kappa_g at Gauss points of some elements, then its rate times the spread (mm) there.
    weight : (seams, points) quadrature weights, mm
    """
    count = family.degree + 2
    gx, gw = legendre.leggauss(count)
    pieces = np.concatenate([family.elements(one)[elements] for one in uv])
    curve = SurfaceCurve(hull.patch, pieces)
    e = np.repeat(np.arange(curve.pieces), count)
    kappa = curve.at_local(e, np.tile(gx, curve.pieces)).kappa_g.reshape(-1, count)
    half = 0.5 * curve.piece_lengths[:, None]
    vander = legendre.legvander(gx, count - 1)
    slope = np.stack([legendre.legval(gx, legendre.legder(np.eye(count)[k])) for k in range(count)], 1)
    differentiate = slope @ np.linalg.inv(vander)
    rate = np.tile(spread, len(uv))[:, None] * (kappa @ differentiate.T) / half
    weight = half * gw
    shape = (len(uv), -1)
    terms = np.concatenate([kappa.reshape(shape), rate.reshape(shape)], axis=1)
    return terms, np.concatenate([weight.reshape(shape)] * 2, axis=1)
