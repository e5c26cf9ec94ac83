# SPDX-License-Identifier: LGPL-2.1-or-later
"""How a plank sprung edgewise rolls off the frames, and what holds it down.

On a hull that curves along it, a plank sprung edgewise turns about its length towards lying
flat to the total curvature. Turned by theta from the hull it bends by kappa_g cos theta +
kappa_n sin theta in its own plane and by kappa_n cos theta - kappa_g sin theta across its flat,
and twists by tau_g + theta'. Least energy asks

    (G J (tau_g + theta'))' = E (I_w - I_t) ((kappa_n^2 - kappa_g^2) sin 2 theta / 2
                                             + kappa_g kappa_n cos 2 theta),

with theta = 0 at both ends, which are held flat: a two-point boundary problem. Only G/E counts.
For a long plank on strong curvature theta goes to atan(|kappa_g / kappa_n|).

Discretisation. With q = 1 / (G J) and z = integral of q, hat functions that are linear in z
turn the equation exactly into a three-term one whose right side is an integral over two
intervals. That is taken by parabolas, with the hat's departure from a straight line in s to
first order: fourth order in the places' distance, also where the plank tapers. All planks are one
tridiagonal system for Newton's method.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_banded

from ..develop import integrated
from ..errors import PlanError
from .mechanics import second_moments, torsion_constant

__all__ = ["HoldDown", "Roll", "hold_down", "plank_roll", "roll_limit"]

_SETTLED = 1e-10  # radians: the last Newton step; the next one would be its square
_NEAR = 0.3  # radians: a step below which Newton's true derivative is used
_LONGEST = 0.7  # radians: no step turns further
_PASSES = 25
_DEGREES = np.linspace(0.0, 1.0, 26)[1:] ** 2  # shares of edge set and twist
_LEAST_WIDTH = 1.0  # mm: a plank that runs out to a point has no stiffness to divide by


@dataclass(frozen=True, eq=False)
class Roll:
    """How planks lie that are held flat at both ends and nowhere else.

    Attributes
    ----------
    angle : (..., n) radians
        theta, about the direction fore to aft: positive where the lower edge stands off; nan
        all along a plank that finds no rest.
    stand_off : (..., n) mm
        Of the edge that stands off, the other one bearing: w |sin theta|.
    edge : (..., n) int
        Which edge stands off: 1 the lower, -1 the upper, 0 none.
    most, worst : (...)
        Greatest stand-off, mm, and the place it is at (int).
    error : (...) radians
        Estimate of the error of the angle from halving the number of places; nan where their
        number is even or below 9.
    """

    angle: np.ndarray
    stand_off: np.ndarray
    edge: np.ndarray
    most: np.ndarray
    worst: np.ndarray
    error: np.ndarray


@dataclass(frozen=True, eq=False)
class HoldDown:
    """What holds sprung planks flat on every frame.

    Attributes
    ----------
    torque : (..., n) N
        Torque per length of plank (N mm / mm): E (I_w - I_t) kappa_g kappa_n - (G J tau_g)',
        positive where it presses the lower edge down.
    force : (..., n) N
        Clamp force per frame at the edge that would stand off, the other edge bearing.
    edge : (..., n) int
        Which edge that is: 1 the lower, -1 the upper, 0 none.
    most, worst : (...)
        Greatest force, N, and the place it is at (int).
    """

    torque: np.ndarray
    force: np.ndarray
    edge: np.ndarray
    most: np.ndarray
    worst: np.ndarray


def roll_limit(kappa_g, kappa_n):
    """Angle a long plank on strong curvature rolls to, atan(|kappa_g / kappa_n|).

    Only a limit: on a flat run it is far too much.

    Parameters
    ----------
    kappa_g, kappa_n : (...) 1/mm

    Returns
    -------
    (...) radians
    """
    return np.arctan2(np.abs(kappa_g), np.abs(kappa_n))


def plank_roll(s, width, thickness, kappa_g, kappa_n, tau_g=0.0, shear_ratio=1.0 / 16.0, error=True):
    """Roll of planks sprung edgewise and held flat at their ends only.

    Parameters
    ----------
    s : (..., n) arc length, mm, equally spaced, n >= 5
    width : (..., n) or less mm
    thickness : float or (...) mm
    kappa_g, kappa_n, tau_g : (..., n) or less, 1/mm
        As of the hull's outward normal: kappa_n is negative round a convex hull
        (-`StrakeSamples.bend`), kappa_g positive where the plank turns towards the keel.
    shear_ratio : float or (...)
        G / E along the grain, `Wood.shear_modulus / Wood.along`.
    error : bool
        Whether the error is estimated, by solving once more with every second place.

    Returns
    -------
    Roll

    Raises
    ------
    PlanError
        For fewer than five places.

    Notes
    -----
    Planks that find no rest have nan all along: they flip.

    Where the edgewise curvature is greater than the bend across the flat, lying flat can be a
    rest that is not stable: see `forces.buckling_force`. The estimated error is the change from
    half the places over 15, as fits fourth order.
    """
    args = _arrays(s, width, thickness, kappa_g, kappa_n, tau_g, shear_ratio)
    shape = args[0].shape
    angle = _at_rest(*args)
    n = shape[-1]
    if error and n % 2 and n >= 9:
        half = _at_rest(*(a[:, ::2] for a in args))
        wrong = np.max(np.abs(half - angle[:, ::2]), axis=-1) / 15.0
    else:
        wrong = np.full(len(angle), np.nan)
    off = args[1] * np.abs(np.sin(angle))
    worst = np.argmax(off, axis=-1)
    most = np.take_along_axis(off, worst[:, None], -1)[:, 0]
    whole = np.broadcast_shapes(*(np.shape(a) for a in (s, width, kappa_g, kappa_n, tau_g)), np.shape(thickness) + (1,))
    lead = whole[:-1]
    edge = np.sign(np.nan_to_num(angle)).astype(int)
    return Roll(
        angle.reshape(whole), off.reshape(whole), edge.reshape(whole), most.reshape(lead), worst.reshape(lead),
        wrong.reshape(lead),
    )  # fmt: skip


def hold_down(s, width, thickness, kappa_g, kappa_n, tau_g, modulus, shear_modulus, spacing):
    """Clamp force per frame that holds sprung planks flat.

    The torque per length that keeps theta = 0 everywhere, over a frame spacing, at the lever of
    the plank's width: the edge that bears is the pivot.

    Parameters
    ----------
    s, width, thickness, kappa_g, kappa_n, tau_g : as for `plank_roll`
    modulus, shear_modulus : float or (...) MPa
        `Wood.along` and `Wood.shear_modulus`.
    spacing : float or (...) mm
        Distance of the frames.

    Returns
    -------
    HoldDown
        The part of the twist is a derivative of samples, second order in their distance.
    """
    s, width, thickness, kappa_g, kappa_n, tau_g = np.broadcast_arrays(
        s, width, np.asarray(thickness, float)[..., None], kappa_g, kappa_n, tau_g
    )
    modulus, shear_modulus, spacing = (np.asarray(a, float)[..., None] for a in (modulus, shear_modulus, spacing))
    moments = second_moments(width, thickness)
    h = (s[..., 1] - s[..., 0])[..., None]
    twisting = shear_modulus * torsion_constant(width, thickness) * tau_g
    torque = modulus * (moments.edgewise - moments.flat) * kappa_g * kappa_n
    torque = torque - np.gradient(twisting, axis=-1, edge_order=2) / h
    force = np.abs(torque) * spacing / np.maximum(width, _LEAST_WIDTH)
    worst = np.argmax(force, axis=-1)
    most = np.take_along_axis(force, worst[..., None], -1)[..., 0]
    # the plank would turn the way the torque left to itself drives it
    return HoldDown(torque, force, -np.sign(torque).astype(int), most, worst)


def _arrays(s, width, thickness, kappa_g, kappa_n, tau_g, ratio):
    """All as (m, n) arrays of the same shape."""
    thickness, ratio = (np.asarray(a, float)[..., None] for a in (thickness, ratio))
    arrays = np.broadcast_arrays(s, width, thickness, kappa_g, kappa_n, tau_g, ratio)
    if arrays[0].shape[-1] < 5:
        raise PlanError("too few places along a plank to tell how it rolls", "", "give five or more")
    return [np.asarray(a, float).reshape(-1, arrays[0].shape[-1]) for a in arrays]


def _at_rest(s, width, thickness, kappa_g, kappa_n, tau_g, ratio):
    """Angle (m, n) at rest; planks that do not settle at once are sprung by degrees."""
    angle = _settled(s, width, thickness, kappa_g, kappa_n, tau_g, ratio)
    rows = np.flatnonzero(np.isnan(angle[:, 1]))
    if len(rows):
        some = [a[rows] for a in (s, width, thickness, kappa_g, kappa_n, tau_g, ratio)]
        start = np.zeros(some[0].shape)
        for share in _DEGREES:
            start = _settled(*some[:3], share * some[3], some[4], share * some[5], some[6], start)
        angle[rows] = start
    return angle


def _settled(s, width, thickness, kappa_g, kappa_n, tau_g, ratio, start=None):
    """Angle (m, n) at rest from a start; nan in rows that find none."""
    m, n = s.shape
    h = s[:, 1:2] - s[:, :1]
    width = np.maximum(width, _LEAST_WIDTH)
    moments = second_moments(width, thickness)
    difference = moments.edgewise - moments.flat
    a = difference * (kappa_n**2 - kappa_g**2)
    b = 2.0 * difference * kappa_g * kappa_n
    stiff, weights = _three_terms(1.0 / (ratio * torsion_constant(width, thickness)), h)
    turned = stiff * np.diff(integrated(tau_g, h[:, 0]), axis=1)
    twist = turned[:, 1:] - turned[:, :-1]
    before, here, after = (h * w for w in weights)

    angle = np.zeros((m, n)) if start is None else np.nan_to_num(start)
    near = np.zeros((m, 1), bool)
    bands = np.zeros((3, m, n - 2))
    for _ in range(_PASSES):
        sine, cosine = np.sin(2.0 * angle), np.cos(2.0 * angle)
        turn = 0.5 * (a * sine + b * cosine)
        rate = a * cosine - b * sine
        # far from rest the parts that drive it on are left out: the step then leads downhill
        rate = np.where(near, rate, np.maximum(rate, 0.0))
        pull = stiff * np.diff(angle, axis=1)
        left = pull[:, 1:] - pull[:, :-1] + twist
        left -= before * turn[:, :-2] + here * turn[:, 1:-1] + after * turn[:, 2:]
        bands[0, :, 1:] = (stiff[:, 1:] - after * rate[:, 2:])[:, :-1]
        bands[1] = -stiff[:, 1:] - stiff[:, :-1] - here * rate[:, 1:-1]
        bands[2, :, :-1] = (stiff[:, :-1] - before * rate[:, :-2])[:, 1:]
        step = solve_banded((1, 1), bands.reshape(3, -1), -left.ravel(), check_finite=False).reshape(m, n - 2)
        size = np.max(np.abs(step), axis=1, keepdims=True)
        angle[:, 1:-1] += step * np.minimum(1.0, _LONGEST / np.maximum(size, _LONGEST))
        if np.all(size < _SETTLED):
            return angle
        near = size < _NEAR
    angle[size[:, 0] > 1e-6] = np.nan
    return angle


def _three_terms(q, h):
    """Stiffness of the intervals (m, n - 1), and weights of the right side (m, n - 2) each.

    q is the compliance 1 / (G J) at the places; its mean over an interval is that of the cubic
    through four places, kept between half the lesser and twice the greater end.
    """
    mean = np.empty((len(q), q.shape[1] - 1))
    mean[:, 1:-1] = 13.0 * (q[:, 1:-2] + q[:, 2:-1]) - q[:, :-3] - q[:, 3:]
    mean[:, 0] = q[:, :4] @ np.array([9.0, 19.0, -5.0, 1.0])
    mean[:, -1] = q[:, -4:] @ np.array([1.0, -5.0, 19.0, 9.0])
    low, high = np.minimum(q[:, 1:], q[:, :-1]), np.maximum(q[:, 1:], q[:, :-1])
    mean = np.clip(mean / 24.0, 0.5 * low, 2.0 * high)
    lean = np.diff(q, axis=1) / mean
    # moments 0, 1, 2 of the hat 1 - x + lean x (1 - x) / 2 over the interval abaft and afore;
    # the hat's slope cannot change sign, so a lean beyond 2 is an end run out to a point
    abaft, afore = np.clip(lean[:, 1:], -2.0, 2.0), np.clip(-lean[:, :-1], -2.0, 2.0)
    zeroth = 1.0 + (abaft + afore) / 12.0
    first = (abaft - afore) / 24.0
    second = 1.0 / 6.0 + (abaft + afore) / 40.0
    return 1.0 / (h * mean), (0.5 * (second - first), zeroth - second, 0.5 * (second + first))
