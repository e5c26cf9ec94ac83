# SPDX-License-Identifier: LGPL-2.1-or-later
"""Which edge of a face is the sheer, the keel, the stem and the stern.

Everything is read from geometry: the two edges farthest apart along the ship are its
ends, the higher of the other two is the sheer, the narrower end is the bow. Each answer
can be overridden. The face is then turned so that u runs from bow to stern and v from
the sheer to the keel, and moved into ship coordinates.
"""

from dataclasses import dataclass

import numpy as np

from .errors import PlanError
from .frame import ShipFrame, provisional_axes
from .spline.patch import SplinePatch
from .tolerances import SURFACE

__all__ = ["EDGES", "HullFace", "edge_uv", "find_hull_face", "sample_parameters"]

EDGES = ("u0", "u1", "v0", "v1")


@dataclass(frozen=True, eq=False)
class HullFace:
    """A face recognised as one side of a hull.

    Attributes
    ----------
    frame : ShipFrame
    patch : SplinePatch
        Canonical, in ship coordinates.
    edges : dict
        'sheer', 'keel', 'stem', 'stern' to the given face's edge 'u0', 'u1', 'v0', 'v1'.
    swapped, reversed_u, reversed_v : bool
        What was done to the face's parameters, in this order.
    notes : tuple of str
    """

    frame: ShipFrame
    patch: SplinePatch
    edges: dict
    swapped: bool
    reversed_u: bool
    reversed_v: bool
    notes: tuple

    def given_uv(self, uv):
        """Canonical parameters (n, 2) as those of the face that was given."""
        uv = np.array(uv, float)
        for k, back in enumerate((self.reversed_u, self.reversed_v)):
            if back:
                lo, hi = (self.patch.u_range, self.patch.v_range)[k]
                uv[..., k] = (lo + hi) - uv[..., k]
        return uv[..., ::-1] if self.swapped else uv


def sample_parameters(breaks, per_span):
    """Parameters that divide every knot span equally, the knots included: (k,)."""
    f = np.arange(per_span) / per_span
    inner = breaks[:-1, None] + np.diff(breaks)[:, None] * f
    return np.append(inner.ravel(), breaks[-1])


def edge_uv(patch, edge, t):
    """Parameters (n, 2) along an edge 'u0' ... 'v1', t (n,) the running parameter."""
    k = "uv".index(edge[0])
    fixed = (patch.u_range, patch.v_range)[k][int(edge[1])]
    uv = np.empty((len(t), 2))
    uv[:, k] = fixed
    uv[:, 1 - k] = t
    return uv


def find_hull_face(patch, settings):
    """Recognise a face and bring it into canonical form.

    Parameters
    ----------
    patch : SplinePatch
        The face, in model coordinates.
    settings : SurfaceSettings

    Returns
    -------
    HullFace

    Raises
    ------
    PlanError
        The face has collapsed edges, is flat, lies on both sides of the centreplane, or
        its sheer cannot be told from its ends.
    """
    name = settings.name
    grid_u = sample_parameters(patch.breaks_u, 4)
    grid_v = sample_parameters(patch.breaks_v, 4)
    gu, gv = (a.ravel() for a in np.meshgrid(grid_u, grid_v, indexing="ij"))
    cloud = patch.points(gu, gv)
    lines = {}
    for edge in EDGES:
        breaks = patch.breaks_v if edge[0] == "u" else patch.breaks_u
        uv = edge_uv(patch, edge, sample_parameters(breaks, 16))
        lines[edge] = patch.points(uv[:, 0], uv[:, 1])
    _check_edges(lines, patch.size, name)
    _check_flat(patch, gu, gv, name)

    up, length, transverse, known = provisional_axes(cloud, settings.up, settings.forward, name)
    centre = 0.0 if settings.centreplane is None else float(settings.centreplane)
    outward, overshoot = _side(cloud @ transverse - centre, transverse, name)
    across = {e: outward * (p @ transverse - centre) for e, p in lines.items()}
    along = {e: p @ length for e, p in lines.items()}
    height = {e: p @ up for e, p in lines.items()}

    ends = _ends(along, settings, patch.size)
    sheer, keel = _sheer(ends, height, settings)
    greatest = np.max(outward * (cloud @ transverse - centre))
    stem, stern, why = _bow(ends, along, across, height, greatest, known, settings)
    sense = 1.0 if _mean(along[stem], lines[stem]) < _mean(along[stern], lines[stern]) else -1.0
    frame = ShipFrame(
        aft=sense * length + 0.0, outboard=outward * transverse + 0.0, up=up, centreplane=centre
    )
    swapped = stem[0] == "v"
    turned = patch.swapped() if swapped else patch
    reversed_u, reversed_v = stem[1] == "1", sheer[1] == "1"
    if reversed_u:
        turned = turned.reversed_u()
    if reversed_v:
        turned = turned.reversed_v()
    notes = [
        frame.description,
        f"The sheer is the face's edge {sheer}, the keel {keel}, the stem {stem}, "
        f"the stern {stern}; {why}.",
    ]
    if overshoot > SURFACE.at_siding:
        notes.append(
            f"The face overshoots the centreplane by up to {overshoot:.1f} mm; "
            "what lies beyond is trimmed off."
        )
    return HullFace(
        frame, turned.transformed(frame.matrix, frame.offset),
        {"sheer": sheer, "keel": keel, "stem": stem, "stern": stern},
        swapped, reversed_u, reversed_v, tuple(notes),
    )  # fmt: skip


# --- single decisions ---------------------------------------------------------------------
def _mean(values, points):
    """Mean of values (n,) along a polyline (n, 3), by length."""
    w = np.linalg.norm(np.diff(points, axis=0), axis=1)
    return float(np.sum(w * 0.5 * (values[1:] + values[:-1])) / np.sum(w))


def _check_edges(lines, size, name):
    for edge, p in lines.items():
        length = np.sum(np.linalg.norm(np.diff(p, axis=0), axis=1))
        if not length > SURFACE.collapsed_edge * size:
            at = ", ".join(f"{c:.0f}" for c in p[0] + 0.0)
            raise PlanError(
                f"{name}: the face's edge {edge} has collapsed to a point",
                f"at ({at}) mm",
                "rebuild the face with four real edges: sheer, stem, keel and stern",
            )


def _check_flat(patch, u, v, name):
    jet = patch.jets(u, v, 1)
    n = np.cross(jet.su, jet.sv)
    size = np.linalg.norm(n, axis=1)
    good = size > 1e-9 * np.median(size)
    n = n[good] / size[good, None]
    if not len(n) or np.min(n @ n[0]) > np.cos(SURFACE.flat):
        raise PlanError(
            f"{name}: the face is flat, so it is no hull", "",
            "choose the face of the hull's side, round from the sheer to the keel",
        )  # fmt: skip


def _side(y, transverse, name):
    """Sign of the modelled side along the transverse axis, and how far the other is entered."""
    lo, hi = float(np.min(y)), float(np.max(y))
    outward = 1.0 if hi >= -lo else -1.0
    overshoot = max(0.0, min(hi, -lo))
    if overshoot > SURFACE.across_centreplane * max(hi, -lo):
        axis = "XYZ"[int(np.argmax(np.abs(transverse)))]
        raise PlanError(
            f"{name}: the face lies on both sides of the centreplane "
            f"({-lo:.0f} mm on one, {hi:.0f} mm on the other, measured along {axis})",
            "",
            "choose the face of one side only (cut it along the centreplane), "
            "or set up, forward and centreplane to how the hull lies",
        )
    return outward, overshoot


def _ends(along, settings, size):
    """The pair of edges at the ships's ends: 'u' or 'v'."""
    name = settings.name
    for key in ("sheer_edge", "stem_edge"):
        value = getattr(settings, key)
        if value is not None and value not in EDGES:
            raise PlanError(
                f"{name}: {key} {value!r} is no edge of the face", "", "give one of u0, u1, v0, v1"
            )
    if settings.sheer_edge and settings.stem_edge:
        if settings.sheer_edge[0] == settings.stem_edge[0]:
            raise PlanError(
                f"{name}: sheer edge {settings.sheer_edge} and stem edge {settings.stem_edge} lie opposite "
                "each other", "", "give edges that meet at the stem head",
            )  # fmt: skip
    if settings.stem_edge:
        return settings.stem_edge[0]
    if settings.sheer_edge:
        return "v" if settings.sheer_edge[0] == "u" else "u"
    apart = {k: abs(np.mean(along[k + "0"]) - np.mean(along[k + "1"])) for k in "uv"}
    ends, other = ("u", "v") if apart["u"] >= apart["v"] else ("v", "u")
    if apart[ends] < 1.2 * apart[other] or apart[ends] < 1e-3 * size:
        raise PlanError(
            f"{name}: the sheer cannot be told from the ends; opposite edges lie "
            f"{apart['u']:.0f} mm (u) and {apart['v']:.0f} mm (v) apart along the ship", "",
            "choose the face of a hull's side, or name the sheer edge and the stem edge",
        )  # fmt: skip
    return ends


def _sheer(ends, height, settings):
    """(sheer, keel) among the two edges that run along the ship."""
    pair = [e for e in EDGES if e[0] != ends]
    if settings.sheer_edge:
        return settings.sheer_edge, pair[1 - int(settings.sheer_edge[1])]
    return tuple(sorted(pair, key=lambda e: -np.mean(height[e])))


def _bow(ends, along, across, height, greatest, known, settings):
    """(stem, stern, why) of the two end edges."""
    pair = (ends + "0", ends + "1")
    ahead = sorted(pair, key=lambda e: np.mean(along[e]))  # the first lies at the low end
    if settings.stem_edge:
        stem = settings.stem_edge
        if known and stem != ahead[0]:
            raise PlanError(
                f"{settings.name}: stem edge {stem} lies aft when the bow points to {settings.forward!r}",
                "", f"turn forward round, or give the stem edge as {ahead[0]}",
            )  # fmt: skip
        why = "the stem edge was given"
    elif known:
        stem, why = ahead[0], "the bow's direction was given"
    else:
        wide = {e: float(np.mean(across[e])) for e in pair}
        if abs(wide[pair[0]] - wide[pair[1]]) > SURFACE.ambiguous_ends * greatest:
            stem = min(pair, key=lambda e: wide[e])
            narrow, broad = sorted(wide.values())
            why = (
                f"the bow is the narrower end ({abs(narrow):.0f} mm against {broad:.0f} mm mean half-breadth)"
            )
        else:
            overhang = {e: abs(along[e][0] - along[e][-1]) for e in pair}
            rake = {e: overhang[e] / max(abs(height[e][0] - height[e][-1]), 1e-9) for e in pair}
            if abs(rake[pair[0]] - rake[pair[1]]) > 0.05:
                stem = max(pair, key=lambda e: rake[e])
                why = (
                    "both ends are equally narrow, and the bow was taken where the end rakes more "
                    "(set forward if it is not)"
                )
            else:
                stem = ahead[1]
                why = (
                    "both ends are alike, and the bow was taken at the end of greater coordinate "
                    "(set forward if it is not)"
                )
    return stem, pair[1 - int(stem[1])], why
