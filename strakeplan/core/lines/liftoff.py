# SPDX-License-Identifier: LGPL-2.1-or-later
"""The exact places where a stretched string leaves a surface and touches it again.

Laid pieces are geodesics, free pieces straight, in turn. The unknowns are the places where
they meet: there the straight piece must lie in the tangent plane and go on without a corner.
(The length is no guide: at such a place it is stationary, but not least.) Newton's method
with a Jacobian by differences; moving one place changes one laid and one free piece only.
"""

from dataclasses import dataclass

import numpy as np

from ..curve import SurfaceCurve
from .march import direction_uv
from .geodesic import geodesic_between
from .relax import end_pull, relax

__all__ = ["LAID", "FREE", "Stretched", "WrongRuns", "settle_liftoffs"]

LAID, FREE = "laid", "free"
_DONE = 1e-11  # of the patch's size: a step of a lift-off place that changes nothing
_GOOD = 1e-8  # the same, where rounding keeps the steps from falling further
_ROUNDS = 30
_PATIENCE = 6  # rounds in which the steps have to become small


class WrongRuns(Exception):
    """The runs asked for cannot be: they overlap, or the string would cut into the surface."""


@dataclass(frozen=True, eq=False)
class Stretched:
    """A string of pieces that are laid and free in turn.

    Attributes
    ----------
    kinds : tuple of 'laid' or 'free', one for each of k pieces
    uv : (k + 1, 2) ends of the pieces on the surface
    p : (k + 1, 3)
    laid : tuple of SurfaceCurve, or None for a free piece
    corner : float
        Greatest corner left at a lift-off, radians.
    """

    kinds: tuple
    uv: np.ndarray
    p: np.ndarray
    laid: tuple
    corner: float

    @property
    def lengths(self):
        """(k,) lengths of the pieces, mm."""
        chord = np.linalg.norm(np.diff(self.p, axis=0), axis=1)
        return np.array([c if g is None else g.length for c, g in zip(chord, self.laid)])


def _shifted(curve, uv0, uv1):
    """A geodesic's nodes with its ends moved a little, relaxed on the same elements."""
    share = np.linspace(0.0, 1.0, curve.pieces + 1)
    share = share[:-1, None] + np.diff(share)[:, None] * np.linspace(0.0, 1.0, curve.degree + 1)
    share = share[..., None]
    nodes = curve.nodes + (1.0 - share) * (uv0 - curve.nodes[0, 0])
    nodes = nodes + share * (uv1 - curve.nodes[-1, -1])
    nodes[0, 0], nodes[-1, -1] = uv0, uv1
    nodes, _ = relax(curve.patch, nodes, curve.piece_lengths)
    return SurfaceCurve(curve.patch, nodes)


class _Places:
    """Points, unit normals and tangent frames at the ends of the pieces."""

    def __init__(self, patch, uv):
        self.jet = patch.jets(uv[:, 0], uv[:, 1], 1)
        self.p = self.jet.p
        self.e1 = self.jet.su / np.linalg.norm(self.jet.su, axis=1)[:, None]
        n = np.cross(self.jet.su, self.jet.sv)
        self.n = n / np.linalg.norm(n, axis=1)[:, None]
        self.e2 = np.cross(self.n, self.e1)
        # parameter steps that move a place by a millimetre along e1 and e2: (k, way, 2)
        self.per_mm = np.stack([direction_uv(self.jet, e) for e in (self.e1, self.e2)], axis=1)


def _corner(kinds, k, p, n, laid):
    """At inner place k: rise of the free piece over the tangent plane, its turn sideways, and
    whether it goes on forward."""
    before = kinds[k - 1] == LAID
    pull = end_pull(laid[k - 1], -1) if before else end_pull(laid[k], 0)
    chord = p[k + 1] - p[k] if before else p[k] - p[k - 1]
    e = chord / np.linalg.norm(chord)
    return np.array([n[k] @ e, np.cross(n[k], pull) @ e]), float(pull @ e)


def _corners(kinds, p, n, laid):
    found = [_corner(kinds, k, p, n, laid) for k in range(1, len(kinds))]
    return np.array([c for c, _ in found]), np.array([f for _, f in found])


def _jacobian(patch, kinds, uv, here, laid, corners):
    """d corners / d mm of the inner places: (2 m, 2 m), by differences."""
    m = len(kinds) - 1
    out = np.zeros((m, 2, m, 2))
    length = [np.inf if c is None else c.length for c in laid]
    for k in range(1, m + 1):
        piece = k - 1 if kinds[k - 1] == LAID else k
        h = min(1e-6 * patch.size, 1e-3 * length[piece])
        for way in (0, 1):
            moved = uv.copy()
            moved[k] += h * here.per_mm[k, way]
            there = _Places(patch, moved[k : k + 1])
            p, n, trial = here.p.copy(), here.n.copy(), list(laid)
            p[k], n[k] = there.p[0], there.n[0]
            trial[piece] = _shifted(laid[piece], moved[piece], moved[piece + 1])
            for q in (k - 1, k, k + 1):
                if 1 <= q <= m:
                    out[q - 1, :, k - 1, way] = (_corner(kinds, q, p, n, trial)[0] - corners[q - 1]) / h
    return out.reshape(2 * m, 2 * m)


def _lay(patch, kinds, uv, laid, elements, total):
    """Geodesics of the laid pieces between new ends, on elements laid anew."""
    out = []
    for j, kind in enumerate(kinds):
        if kind == FREE:
            out.append(None)
            continue
        guess = laid[j]
        n = max(2, int(np.ceil(elements * guess.length / total)))
        if guess.degree > 1:
            guess = _shifted(guess, uv[j], uv[j + 1])
        out.append(geodesic_between(patch, uv[j], uv[j + 1], guess=guess, elements=n))
    return out


def settle_liftoffs(patch, kinds, uv, laid, elements):
    """Move the places where a string lifts off and touches down until it has no corners.

    Parameters
    ----------
    patch : SplinePatch
    kinds : tuple of 'laid' and 'free', in turn; k pieces
    uv : (k + 1, 2) first guess of their ends; the first and the last stay
    laid : sequence of SurfaceCurve or None
        First guess of the laid pieces, of degree 1 or relaxed.
    elements : int
        Least number of elements of the whole string.

    Returns
    -------
    Stretched

    Raises
    ------
    WrongRuns
        A piece turns back on itself, or the places do not settle.
    """
    uv = np.array(uv, float)
    low = np.array([patch.u_range[0], patch.v_range[0]])
    high = np.array([patch.u_range[1], patch.v_range[1]])
    total = _total(patch, uv, laid)
    laid = _lay(patch, kinds, uv, laid, elements, total)
    last = np.inf
    for turn in range(_ROUNDS):
        here = _Places(patch, uv)
        if len(kinds) == 1:
            return Stretched(kinds, uv, here.p, tuple(laid), 0.0)
        corners, forward = _corners(kinds, here.p, here.n, laid)
        jacobian = _jacobian(patch, kinds, uv, here, laid, corners)
        step = np.linalg.lstsq(jacobian, -corners.ravel(), rcond=1e-9)[0].reshape(-1, 2)
        size = np.linalg.norm(step, axis=1)
        largest = float(size.max())
        if largest < _DONE * patch.size or (largest < _GOOD * patch.size and largest >= last):
            if np.any(forward <= 0.0):
                raise WrongRuns("a piece turns back on itself")
            return Stretched(kinds, uv, here.p, tuple(laid), float(np.max(np.abs(corners))))
        if turn >= _PATIENCE and largest > 0.01 * patch.size:
            break  # still far away: these are not the runs
        last = largest
        pieces = np.array(
            [np.linalg.norm(b - a) for a, b in zip(here.p[:-1], here.p[1:])]
        )  # no place may pass its neighbours
        room = 0.4 * np.minimum(pieces[:-1], pieces[1:])
        factor = min(1.0, float(np.min(room / np.maximum(size, 1e-300))))
        norm = np.linalg.norm(corners)
        for _ in range(6):
            new = uv.copy()
            move = np.einsum("kw,kwc->kc", factor * step, here.per_mm[1:-1])
            new[1:-1] = np.clip(new[1:-1] + move, low, high)
            trial = _lay(patch, kinds, new, laid, elements, total)
            there = _Places(patch, new)
            after = np.linalg.norm(_corners(kinds, there.p, there.n, trial)[0])
            if after < norm or largest < 1e-6 * patch.size:
                break
            factor *= 0.4
        else:
            raise WrongRuns("the lift-off places do not settle")
        uv, laid = new, trial
    raise WrongRuns("the lift-off places do not settle")


def _total(patch, uv, laid):
    p = patch.points(uv[:, 0], uv[:, 1])
    chord = np.linalg.norm(np.diff(p, axis=0), axis=1)
    return float(sum(c if g is None else g.length for c, g in zip(chord, laid)))
