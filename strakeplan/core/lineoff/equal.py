# SPDX-License-Identifier: LGPL-2.1-or-later
"""The equal belt: seams that divide the girth between two lines into equal parts."""

import numpy as np
from numpy.polynomial import legendre

from ..curve import SurfaceCurve
from .crossfamily import line_on_family
from .seams import SeamPart

__all__ = ["divide_equally"]

_FAIRING = 3  # free coefficients of each seam in each fan
_ROUNDS = 2  # Gauss-Newton rounds; the second changes bending by less than a thousandth


def divide_equally(hull, family, upper, lower, count):
    """Seams between two lines, `count` equal strakes.

    On every cross curve that is a true section, and on both ends of the hull, seam j takes
    j / count of the girth between the lines. In the fans between, where a builder fairs the
    marks on the stem with those on the sections by a batten, each seam keeps its curvature
    where it leaves the sections and takes the course of least edgewise bending to its mark:
    least integral of kappa_g^2 + (a kappa_g')^2, a being a quarter of the fan. The second
    term spreads the bending out; without it, it would crowd where the sections end.

    Parameters
    ----------
    hull : PlankedSurface
    family : CrossFamily
        Reaching at least to the lower line.
    upper : HullLine or None
        None is the sheer.
    lower : HullLine
    count : int

    Returns
    -------
    list of SeamPart, count - 1 of them, from the upper line down
    """
    if count < 2:
        return []
    curves = family.curves
    m = len(family.parameter)
    bottom = _girths(family, lower)
    if upper is None:
        top = np.zeros(m)
        s_top = (0.0, hull.boundary.length)
    else:
        top = _girths(family, upper)
        s_top = (upper.s_bow, upper.s_stern)
    share = np.arange(1, count) / count
    s_fore = s_top[0] + share * (lower.s_bow - s_top[0])
    s_aft = s_top[1] + share * (lower.s_stern - s_top[1])
    ends = hull.boundary.at(np.concatenate([s_fore, s_aft])).uv
    rows = np.tile(np.arange(m), count - 1)

    def nodes(fractions):
        girth = top + fractions * (bottom - top)
        uv = curves.at_girth(rows, girth.ravel()).uv.reshape(count - 1, m, 2)
        uv[:, 0], uv[:, -1] = ends[: count - 1], ends[count - 1 :]
        return uv

    fractions = np.broadcast_to(share[:, None], (count - 1, m))
    fractions = _faired(hull, family, fractions, nodes)
    uv = nodes(fractions)
    return [
        SeamPart(SurfaceCurve(hull.patch, family.elements(uv[j])), float(s_fore[j]), float(s_aft[j]))
        for j in range(count - 1)
    ]


def _girths(family, line):
    """Girth (m,) from the sheer down to a line on every cross curve."""
    piece, x = line_on_family(line.curve, family.parameter, family.bow, family.stern)
    v = line.curve.uv_local(piece, x)[:, 1]
    return family.curves.girth_at_v(np.arange(len(v)), v)


def _fan_share(family, fan):
    """0 on the true sections, growing to 1 at the end of the fan. (m,)"""
    if fan.reach == 0.0:
        return np.zeros(len(family.parameter))
    out = fan.sign * (family.parameter - fan.x_section) / fan.reach
    return np.clip(out, 0.0, 1.0)


def _faired(hull, family, fractions, nodes):
    """Fractions with the fans' share chosen for least edgewise bending."""
    shapes = []
    for fan in (family.bow, family.stern):
        share = _fan_share(family, fan)
        if share.any():
            # no change of place, direction and curvature where the sections end
            shapes += [share**3 * (1.0 - share) * share**k for k in range(_FAIRING)]
    if not shapes:
        return fractions
    shapes = np.array(shapes)  # (f, m)
    in_fan = np.flatnonzero(
        (family.breaks[1:] <= family.bow.x_section + 1e-9)
        | (family.breaks[:-1] >= family.stern.x_section - 1e-9)
    )
    scale = 1e-3
    for _ in range(_ROUNDS):
        base, weight = _bending(hull, family, nodes(fractions), in_fan)
        columns = []
        for shape in shapes:
            moved, _ = _bending(hull, family, nodes(fractions + scale * shape), in_fan)
            columns.append((moved - base) / scale)
        columns = np.stack(columns, axis=2)  # (seams, points, f)
        root = np.sqrt(weight)
        change = np.stack(
            [
                np.linalg.lstsq(root[j, :, None] * columns[j], -root[j] * base[j], rcond=None)[0]
                for j in range(len(base))
            ]
        )
        fractions = fractions + change @ shapes
    return fractions


def _bending(hull, family, uv, elements):
    """What is squared and summed to make a seam's bending.

    Returns
    -------
    terms : (seams, points)
        kappa_g at Gauss points of some elements, then its rate times a quarter fan.
    weight : (seams, points) quadrature weights, mm
    """
    count = family.degree + 2
    gx, gw = legendre.leggauss(count)
    pieces = np.concatenate([family.elements(one)[elements] for one in uv])
    curve = SurfaceCurve(hull.patch, pieces)
    e = np.repeat(np.arange(curve.pieces), count)
    kappa = curve.at_local(e, np.tile(gx, curve.pieces)).kappa_g.reshape(-1, count)
    half = 0.5 * curve.piece_lengths[:, None]
    vander = legendre.legvander(gx, count - 1)
    slope = np.stack([legendre.legval(gx, legendre.legder(np.eye(count)[k])) for k in range(count)], 1)
    differentiate = slope @ np.linalg.inv(vander)
    spread = 0.25 * max(family.bow.reach, family.stern.reach)
    rate = spread * (kappa @ differentiate.T) / half
    weight = half * gw
    shape = (len(uv), -1)
    terms = np.concatenate([kappa.reshape(shape), rate.reshape(shape)], axis=1)
    return terms, np.concatenate([weight.reshape(shape)] * 2, axis=1)
