# SPDX-License-Identifier: LGPL-2.1-or-later
"""The divided belt: seams at shares of the girth between two lines."""

from dataclasses import dataclass

import numpy as np

from ..curve import SurfaceCurve
from ..recut import recut
from .crossfamily import cross_curves, v_on_family
from .fairing import faired, shapes_of
from .seams import SeamPart

__all__ = ["Zone", "divide", "girths_between"]


@dataclass(frozen=True)
class Zone:
    """A stretch at one end of the hull in which seams may leave their shares.

    Attributes
    ----------
    edge : 'stem' or 'stern'
    start, end : float
        Parameters of the cross curves: where it begins, and the end of the hull.
    """

    edge: str
    start: float
    end: float

    def share(self, parameter):
        """0 at the start and before, 1 at the end (m,)."""
        return np.clip((parameter - self.start) / (self.end - self.start), 0.0, 1.0)


def divide(hull, family, upper, lower, belt, zones, end_shares, pins=()):
    """Seams of a divided belt.

    On every cross curve outside the zones each seam takes its share of the girth between
    the lines; on the ends of the hull it takes its end share. In the zones between, where a
    builder fairs the marks on the stem with those on the sections by a batten, each seam
    keeps place, direction and curvature where it comes from the sections and takes the
    course of least edgewise bending to its end; see `fairing`.

    Parameters
    ----------
    hull : PlankedSurface
    family : CrossFamily
        Reaching at least to the lower line, its elements parted where the zones begin.
    upper : HullLine or None
        None is the sheer.
    lower : HullLine
    belt : EqualBelt, GradedBelt or StationBelt
    zones : sequence of Zone
        At most one for each end.
    end_shares : dict
        'stem' and 'stern' -> (count - 1,) shares of the edge between the two lines.

    pins : sequence of (int, float, float)
        Marks that single seams have to pass in a zone: seam (from 0), parameter, share.

    Returns
    -------
    parts : list of SeamPart, count - 1 of them, from the upper line down
    shares : callable
        Parameters (n,) -> shares (count - 1, n) that the seams take.
    """
    count = belt.count
    if count < 2:
        return [], lambda parameter: np.zeros((0, len(parameter)))
    m = len(family.parameter)
    top, bottom = girths_between(family, family.curves, family.parameter, upper, lower)
    s_top = (0.0, hull.boundary.length) if upper is None else (upper.s_bow, upper.s_stern)
    s_fore = s_top[0] + end_shares["stem"] * (lower.s_bow - s_top[0])
    s_aft = s_top[1] + end_shares["stern"] * (lower.s_stern - s_top[1])
    ends = np.concatenate([s_fore, s_aft])
    if family.curves.exact:
        ends = hull.boundary.uv(ends)
    else:
        ends = hull.boundary.table.parameters(np.zeros(len(ends), int), ends, 0)[0]
    last = m - 1

    def with_ends(uv, columns):
        """Hood ends are marked on the edge itself."""
        uv[:, columns == 0] = ends[: count - 1, None]
        uv[:, columns == last] = ends[count - 1 :, None]
        return uv

    def near(fractions, columns):
        """Places good enough for fairing, and their change with the share."""
        deep = (bottom - top)[columns]
        rows = np.broadcast_to(columns, fractions.shape)
        uv, slope = family.curves.table.parameters(rows, top[columns] + fractions * deep, 1)
        return with_ends(uv, columns), slope * deep[:, None]

    def fractions(parameter, change):
        return (
            belt.shares(hull.frame, parameter, (family.parameter[0], family.parameter[-1]))
            + moves @ np.array([zone.share(parameter) ** 3 for zone in zones]).reshape(len(zones), len(parameter))
            + change @ shapes_of(zones, parameter)
        )

    # what each zone moves its seams by, from the share amidships to that at the end
    whole = belt.shares(hull.frame, family.parameter, (family.parameter[0], family.parameter[-1]))
    moves = np.stack(
        [end_shares[z.edge] - whole[:, 0 if z.edge == "stem" else -1] for z in zones], axis=1
    ) if zones else np.zeros((count - 1, 0))  # fmt: skip
    none = np.zeros((count - 1, len(shapes_of(zones, family.parameter))))
    held = []
    for seam, at, share in pins:
        at = np.array([at])
        held.append((seam, shapes_of(zones, at)[:, 0], share - fractions(at, none)[seam, 0]))
    change = faired(hull, family, zones, fractions(family.parameter, none), near, held)
    everywhere = np.arange(m)
    girth = top + fractions(family.parameter, change) * (bottom - top)
    uv = family.curves.uv_at_girth(np.tile(everywhere, count - 1), girth.ravel())
    uv = with_ends(uv.reshape(count - 1, m, 2), everywhere)

    parts = []
    for j in range(count - 1):

        def places(parameter, j=j):
            """True (u, v) of this seam on any cross curves: (n, 2)."""
            curves = cross_curves(hull, lower, parameter, family.bow, family.stern, family.resolution)
            high, low = girths_between(family, curves, parameter, upper, lower)
            at = high + fractions(parameter, change)[j] * (low - high)
            return curves.uv_at_girth(np.arange(len(parameter)), at)

        curve = recut(SurfaceCurve(hull.patch, family.elements(uv[j])), family.breaks, places)
        parts.append(SeamPart(curve, float(s_fore[j]), float(s_aft[j])))
    return parts, lambda parameter: fractions(parameter, change)


def girths_between(family, curves, parameter, upper, lower):
    """Girths (m,), (m,) from the sheer down to two lines on cross curves; None is the sheer."""
    out = []
    for line in (upper, lower):
        if line is None:
            out.append(np.zeros(len(parameter)))
            continue
        v = v_on_family(line.curve, parameter, family.bow, family.stern, family.resolution)
        out.append(curves.girth_at_v(np.arange(len(v)), v))
    return out
