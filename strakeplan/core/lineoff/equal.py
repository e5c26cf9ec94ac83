# SPDX-License-Identifier: LGPL-2.1-or-later
"""The equal belt: seams that divide the girth between two lines into equal parts."""

import numpy as np
from numpy.polynomial import legendre

from ..curve import SurfaceCurve
from ..recut import recut
from .crossfamily import cross_curves, line_on_family
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
    m = len(family.parameter)
    top, bottom = _girths(family, family.curves, family.parameter, upper, lower)
    s_top = (0.0, hull.boundary.length) if upper is None else (upper.s_bow, upper.s_stern)
    share = np.arange(1, count) / count
    s_fore = s_top[0] + share * (lower.s_bow - s_top[0])
    s_aft = s_top[1] + share * (lower.s_stern - s_top[1])
    ends = hull.boundary.at(np.concatenate([s_fore, s_aft])).uv
    rows = np.tile(np.arange(m), count - 1)

    def nodes(fractions):
        girth = top + fractions * (bottom - top)
        uv = family.curves.at_girth(rows, girth.ravel()).uv.reshape(count - 1, m, 2)
        uv[:, 0], uv[:, -1] = ends[: count - 1], ends[count - 1 :]
        return uv

    change = _fairing(hull, family, share, nodes)
    uv = nodes(_fractions(family, family.parameter, share[:, None], change))
    parts = []
    for j in range(count - 1):

        def places(parameter, j=j):
            return _places(hull, family, upper, lower, share[j], change[j], parameter)

        curve = recut(SurfaceCurve(hull.patch, family.elements(uv[j])), family.breaks, places)
        parts.append(SeamPart(curve, float(s_fore[j]), float(s_aft[j])))
    return parts


def _places(hull, family, upper, lower, share, change, parameter):
    """True (u, v) of one seam on any cross curves: (n, 2)."""
    curves = cross_curves(hull, lower, parameter, family.bow, family.stern)
    top, bottom = _girths(family, curves, parameter, upper, lower)
    fraction = _fractions(family, parameter, share, change[None])[0]
    return curves.at_girth(np.arange(len(parameter)), top + fraction * (bottom - top)).uv


def _girths(family, curves, parameter, upper, lower):
    """Girths (m,), (m,) from the sheer down to both lines on cross curves."""
    out = []
    for line in (upper, lower):
        if line is None:
            out.append(np.zeros(len(parameter)))
            continue
        piece, x = line_on_family(line.curve, parameter, family.bow, family.stern)
        v = line.curve.uv_local(piece, x)[:, 1]
        out.append(curves.girth_at_v(np.arange(len(v)), v))
    return out


def _shapes(family, parameter):
    """Ways (f, m) in which a seam's share may change in the fans.

    None changes place, direction or curvature where the sections end.
    """
    out = []
    for fan in (family.bow, family.stern):
        if fan.reach:
            x = np.clip(fan.sign * (parameter - fan.x_section) / fan.reach, 0.0, 1.0)
            out += [x**3 * (1.0 - x) * x**k for k in range(_FAIRING)]
    return np.array(out).reshape(-1, len(parameter))


def _fractions(family, parameter, share, change):
    """Share of the girth (seams, m) that seams take on cross curves."""
    return share + change @ _shapes(family, parameter)


def _fairing(hull, family, share, nodes):
    """Coefficients (seams, f) of the fans' shapes for least edgewise bending."""
    shapes = _shapes(family, family.parameter)
    change = np.zeros((len(share), len(shapes)))
    if not len(shapes):
        return change
    in_fan = np.flatnonzero(
        (family.breaks[1:] <= family.bow.x_section + 1e-9)
        | (family.breaks[:-1] >= family.stern.x_section - 1e-9)
    )
    scale = 1e-3
    for _ in range(_ROUNDS):
        fractions = share[:, None] + change @ shapes
        base, weight = _bending(hull, family, nodes(fractions), in_fan)
        columns = []
        for shape in shapes:
            moved, _ = _bending(hull, family, nodes(fractions + scale * shape), in_fan)
            columns.append((moved - base) / scale)
        columns = np.stack(columns, axis=2)  # (seams, points, f)
        root = np.sqrt(weight)
        change = change + np.stack(
            [
                np.linalg.lstsq(root[j, :, None] * columns[j], -root[j] * base[j], rcond=None)[0]
                for j in range(len(base))
            ]
        )
    return change


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
