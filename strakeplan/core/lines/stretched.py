# SPDX-License-Identifier: LGPL-2.1-or-later
"""The taut line as a real string runs: it bridges where the surface falls away under it.

Contact, gap >= 0, force >= 0, and one of the two nothing: the string presses on the surface
where it lies (there it is a geodesic that bends towards the inside) and runs straight where
it does not; it cannot pull itself into a hollow.
"""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Optional, Tuple

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from .foot import foot_of_run, foot_track
from .lifted import LEAST_GAP, profile_runs, pull_tight, signed_gap
from .line import lateral_distance
from .liftoff import FREE, LAID, Stretched, WrongRuns, settle_liftoffs
from .geodesic import geodesic_between

__all__ = ["Bridge", "Run", "bridge_on_patch"]

_COARSE, _FINE = 8, 16  # least elements of the two runs that are compared
_NODES = (240, 480, 960)  # of the chain that finds the runs; more where that was too few
_LOOKS = 400  # places of a free run at which its gap is looked at


@dataclass(frozen=True, eq=False)
class Run:
    """A stretch of the string that lies on the surface, or bridges.

    Attributes
    ----------
    kind : 'laid' or 'free'
    s : (start, end) along the string, mm
    ends : (2, 3) places of lift-off and touch-down, mm
    gap : float
        Greatest distance off the surface, square to it, mm; 0 for a laid run.
    gap_s : float or None
        Where along the string, mm.
    gap_place : (3,) or None
        The place on the surface under it.
    """

    kind: str
    s: Tuple[float, float]
    ends: np.ndarray
    gap: float = 0.0
    gap_s: Optional[float] = None
    gap_place: Optional[np.ndarray] = None


@dataclass(frozen=True, eq=False)
class Bridge:
    """A string stretched over a patch.

    Attributes
    ----------
    foot : SurfaceCurve
        Where it lies, and under free runs its foot along the patch's normal.
    runs : tuple of Run
    length : float
        Of the string, mm.
    error_position : float
        Greatest change of its foot when the elements are halved, mm.
    error_length : float
        Change of the string's length, mm.
    corner : float
        Greatest corner left at a lift-off, radians.
    stretched : Stretched
    feet : tuple of SurfaceCurve, one for every run
    """

    foot: SurfaceCurve
    runs: Tuple[Run, ...]
    length: float
    error_position: float
    error_length: float
    corner: float
    stretched: Stretched
    feet: Tuple[SurfaceCurve, ...]

    @cached_property
    def free_runs(self):
        """The runs that bridge."""
        return tuple(r for r in self.runs if r.kind == FREE)

    def points(self, s):
        """Points (n, 3) of the string at arc lengths s (n,) from its start."""
        s = np.clip(np.atleast_1d(np.asarray(s, float)), 0.0, self.length)
        starts = np.array([r.s[0] for r in self.runs])
        which = np.clip(np.searchsorted(starts, s, side="right") - 1, 0, len(starts) - 1)
        out = np.empty((len(s), 3))
        for j, run in enumerate(self.runs):
            rows = which == j
            if run.kind == LAID:
                out[rows] = self.feet[j].points(s[rows] - run.s[0])
            else:
                share = (s[rows] - run.s[0]) / (run.s[1] - run.s[0])
                out[rows] = run.ends[0] + share[:, None] * (run.ends[1] - run.ends[0])
        return out


def _place(p):
    return f"at ({p[0]:.0f}, {p[1]:.0f}, {p[2]:.0f})"


def bridge_on_patch(patch, uv0, uv1, outward=1, laid=None, name="the surface", place=_place):
    """The string stretched between two points of a patch, free to leave it outward.

    Parameters
    ----------
    patch : SplinePatch
    uv0, uv1 : (2,) ends
    outward : 1 or -1
        Side of the normal su x sv on which the string is.
    laid : SurfaceCurve, optional
        The geodesic between the ends, where it is known.
    name : str
        What messages call the surface.
    place : callable
        (3,) -> words for a place, for messages.

    Returns
    -------
    Bridge
        With no hollow, the geodesic itself in one laid run.

    Raises
    ------
    PlanError
        The string does not settle; a hollow so deep that the foot of the string under it is
        not one line.
    """
    uv0, uv1 = np.asarray(uv0, float), np.asarray(uv1, float)
    if laid is None:
        laid = geodesic_between(patch, uv0, uv1, elements=_COARSE)
    runs = profile_runs(laid, outward)
    if not runs:
        fine = geodesic_between(patch, uv0, uv1, guess=laid, elements=_FINE)
        other = geodesic_between(patch, uv0, uv1, guess=laid, elements=_COARSE)
        ends = np.stack([uv0, uv1])
        p = patch.points(ends[:, 0], ends[:, 1])
        make = lambda c: Stretched((LAID,), ends, p, (c,), 0.0)  # noqa: E731
        return _bridge(patch, outward, make(other), make(fine), [None], name, place)
    for nodes in _NODES:
        s = np.linspace(0.0, laid.length, nodes + 1)
        uv = laid.uv_local(*laid.locate(s))
        uv[0], uv[-1] = uv0, uv1
        free = np.zeros(nodes + 1, bool)
        for a, b, _ in runs:
            free |= (s > a) & (s < b)
        chain = pull_tight(patch, uv, free, outward)
        if not chain.near:
            continue
        try:
            kinds, ends, guess, tracks = _pieces(patch, chain, outward)
            coarse = settle_liftoffs(patch, kinds, ends, guess, _COARSE)
            fine = settle_liftoffs(patch, kinds, coarse.uv, coarse.laid, _FINE)
            _check(patch, fine, tracks, outward)
        except WrongRuns:
            continue
        return _bridge(patch, outward, coarse, fine, tracks, name, place)
    middle = chain.p[chain.free].mean(axis=0) if chain.free.any() else chain.p[nodes // 2]
    raise PlanError(
        f"{name}: the string over the hollow does not settle", place(middle),
        "move the marks a little, or look for a fold or a ripple in the surface there",
    )  # fmt: skip


def _pieces(patch, chain, outward):
    """First guesses from a settled chain: kinds, ends, laid curves, and feet of free pieces."""
    uv, p, last = chain.uv, chain.p, len(chain.uv) - 1
    kinds, ends, laid, tracks = [], [uv[0]], [], []

    def add(kind, end, curve=None, track=None):
        kinds.append(kind)
        ends.append(end)
        laid.append(curve)
        tracks.append(track)

    def lay(path):
        add(LAID, path[-1], SurfaceCurve(patch, np.stack([path[:-1], path[1:]], axis=1)))

    blocks = chain.blocks()
    lifts = [a - 1 for a, _ in blocks]
    done = 0  # node up to which there are pieces
    for a, b in blocks:
        lift, touch = a - 1, b + 1
        if not (lift == 0 and _rises(patch, uv[0], p[touch] - p[0], outward)):
            # a laid piece of a single node still has a length
            up = uv[lift] if lift > done else 0.75 * uv[lift] + 0.25 * uv[a]
            lay(np.vstack([ends[-1][None], uv[done + 1 : lift], up[None]]))
        down = uv[touch]
        on_to_mark = touch == last and _rises(patch, uv[last], p[lift] - p[last], outward)
        if (touch == last and not on_to_mark) or touch in lifts:
            down = 0.75 * uv[touch] + 0.25 * uv[b]
        distance = np.linalg.norm(p[lift : touch + 1] - p[lift], axis=1)
        add(FREE, down, track=(distance / distance[-1], uv[lift : touch + 1]))
        done = touch
    if not np.array_equal(ends[-1], uv[last]):
        lay(np.vstack([ends[-1][None], uv[done + 1 : last], uv[last][None]]))
    return tuple(kinds), np.array(ends), laid, tracks


def _rises(patch, uv, way, outward):
    """Whether a straight way from a point of the patch leaves it outward."""
    return outward * (patch.geometry(uv[:1], uv[1:]).n[0] @ way) >= 0.0


def _check(patch, string, tracks, outward):
    """Gap >= 0 over free runs and force >= 0 along laid ones, else WrongRuns."""
    t = np.linspace(0.0, 1.0, _LOOKS + 1)
    # twice what the chain takes for a hollow, which reckons its gaps a little otherwise
    allowed = 2.0 * LEAST_GAP * string.lengths.sum()
    for j, kind in enumerate(string.kinds):
        if kind == LAID:
            if profile_runs(string.laid[j], outward, allowed):
                raise WrongRuns("a laid run pulls away from the surface")
            continue
        a, b = string.p[j], string.p[j + 1]
        start = foot_track(tracks[j], string.uv[j : j + 2])(t)
        _, gap = signed_gap(patch, a + t[:, None] * (b - a), outward, start)
        if gap.min() < -allowed:
            raise WrongRuns("a free run cuts into the surface")


def _bridge(patch, outward, coarse, fine, tracks, name, place):
    """Results of a settled string; the coarse one tells the error."""
    feet = []
    for string, elements in ((coarse, _COARSE), (fine, _FINE)):
        lengths = string.lengths
        share = np.maximum(2, np.ceil(elements * lengths / lengths.sum())).astype(int)
        feet.append([
            c if c is not None
            else foot_of_run(
                patch, string.p[j : j + 2], string.uv[j : j + 2],
                foot_track(tracks[j], string.uv[j : j + 2]), int(share[j]), outward, name, place,
            )
            for j, c in enumerate(string.laid)
        ])  # fmt: skip
    whole = [SurfaceCurve.joined(f) for f in feet]
    at = np.concatenate([[0.0], np.cumsum(fine.lengths)])
    runs = []
    for j, kind in enumerate(fine.kinds):
        run = Run(kind, (float(at[j]), float(at[j + 1])), fine.p[j : j + 2])
        runs.append(run if kind == LAID else _greatest(patch, run, feet[1][j], outward))
    floor = 1e-13 * patch.size  # rounding of the coordinates themselves
    return Bridge(
        whole[1], tuple(runs), float(at[-1]),
        max(lateral_distance(whole[1], whole[0]), floor),
        max(abs(float(coarse.lengths.sum() - fine.lengths.sum())), floor),
        fine.corner, fine, tuple(feet[1]),
    )  # fmt: skip


def _greatest(patch, run, foot, outward):
    """The same run with its greatest gap: there the string runs along the surface."""
    a, b = run.ends
    e = (b - a) / (run.s[1] - run.s[0])
    # d gap / d length of string = rise of the string along the normal under it
    level = foot.crossings(lambda uv, p: patch.geometry(uv[:, 0], uv[:, 1]).n @ e)
    # (where two pieces meet just there, rounding may hide the change of sign)
    c = foot.at(np.concatenate([level, foot.s_breaks]))
    over = a - c.p
    over -= (over @ e)[:, None] * e
    gap = np.einsum("ij,ij->i", over, c.n) / (1.0 - (c.n @ e) ** 2)  # string = foot + gap n
    along = (c.p + gap[:, None] * c.n - a) @ e
    gap *= outward
    k = int(np.argmax(gap))
    return replace(run, gap=float(gap[k]), gap_s=run.s[0] + float(along[k]), gap_place=c.p[k])
