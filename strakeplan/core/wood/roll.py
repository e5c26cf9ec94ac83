# SPDX-License-Identifier: LGPL-2.1-or-later
"""Roll: a plank sprung edgewise on a hull that curves along it turns about its length.

The plank would lie easier flat to the total curvature, at theta0 = atan(|kappa_g| / |kappa_n|)
from the hull. With its ends held flat it turns by theta(s),

    (G J theta')' + E (I_w - I_t) (kappa_g^2 + kappa_n^2) sin(theta0 - theta) cos(theta0 - theta) = 0,

theta = 0 at both ends, I_w = t w^3/12, I_t = w t^3/12. theta0 itself is only the limit of a
long plank on strong curvature. All planks of a call are solved together: central differences
and Newton's method on one banded system.
"""

from typing import NamedTuple

import numpy as np
from scipy.linalg import solve_banded

from ..errors import PlanError
from .mechanics import second_moments
from .torsion import torsion_constant

__all__ = ["Roll", "hold_down_force", "roll", "roll_angles"]

_TURNS = 30
_DONE = 1e-10  # radians


class Roll(NamedTuple):
    """What rolling comes to.

    Attributes
    ----------
    angle : (m, n) radians, 0 at the ends
    error : (m,) radians
        Of the greatest angle: a third of its change from half the places (second order).
    gap : (m,) mm
        By which one edge stands off at most, w sin(angle).
    at : (m,) int
        Place of the greatest gap.
    upper : (m,) bool
        Whether it is the upper edge that stands off there; the other one is tight.
    """

    angle: np.ndarray
    error: np.ndarray
    gap: np.ndarray
    at: np.ndarray
    upper: np.ndarray


def roll_angles(spacing, driving, natural, stiffness):
    """Solve for the angle with both ends held flat.

    Parameters
    ----------
    spacing : (m,) distance of the places, mm
    driving : (m, n) E (I_w - I_t) (kappa_g^2 + kappa_n^2), N
    natural : (m, n) theta0, radians
    stiffness : (m, n) G J, N mm^2

    Returns
    -------
    (m, n) radians
    """
    m, n = driving.shape
    half = 0.5 * (stiffness[:, 1:] + stiffness[:, :-1]) / spacing[:, None] ** 2
    theta = np.zeros((m, n))
    inner = slice(1, -1)
    for _ in range(_TURNS):
        away = 2.0 * (natural - theta)
        rest = np.zeros((m, n))
        flow = half * np.diff(theta, axis=1)
        rest[:, inner] = np.diff(flow, axis=1) + (0.5 * driving * np.sin(away))[:, inner]
        band = np.zeros((3, m, n))
        band[1] = 1.0
        # a slope that helps to turn on (away beyond a right angle) is left out: Newton stays down hill
        slope = np.maximum(driving * np.cos(away), 0.0)
        band[1][:, inner] = -(half[:, 1:] + half[:, :-1]) - slope[:, inner]
        band[0][:, 2:] = half[:, 1:]
        band[2][:, :-2] = half[:, :-1]
        step = solve_banded((1, 1), band.reshape(3, -1), -rest.ravel(), check_finite=False).reshape(m, n)
        theta = theta + step
        if np.max(np.abs(step), initial=0.0) < _DONE:
            return theta
    raise PlanError("the roll of a plank cannot be found", "", "look at the plank's curvatures for wild values")


def roll(spacing, width, thickness, edgewise, bend, modulus, shear_modulus):
    """Roll of planks sprung on to the hull, ends held flat.

    Parameters
    ----------
    spacing : (m,) distance of the places along each plank, mm
    width : (m, n) mm
    thickness : float, mm
    edgewise, bend : (m, n) 1/mm
        As in StrakeSamples: positive towards the keel; positive round a convex hull.
    modulus, shear_modulus : float, N/mm^2

    Returns
    -------
    Roll
    """
    width, edgewise, bend = (np.asarray(a, float) for a in np.broadcast_arrays(width, edgewise, bend))
    on_edge, on_flat = second_moments(width, thickness)
    driving = modulus * np.maximum(on_edge - on_flat, 0.0) * (edgewise**2 + bend**2)
    natural = np.arctan2(np.abs(edgewise), np.abs(bend))
    stiffness = shear_modulus * torsion_constant(width, thickness)
    spacing = np.broadcast_to(np.asarray(spacing, float), width.shape[:1])
    angle = roll_angles(spacing, driving, natural, stiffness)
    rows = np.arange(len(angle))
    if angle.shape[1] >= 5 and angle.shape[1] % 2:
        coarse = roll_angles(2.0 * spacing, driving[:, ::2], natural[:, ::2], stiffness[:, ::2])
        error = np.max(np.abs(angle[:, ::2] - coarse), axis=1) / 3.0
    else:
        error = np.full(len(angle), np.nan)
    gap = width * np.sin(angle)
    at = np.argmax(gap, axis=1)
    here = rows, at
    # round a convex hull the edge on the concave side of the edgewise curve stands off
    upper = (edgewise[here] < 0.0) == (bend[here] >= 0.0)
    return Roll(angle, error, gap[here], at, upper)


def hold_down_force(width, thickness, edgewise, bend, modulus, frame_spacing, twist_torque=0.0):
    """Clamp force (...) at every frame that keeps a sprung plank flat on the hull, N.

    Holding it flat takes a torque per length E (I_w - I_t) |kappa_g kappa_n|, with what the
    change of twist along the plank adds; the clamp's lever is the width, the pivot the tight edge.

    Parameters
    ----------
    frame_spacing : float, mm
    twist_torque : (...) (G J tau)', N
    """
    on_edge, on_flat = second_moments(width, thickness)
    torque = modulus * np.maximum(on_edge - on_flat, 0.0) * np.abs(edgewise * bend) + np.abs(twist_torque)
    return torque * frame_spacing / width
