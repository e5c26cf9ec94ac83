# SPDX-License-Identifier: LGPL-2.1-or-later
"""A place on the hull as a plank feels it: what bends and twists along one line."""

from dataclasses import dataclass, fields

import numpy as np
from scipy.interpolate import CubicSpline

from ..develop import edge_sets, laid_flat
from ..errors import PlanError

__all__ = ["Place", "even_place", "place_of_curve", "place_of_strake"]

_PLACES = 61  # odd, so that errors can be told from every second one


@dataclass(frozen=True, eq=False)
class Place:
    """Curvatures along the line a plank is put on; n places, signs as of `StrakeSamples`.

    Attributes
    ----------
    s : (n,) arc length, mm, equally spaced from 0, n >= 9
    edgewise : (n,) geodesic curvature, 1/mm, positive where it turns towards the keel
    bend : (n,) 1/mm, positive round a convex hull
    twist : (n,) rad/mm
    gauss : (n,) 1/mm^2
    across : (n,) 1/mm, square to the line, positive where the inner face is backed out
    where : str
        For readers, such as "strake 4".
    """

    s: np.ndarray
    edgewise: np.ndarray
    bend: np.ndarray
    twist: np.ndarray
    gauss: np.ndarray
    across: np.ndarray
    where: str = ""

    def __post_init__(self):
        names = [f.name for f in fields(self) if f.name != "where"]
        arrays = np.broadcast_arrays(*(np.asarray(getattr(self, name), float) for name in names))
        for name, array in zip(names, arrays):
            object.__setattr__(self, name, array)
        place = self.where or "trial plank"
        if self.s.ndim != 1 or len(self.s) < 9:
            raise PlanError("too few places along the line to try a plank on it", place, "give nine or more")
        if not all(np.all(np.isfinite(a)) for a in arrays):
            raise PlanError("curvatures along the line are not all numbers", place, "take it off the stem or stern")
        step = np.diff(self.s)
        if self.s[0] != 0.0 or step[0] <= 0.0 or np.ptp(step) > 1e-6 * self.s[-1]:
            raise PlanError("places along the line are not equally far apart from 0 on", place, "sample it evenly")

    def cut(self, length, middle=None):
        """The stretch a plank lies on.

        Parameters
        ----------
        length : float
            Of the plank, mm.
        middle : float, optional
            Arc length of its middle, mm; by default where the edge set is greatest. Planks are
            moved inside the line's ends.

        Returns
        -------
        Place and the arc length of its middle

        Raises
        ------
        PlanError
            If the line is shorter than the plank.
        """
        whole = self.s[-1]
        if length > whole * (1.0 + 1e-9):
            raise PlanError(
                f"the plank is {length - whole:.0f} mm longer than the line it is tried on", self.where,
                "try a shorter plank",
            )  # fmt: skip
        if middle is None:
            middle = float(edge_sets(laid_flat(self.s, self.edgewise), length).at)
        start = float(np.clip(middle - 0.5 * length, 0.0, whole - length))
        n = max(_PLACES, 2 * int(np.ceil(0.5 * length / (self.s[1] - self.s[0]))) + 1)
        at = np.linspace(0.0, length, n)
        along = (getattr(self, name) for name in ("edgewise", "bend", "twist", "gauss", "across"))
        cut = (CubicSpline(self.s, f)(np.minimum(start + at, whole)) for f in along)
        return Place(at, *cut, self.where), start + 0.5 * length


def even_place(length, edge_set=0.0, radius=np.inf, twist=0.0, across=0.0, where=""):
    """A place that bends and twists alike all along.

    Parameters
    ----------
    length : float
        mm.
    edge_set : float
        Of the whole length, mm: the circle on which an arc of that length rises so much, very
        nearly kappa_g = 8 d / l^2; positive where the line turns towards the keel. Up to a
        quarter of the length.
    radius : float
        Along the plank across the flat, mm; negative in a hollow.
    twist : float
        rad/mm.
    across : float
        Curvature square to the plank, 1/mm.
    where : str

    Returns
    -------
    Place

    Raises
    ------
    PlanError
    """
    s = np.linspace(0.0, length, _PLACES)
    if not abs(edge_set) <= 0.25 * length:
        raise PlanError(
            f"an edge set of {edge_set:.0f} mm in {length:.0f} mm is no plank's", where or "trial plank", "give less"
        )
    edgewise = 8.0 * edge_set / length**2
    for _ in range(60):  # d = kappa l^2 / 8 (sin(q) / q)^2, q = kappa l / 4
        edgewise = 8.0 * edge_set / (length * np.sinc(0.25 * edgewise * length / np.pi)) ** 2
    bend = 1.0 / radius
    return Place(s, edgewise, bend, twist, bend * across - twist**2, across, where)


def place_of_curve(curve, where="", n=None):
    """A place along a curve on the hull.

    Parameters
    ----------
    curve : SurfaceCurve
        From fore aft.
    where : str
    n : int, optional
        Places; default no more than 50 mm apart.

    Returns
    -------
    Place
    """
    n = n or max(_PLACES, int(np.ceil(curve.length / 50.0)) + 1)
    c = curve.sample(n)
    g = curve.patch.geometry(c.uv[:, 0], c.uv[:, 1])
    return Place(np.linspace(0.0, curve.length, n), c.kappa_g, -c.kappa_n, c.tau_g, g.K, c.kappa_n - 2.0 * g.H, where)


def place_of_strake(samples, row):
    """A place along the middle line of a strake.

    Parameters
    ----------
    samples : StrakeSamples
    row : int

    Returns
    -------
    Place
    """
    part = f", part {samples.part[row]}" if samples.part[row] else ""
    return Place(
        samples.s[row], samples.edgewise[row], samples.bend[row], samples.twist[row], samples.gauss[row],
        samples.across[row], f"strake {samples.number[row]}{part}",
    )  # fmt: skip
