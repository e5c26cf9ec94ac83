# SPDX-License-Identifier: LGPL-2.1-or-later
"""Geodesics and level curves of a spline surface by numerical integration.

The other way to every figure of a taut line: no string is relaxed here and nothing of the
project is used.  From degrees, knots and poles alone the polynomial of every knot span is made
with scipy's BSpline, the differential equation is integrated with DOP853 inside one span at a
time (an integrator loses digits where the third derivative jumps), and only places that are
ends of accepted steps are reported, for the dense output is of lower order.

Sources: geodesic equation S_u u'' + S_v v'' = -(tangential part of S_uu u'^2 + 2 S_uv u'v' +
S_vv v'^2): M. P. do Carmo, *Differential Geometry of Curves and Surfaces*, section 4-4.
DOP853: Hairer, Norsett and Wanner, *Solving Ordinary Differential Equations I*, section II.5.
"""

from math import factorial
from typing import NamedTuple

import numpy as np
from scipy.integrate import solve_ivp
from scipy.interpolate import BSpline
from scipy.optimize import brentq

__all__ = ["Followed", "SpanPolynomials", "shoot"]

RTOL = 1e-13
ATOL = 1e-16


class Followed(NamedTuple):
    """Ends of the integrator's steps: arc lengths (n,), (u, v, u', v') (n, 4), points (n, 3)."""

    s: np.ndarray
    state: np.ndarray
    p: np.ndarray

    @property
    def length(self):
        return float(self.s[-1])


def _span_matrix(knots, degree):
    """Distinct knots, span middles (m,), and Taylor coefficients of the basis (m, p + 1, n)."""
    breaks = np.unique(knots)
    middle = 0.5 * (breaks[1:] + breaks[:-1])
    basis = BSpline(knots, np.eye(len(knots) - degree - 1), degree)
    rows = [basis.derivative(a)(middle) / factorial(a) if a else basis(middle)
            for a in range(degree + 1)]
    return breaks, middle, np.stack(rows, axis=1)


def _powers_of_one(d, n):
    """Powers of one number and their first and second derivatives (3, n)."""
    one = [1.0]
    for _ in range(n - 1):
        one.append(one[-1] * d)
    first = [0.0] + [a * one[a - 1] for a in range(1, n)]
    second = [0.0] * min(n, 2) + [a * (a - 1) * one[a - 2] for a in range(2, n)]
    return np.array([one, first, second])


class SpanPolynomials:
    """A polynomial tensor-product spline as one polynomial per pair of knot spans."""

    def __init__(self, degree_u, degree_v, knots_u, knots_v, poles):
        self.bu, self.mu, au = _span_matrix(np.asarray(knots_u), degree_u)
        self.bv, self.mv, av = _span_matrix(np.asarray(knots_v), degree_v)
        self.c = np.einsum("iak,jbl,klc->ijabc", au, av, np.asarray(poles))
        self.pu, self.pv = np.arange(degree_u + 1), np.arange(degree_v + 1)

    def span(self, u, v):
        """Indices of the spans that hold (u, v); the end spans reach beyond the surface."""
        i = np.clip(np.searchsorted(self.bu, u, side="right") - 1, 0, len(self.mu) - 1)
        j = np.clip(np.searchsorted(self.bv, v, side="right") - 1, 0, len(self.mv) - 1)
        return i, j

    @staticmethod
    def _powers(d, a):
        d = np.asarray(d, float)[..., None]
        one = d**a
        first = a * d ** np.maximum(a - 1, 0)
        second = a * (a - 1) * d ** np.maximum(a - 2, 0)
        return np.stack([one, first, second], axis=-2)

    def jets(self, u, v, span=None):
        """Derivatives (..., 3, 3, 3): [k, l] is k times along u and l times along v."""
        i, j = self.span(u, v) if span is None else span
        if np.ndim(u) == 0:
            left = _powers_of_one(float(u - self.mu[i]), len(self.pu))
            right = _powers_of_one(float(v - self.mv[j]), len(self.pv))
            rows = (left @ self.c[i, j].reshape(len(self.pu), -1)).reshape(3, len(self.pv), 3)
            return np.matmul(right, rows)
        left = self._powers(u - self.mu[i], self.pu)
        right = self._powers(v - self.mv[j], self.pv)
        return np.einsum("nka,nlb,nabc->nklc", left, right, self.c[i, j])

    def points(self, u, v):
        """Points (n, 3)."""
        return self.jets(np.asarray(u, float), np.asarray(v, float))[..., 0, 0, :]

    # --- integrating inside one span at a time ----------------------------------------------
    def _run(self, rate, state, length, stop=None):
        state = np.array(state, float)
        s = 0.0
        i, j = self.span(state[0], state[1])
        du, dv = rate(0.0, state, (i, j))[:2]
        # a start on a knot line belongs to the span it heads for
        i -= int(state[0] == self.bu[i] and du < 0.0 and i > 0)
        j -= int(state[1] == self.bv[j] and dv < 0.0 and j > 0)
        places, states = [s], [state]
        while s < length:
            walls = []
            for way, index, breaks in ((0, i, self.bu), (1, j, self.bv)):
                for by, at in ((-1, index), (1, index + 1)):
                    if 0 < at < len(breaks) - 1:
                        walls.append((way, by, float(breaks[at])))
            events = []
            for way, by, at in walls:
                def wall(t, y, way=way, at=at):
                    return y[way] - at
                wall.terminal, wall.direction = True, by
                events.append(wall)
            if stop is not None:
                def halt(t, y, span=(i, j)):
                    return stop(y, span)
                halt.terminal, halt.direction = True, 0
                events.append(halt)
            run = self._solve(rate, s, length, state, events or None, (i, j))
            t, y = run.t, run.y.T.copy()
            if run.status == 1:
                # the event's own state is from the dense output: step there once more
                again = self._solve(rate, t[-2], t[-1], y[-2], None, (i, j))
                y[-1] = again.y[:, -1]
            places.extend(t[1:])
            states.extend(y[1:])
            s, state = t[-1], y[-1]
            if run.status == 0:
                break
            assert run.status == 1, run.message
            which = next(k for k, e in enumerate(run.t_events) if len(e))
            if which == len(walls):
                break
            way, by, at = walls[which]
            i, j = (i + by, j) if way == 0 else (i, j + by)
        states = np.array(states)
        return Followed(np.array(places), states, self.points(states[:, 0], states[:, 1]))

    @staticmethod
    def _solve(rate, s0, s1, state, events, span):
        return solve_ivp(lambda s, y: rate(s, y, span), (s0, s1), state, "DOP853",
                         events=events, rtol=RTOL, atol=ATOL)

    def tangent_basis(self, uv):
        """Two unit tangents square to one another at (u, v): (2, 3)."""
        d = self.jets(uv[0], uv[1])
        a = d[1, 0] / np.linalg.norm(d[1, 0])
        b = d[0, 1] - (d[0, 1] @ a) * a
        return np.stack([a, b / np.linalg.norm(b)])

    def geodesic(self, uv, t, length, stop=None):
        """Follow the geodesic from (u, v) along the tangent t (3,).

        Ends at `length`, or where `stop((u, v, u', v'), span)` changes sign.
        """
        def rate(s, y, span):
            d = self.jets(y[0], y[1], span)
            su, sv = d[1, 0], d[0, 1]
            bend = d[2, 0] * y[2] ** 2 + 2.0 * d[1, 1] * y[2] * y[3] + d[0, 2] * y[3] ** 2
            return np.array([y[2], y[3], *_in_tangents(su, sv, -bend)])

        d = self.jets(uv[0], uv[1])
        return self._run(rate, [*uv, *_in_tangents(d[1, 0], d[0, 1], t)], length, stop)

    def level_curve(self, uv, axis, length, sense, stop=None):
        """Follow the curve of constant coordinate `axis`; `sense` is the sign of v's growth."""
        def rate(s, y, span):
            d = self.jets(y[0], y[1], span)
            a, b = -d[0, 1, axis], d[1, 0, axis]
            size = np.linalg.norm(a * d[1, 0] + b * d[0, 1]) * (1.0 if b * sense > 0 else -1.0)
            return np.array([a, b]) / size

        return self._run(rate, uv, length, stop)

    def edge(self, u, length):
        """v at `length` below v's lowest value along the line of constant u."""
        def rate(s, y, span):
            return np.array([0.0, 1.0 / np.linalg.norm(self.jets(y[0], y[1], span)[0, 1])])

        return float(self._run(rate, [u, self.bv[0]], length).state[-1, 1])

    def u_on_sheer(self, axis, value, lo=0.0, hi=1.0):
        """u on the edge of lowest v where a coordinate has a value."""
        return brentq(lambda u: self.jets(u, self.bv[0])[0, 0, axis] - value, lo, hi,
                      xtol=1e-16, rtol=1e-15)


def _in_tangents(su, sv, x):
    E, F, G = su @ su, su @ sv, sv @ sv
    a, b = su @ x, sv @ x
    det = E * G - F * F
    return (G * a - F * b) / det, (E * b - F * a) / det


def shoot(surface, uv0, uv1, direction, length):
    """Geodesic from (u, v) uv0 that meets uv1, by aiming again until it does.

    Parameters
    ----------
    direction : (3,) first aim
    length : float, first guess

    Returns
    -------
    Followed, and how far it ends from the mark, mm
    """
    a, b = surface.tangent_basis(uv0)
    angle = np.arctan2(direction @ b, direction @ a)
    target = surface.points(*uv1)

    def miss(angle, length):
        run = surface.geodesic(uv0, np.cos(angle) * a + np.sin(angle) * b, length)
        u, v, du, dv = run.state[-1]
        d = surface.jets(u, v)
        t = du * d[1, 0] + dv * d[0, 1]
        n = np.cross(d[1, 0], d[0, 1])
        side = np.cross(n / np.linalg.norm(n), t)
        gap = target - run.p[-1]
        return run, gap @ t, gap @ side, np.linalg.norm(gap)

    run, along, side, gap = miss(angle, length)
    before, other = angle + 1e-5, miss(angle + 1e-5, length)[2]
    for _ in range(12):
        if gap < 1e-9 or angle == before:
            break
        slope = (side - other) / (angle - before)
        before, other = angle, side
        length, angle = length + along, angle - side / slope
        run, along, side, gap = miss(angle, length)
    return run, gap
