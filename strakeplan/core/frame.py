# SPDX-License-Identifier: LGPL-2.1-or-later
"""The ship's axes: how a hull lies in the model's coordinates.

Ship coordinates are x aft (growing from bow to stern), y outboard from the centreplane
on the modelled side, z up. The map is made of unit vectors and one offset, so a hull
modelled along the model's axes keeps its figures to the last digit.
"""

from dataclasses import dataclass

import numpy as np

from .errors import PlanError

__all__ = ["ShipFrame", "direction", "provisional_axes"]

_AXES = {"X": (1.0, 0.0, 0.0), "Y": (0.0, 1.0, 0.0), "Z": (0.0, 0.0, 1.0)}


@dataclass(frozen=True, eq=False)
class ShipFrame:
    """Maps model coordinates to ship coordinates and back.

    Parameters
    ----------
    aft, outboard, up : (3,) orthonormal vectors in model coordinates
    centreplane : float
        Where the centreplane lies along the transverse axis, mm (see `transverse`).

    Notes
    -----
    Where the axes lie along the model's own, stations are called by the model's coordinate
    of that axis, whichever way the bow points; otherwise by the distance along the ship's
    length with the sense in which its greatest component is positive.
    """

    aft: np.ndarray
    outboard: np.ndarray
    up: np.ndarray
    centreplane: float = 0.0

    def __post_init__(self):
        for name in ("aft", "outboard", "up"):
            value = np.array(getattr(self, name), float)
            value.setflags(write=False)
            object.__setattr__(self, name, value)
        m = self.matrix
        if not np.allclose(m @ m.T, np.eye(3), rtol=0.0, atol=1e-12):
            raise PlanError(
                "the ship's axes are not square to one another", "",
                "give directions that are square, for instance up Z and forward -X",
            )  # fmt: skip

    # --- the map ----------------------------------------------------------------------
    @property
    def matrix(self):
        """(3, 3): rows aft, outboard, up. A reflection where the modelled side is port."""
        return np.stack([self.aft, self.outboard, self.up])

    @property
    def transverse(self):
        """Transverse axis (3,) in its positive sense, along which the centreplane is given."""
        return _positive(self.outboard)

    @property
    def length_axis(self):
        """Axis (3,) along which model stations are counted."""
        return _positive(self.aft)

    @property
    def offset(self):
        """(3,) so that ship = matrix @ model + offset."""
        sense = 1.0 if np.dot(self.transverse, self.outboard) > 0 else -1.0
        return np.array([0.0, -sense * self.centreplane, 0.0])

    def points_to_ship(self, p):
        """Model points (..., 3) in ship coordinates."""
        return np.asarray(p, float) @ self.matrix.T + self.offset

    def points_to_model(self, p):
        """Ship points (..., 3) on the modelled side in model coordinates."""
        return (np.asarray(p, float) - self.offset) @ self.matrix

    def vectors_to_ship(self, v):
        """Model directions (..., 3) in ship coordinates."""
        return np.asarray(v, float) @ self.matrix.T

    def vectors_to_model(self, v):
        """Ship directions (..., 3) in model coordinates."""
        return np.asarray(v, float) @ self.matrix

    def mirrored_points_to_model(self, p):
        """Ship points (..., 3) of the modelled side, carried over to the other side."""
        return self.points_to_model(np.asarray(p, float) * _OTHER)

    def mirrored_vectors_to_model(self, v):
        """Ship directions (..., 3) of the modelled side, carried over to the other side."""
        return self.vectors_to_model(np.asarray(v, float) * _OTHER)

    @property
    def mirror(self):
        """(matrix (3, 3), offset (3,)) in model coordinates that swaps the ship's sides."""
        t = self.transverse
        return np.eye(3) - 2.0 * np.outer(t, t), 2.0 * self.centreplane * t

    # --- stations ---------------------------------------------------------------------
    @property
    def station_sign(self):
        """+1.0 where the model's coordinate grows aft, -1.0 where it grows forward."""
        return 1.0 if np.dot(self.length_axis, self.aft) > 0 else -1.0

    def to_model_station(self, x):
        """Ship x in the model's longitudinal coordinate, mm."""
        return self.station_sign * np.asarray(x, float) + 0.0

    def to_ship_station(self, x):
        """The model's longitudinal coordinate in ship x, mm."""
        return self.station_sign * np.asarray(x, float) + 0.0

    def station_label(self, x):
        """How a place along the ship is called in messages; x is the ship's, mm."""
        return f"{_axis_name(self.length_axis)} = {float(self.to_model_station(x)):.0f} mm"

    def place(self, p):
        """How one ship point (3,) is called in messages: model coordinates, mm."""
        q = self.points_to_model(np.asarray(p, float)) + 0.0
        return f"at ({q[0]:.0f}, {q[1]:.0f}, {q[2]:.0f}) mm"

    # --- sides ------------------------------------------------------------------------
    @property
    def side(self):
        """'starboard' or 'port': the side that is modelled."""
        starboard = np.cross(-self.aft, self.up)
        return "starboard" if np.dot(starboard, self.outboard) > 0 else "port"

    @property
    def other_side(self):
        """The side that is not modelled."""
        return "port" if self.side == "starboard" else "starboard"

    @property
    def description(self):
        """One sentence for the notes."""
        return (
            f"Up is {_signed_name(self.up)}, the bow points to {_signed_name(-self.aft)}, "
            f"and the modelled side is {self.side}."
        )


_OTHER = np.array([1.0, -1.0, 1.0])


def direction(value, what, name="hull"):
    """A unit vector from 'X', '+X', '-X', ... or three numbers.

    Returns
    -------
    (3,) ndarray; exactly a model axis where it is within rounding of one.

    Raises
    ------
    PlanError
        Neither the name of an axis nor three finite numbers.
    """
    remedy = f"give {what} as X, Y, Z, -X, -Y, -Z or three numbers"
    if isinstance(value, str):
        text = value.strip().upper()
        sign = -1.0 if text.startswith("-") else 1.0
        axis = _AXES.get(text.lstrip("+-"))
        if axis is None or len(text.lstrip("+-")) < len(text) - 1:
            raise PlanError(f"{name}: {value!r} is not a direction", "", remedy)
        return sign * np.array(axis) + 0.0
    try:
        v = np.array(value, float).reshape(3)
    except (TypeError, ValueError):
        raise PlanError(f"{name}: {value!r} is not a direction", "", remedy) from None
    size = np.linalg.norm(v)
    if not np.isfinite(size) or size == 0.0:
        raise PlanError(f"{name}: {value!r} has no direction", "", remedy)
    return _snapped(v / size)


def provisional_axes(points, up, forward, name="hull"):
    """Up, length and transverse axes before bow and side are known.

    Parameters
    ----------
    points : (n, 3)
        Points spread over the face, model coordinates.
    up, forward : direction or None
        None: Z is up, and the length lies along the longer horizontal model axis.

    Returns
    -------
    up, length, transverse : (3,) unit vectors
        `length` points aft where `forward` was given, else in the axis's positive sense.
    known : bool
        Whether the sense of `length` is known.
    """
    upward = direction("Z" if up is None else up, "up", name)
    if forward is not None:
        ahead = direction(forward, "forward", name)
        flat = ahead - np.dot(ahead, upward) * upward
        size = np.linalg.norm(flat)
        if size < 1e-6:
            raise PlanError(
                f"{name}: forward points the same way as up", "", "give a forward direction that is level"
            )
        length = _snapped(-flat / size)
        return upward, length, _positive(_snapped(np.cross(upward, length))), True
    if np.max(np.abs(upward)) < 1.0:
        raise PlanError(
            f"{name}: up does not lie along an axis of the model, so the ship's length cannot be guessed",
            "", "give the forward direction too",
        )  # fmt: skip
    level = [np.array(a) for a in _AXES.values() if abs(np.dot(a, upward)) < 0.5]
    extent = [np.ptp(points @ a) for a in level]
    length, transverse = level if extent[0] >= extent[1] else level[::-1]
    return upward, length, transverse, False


def _snapped(v):
    """The vector, exactly along a model axis where it is within rounding of it."""
    near = np.round(v)
    if np.sum(np.abs(near)) == 1.0 and np.max(np.abs(v - near)) < 1e-12:
        v = near
    return v + 0.0  # no negative zeros


def _positive(v):
    """v or -v, whichever has its greatest component positive."""
    return v if v[np.argmax(np.abs(v))] > 0 else -v + 0.0


def _axis_name(v):
    for name, axis in _AXES.items():
        if np.dot(axis, v) == 1.0:
            return name
    return "distance along the ship"


def _signed_name(v):
    for name, axis in _AXES.items():
        if abs(np.dot(axis, v)) == 1.0:
            return ("+" if np.dot(axis, v) > 0 else "-") + name
    return "(" + ", ".join(f"{c:.3f}" for c in v) + ")"
