# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a layer of planking needs of the surface before solids are made."""

from numbers import Real

import numpy as np

from ..errors import PlanError
from ..spline.patch import geometry_of

__all__ = ["check_layer"]

_PER_SPAN = 8
_CLEAR = 1e-6  # mm past the centreplane that is rounding


def check_layer(hull, thickness, layer):
    """Check thickness and side of the planking against the surface.

    Parameters
    ----------
    hull : PlankedSurface
    thickness : float
        mm.
    layer : 'outside' or 'inside'

    Returns
    -------
    float
        Signed distance along the outward normal to the layer's other side, mm.

    Raises
    ------
    PlanError
        No thickness, a thickness beyond the tightest radius of curvature on the layer's
        side, or a layer that reaches over the centreplane.
    """
    if layer not in ("outside", "inside"):
        raise PlanError(f"the planking cannot lie {layer!r} the surface", "", "choose outside or inside")
    if not (isinstance(thickness, Real) and np.isfinite(thickness) and thickness > 0.0):
        raise PlanError(
            f"a plank thickness of {thickness} mm cannot be", "", "give a thickness above 0 mm"
        )
    sign = 1.0 if layer == "outside" else -1.0
    uv, g = _samples(hull)
    # principal curvatures with the normal into the layer: 1 - kappa t must stay positive
    h = sign * g.H
    kappa = h + np.sqrt(np.maximum(h * h - g.K, 0.0))
    k = int(np.argmax(kappa))
    if kappa[k] * thickness >= 1.0:
        raise PlanError(
            f"{hull.name}: planks {thickness:.1f} mm thick do not go {layer} the surface, whose "
            f"tightest radius on that side is {1.0 / kappa[k]:.1f} mm",
            f"{hull.frame.side} side, {hull.frame.place(g.p[k])} ({hull.frame.station_label(g.p[k, 0])})",
            "choose thinner planks, the other side of the surface, or ease the turn there",
        )
    offset = sign * float(thickness)
    y = g.p[:, 1] + offset * g.n[:, 1]
    k = int(np.argmin(y))
    if y[k] < -_CLEAR:
        uv_k = uv[k : k + 1]
        raise PlanError(
            f"{hull.name}: planks {thickness:.1f} mm thick {layer} the surface would run "
            f"{-y[k]:.1f} mm over the centreplane into those of the other side",
            f"at the {_near(hull, uv_k[0])}, {hull.frame.station_label(g.p[k, 0])}",
            "give a greater half siding there, thinner planks, or lay them on the other side of the surface",
        )
    return offset


def _samples(hull):
    """Points spread over the planked surface and along its boundary."""
    patch = hull.patch

    def fine(breaks):
        return np.unique(
            np.concatenate([np.linspace(a, b, _PER_SPAN + 1) for a, b in zip(breaks, breaks[1:])])
        )

    u, v = (a.ravel() for a in np.meshgrid(fine(patch.breaks_u), fine(patch.breaks_v), indexing="ij"))
    keep = hull.inside(u, v) >= 0.0
    border = [c.sample(400).uv for c in (hull.boundary, hull.sheer)]
    uv = np.concatenate([np.stack([u[keep], v[keep]], axis=1)] + border)
    return uv, geometry_of(patch.jets(uv[:, 0], uv[:, 1], 2))


def _near(hull, uv):
    from ..lines.line import nearest_on_boundary

    s = nearest_on_boundary(hull, uv)
    if s < hull.s_stem_end:
        return "stem"
    return "stern" if s > hull.s_stern_start else "keel"
