# SPDX-License-Identifier: LGPL-2.1-or-later
"""Hulls with hollows for strings to bridge."""

from functools import lru_cache

import hulls
import numpy as np

from strakeplan.core.lines.bridging import bridging_line
from strakeplan.core.lines.closest import closest_on_patch
from strakeplan.core.lines.marks import Mark
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.core.surface import SurfaceSettings, planked_surface

__all__ = ["AFT", "DEEP", "HULLS", "STERN", "TWO", "contact", "hollow_hull", "marks", "string"]


@lru_cache(maxsize=None)
def hollow_hull(places=(), mirror=False):
    """The demonstration hull pinched at places (x, share, half width)."""
    p = hulls.demo()
    p = p.with_knots(u=0.5 * (p.breaks_u[1:] + p.breaks_u[:-1]))
    poles = p.poles.copy()
    for x, share, width in places:
        poles[..., 1] *= 1.0 - share * np.exp(-(((poles[..., 0] - x) / width) ** 2))
    p = SplinePatch(p.degree_u, p.degree_v, p.knots_u, p.knots_v, poles)
    if mirror:
        p = p.transformed(np.diag([1.0, -1.0, 1.0]))
    return planked_surface(p, SurfaceSettings(half_siding=60.0, name="Hollow"))


AFT = ((7600.0, 0.12, 900.0),)
DEEP = ((7600.0, 0.25, 900.0),)
TWO = ((7600.0, 0.1, 500.0), (6200.0, 0.1, 500.0))
STERN = ((9800.0, 0.2, 900.0),)


def marks(hull, bow, stern):
    return [Mark.end("stem", bow * hull.stem_length), Mark.end("stern", stern * hull.stern_length)]


def string(places, bow, stern, mirror=False):
    hull = hollow_hull(places, mirror)
    return hull, bridging_line(hull, marks(hull, bow, stern))


HULLS = {
    "one hollow aft": (AFT, 0.5, 0.65, "laid free laid"),
    "deep hollow aft": (DEEP, 0.7, 0.6, "laid free laid"),
    "two hollows": (TWO, 0.5, 0.65, "laid free laid free laid"),
    "hollow up to the stern": (STERN, 0.7, 0.6, "laid free laid"),
    "hollow entrance": ((), 0.8, 0.2, "free laid"),
}


def contact(patch, bridge, places=1501, outward=1):
    """A string's gap and force at its nodes, measured anew from its points.

    Returns
    -------
    gap : (n,) mm, off the surface
    force : (n,) 1/mm, of a unit tension: -kappa_n of laid runs, nothing on free ones
    geodesic : (n,) kappa_g of laid runs
    corner : greatest jump of its direction where runs meet
    off : greatest difference of the gap along the normal from the distance, mm
    """
    s = np.unique(np.concatenate([np.linspace(0, bridge.length, places), [e for r in bridge.runs for e in r.s]]))
    p = bridge.points(s)
    uv, distance = closest_on_patch(patch, p)
    g = patch.geometry(uv[:, 0], uv[:, 1])
    gap = outward * np.einsum("ij,ij->i", p - g.p, g.n)
    force, geodesic = np.zeros(len(s)), np.zeros(len(s))
    corner, last = 0.0, None
    for j, (run, foot) in enumerate(zip(bridge.runs, bridge.feet)):
        rows = (s >= run.s[0]) & (s <= run.s[1])
        chord = (run.ends[1] - run.ends[0]) / np.linalg.norm(run.ends[1] - run.ends[0])
        t = (chord, chord)
        if run.kind == "laid":
            c = foot.at(s[rows] - run.s[0])
            force[rows], geodesic[rows] = -outward * c.kappa_n, c.kappa_g
            t = foot.at([0.0, foot.length]).t
        corner = corner if last is None else max(corner, float(np.linalg.norm(t[0] - last)))
        last = t[1]
    return gap, force, geodesic, corner, float(np.max(np.abs(distance - np.abs(gap))))
