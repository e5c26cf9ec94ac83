# SPDX-License-Identifier: LGPL-2.1-or-later
"""A sheaf of geodesics followed side by side, for a first look at all distances.

All geodesics take the same steps (Runge and Kutta's fourth order), whatever knot lines they
pass; a step is a quintic in the parameters, from place, velocity and acceleration at both
ends. Where a step passes knot lines at which third derivatives jump, that path is not quite a
geodesic, nor its parameter its length. The path's own length is therefore measured on the
surface: a path that strays from the geodesic by a small angle is longer than it by the
square of the angle only, so that the places found are as far away as they ought to be.
"""

import numpy as np
from numpy.polynomial import legendre, polynomial

from .march import direction_uv

__all__ = ["Sweep"]

# places of a step at which its speed is measured: the ends and Gauss's three
_AT = np.concatenate([[0.0], 0.5 * (legendre.leggauss(3)[0] + 1.0), [1.0]])
_TO_POWERS = np.linalg.inv(polynomial.polyvander(_AT, 4))
_TO_LENGTH = _TO_POWERS / np.arange(1.0, 6.0)[:, None]  # coefficients of x, x^2 ..


class Sweep:
    """Geodesics from n places.

    Parameters
    ----------
    patch : SplinePatch
    uv : (n, 2) starts
    t : (n, 3) unit directions in the tangent planes
    step : float
        mm.

    Attributes
    ----------
    states : list of (n, 4)
        Places and unit velocities after every step.
    reach : list of (n,)
        Lengths followed, mm.
    """

    def __init__(self, patch, uv, t, step):
        self.patch, self.step = patch, step
        jet = patch.jets(uv[:, 0], uv[:, 1], 2)
        d = direction_uv(jet, t)
        self.states = [np.concatenate([uv, d], axis=1)]
        self.reach = [np.zeros(len(uv))]
        self._bend = self._acceleration(jet, d)
        self._quintics = []  # (6, n, 2) powers of the share of the step
        self._lengths = []  # (5, n) powers 1 .. of it
        self._stacked = None

    @property
    def distance(self):
        """How far all of them have been followed, mm."""
        return float(np.min(self.reach[-1]))

    @staticmethod
    def _acceleration(jet, d):
        du, dv = d[:, :1], d[:, 1:]
        return -direction_uv(jet, jet.suu * (du * du) + jet.suv * (2.0 * du * dv) + jet.svv * (dv * dv))

    def _at(self, uv, d):
        return self._acceleration(self.patch.jets(uv[:, 0], uv[:, 1], 2), d)

    def go_on(self, lost=None):
        """One step more.

        Parameters
        ----------
        lost : (n,) bool, optional
            Geodesics that nobody needs any more: they go straight on in the parameter plane.
        """
        every = self.states[-1]
        n, h, patch = len(every), self.step, self.patch
        rows = np.arange(n) if lost is None else np.flatnonzero(~lost)
        uv, d, k1 = every[rows, :2], every[rows, 2:], self._bend[rows]
        with np.errstate(all="ignore"):  # those that run wild show as what is not finite
            d2 = d + 0.5 * h * k1
            k2 = self._at(uv + 0.5 * h * d, d2)
            d3 = d + 0.5 * h * k2
            k3 = self._at(uv + 0.5 * h * d2, d3)
            d4 = d + h * k3
            k4 = self._at(uv + h * d3, d4)
            end = uv + h / 6.0 * (d + 2.0 * (d2 + d3) + d4)
            velocity = d + h / 6.0 * (k1 + 2.0 * (k2 + k3) + k4)
            jet = patch.jets(end[:, 0], end[:, 1], 2)
            bend = self._acceleration(jet, velocity)
            powers = _quintic(uv, end, h * d, h * velocity, h * h * k1, h * h * bend)
            # speeds on the way, as shares of the step
            x = _AT[1:-1, None, None]
            at = _value(powers, x)
            slope = powers[1] + x * (2.0 * powers[2] + x * (3.0 * powers[3] + x * (4.0 * powers[4] + x * 5.0 * powers[5])))
            on = patch.jets(at[..., 0].ravel(), at[..., 1].ravel(), 1)
            slope = slope.reshape(-1, 2)
            c = on.su * slope[:, :1] + on.sv * slope[:, 1:]
            last = jet.su * velocity[:, :1] + jet.sv * velocity[:, 1:]
            final = np.sqrt(np.einsum("ij,ij->i", last, last))
            speed = np.concatenate(
                [np.full((1, len(rows)), h), np.sqrt(np.einsum("ij,ij->i", c, c)).reshape(3, -1), h * final[None]]
            )
        lengths = np.zeros((5, n))
        lengths[0] = h
        lengths[:, rows] = _TO_LENGTH @ speed
        whole = np.zeros((6, n, 2))
        whole[0], whole[1] = every[:, :2], h * every[:, 2:]
        whole[:, rows] = powers
        state = every.copy()
        state[:, :2] += h * every[:, 2:]
        state[rows, :2], state[rows, 2:] = end, velocity / final[:, None]
        self._bend[rows] = bend / final[:, None] ** 2
        self.states.append(state)
        self.reach.append(self.reach[-1] + lengths.sum(axis=0))
        self._stacked = None
        self._quintics.append(whole)
        self._lengths.append(lengths)

    def uv(self, distances, which=None):
        """Places at distances.

        Parameters
        ----------
        distances : (k,) mm
        which : (k,) int, optional
            The geodesic that each distance is meant for; all of them by default.

        Returns
        -------
        (k, n, 2), or (k, 2) with `which`
        """
        if self._stacked is None:
            self._stacked = np.array(self.reach), np.array(self._quintics), np.array(self._lengths)
        reach, quintics, lengths = self._stacked
        d = np.asarray(distances, float)
        if which is None:
            d, which = d[:, None], np.arange(reach.shape[1])
        i = np.sum(_steps(reach, which, d), axis=0)
        powers = lengths[i, :, which]  # (..., 5)
        target = d - reach[i, which]
        x = target / powers.sum(axis=-1)
        for _ in range(3):
            f = x * (powers[..., 0] + x * (powers[..., 1] + x * (powers[..., 2] + x * (powers[..., 3] + x * powers[..., 4]))))
            slope = powers[..., 0] + x * (2.0 * powers[..., 1] + x * (3.0 * powers[..., 2] + x * (4.0 * powers[..., 3] + x * 5.0 * powers[..., 4])))
            x = x - (f - target) / slope
        return _value(np.moveaxis(quintics[i, :, which], -2, 0), x[..., None])


def _steps(reach, which, d):
    """(steps - 1, ...) whether inner ends of steps have been passed at distances."""
    inner = reach[1:-1][:, which]  # (j, n)
    return inner[:, None, :] <= d[None] if d.ndim == 2 else inner <= d[None]


def _quintic(f0, f1, g0, g1, b0, b1):
    """Powers (6, n, 2) of the quintics with values f, slopes g, second derivatives b at 0 and 1."""
    r, q, w = f1 - f0 - g0 - 0.5 * b0, g1 - g0 - b0, b1 - b0
    return np.stack(
        [f0, g0, 0.5 * b0, 10.0 * r - 4.0 * q + 0.5 * w, -15.0 * r + 7.0 * q - w, 6.0 * r - 3.0 * q + 0.5 * w]
    )


def _value(powers, x):
    return powers[0] + x * (
        powers[1] + x * (powers[2] + x * (powers[3] + x * (powers[4] + x * powers[5])))
    )
