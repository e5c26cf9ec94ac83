# SPDX-License-Identifier: LGPL-2.1-or-later
"""Where on a hull a plank is tried: along a line, or along the middle of a strake."""

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from ..errors import PlanError
from ..frame import ShipFrame
from ..spline.patch import SplinePatch
from ..strakes.samples import strake_samples
from .place import Place, place_of_curve, place_of_strake

__all__ = ["Course", "course_of_line", "course_of_strake"]


@dataclass(frozen=True, eq=False)
class Course:
    """A line on the hull that planks are tried on.

    Attributes
    ----------
    place : Place
    frame : ShipFrame
    patch : SplinePatch
        The hull's, in ship coordinates.
    uv : (n, 2)
        Parameters of its places, at the arc lengths ``place.s``.
    """

    place: Place
    frame: ShipFrame
    patch: SplinePatch
    uv: np.ndarray

    def points(self, s):
        """Points, unit tangents aft and unit outward normals, (n, 3) each, at arc lengths (n,); ship coordinates.

        The points lie on the hull; along it they are where a cubic through the places has them.
        """
        spline = CubicSpline(self.place.s, self.uv)
        uv, along = spline(s), spline(s, 1)
        g = self.patch.geometry(uv[:, 0], uv[:, 1])
        t = g.su * along[:, :1] + g.sv * along[:, 1:]
        return g.p, t / np.linalg.norm(t, axis=1)[:, None], g.n

    def position(self, s):
        """Coordinate along the ship, as in the model, at an arc length."""
        return float(self.frame.to_model_station(self.points(np.array([float(s)]))[0][0, 0]))

    def at_position(self, position):
        """Arc length at a coordinate along the ship, as in the model.

        Raises
        ------
        PlanError
            If the line does not reach there.
        """
        s = self.place.s
        x = self.frame.to_model_station(self.points(s)[0][:, 0])
        found = CubicSpline(s, x - position).roots(extrapolate=False)
        found = found[(found >= 0.0) & (found <= s[-1])]
        if len(found) == 0:
            low, high = sorted((float(x[0]), float(x[-1])))
            raise PlanError(
                f"a plank cannot have its middle at {position:.0f} mm: the line lies between {low:.0f} and {high:.0f} mm",
                self.place.where, "Give a coordinate between these",
            )  # fmt: skip
        return float(found[0])


def course_of_line(hull, curve, where=""):
    """The course along a line on the hull.

    Parameters
    ----------
    hull : PlankedSurface
    curve : SurfaceCurve
        From fore aft.
    where : str
        What readers call the line.

    Returns
    -------
    Course
    """
    place = place_of_curve(curve, where)
    return Course(place, hull.frame, curve.patch, curve.sample(len(place.s)).uv)


def course_of_strake(lineoff, strake, part=0, samples=None):
    """The course along the middle line of a strake.

    Parameters
    ----------
    lineoff : LineOff
    strake : int
        From the sheer, 1 ..
    part : int
        0 for a strake in one piece; else 1, 2, .. from the bow.
    samples : StrakeSamples, optional
        Of that line-off.

    Returns
    -------
    Course

    Raises
    ------
    PlanError
        For a strake or a part that is not there.
    """
    samples = strake_samples(lineoff, girths=False) if samples is None else samples
    rows = np.flatnonzero(samples.number == strake)
    if len(rows) == 0:
        raise PlanError(
            f"there is no strake {strake}: strakes are counted 1 to {int(samples.number.max())} from the sheer",
            remedy="Give one of these",
        )  # fmt: skip
    # one piece is meant by 0 and by 1 alike
    fits = [r for r in rows if samples.part[r] == part or len(rows) == 1 and part in (0, 1)]
    if not fits:
        parts = ", ".join(str(int(samples.part[r])) for r in rows)
        what = "is in parts" if part == 0 else f"has no part {part}"
        only = f"Its parts are {parts}, counted from the bow" if len(rows) > 1 else "It is in one piece: leave the part out"
        raise PlanError(f"the strake {what}", f"strake {strake}", only)
    row = fits[0]
    return Course(place_of_strake(samples, row), lineoff.hull.frame, lineoff.hull.patch, samples.uv[row])
