# SPDX-License-Identifier: LGPL-2.1-or-later
"""Fairing: the course of least edgewise bending for seams at the ends of the hull.

Least integral of kappa_g^2 + (a kappa_g')^2, a being a quarter of the zone. The second term
spreads the bending out; without it, it would crowd where the zone begins.
"""

import numpy as np

from .variation import STRIDE, Places, bending

__all__ = ["faired", "shapes_of"]

_FAIRING = 3  # free coefficients of each seam in each zone
_ROUNDS = 8  # Gauss-Newton rounds at most
_ENOUGH = 1e-4  # a round that gains less than this share of a seam's bending is the last
_HALVINGS = 5
_PLACES = 33  # of every zone, at which bending is looked at
_ROUNDING = 1e-6  # share of a seam's bending by which it may seem to grow where it is least


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
        Shares (seams, c) and the cross curves (c,) they are meant for -> places (u, v) and
        their change with the share, both (seams, c, 2).
    pins : sequence of (int, (f,) array, float)
        Seams that have to pass a mark: the shapes' values there, and by how much the seam's
        share there has to differ from its start.
    """
    shapes = shapes_of(zones, family.parameter)
    change = np.zeros((len(start), len(shapes)))
    if not len(shapes):
        return change
    ends = [(zone.start, zone.end) for zone in zones]
    places = Places.in_zones(family.breaks, family.degree, ends, _PLACES)
    columns, own = np.unique(places.nodes, return_inverse=True)
    own = own.reshape(places.nodes.shape)
    spread = 0.25 * np.array([abs(end - begin) for begin, end in ends])[:, None]

    def look(change):
        uv, moved = nodes(start[:, columns] + change @ shapes[:, columns], columns)
        found = bending(hull.patch, places, uv[:, own])
        terms = [np.sqrt(found.weight) * found.kappa, np.sqrt(found.step / STRIDE) * spread * found.rate]
        return found, places.read(moved[:, own]), _in_rows(terms, 1)

    now = look(change)
    share = np.linspace(0.0, 1.0, _PLACES)
    at_places = shapes_of(zones, np.concatenate([begin + (end - begin) * share for begin, end in ends]))
    at_places = at_places.reshape(-1, len(zones), _PLACES)
    for turn in range(_ROUNDS):
        step, promised = _step(*now, at_places, spread, change, pins)
        held = np.array([any(seam == j for seam, *_ in pins) for j in range(len(start))]) & (turn == 0)
        if promised < _ENOUGH and not held.any():
            break
        change, now, gained = _damped(look, change, step, now, held)
        if gained < _ENOUGH:
            break
    return change


def _step(found, moved, terms, at_places, spread, change, pins):
    """Gauss and Newton's step (seams, f) from one look, and the greatest share of a seam's bending
    that it promises to take away."""
    kappa, rate = found.columns(moved, at_places)
    matrix = _in_rows([np.sqrt(found.weight) * kappa, np.sqrt(found.step / STRIDE) * spread * rate], 2)
    matrix = np.moveaxis(matrix, 0, 2)  # (seams, terms, f)
    size = np.sqrt(np.sum(matrix**2, axis=1, keepdims=True))
    scaled = matrix / size
    square = np.matmul(np.swapaxes(scaled, 1, 2), scaled)
    right = np.matmul(np.swapaxes(scaled, 1, 2), -terms[:, :, None])
    step = np.linalg.solve(square, right)[..., 0] / size[:, 0]
    for j in {seam for seam, *_ in pins}:
        mine = [(at, value - at @ change[j]) for seam, at, value in pins if seam == j]
        step[j] = _least(matrix[j], -terms[j], mine)
    before, after = (np.sum(a**2, axis=1) for a in (terms, terms + np.matmul(matrix, step[..., None])[..., 0]))
    return step, float(np.max(1.0 - after / np.where(before > 0.0, before, 1.0)))


def _in_rows(parts, lead):
    """Arrays (..., zones, places) side by side in rows, after `lead` leading axes."""
    return np.concatenate([part.reshape(*part.shape[:lead], -1) for part in parts], axis=lead)


def _damped(look, change, step, now, held):
    """Take each seam's step as far as it makes its bending less; `held` seams wholly.

    Returns
    -------
    change : of the new seams
    now : the look at them
    gained : float
        Greatest share by which a seam's bending fell.
    """
    before = np.sum(now[2] ** 2, axis=1)
    length = np.ones(len(step))
    for _ in range(_HALVINGS):
        trial = change + length[:, None] * step
        new = look(trial)
        after = np.sum(new[2] ** 2, axis=1)
        worse = ~(after <= (1.0 + _ROUNDING) * before) & ~held & (length > 0.0)
        if not worse.any():
            break
        length[worse] *= 0.25
    else:
        length[worse] = 0.0
        trial = change + length[:, None] * step
        new = look(trial)
        after = np.sum(new[2] ** 2, axis=1)
    gain = np.max(1.0 - after / np.where(before > 0.0, before, 1.0), initial=0.0)
    return trial, new, 1.0 if held.any() else float(gain)


def _least(matrix, right, pins):
    """Least squares, exact where pins want it: a @ x = value for each (a, value)."""
    if not pins:
        return np.linalg.lstsq(matrix, right, rcond=None)[0]
    rows, values = np.array([a for a, _ in pins]), np.array([v for _, v in pins])
    fixed = np.linalg.lstsq(rows, values, rcond=None)[0]
    free = np.linalg.svd(rows)[2][len(rows) :].T
    rest = np.linalg.lstsq(matrix @ free, right - matrix @ fixed, rcond=None)[0]
    return fixed + free @ rest
