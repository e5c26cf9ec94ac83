# SPDX-License-Identifier: LGPL-2.1-or-later
"""How far lines lie apart, measured on the surface square to one of them."""

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from .march import reach

__all__ = ["Closeness", "distances_square_to"]

_ROUNDS = 20
_DONE = 3e-7  # of the patch's size: after a step so short Newton's error is its square
_NEAR = 1e-4  # of the patch's size: after a step shorter than this geodesics are followed finely
_STEPS = (1.0 / 120.0, 1.0 / 600.0)  # of the patch's size: coarse and fine
_DENSE = 400  # places of the other line among which the first guess is looked for


@dataclass(frozen=True, eq=False)
class Closeness:
    """Distances from a line to another.

    Attributes
    ----------
    name : str
        Of the other line.
    s : (n,) arc lengths on the line, mm
    station : (n,) model coordinates along the ship
    distance : (n,) mm on the surface square to the line, positive towards the keel; nan
        where the other line is not met squarely within its length
    slope : (n,) radians
        Angle by which the other line diverges going aft, seen from the line:
        d(distance)/ds is its tangent where the surface between is developable.
    least, greatest : (distance, station)
        Of the sizes of the distances, mm.
    per_metre : float
        Greatest less least distance per metre of the line between where the two are met, mm;
        0 for a parallel.
    crossings : (k,) stations where the distance passes nothing
    """

    name: str
    s: np.ndarray
    station: np.ndarray
    distance: np.ndarray
    slope: np.ndarray
    least: tuple
    greatest: tuple
    per_metre: float
    crossings: np.ndarray

    @property
    def parallel(self):
        """One sentence: is the other line parallel?"""
        if not np.isfinite(self.distance).any():
            return f"{self.name} is nowhere met square to the line."
        text = (
            f"{self.name}: {self.least[0]:.1f} mm (at {self.least[1]:.0f}) to {self.greatest[0]:.1f} mm "
            f"(at {self.greatest[1]:.0f}), {self.per_metre:.1f} mm per metre"
        )
        if len(self.crossings):
            return text + ", crossing the line."
        return text + ("; parallel." if self.per_metre < 0.05 else ".")


# geodesics that run wild off the hull are left out below
@np.errstate(divide="ignore", over="ignore", invalid="ignore")
def distances_square_to(curve, other, s):
    """Lengths of the geodesics that leave a line squarely and end on another.

    Parameters
    ----------
    curve, other : SurfaceCurve on one patch
    s : (n,) arc lengths on `curve`, mm

    Returns
    -------
    distance : (n,) mm, positive towards n x t (the keel, for a line going aft), nan where
        the geodesic does not end on the other line
    where : (n,) arc length on the other line, mm
    slope : (n,) radians, from square to the geodesic to the other line's direction
    """
    patch = curve.patch
    c = curve.at(s)
    count = len(c.s)
    places = np.linspace(0.0, other.length, _DENSE)
    dense = other.points(places)
    _, nearest = cKDTree(dense).query(c.p)
    gap = dense[nearest] - c.p
    # along the line means nothing: where the other one is nearest is only a first guess
    distance = np.sign(np.einsum("ij,ij->i", gap, c.b)) * np.linalg.norm(gap, axis=1)
    where = places[nearest].copy()
    alive = np.ones(count, bool)
    reach = 4.0 * patch.size
    fine = 0
    for _ in range(_ROUNDS):
        p, t = _ends(patch, c, distance, _STEPS[fine] * patch.size)
        e = other.at(where)
        # past its ends the other line is carried on straight, so that the steps stay finite
        gap = e.p + (where - np.clip(where, 0.0, other.length))[:, None] * e.t - p
        step = _least_squares(t, e.t, gap)
        distance, where = distance + step[:, 0], where + step[:, 1]
        where = np.clip(where, -0.5 * other.length, 1.5 * other.length)
        alive &= np.isfinite(distance) & (np.abs(distance) < reach)
        distance = np.where(alive, distance, 0.0)
        longest = np.max(np.abs(step[alive & _within(where, other)]), initial=0.0)
        if fine and longest < _DONE * patch.size:
            break
        fine = 1 if longest < _NEAR * patch.size else fine
    p = p + step[:, :1] * t  # where the last step has brought the ends, to its square
    e = other.at(where)
    met = alive & _within(where, other) & (np.linalg.norm(e.p - p, axis=1) < 1e-8 * patch.size)
    along = np.cross(t, e.n)  # square to the geodesic, aft
    slope = np.arctan2(np.einsum("ij,ij->i", e.t, t), np.einsum("ij,ij->i", e.t, along))
    slope = np.where(np.abs(slope) > 0.5 * np.pi, slope - np.sign(slope) * np.pi, slope)
    return (
        np.where(met, distance, np.nan), np.where(met, where, np.nan), np.where(met, slope, np.nan),
    )  # fmt: skip


def _within(where, other):
    """Which arc lengths lie on the line; the others wander past its ends."""
    return (where > -1e-6) & (where < other.length + 1e-6)


def _ends(patch, c, distance, step):
    """Ends (n, 3) of geodesics of given lengths square to the line, and their directions.

    The direction is towards growing distance, also where the distance is negative.
    """
    sign = np.where(distance < 0.0, -1.0, 1.0)
    _, p, t = reach(patch, c.uv, sign[:, None] * c.b, np.abs(distance), step)
    return p, sign[:, None] * t


def _least_squares(t, other, gap):
    """Steps (n, 2) along two directions that close gaps best."""
    mix = np.einsum("ij,ij->i", t, other)
    a, b = np.einsum("ij,ij->i", t, gap), np.einsum("ij,ij->i", other, gap)
    det = np.maximum(1.0 - mix * mix, 1e-6)
    return np.stack([(a - mix * b) / det, (mix * a - b) / det], axis=1)
