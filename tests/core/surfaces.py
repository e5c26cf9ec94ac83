# SPDX-License-Identifier: LGPL-2.1-or-later
"""Surfaces whose geometry is known in closed form, as spline patches.

Cylinder, cone, sphere, torus and prolate spheroid are exact rational splines; helicoid and
pseudosphere are fitted and state the error of the fit.  Every builder answers a `Known`: the
patch, the way from the natural parameters (p, q) of the closed form to the patch's (u, v), and
the closed forms themselves.

The rational arcs are quadratic, of pieces of at most a quarter turn, joined by knots of full
multiplicity; the parameters of a piece run over the angles it covers.  Within a piece of half
opening a, the angle t from its middle and the parameter s from its middle (as a share of the
half piece) are tied by tan(t/2) = s tan(a/2) (rational quadratic arc in standard form: Piegl
and Tiller, *The NURBS Book*, section 7.3).
"""

from dataclasses import dataclass
from typing import Callable

import numpy as np
from scipy.interpolate import BSpline, make_interp_spline
from scipy.optimize import brentq

from strakeplan.core.spline.patch import SplinePatch

__all__ = [
    "Known", "cone", "cylinder", "helicoid", "helicoid_geodesic", "pseudosphere",
    "pseudosphere_distance", "raised_degrees", "sphere", "spheroid", "torus",
]


@dataclass(frozen=True)
class Known:
    """A patch and the closed forms of the surface it stands for.

    `exact(p, q)` gives points (n, 3); `uv(p, q)` a pair of (n,) parameters; `gauss(p, q)` and
    `mean(p, q)` curvatures, the mean one with the normal su x sv; `p_range`, `q_range` the
    extent; `fit_error` the greatest distance of the patch from the surface at equal parameters
    measured on a grid, mm, 0 where the patch is exact.
    """

    name: str
    patch: SplinePatch
    exact: Callable
    uv: Callable
    gauss: Callable
    mean: Callable
    p_range: tuple
    q_range: tuple
    fit_error: float = 0.0

    def grid(self, m=23, k=29):
        """Parameters p, q (m k,) all over the patch, ends included."""
        p, q = np.meshgrid(np.linspace(*self.p_range, m), np.linspace(*self.q_range, k))
        return p.ravel(), q.ravel()


# --- exact rational arcs and surfaces of revolution ---------------------------------------
def _arc(lo, hi, pieces=None):
    """Unit circle from angle lo to hi: knots, poles (n, 2), weights (n,), parameter(angle)."""
    if pieces is None:
        pieces = max(1, int(np.ceil((hi - lo) / (np.pi / 2) - 1e-9)))
    breaks = np.linspace(lo, hi, pieces + 1)
    half = 0.5 * (breaks[1] - breaks[0])
    middles = 0.5 * (breaks[1:] + breaks[:-1])
    angles, weights, radii = [breaks[0]], [1.0], [1.0]
    for middle, end in zip(middles, breaks[1:]):
        angles += [middle, end]
        weights += [np.cos(half), 1.0]
        radii += [1.0 / np.cos(half), 1.0]
    angles, radii = np.array(angles), np.array(radii)
    poles = radii[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    knots = np.concatenate([[breaks[0]], np.repeat(breaks, 2), [breaks[-1]]])

    def parameter(angle):
        angle = np.asarray(angle, float)
        i = np.clip(np.searchsorted(breaks, angle, side="right") - 1, 0, pieces - 1)
        return middles[i] + half * np.tan(0.5 * (angle - middles[i])) / np.tan(0.5 * half)

    return knots, poles, np.array(weights), parameter


def _revolved(profile, arc):
    """Profile (degree, knots, axial and radial poles (n, 2), weights) turned about x along v."""
    degree, knots, poles, weights = profile
    knots_v, circle, weights_v, _ = arc
    grid = np.empty((len(poles), len(circle), 3))
    grid[..., 0] = poles[:, :1]
    grid[..., 1:] = poles[:, 1][:, None, None] * circle[None]
    return SplinePatch(degree, 2, knots, knots_v, grid, weights[:, None] * weights_v[None])


def _line(start, end):
    return 1, np.array([0.0, 0.0, 1.0, 1.0]), np.array([start, end], float), np.ones(2)


def cylinder(radius=1500.0, length=8000.0, lo=0.0, hi=np.pi, pieces=None):
    """Cylinder about x: p = x from 0 to length, q = angle; (p, radius cos q, radius sin q)."""
    arc = _arc(lo, hi, pieces)
    return Known(
        "cylinder", _revolved(_line((0.0, radius), (length, radius)), arc),
        exact=lambda p, q: np.stack([p, radius * np.cos(q), radius * np.sin(q)], axis=-1),
        uv=lambda p, q: (np.asarray(p, float) / length, arc[3](q)),
        gauss=lambda p, q: np.zeros(np.shape(p)),
        mean=lambda p, q: np.full(np.shape(p), 0.5 / radius),
        p_range=(0.0, length), q_range=(lo, hi))


def cone(half_angle=np.radians(20.0), near=2000.0, far=9000.0, lo=0.0, hi=np.pi, pieces=None):
    """Cone about x, apex at the origin: p = slant distance from the apex, q = angle.

    Unrolled, a point lies at polar coordinates (p, q sin(half_angle)).
    """
    arc = _arc(lo, hi, pieces)
    c, s = np.cos(half_angle), np.sin(half_angle)
    return Known(
        "cone", _revolved(_line((near * c, near * s), (far * c, far * s)), arc),
        exact=lambda p, q: np.stack([p * c, p * s * np.cos(q), p * s * np.sin(q)], axis=-1),
        uv=lambda p, q: ((np.asarray(p, float) - near) / (far - near), arc[3](q)),
        gauss=lambda p, q: np.zeros(np.shape(p)),
        mean=lambda p, q: 0.5 * c / (s * np.asarray(p, float)),
        p_range=(near, far), q_range=(lo, hi))


def spheroid(axial=6000.0, radial=1500.0, b_lo=np.radians(-75.0), b_hi=np.radians(75.0),
             lo=0.0, hi=np.pi, pieces=None, name="spheroid"):
    """(axial sin p, radial cos p cos q, radial cos p sin q): p = reduced latitude, q = angle."""
    knots, circle, weights, parameter = _arc(b_lo, b_hi, pieces)
    arc = _arc(lo, hi, pieces)
    profile = (2, knots, np.stack([axial * circle[:, 1], radial * circle[:, 0]], axis=1), weights)

    def speed(p):
        return np.hypot(axial * np.cos(p), radial * np.sin(p))

    return Known(
        name, _revolved(profile, arc),
        exact=lambda p, q: np.stack([axial * np.sin(p), radial * np.cos(p) * np.cos(q),
                                     radial * np.cos(p) * np.sin(q)], axis=-1),
        uv=lambda p, q: (parameter(p), arc[3](q)),
        gauss=lambda p, q: axial**2 / speed(p) ** 4,
        mean=lambda p, q: 0.5 * (axial * radial / speed(p) ** 3 + axial / (radial * speed(p))),
        p_range=(b_lo, b_hi), q_range=(lo, hi))


def sphere(radius=3000.0, **extent):
    """Zone of a sphere: p = latitude (pole on the x axis), q = longitude; see `spheroid`."""
    return spheroid(radius, radius, name="sphere", **extent)


def torus(big=4000.0, small=1500.0, u_lo=-0.5, u_hi=2.0, v_lo=np.radians(-100.0),
          v_hi=np.radians(100.0), pieces=None):
    """((R + r cos q) cos p, (R + r cos q) sin p, r sin q); q = 0 is the outer equator."""
    knots, circle, weights, parameter = _arc(v_lo, v_hi, pieces)
    arc = _arc(u_lo, u_hi, pieces)
    # poles moved by R move the rational curve by R: its basis adds up to one
    profile = (2, knots, np.stack([small * circle[:, 1], big + small * circle[:, 0]], axis=1),
               weights)
    turned = _revolved(profile, arc).swapped()
    patch = turned.transformed([[0, 1, 0], [0, 0, 1], [1, 0, 0]])
    return Known(
        "torus", patch,
        exact=lambda p, q: np.stack([(big + small * np.cos(q)) * np.cos(p),
                                     (big + small * np.cos(q)) * np.sin(p),
                                     small * np.sin(q)], axis=-1),
        uv=lambda p, q: (arc[3](p), parameter(q)),
        gauss=lambda p, q: np.cos(q) / (small * (big + small * np.cos(q))),
        mean=lambda p, q: -0.5 * (1.0 / small + np.cos(q) / (big + small * np.cos(q))),
        p_range=(u_lo, u_hi), q_range=(v_lo, v_hi))


# --- fitted surfaces -----------------------------------------------------------------------
# High degree and few spans: rounding in second derivatives grows with the square of the spans.
FIT_DEGREE = 7


def _crowded(lo, hi, n):
    """Places from lo to hi that crowd at the ends, where interpolation errs most."""
    return lo + (hi - lo) * 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, n)))


def _with_fit_error(known):
    """The same with the greatest distance from the closed form on a grid off the knots."""
    p, q = known.grid(601, 41)
    gap = np.linalg.norm(known.patch.points(*known.uv(p, q)) - known.exact(p, q), axis=1)
    return Known(**{**known.__dict__, "fit_error": float(gap.max())})


def helicoid(pitch=1000.0, u_lo=800.0, u_hi=3500.0, v_lo=0.0, v_hi=2.0, spans=32):
    """(p cos q, p sin q, pitch q), `pitch` the rise per radian; fitted in q, exact along p."""
    q = _crowded(v_lo, v_hi, spans + 1)
    circle = make_interp_spline(q, np.stack([np.cos(q), np.sin(q)], axis=1), k=FIT_DEGREE)
    n = len(circle.c)
    greville = np.array([circle.t[i + 1 : i + 1 + FIT_DEGREE].mean() for i in range(n)])
    radii = np.array([u_lo, u_hi])
    poles = np.empty((2, n, 3))
    poles[..., :2] = radii[:, None, None] * circle.c[None]
    poles[..., 2] = pitch * greville
    patch = SplinePatch(1, FIT_DEGREE, np.array([u_lo, u_lo, u_hi, u_hi]), circle.t, poles)
    return _with_fit_error(Known(
        "helicoid", patch,
        exact=lambda p, q: np.stack([p * np.cos(q), p * np.sin(q), pitch * q], axis=-1),
        uv=lambda p, q: (np.asarray(p, float), np.asarray(q, float)),
        gauss=lambda p, q: -(pitch**2) / (np.asarray(p, float) ** 2 + pitch**2) ** 2,
        mean=lambda p, q: np.zeros(np.shape(p)),
        p_range=(u_lo, u_hi), q_range=(v_lo, v_hi)))


def helicoid_geodesic(start, end, pitch=1000.0):
    """Geodesic of the helicoid from (p, q) `start` to `end`, p growing or falling all along.

    The metric dp^2 + (p^2 + pitch^2) dq^2 does not know q, so Clairaut's relation
    (p^2 + pitch^2) dq/ds = c holds, and q and the length are integrals over p.

    Returns
    -------
    length : float, mm
    c : float, Clairaut's constant, mm
    q_at : function of p (scalar)
    """
    (p0, q0), (p1, q1) = start, end
    sign = np.sign(q1 - q0)
    lo, hi = min(p0, p1), max(p0, p1)
    nodes, weights = np.polynomial.legendre.leggauss(400)

    def gauss(f, to):
        # p = lo + (to - lo) t^2 takes the root out where c comes near its limit at p = lo
        t = 0.5 * (nodes + 1.0)
        return float(weights @ (f(lo + (to - lo) * t * t) * t) * (to - lo))

    def swept(to, c):
        return gauss(lambda p: c / np.sqrt((p * p + pitch**2) * (p * p + pitch**2 - c * c)), to)

    c = brentq(lambda c: swept(hi, c) - abs(q1 - q0), 0.0, np.hypot(lo, pitch) * (1 - 1e-12),
               xtol=1e-12, rtol=1e-15)
    length = gauss(lambda p: np.sqrt((p * p + pitch**2) / (p * p + pitch**2 - c * c)), hi)
    return length, c, lambda p: q0 + sign * abs(swept(p, c) - swept(p0, c))


def pseudosphere(scale=3000.0, s_lo=1500.0, s_hi=5000.0, lo=0.0, hi=2.0, spans=48, pieces=None):
    """Tractrix turned about x: p = arc length from the rim, q = angle; K = -1/scale^2.

    Radius scale exp(-p/scale); the metric is dp^2 + radius^2 dq^2.
    """
    def axial(p):
        e = np.exp(-np.asarray(p, float) / scale)
        return scale * (np.arccosh(1.0 / e) - np.sqrt(1.0 - e * e))

    def radius(p):
        return scale * np.exp(-np.asarray(p, float) / scale)

    s = _crowded(s_lo, s_hi, spans + 1)
    curve = make_interp_spline(s, np.stack([axial(s), radius(s)], axis=1), k=FIT_DEGREE)
    arc = _arc(lo, hi, pieces)
    patch = _revolved((FIT_DEGREE, curve.t, curve.c, np.ones(len(curve.c))), arc)

    def parallel(p):
        e = np.exp(-np.asarray(p, float) / scale)
        return np.sqrt(1.0 - e * e) / (scale * e)

    return _with_fit_error(Known(
        "pseudosphere", patch,
        exact=lambda p, q: np.stack([axial(p), radius(p) * np.cos(q), radius(p) * np.sin(q)],
                                    axis=-1),
        uv=lambda p, q: (np.asarray(p, float), arc[3](q)),
        gauss=lambda p, q: np.full(np.shape(p), -1.0 / scale**2),
        mean=lambda p, q: 0.5 * (parallel(p) - 1.0 / (scale**2 * parallel(p))),
        p_range=(s_lo, s_hi), q_range=(lo, hi)))


def pseudosphere_distance(start, end, scale=3000.0):
    """Length of the geodesic between (p, q) `start` and `end`: distance in the half plane.

    With y = exp(p/scale) the metric is scale^2 (dq^2 + dy^2)/y^2.
    """
    y0, y1 = np.exp(start[0] / scale), np.exp(end[0] / scale)
    h = ((end[1] - start[1]) ** 2 + (y1 - y0) ** 2) / (4.0 * y0 * y1)
    return 2.0 * scale * np.arcsinh(np.sqrt(h))


# --- another form of the same patch -----------------------------------------------------------
def raised_degrees(patch):
    """The same surface with both degrees one higher, by exact interpolation of each span."""
    w = np.ones(patch.poles.shape[:2]) if patch.weights is None else patch.weights
    grid = np.concatenate([patch.poles * w[..., None], w[..., None]], axis=2)
    knots_u, grid = _raise(patch.knots_u, patch.degree_u, grid)
    knots_v, turned = _raise(patch.knots_v, patch.degree_v, np.swapaxes(grid, 0, 1))
    grid = np.swapaxes(turned, 0, 1)
    return SplinePatch(patch.degree_u + 1, patch.degree_v + 1, knots_u, knots_v,
                       grid[..., :3] / grid[..., 3:],
                       None if patch.weights is None else grid[..., 3])


def _raise(knots, degree, poles):
    breaks, counts = np.unique(knots, return_counts=True)
    longer = np.repeat(breaks, counts + 1)
    n = len(longer) - degree - 2
    places = np.array([longer[i + 1 : i + degree + 2].mean() for i in range(n)])
    values = BSpline(knots, poles, degree)(places)
    rows = BSpline(longer, np.eye(n), degree + 1)(places)
    flat = np.linalg.solve(rows, values.reshape(n, -1))
    return longer, flat.reshape((n,) + poles.shape[1:])
