# SPDX-License-Identifier: LGPL-2.1-or-later
"""The foot of a straight run of string: its points brought to the surface along the normal."""

import numpy as np

from ..curve import curve_through
from ..errors import PlanError
from ..roots import bracketed_roots
from ..spline.patch import geometry_of
from .lifted import signed_gap
from .relax import DEGREE

__all__ = ["foot_of_run", "foot_track"]

_LOOKS = 200  # places of a run between which its foot may cross a knot line
_FOOT = 1e-10  # of the patch's size: error of the foot between its nodes
_BETWEEN = (-0.95, -0.52, 0.18, 0.8)  # local places between the nodes where that is looked at


def foot_track(track, ends):
    """Feet looked for first under shares t of a free run: function of t (n,) -> (n, 2)."""
    share, uv = track
    uv = uv.copy()
    uv[0], uv[-1] = ends
    return lambda t: np.stack([np.interp(t, share, uv[:, c]) for c in (0, 1)], axis=1)


def foot_of_run(patch, p, ends, guess, elements, outward, name, place):
    """Foot of a straight run along the patch's normal.

    Parameters
    ----------
    patch : SplinePatch
    p : (2, 3) ends of the run, mm
    ends : (2, 2) their feet
    guess : callable
        Shares t (n,) of the run -> (n, 2) where its feet are looked for first.
    elements : int
        Least number of pieces; knot lines crossed and sharp turns add more.
    outward : 1 or -1
        Side of the patch's normal su x sv on which the run is.
    name : str
        What messages call the surface.
    place : callable
        (3,) -> words for a place, for messages.

    Returns
    -------
    SurfaceCurve

    Raises
    ------
    PlanError
        The run goes past the edge of the surface, or past a centre of its curvature.
    """
    a, b = p

    def uv_of(t):
        uv, gap = signed_gap(patch, a + t[:, None] * (b - a), outward, guess(t))
        g = geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2))
        # 1 - gap kappa for both principal curvatures: at 0 the foot is no longer one point
        bent = outward * gap
        fold = np.minimum(1.0 - 2.0 * bent * g.H + bent**2 * g.K, 1.0 - bent * g.H)
        if fold.min() <= 0.0:
            raise PlanError(
                f"{name}: the hollow under the string is deeper than its own radius, so that the "
                "string has no single foot in it", place(g.p[int(np.argmin(fold))]),
                "lay the line in two parts, or use the laid taut line",
            )  # fmt: skip
        off = np.linalg.norm(g.p + (outward * gap)[:, None] * g.n - a - t[:, None] * (b - a), axis=1)
        if off.max() > 1e-6 * patch.size:
            raise PlanError(
                f"{name}: over the hollow the string runs beyond the edge of the surface",
                place(g.p[int(np.argmax(off))]), "move the marks away from the edge",
            )  # fmt: skip
        uv[t <= 0.0], uv[t >= 1.0] = ends
        return uv

    t = _breaks(patch, uv_of, elements)
    for _ in range(6):  # the foot turns fast where the gap comes near the hollow's radius
        curve = curve_through(patch, uv_of, t, DEGREE)
        piece = np.repeat(np.arange(curve.pieces), len(_BETWEEN))
        x = np.tile(_BETWEEN, curve.pieces)
        at, true = curve.uv_local(piece, x), uv_of(t[piece] + 0.5 * (x + 1.0) * np.diff(t)[piece])
        off = np.linalg.norm(patch.points(*at.T) - patch.points(*true.T), axis=1)
        rough = np.unique(piece[off > _FOOT * patch.size])
        if not len(rough):
            break
        t = np.sort(np.concatenate([t, 0.5 * (t[rough] + t[rough + 1])]))
    return curve


def _breaks(patch, uv_of, elements):
    """Shares of a free run at which its foot crosses knot lines; long stretches cut evenly."""
    t = np.linspace(0.0, 1.0, _LOOKS + 1)
    uv = uv_of(t)
    knots, way, lo, hi, before, after = [], [], [], [], [], []
    for w, breaks in enumerate((patch.breaks_u, patch.breaks_v)):
        clear = 1e-9 * (breaks[-1] - breaks[0])  # a foot along a knot line does not cross it
        for knot in breaks[1:-1]:
            f = uv[:, w] - knot
            for k in np.flatnonzero((f[:-1] >= 0.0) != (f[1:] >= 0.0)):
                if min(abs(f[k]), abs(f[k + 1])) > clear:
                    knots.append(knot), way.append(w), lo.append(t[k]), hi.append(t[k + 1])
                    before.append(f[k]), after.append(f[k + 1])
    kept = [0.0, 1.0]
    if knots:
        pick = np.arange(len(knots))
        found = bracketed_roots(
            lambda x: uv_of(x)[pick, way] - knots,
            *(np.array(a) for a in (lo, hi, before, after)),
        )  # fmt: skip
        for x in found:
            if min(abs(x - k) for k in kept) > 1e-5:
                kept.append(float(x))
    kept = np.sort(kept)
    out = [np.zeros(1)]
    for a, b in zip(kept[:-1], kept[1:]):
        out.append(np.linspace(a, b, max(1, int(np.ceil((b - a) * elements - 1e-9))) + 1)[1:])
    return np.concatenate(out)
