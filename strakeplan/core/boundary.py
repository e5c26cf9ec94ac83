# SPDX-License-Identifier: LGPL-2.1-or-later
"""The edge of the planking: down the stem, along the rabbet, up the stern to the sheer.

Where the face already ends at or outboard of the half siding its own edges are the
boundary, exactly at constant u or v; elsewhere it is the curve at which the half-breadth
equals the half siding.
"""

from dataclasses import dataclass, replace

import numpy as np

from .contour import DEGREE, Level, break_points, fit_pieces, follow, root
from .curve import SurfaceCurve, curve_through
from .edges import sample_parameters
from .errors import PlanError
from .siding import HalfSiding
from .tolerances import SURFACE

__all__ = ["Boundary", "planking_boundary"]


@dataclass(frozen=True, eq=False)
class Boundary:
    """Sheer and boundary of the planking of one canonical patch.

    Attributes
    ----------
    sheer, curve : SurfaceCurve
    siding : HalfSiding
    stem_end, stern_start : int
        Index among the curve's piece ends where the stem edge ends and the stern edge starts.
    trimmed : (pieces,) bool
        Which pieces lie on the half siding rather than on an edge of the face.
    """

    sheer: SurfaceCurve
    curve: SurfaceCurve
    siding: HalfSiding
    stem_end: int
    stern_start: int
    trimmed: np.ndarray


def planking_boundary(patch, stem, keel, post, name="hull", frame=None):
    """Sheer and boundary of a canonical patch in ship coordinates.

    Parameters
    ----------
    patch : SplinePatch
    stem, keel, post : float
        Half sidings, mm.
    name : str
    frame : ShipFrame, optional
        For the places named in messages.

    Raises
    ------
    PlanError
        Nothing is left outboard of the half siding, or the boundary cannot be followed.
    """

    def walk(siding):
        return _Walk(Level(patch, siding, name), frame).run()

    siding = HalfSiding(stem, keel, post)
    if not siding.constant:
        # first with one value each, to learn where the boundary leaves stem and post
        fore = walk(HalfSiding(stem, stem, stem))
        aft = walk(HalfSiding(post, post, post))
        x0 = _end_x(fore, fore.stem_end)
        x1 = _end_x(aft, aft.stern_start)
        if not x1 > x0:
            raise PlanError(
                f"{name}: nothing is left of the keel between stem and stern at these half sidings",
                "", "give smaller half sidings",
            )  # fmt: skip
        siding = replace(siding, forefoot=x0, heel=x1)
    return walk(siding)


def _end_x(boundary, index):
    uv = np.vstack([boundary.curve.nodes[:, 0], boundary.curve.nodes[-1:, -1]])[index]
    return float(boundary.curve.patch.points(uv[:1], uv[1:])[0, 0])


class _Walk:
    """One walk round the boundary.

    The face's own edges are counted by sigma: 0 to 1 down the stem edge, 1 to 2 aft along
    the keel edge, 2 to 3 up the stern edge.
    """

    def __init__(self, level, frame):
        self.level, self.frame = level, frame
        self.patch = patch = level.patch
        self.u, self.v = patch.u_range, patch.v_range
        u, v = patch.breaks_u, patch.breaks_v
        fu = (u - u[0]) / (u[-1] - u[0])
        fv = (v - v[0]) / (v[-1] - v[0])
        self.knots = np.concatenate([fv, 1.0 + fu[1:], 3.0 - fv[::-1][1:]])
        self.sigma = sample_parameters(self.knots, 12)
        self.f = self._value(self.sigma)
        ease = self._waver()
        if ease:
            siding = level.siding
            self.level = replace(
                level, siding=replace(
                    siding, stem=siding.stem - ease, keel=siding.keel - ease, post=siding.post - ease
                ),
            )  # fmt: skip
            self.f = self._value(self.sigma)
        self.pieces, self.kinds, self.trimmed = [], [], []
        self.stem_end = self.stern_start = None

    def _waver(self):
        """How far edges that already end at the half siding lie inside it, mm.

        A face that was fitted to its siding wavers about it by a fraction of the tolerance.
        The half siding is taken less by that much, or the rabbet line would have to start
        where the edge happens to cross it. 0 where nothing is trimmed anyway.
        """
        near = np.abs(self.f) <= SURFACE.at_siding
        if not np.any(self.f < -SURFACE.at_siding) or not near.any():
            return 0.0
        edge = np.diff(np.concatenate([[0], near.astype(int), [0]]))
        worst, last = None, len(near)
        for a, b in zip(np.nonzero(edge == 1)[0], np.nonzero(edge == -1)[0]):
            inner = self.f[a + (a > 0) : b - (b < last)]  # the run's ends only pass through
            if len(inner):
                worst = max(worst or 0.0, float(np.max(-inner)))
        # a hair in any case, so that no contour starts just where the surface's corner is singular
        return 0.0 if worst is None else min(1.5 * worst + 1e-8, SURFACE.at_siding)

    # --- the face's own edges ---------------------------------------------------------
    def uv_of(self, sigma):
        """(n, 2) parameters of places on the face's own edges."""
        sigma = np.asarray(sigma, float)
        (u0, u1), (v0, v1) = self.u, self.v
        a = np.clip(sigma, 0.0, 1.0)
        b = np.clip(sigma - 1.0, 0.0, 1.0)
        c = np.clip(sigma - 2.0, 0.0, 1.0)
        u = np.where(b >= 1.0, u1, u0 + b * (u1 - u0))
        v = np.where(c > 0.0, v1 - c * (v1 - v0), np.where(a >= 1.0, v1, v0 + a * (v1 - v0)))
        return np.stack([u, np.where(c >= 1.0, v0, v)], axis=1)

    def sigma_of(self, uv, edge):
        (u0, u1), (v0, v1) = self.u, self.v
        if edge == "u0":
            return (uv[1] - v0) / (v1 - v0)
        if edge == "v1":
            return 1.0 + (uv[0] - u0) / (u1 - u0)
        return 2.0 + (v1 - uv[1]) / (v1 - v0)

    def _value(self, sigma):
        uv = self.uv_of(sigma)
        return self.level.value(uv[:, 0], uv[:, 1])

    def _natural(self, s0, s1):
        """Add the face's own edge from sigma s0 to s1."""
        inner = np.unique(np.concatenate([self.knots, [1.0, 2.0]]))
        inner = inner[(inner > s0 + 1e-9) & (inner < s1 - 1e-9)]
        breaks = np.concatenate([[s0], inner, [s1]])
        for a, b in zip(breaks, breaks[1:]):
            if abs(a - 1.0) < 1e-9 and self.stem_end is None:
                self.stem_end = len(self.pieces)
            if abs(a - 2.0) < 1e-9 and self.stern_start is None:
                self.stern_start = len(self.pieces)
            nodes = curve_through(self.patch, self.uv_of, [a, b], DEGREE).nodes[0].copy()
            if self.pieces:
                nodes[0] = self.pieces[-1][-1]
            self.pieces.append(nodes)
            self.trimmed.append(False)

    # --- the walk ---------------------------------------------------------------------
    def run(self):
        level, out = self.level, self.f < -SURFACE.at_siding
        u_start, u_end = self.u
        u_first = self._sheer_start()
        here = 0.0
        if out[0]:
            u_start = u_first
        while here < 3.0:
            ahead = np.nonzero(out & (self.sigma >= here))[0]
            if not len(ahead):
                self._natural(here, 3.0)
                break
            if ahead[0] == 0:
                start, left = np.array([u_first, self.v[0]]), None
            else:
                left = self._root_before(ahead[0], here)
                if left > here:
                    self._natural(here, left)
                start = self.uv_of([left])[0]
            contour = follow(level, start)
            arrived = 3.0 if contour.exit == "v0" else self.sigma_of(contour.uv[-1], contour.exit)
            if arrived <= (here if left is None else left):
                raise self._error(
                    "the half siding cuts a piece out of the planking's edge", contour.uv[-1],
                    "change the half siding, or end the face at the rabbet",
                )
            self._trim(contour, left, None if contour.exit == "v0" else arrived)
            if contour.exit == "v0":
                u_end = float(contour.uv[-1][0])
            here = arrived
        if not u_end > u_start:
            raise self._nothing_left()
        self._check_sheer(u_start, u_end)
        u = self.patch.breaks_u
        breaks = np.concatenate([[u_start], u[(u > u_start + 1e-9) & (u < u_end - 1e-9)], [u_end]])
        v0 = self.v[0]
        sheer = curve_through(
            self.patch, lambda t: np.stack([t, np.full_like(t, v0)], axis=1), breaks, DEGREE
        )
        nodes = sheer.nodes.copy()
        nodes[0, 0], nodes[-1, -1] = self.pieces[0][0], self.pieces[-1][-1]
        if self.stem_end is None or self.stern_start is None or self.stem_end > self.stern_start:
            raise self._error(
                "the boundary does not pass forefoot and heel in order", self.pieces[0][0],
                "name the sheer edge and the stem edge, or give smaller half sidings",
            )
        return Boundary(
            SurfaceCurve(self.patch, nodes), SurfaceCurve(self.patch, np.array(self.pieces)),
            level.siding, self.stem_end, self.stern_start, np.array(self.trimmed),
        )  # fmt: skip

    def _root_before(self, i, here):
        """Sigma where F passes zero on the way to sample i, not before `here`."""
        k = i - 1
        while k >= 0 and self.sigma[k] > here and self.f[k] < 0.0:
            k -= 1
        if k < 0 or self.f[k] < 0.0:
            raise self._error(
                f"the face's edge keeps within {SURFACE.at_siding:g} mm of the half siding and then "
                "falls inside it",
                self.uv_of([self.sigma[i]])[0], "give a half siding 0.1 mm smaller",
            )
        return max(root(self._value, self.sigma[k], self.sigma[k + 1]), here)

    def _trim(self, contour, left, right):
        """Add a contour, broken at knot lines, at changes of h, and at forefoot and heel."""
        patch, level = self.patch, self.level
        lines = [_parameter_line(0, k) for k in patch.breaks_u[1:-1]]
        lines += [_parameter_line(1, k) for k in patch.breaks_v[1:-1]]
        lines += [_station_line(x) for x in level.siding.breaks]
        first = len(lines)
        lines += [_bisector(patch, self.u[0], self.v[1], 1.0), _bisector(patch, self.u[1], self.v[1], -1.0)]
        found = break_points(level, contour, lines)
        last = float(len(contour.uv) - 1)
        fore = aft = None
        s0 = 0.0 if left is None else left
        s1 = 3.0 if right is None else right
        if s0 <= 1.0 < s1 and self.stem_end is None:
            fore = self._corner(contour, found, first, self.uv_of([1.0])[0], left, right, (0.0, 1.0))
        if s0 < 2.0 <= s1:
            aft = self._corner(contour, found, first + 1, self.uv_of([2.0])[0], left, right, (2.0, 3.0))
        breaks = [(p, uv) for p, uv, index in found if index < first]
        breaks += [c for c in (fore, aft) if c is not None and 0.0 < c[0] < last]
        nodes, places = fit_pieces(level, contour, sorted(breaks, key=lambda b: b[0]))
        count = len(self.pieces)
        if fore is not None:
            self.stem_end = count + int(np.argmin(np.abs(places - fore[0])))
        if aft is not None:
            self.stern_start = count + int(np.argmin(np.abs(places - aft[0])))
        nodes = list(nodes)
        if self.pieces:
            nodes[0][0] = self.pieces[-1][-1]
        self.pieces += nodes
        self.trimmed += [True] * len(nodes)

    def _corner(self, contour, found, index, corner, left, right, edge):
        """Where a contour passes from one edge to the next round a corner: (place, uv).

        On the bisector of the corner, or at the contour's own end where that lies on the
        end edge right beside the corner (a transom that is cut at its foot only).
        """
        points = self.patch.points(contour.uv[:, 0], contour.uv[:, 1])
        foot = self.patch.points(corner[:1], corner[1:])[0]
        far = np.linalg.norm((points - foot)[:, [0, 2]], axis=1)
        crossings = [(p, uv) for p, uv, i in found if i == index]
        if crossings:
            def reach(c):
                return np.linalg.norm((self.patch.points(c[1][:1], c[1][1:])[0] - foot)[[0, 2]])

            best = min(crossings, key=reach)
            near = reach(best)
        else:
            k = int(np.argmin(far))
            best, near = (float(k), contour.uv[k]), far[k]
        ends = []
        if left is not None and left > 0.0:
            ends.append((left, 0))
        if right is not None and right < 3.0:
            ends.append((right, len(points) - 1))
        for sigma, k in ends:
            if edge[0] <= sigma <= edge[1] and far[k] < 3.0 * near:
                return float(k), contour.uv[k]
        return best

    # --- the sheer --------------------------------------------------------------------
    def _on_sheer(self, u):
        return self.level.value(u, np.full_like(u, self.v[0]))

    def _sheer_start(self):
        """First u on the sheer where the half-breadth reaches the half siding."""
        u = sample_parameters(self.patch.breaks_u, 24)
        f = self._on_sheer(u)
        good = np.nonzero(f >= (0.0 if f[0] < -SURFACE.at_siding else -SURFACE.at_siding))[0]
        if not len(good):
            raise self._nothing_left()
        k = int(good[0])
        return float(u[0]) if k == 0 else root(self._on_sheer, u[k - 1], u[k])

    def _check_sheer(self, u_start, u_end):
        u = sample_parameters(self.patch.breaks_u, 24)
        u = u[(u > u_start) & (u < u_end)]
        f = self._on_sheer(u)
        if len(u) and np.min(f) < -SURFACE.at_siding:
            k = int(np.argmin(f))
            raise self._error(
                "the sheer comes nearer the centreplane than the half siding", np.array([u[k], self.v[0]]),
                "give a smaller half siding",
            )

    def _nothing_left(self):
        u = sample_parameters(self.patch.breaks_u, 8)
        v = sample_parameters(self.patch.breaks_v, 8)
        u, v = (a.ravel() for a in np.meshgrid(u, v, indexing="ij"))
        p = self.patch.points(u, v)
        h = self.level.siding
        return PlanError(
            f"{self.level.name}: nothing is left to plank between the sheer and the half siding "
            f"({max(h.stem, h.keel, h.post):.0f} mm; the face's greatest half-breadth is "
            f"{np.max(p[:, 1]):.0f} mm)",
            "",
            "give a smaller half siding (half the width of the keel, in mm), "
            "and see that the hull is modelled in mm",
        )

    def _error(self, what, uv, remedy):
        p = self.patch.points(np.array([uv[0]]), np.array([uv[1]]))[0]
        where = f"at x = {p[0]:.0f} mm, z = {p[2]:.0f} mm"
        if self.frame is not None:
            where = self.frame.place(p)
        return PlanError(f"{self.level.name}: {what}", where, remedy)


# --- helpers --------------------------------------------------------------------------------
def _parameter_line(k, value):
    def line(u, v, jet):
        one, zero = np.ones_like(u), np.zeros_like(u)
        return ((u, v)[k] - value, one, zero) if k == 0 else ((u, v)[k] - value, zero, one)

    return line


def _station_line(x):
    def line(u, v, jet):
        return jet.p[:, 0] - x, jet.su[:, 0], jet.sv[:, 0]

    return line


def _bisector(patch, u, v, sense):
    """Line in the profile that halves the angle between the two edges at a keel corner.

    Positive on the keel's side. Where the corner's tangents vanish a short chord stands in.
    """
    (u0, u1), (v0, v1) = patch.u_range, patch.v_range
    corner = patch.points([u], [v])[0]
    share = 1e-3
    along = patch.points([u + sense * share * (u1 - u0)], [v])[0] - corner
    up = patch.points([u], [v - share * (v1 - v0)])[0] - corner
    along, up = (d[[0, 2]] / np.linalg.norm(d[[0, 2]]) for d in (along, up))
    normal = along - up  # square to the bisector
    normal = normal / np.linalg.norm(normal)

    def line(u, v, jet):
        def side(a):
            return normal[0] * a[:, 0] + normal[1] * a[:, 2]

        return side(jet.p - corner), side(jet.su), side(jet.sv)

    return line
