# SPDX-License-Identifier: LGPL-2.1-or-later
"""The spline patch: one tensor-product (rational) B-spline surface."""

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, Optional

import numpy as np

from ..errors import PlanError
from .basis import basis_table
from .knots import insert_knots

__all__ = ["Jet", "SplinePatch", "SurfaceGeometry"]


class Jet(NamedTuple):
    """Point and partial derivatives, each (n, 3); None above the order asked for."""

    p: np.ndarray
    su: Optional[np.ndarray] = None
    sv: Optional[np.ndarray] = None
    suu: Optional[np.ndarray] = None
    suv: Optional[np.ndarray] = None
    svv: Optional[np.ndarray] = None


class SurfaceGeometry(NamedTuple):
    """Fundamental forms and curvatures at n points; the normal is su x sv made unit."""

    p: np.ndarray
    su: np.ndarray
    sv: np.ndarray
    n: np.ndarray
    E: np.ndarray
    F: np.ndarray
    G: np.ndarray
    L: np.ndarray
    M: np.ndarray
    N: np.ndarray
    K: np.ndarray
    H: np.ndarray


@dataclass(frozen=True, eq=False)
class SplinePatch:
    """Clamped, non-periodic tensor-product B-spline surface, rational if weighted.

    Parameters
    ----------
    degree_u, degree_v : int
    knots_u : (nu + degree_u + 1,) array, flat
    knots_v : (nv + degree_v + 1,) array, flat
    poles : (nu, nv, 3) array, mm
    weights : (nu, nv) array or None

    Raises
    ------
    PlanError
        Poles that are not finite, weights that are not positive, or knots that do not
        fit the poles.

    Notes
    -----
    Outside its domain the patch goes on as the polynomial of its last span. This is
    what lines use that have to look a little way past an edge.

    References
    ----------
    L. Piegl and W. Tiller, *The NURBS Book*, 2nd ed., Springer 1997, sections 3.4, 4.4
    and 4.5 (quotient rule for rational surfaces).
    """

    degree_u: int
    degree_v: int
    knots_u: np.ndarray
    knots_v: np.ndarray
    poles: np.ndarray
    weights: Optional[np.ndarray] = None

    def __post_init__(self):
        for name in ("knots_u", "knots_v", "poles", "weights"):
            value = getattr(self, name)
            if value is not None:
                value = np.array(value, float)
                value.setflags(write=False)
                object.__setattr__(self, name, value)
        if self.weights is not None and np.all(self.weights == self.weights.flat[0]):
            object.__setattr__(self, "weights", None)
        self._check()

    def _check(self):
        remedy = "rebuild the surface and choose it again"
        if self.poles.ndim != 3 or self.poles.shape[2] != 3:
            raise PlanError("the surface's poles are not a grid of points", "", remedy)
        bad = ~np.isfinite(self.poles).all(axis=2)
        if bad.any():
            i, j = np.argwhere(bad)[0]
            raise PlanError(
                f"{int(bad.sum())} of the surface's poles are not finite numbers",
                f"the first is pole ({i + 1}, {j + 1})",
                remedy,
            )
        if self.weights is not None:
            bad = ~(np.isfinite(self.weights) & (self.weights > 0))
            if bad.any():
                i, j = np.argwhere(bad)[0]
                raise PlanError(
                    f"{int(bad.sum())} of the surface's weights are not positive",
                    f"the first is that of pole ({i + 1}, {j + 1})",
                    remedy,
                )
        for way, knots, degree, count in (
            ("u", self.knots_u, self.degree_u, self.poles.shape[0]),
            ("v", self.knots_v, self.degree_v, self.poles.shape[1]),
        ):
            if not np.isfinite(knots).all():
                raise PlanError(f"the surface's {way} knots are not finite numbers", "", remedy)
            fits = len(knots) == count + degree + 1 and np.all(np.diff(knots) >= 0)
            clamped = fits and knots[0] == knots[degree] and knots[-1] == knots[-degree - 1]
            if degree < 1 or not clamped or knots[0] == knots[-1]:
                raise PlanError(
                    f"the surface's {way} knots do not fit its {count} poles of degree {degree}",
                    "",
                    remedy,
                )

    # --- description -----------------------------------------------------------------
    @property
    def u_range(self):
        """(lowest, highest) u."""
        return float(self.knots_u[0]), float(self.knots_u[-1])

    @property
    def v_range(self):
        """(lowest, highest) v."""
        return float(self.knots_v[0]), float(self.knots_v[-1])

    @cached_property
    def breaks_u(self):
        """Distinct u knots."""
        return np.unique(self.knots_u)

    @cached_property
    def breaks_v(self):
        """Distinct v knots."""
        return np.unique(self.knots_v)

    @cached_property
    def mult_u(self):
        """Multiplicity of every distinct u knot."""
        return np.unique(self.knots_u, return_counts=True)[1]

    @cached_property
    def mult_v(self):
        """Multiplicity of every distinct v knot."""
        return np.unique(self.knots_v, return_counts=True)[1]

    @cached_property
    def size(self):
        """Diagonal of the box round the poles, mm: the scale for tolerances."""
        flat = self.poles.reshape(-1, 3)
        return float(np.linalg.norm(flat.max(axis=0) - flat.min(axis=0)))

    # --- evaluation ------------------------------------------------------------------
    @cached_property
    def _table_u(self):
        return basis_table(self.knots_u, self.degree_u)

    @cached_property
    def _table_v(self):
        return basis_table(self.knots_v, self.degree_v)

    @cached_property
    def _powers(self):
        """Every span as a polynomial in shares of it, from -1/2 to 1/2.

        Derivatives are differences of poles. Taken from the poles' places themselves they
        would lose digits in proportion to the distance from the origin, more so the finer
        the knots lie; so all poles of a span are reckoned from one near its middle.

        Returns
        -------
        origin : (spans, 3), span (i, j) in row i * spans_v + j
        powers : (q + 1, p + 1, c, spans)
            Of v, then of u; homogeneous (c = 4) if the patch is rational.
        """
        iu = self._table_u.first_pole[:, None] + np.arange(self.degree_u + 1)
        iv = self._table_v.first_pole[:, None] + np.arange(self.degree_v + 1)
        grid = self.poles[iu[:, None, :, None], iv[None, :, None, :]]
        origin = grid[:, :, self.degree_u // 2, self.degree_v // 2]
        grid = grid - origin[:, :, None, None]
        if self.weights is not None:
            w = self.weights[iu[:, None, :, None], iv[None, :, None, :]][..., None]
            grid = np.concatenate([grid * w, w], axis=-1)
        cu, cv = self._table_u.coefficients[:, 0], self._table_v.coefficients[:, 0]
        powers = np.einsum("vqj,uvpjc->qpcuv", cv, np.einsum("upi,uvijc->uvpjc", cu, grid))
        return origin.reshape(-1, 3), np.ascontiguousarray(powers.reshape(*powers.shape[:3], -1))

    def jets(self, u, v, order=2, span_u=None, span_v=None):
        """Points and partial derivatives up to ``order`` (0, 1 or 2).

        Parameters
        ----------
        u, v : (n,) arrays
        order : int
        span_u, span_v : (n,) int, optional
            Knot spans to take the polynomial from: on a knot line this chooses the side.

        Returns
        -------
        Jet of (n, 3) arrays, mm per parameter unit and its square.
        """
        u = np.atleast_1d(np.asarray(u, float))
        v = np.atleast_1d(np.asarray(v, float))
        table_u, table_v = self._table_u, self._table_v
        iu = table_u.locate(u) if span_u is None else span_u
        iv = table_v.locate(v) if span_v is None else span_v
        origin, powers = self._powers
        span = iu * len(table_v.middle) + iv
        scale_u, scale_v = table_u.inverse_width[iu], table_v.inverse_width[iv]
        x, y = (u - table_u.middle[iu]) * scale_u, (v - table_v.middle[iv]) * scale_v
        # places last: everything below runs along them
        rows = _horner(powers.take(span, axis=3), y, order)
        full = {}
        for b, row in enumerate(rows):
            for a, part in enumerate(_horner(row, x, order - b)):
                # derivative a times along u and b times along v
                if a:
                    part *= scale_u if a == 1 else scale_u**2
                if b:
                    part *= scale_v if b == 1 else scale_v**2
                full[a, b] = part.T
        if self.weights is not None:
            jet = _quotient(full, order)
        else:
            wanted = ((0, 0), (1, 0), (0, 1), (2, 0), (1, 1), (0, 2))[: (1, 3, 6)[order]]
            jet = Jet(*(full[key] for key in wanted))
        return jet._replace(p=origin[span] + jet.p)

    def points(self, u, v):
        """Points (n, 3), mm."""
        return self.jets(u, v, 0).p

    def grid(self, u, v):
        """Points and first derivatives on a grid of parameters, polynomial patches only.

        Parameters
        ----------
        u : (n,), v : (m,)

        Returns
        -------
        p, su, sv : (n, m, 3)
        """
        if self.weights is not None:
            raise ValueError("a grid of a rational patch is not needed anywhere yet")
        bu, dbu = self._table_u.matrices(u, self.poles.shape[0])
        bv, dbv = self._table_v.matrices(v, self.poles.shape[1])
        along = np.einsum("ni,ijk->njk", bu, self.poles)
        slope = np.einsum("ni,ijk->njk", dbu, self.poles)
        return (
            np.einsum("mj,njk->nmk", bv, along),
            np.einsum("mj,njk->nmk", bv, slope),
            np.einsum("mj,njk->nmk", dbv, along),
        )

    def geometry(self, u, v):
        """Normal, fundamental forms, Gauss and mean curvature.

        Returns
        -------
        SurfaceGeometry; H is counted with the normal su x sv: positive where the
        surface bends towards that normal.
        """
        return geometry_of(self.jets(u, v, 2))

    # --- other forms of the same surface -----------------------------------------------
    def swapped(self):
        """The same surface with u and v exchanged (the normal turns over)."""
        return SplinePatch(
            self.degree_v, self.degree_u, self.knots_v, self.knots_u,
            np.swapaxes(self.poles, 0, 1), None if self.weights is None else self.weights.T,
        )  # fmt: skip

    def reversed_u(self):
        """The same surface with u running the other way over the same range."""
        return SplinePatch(
            self.degree_u, self.degree_v,
            (self.knots_u[0] + self.knots_u[-1]) - self.knots_u[::-1], self.knots_v,
            self.poles[::-1], None if self.weights is None else self.weights[::-1],
        )  # fmt: skip

    def reversed_v(self):
        """The same surface with v running the other way over the same range."""
        return self.swapped().reversed_u().swapped()

    def transformed(self, matrix, offset=(0.0, 0.0, 0.0)):
        """The surface moved: every pole p becomes matrix p + offset."""
        poles = self.poles @ np.asarray(matrix, float).T + np.asarray(offset, float)
        return SplinePatch(
            self.degree_u, self.degree_v, self.knots_u, self.knots_v, poles, self.weights
        )

    def with_knots(self, u=(), v=()):
        """The same surface with more knots, by Boehm's insertion."""
        w = np.ones(self.poles.shape[:2]) if self.weights is None else self.weights
        grid = np.concatenate([self.poles * w[..., None], w[..., None]], axis=2)
        knots_u, grid = insert_knots(self.knots_u, self.degree_u, grid, u)
        knots_v, turned = insert_knots(self.knots_v, self.degree_v, np.swapaxes(grid, 0, 1), v)
        grid = np.swapaxes(turned, 0, 1)
        poles = grid[..., :3] / grid[..., 3:]
        weights = None if self.weights is None else grid[..., 3]
        return SplinePatch(self.degree_u, self.degree_v, knots_u, knots_v, poles, weights)


def geometry_of(jet):
    """Fundamental forms and curvatures from a second-order jet."""
    cross = np.cross(jet.su, jet.sv)
    area = np.sqrt(_dot(cross, cross))
    with np.errstate(invalid="ignore", divide="ignore"):
        n = cross / area[:, None]
        E, F, G = _dot(jet.su, jet.su), _dot(jet.su, jet.sv), _dot(jet.sv, jet.sv)
        L, M, N = _dot(jet.suu, n), _dot(jet.suv, n), _dot(jet.svv, n)
        square = area * area
        K = (L * N - M * M) / square
        H = (E * N - 2.0 * F * M + G * L) / (2.0 * square)
    return SurfaceGeometry(jet.p, jet.su, jet.sv, n, E, F, G, L, M, N, K, H)


def _dot(a, b):
    return np.einsum("ij,ij->i", a, b)


def _horner(powers, x, order):
    """Values (..., n) at x (n,) of polynomials with powers (degree + 1, ..., n), and derivatives."""
    value, slope, bend = powers[-1], None, None
    for c in powers[-2::-1]:
        # in place from the second power down: small hulls are all overhead
        if order > 1 and slope is not None:
            if bend is None:
                bend = slope.copy()
            else:
                bend *= x
                bend += slope
        if order > 0:
            if slope is None:
                slope = value.copy()
            else:
                slope *= x
                slope += value
        value = value * x
        value += c
    if order > 1:
        bend = np.zeros_like(value) if bend is None else bend
        bend *= 2.0
    if order > 0 and slope is None:
        slope = np.zeros_like(value)
    return (value, slope, bend)[: order + 1]


def _quotient(full, order):
    """Derivatives of A/w from those of A and w (NURBS Book eq. 4.20)."""
    a, w = ({key: part[:, columns] for key, part in full.items()} for columns in (slice(0, 3), slice(3, 4)))
    w0 = w[0, 0]
    p = a[0, 0] / w0
    if order == 0:
        return Jet(p)
    wu, wv = w[1, 0], w[0, 1]
    su = (a[1, 0] - wu * p) / w0
    sv = (a[0, 1] - wv * p) / w0
    if order == 1:
        return Jet(p, su, sv)
    suu = (a[2, 0] - 2.0 * wu * su - w[2, 0] * p) / w0
    svv = (a[0, 2] - 2.0 * wv * sv - w[0, 2] * p) / w0
    suv = (a[1, 1] - wu * sv - wv * su - w[1, 1] * p) / w0
    return Jet(p, su, sv, suu, suv, svv)
