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
_ROUNDS = 8  # Gauss-Newton rounds at most
_ENOUGH = 1e-4  # a round that gains less than this share of a seam's bending is the last
_HALVINGS = 5


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

    def bending(change):
        return _bending(hull, family, nodes(start + change @ shapes), elements, spread)

    base, weight = bending(change)
    for turn in range(_ROUNDS):
        columns = []
        for k in range(len(shapes)):
            step = np.zeros_like(change)
            step[:, k] = scale
            columns.append((bending(change + step)[0] - base) / scale)
        columns = np.stack(columns, axis=2)  # (seams, points, f)
        root = np.sqrt(weight)
        step = np.stack(
            [
                _least(root[j, :, None] * columns[j], -root[j] * base[j], [
                    (at, value - at @ change[j]) for seam, at, value in pins if seam == j
                ])
                for j in range(len(base))
            ]
        )  # fmt: skip
        held = np.array([any(seam == j for seam, *_ in pins) for j in range(len(base))]) & (turn == 0)
        change, base, weight, gained = _damped(bending, change, step, base, weight, held)
        if gained < _ENOUGH:
            break
    return change


def _damped(bending, change, step, base, weight, held):
    """Take each seam's step as far as it makes its bending less; `held` seams wholly.

    Returns
    -------
    change, base, weight : of the new seams
    gained : float
        Greatest share by which a seam's bending fell.
    """
    before = np.sum(weight * base**2, axis=1)
    length = np.ones(len(step))
    for _ in range(_HALVINGS):
        trial = change + length[:, None] * step
        new, new_weight = bending(trial)
        after = np.sum(new_weight * new**2, axis=1)
        worse = ~(after <= before) & ~held & (length > 0.0)
        if not worse.any():
            break
        length[worse] *= 0.25
    else:
        length[worse] = 0.0
        trial = change + length[:, None] * step
        new, new_weight = bending(trial)
        after = np.sum(new_weight * new**2, axis=1)
    gain = np.max(1.0 - after / np.where(before > 0.0, before, 1.0), initial=0.0)
    return trial, new, new_weight, 1.0 if held.any() else float(gain)


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
