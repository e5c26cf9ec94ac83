# SPDX-License-Identifier: LGPL-2.1-or-later
"""Nibs: strakes that end before the hull does.

A strake that ends in a nib is cut off square, with some breadth left, and let into the
strake above it, which takes over its breadth from there to the end of the hull. So one
plank comes of two at a full bow or stern, and a stealer of one at the rabbet.
"""

from dataclasses import dataclass, replace
from typing import Optional

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..planks.across import square_across
from ..sections import plane_crossings
from ..spline.lobatto import lobatto
from .seams import NibCut, Seam

__all__ = ["Nib", "check_nibs", "cut_nib", "end_weights", "nib_curves", "nib_depth"]

_CLEAR = 1.0  # mm of rabbet that a nib leaves before the edge's end


@dataclass(frozen=True)
class Nib:
    """A strake's end in a nib.

    Attributes
    ----------
    strake : int
        The strake that ends, counted from the sheer down; the one above takes over.
    end : 'bow' or 'stern'
        Towards which end of the hull it ends.
    position : float or None
        Model coordinate along the ship of the nib's upper corner, mm. None, for a strake
        below the divided belts: where its breadth is `depth`.
    depth : float or None
        Breadth of the strake at its nib, mm. None: what the fair seams leave there.
    """

    strake: int
    end: str
    position: Optional[float] = None
    depth: Optional[float] = None

    @property
    def edge(self):
        """'stem' or 'stern': the edge it falls short of."""
        return "stem" if self.end == "bow" else "stern"

    @property
    def name(self):
        """'strake 4 at the bow'."""
        return f"strake {self.strake} at the {self.end}"


def check_nibs(nibs):
    """Check what can be checked before anything is lined off.

    Raises
    ------
    PlanError
    """
    seen = set()
    for nib in nibs:
        where = f"{nib.name}"
        if nib.end not in ("bow", "stern"):
            raise PlanError(f"a nib cannot stand at the {nib.end!r}", "", "choose bow or stern")
        if isinstance(nib.strake, bool) or int(nib.strake) != nib.strake or nib.strake < 2:
            raise PlanError(
                f"strake {nib.strake} cannot end in a nib", where,
                "choose a strake below the sheer strake: the one above it takes over its breadth",
            )  # fmt: skip
        if (nib.strake, nib.end) in seen:
            raise PlanError("a strake has two nibs at the same end", where, "leave out one of them")
        seen.add((nib.strake, nib.end))
        if nib.position is None and nib.depth is None:
            raise PlanError("a nib has neither a station nor a depth", where, "give one of them")
        for value, what in ((nib.position, "station"), (nib.depth, "depth")):
            if value is not None and not np.isfinite(value):
                raise PlanError(f"the {what} of a nib is no number", where, f"give the {what} in mm")
        if nib.depth is not None and not nib.depth > 0.0:
            raise PlanError(f"a nib {nib.depth:g} mm deep cannot be cut", where, "give a depth above 0 mm")


def end_weights(weights, ended):
    """Shares of the seams at an end of the hull where some strakes are joined to those above.

    Parameters
    ----------
    weights : (count,)
        What each strake would take of the girth there.
    ended : sequence of int
        Strakes (from 0) that have ended; none of them next to another, none the first.

    Returns
    -------
    (count - 1,) shares above each seam. The seam between joined strakes halves their breadth;
    only its run up to the nib hangs on that.
    """
    weights = np.array(weights, float)
    ended = list(ended)
    joined = weights.copy()
    joined[ended] = 0.0
    joined = joined / joined.sum()
    for k in ended:
        joined[k - 1] = joined[k] = 0.5 * joined[k - 1]
    return np.cumsum(joined)[:-1]


def cut_nib(hull, seams, nib):
    """The seam above an ended strake, cut off at its nib.

    Parameters
    ----------
    hull : PlankedSurface
    seams : sequence of Seam
        All of them, from the sheer down.
    nib : Nib

    Returns
    -------
    Seam
        In place of seams[nib.strake - 1].

    Raises
    ------
    PlanError
        A strake that is not there, a station at which it is not, a breadth that it never has,
        a nib that falls on another one.
    """
    number = int(nib.strake)
    where = f"{nib.name}, {hull.frame.side} side"
    if number > len(seams):
        raise PlanError(
            f"there is no strake {number} to end in a nib", where, f"there are {len(seams)} strakes"
        )
    fore = nib.end == "bow"
    seam = seams[number - 1]
    below = seams[number] if number < len(seams) else None
    part = seam.parts[0 if fore else -1]
    edges = [] if below is None else [p.whole for p in below.parts]
    border = hull.boundary.between(part.s_fore, part.s_aft)
    if nib.position is not None:
        s = _at_station(hull, part.whole, nib, where)
    else:
        s = _at_breadth(part.whole, [*edges, border], nib, where)
    c = part.whole.at([s])
    which, foot = square_across([*edges, border], c.p, c.t)
    if which[0] < 0:
        raise PlanError(
            "square to the seam there is no edge below to end the nib on", where, "choose another station"
        )
    onto = int(which[0]) if which[0] < len(edges) else None
    at = float(foot[0]) if onto is not None else float(part.s_fore + foot[0])
    lower = below.parts[onto].whole if onto is not None else hull.boundary
    if onto is None and not hull.s_stem_end + _CLEAR < at < hull.s_stern_start - _CLEAR:
        raise PlanError(
            f"the nib would run into the {nib.edge} edge", where, "choose a station farther from the end"
        )
    across = _straight(hull.patch, part.whole.degree, c.uv[0], lower.at([at]).uv[0])
    if onto is not None:
        other = below.parts[onto]
        edge_on = (other.s_fore <= hull.s_stem_end) if fore else (other.s_aft >= hull.s_stern_start)
        neighbour = other.fore if fore else other.aft
        if neighbour is not None or not edge_on:
            raise PlanError(
                f"the nib falls on strake {number + 1} where that has none of its own edge left", where,
                "choose another station, or end another strake",
            )  # fmt: skip
    cut = NibCut(float(s), across, onto, at, nib)
    changed = replace(part, **{"fore" if fore else "aft": cut})
    if changed.fore is not None and changed.aft is not None and changed.aft.s <= changed.fore.s:
        raise PlanError(
            "a strake's nib at the bow stands abaft its nib at the stern", where, "choose other stations"
        )
    parts = list(seam.parts)
    parts[0 if fore else -1] = changed
    return Seam(seam.number, seam.name, tuple(parts))


def nib_curves(lineoff):
    """The cuts of all nibs, each from the seam above the ended strake down.

    Parameters
    ----------
    lineoff : LineOff

    Returns
    -------
    tuple of SurfaceCurve
    """
    return tuple(
        cut.across
        for seam in lineoff.seams
        for part in seam.parts
        for cut in (part.fore, part.aft)
        if cut is not None
    )


def nib_depth(hull, upper, lower, nib):
    """Breadth square to the upper seam at a nib's station, mm, before anything is cut.

    Parameters
    ----------
    upper, lower : SurfaceCurve
        Edges of the strake.
    """
    where = f"{nib.name}, {hull.frame.side} side"
    c = upper.at([_at_station(hull, upper, nib, where)])
    which, s = square_across([lower], c.p, c.t)
    if which[0] < 0:
        raise PlanError("the strake has no breadth at its nib", where, "choose another station")
    return _straight(upper.patch, upper.degree, c.uv[0], lower.at(s).uv[0]).length


def _straight(patch, degree, start, end):
    """A curve that is straight in the parameters, one piece."""
    share = 0.5 * (lobatto(degree).nodes + 1.0)[:, None]
    return SurfaceCurve(patch, (start + share * (end - start))[None])


def _at_station(hull, curve, nib, where):
    """Arc length at which a seam passes the nib's station, the one nearest to its end."""
    x = float(hull.frame.to_ship_station(nib.position))
    _, piece, t = plane_crossings(curve, [x])
    if not len(piece):
        ends = hull.frame.to_model_station(curve.points([0.0, curve.length])[:, 0])
        raise PlanError(
            f"the strake does not come to the nib's station at {nib.position:.0f} mm", where,
            f"choose a station between {min(ends):.0f} and {max(ends):.0f} mm",
        )  # fmt: skip
    s = np.sort(curve.arc_length(piece, t))
    return float(s[0] if nib.end == "bow" else s[-1])


def _at_breadth(curve, edges, nib, where):
    """Arc length, nearest to the end, at which the breadth below a seam is the nib's depth."""
    n = 400
    s = np.linspace(0.0, curve.length, n + 1)[1:-1]
    if nib.end == "stern":
        s = s[::-1]

    def breadth(s):
        c = curve.at(s)
        which, at = square_across(edges, c.p, c.t)
        out = np.full(len(s), np.nan)
        for k, edge in enumerate(edges):
            mine = which == k
            if mine.any():
                out[mine] = np.linalg.norm(edge.points(at[mine]) - c.p[mine], axis=1)
        return out

    width = breadth(s)
    enough = width >= nib.depth
    if not enough.any() or np.argmax(enough) == 0:
        most = np.nanmax(width) if np.isfinite(width).any() else 0.0
        raise PlanError(
            f"the strake is nowhere near its end {nib.depth:g} mm wide, nor narrower beyond", where,
            f"its breadth there goes up to {most:.0f} mm; choose another depth, or a station",
        )  # fmt: skip
    k = int(np.argmax(enough))
    a, b = s[k - 1], s[k]
    for _ in range(4):  # the breadth may be unknown beyond the strake's point: no interpolation
        fine = np.linspace(a, b, 42)
        k = int(np.argmax(breadth(fine) >= nib.depth))
        a, b = fine[k - 1], fine[k]
    return float(b)
