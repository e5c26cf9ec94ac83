# SPDX-License-Identifier: LGPL-2.1-or-later
"""Pieces of a drawn line, put in order end to end."""

from dataclasses import dataclass
from typing import Callable, Tuple

import numpy as np
from scipy.interpolate import CubicSpline

from ..errors import PlanError

__all__ = ["GAP", "DrawnPiece", "chained"]

#: mm; ends of drawn edges no farther apart than this are one point of the line
GAP = 0.1


@dataclass(frozen=True, eq=False)
class DrawnPiece:
    """An edge of a drawn line, in model coordinates.

    Parameters
    ----------
    points_of : callable
        (n,) parameters -> (n, 3) mm.
    breaks : increasing parameters
        The ends, and the places between at which the edge is not smooth.
    name : str
        What messages call it.
    """

    points_of: Callable
    breaks: Tuple[float, ...] = (0.0, 1.0)
    name: str = "the drawn line"

    @staticmethod
    def polyline(points, name="the drawn line"):
        """Straight from point to point, (k, 3) mm."""
        points = _points(points, name)
        at = np.arange(len(points), dtype=float)
        return DrawnPiece(
            lambda t: np.stack([np.interp(t, at, points[:, c]) for c in range(3)], axis=1), tuple(at), name
        )

    @staticmethod
    def through(points, parameter=None, name="the drawn line"):
        """The cubic spline through points (k, 3), by chord length where no parameter is given."""
        points = _points(points, name)
        if parameter is None:
            parameter = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
        parameter = np.asarray(parameter, float)
        if parameter.shape != (len(points),) or not np.all(np.diff(parameter) > 0.0):
            raise PlanError(
                f"{name} has two points in one place, or parameters that do not grow", "",
                "leave out the points that are there twice",
            )  # fmt: skip
        spline = CubicSpline(parameter, points)
        return DrawnPiece(spline, tuple(float(x) for x in spline.x), name)


def _points(points, name):
    points = np.asarray(points, float)
    if points.ndim != 2 or points.shape[1:] != (3,) or len(points) < 2 or not np.isfinite(points).all():
        raise PlanError(f"{name} is no row of points", "", "give two points or more, three finite numbers each")
    return points


def chained(pieces, frame, name):
    """Drawn edges as one line.

    Parameters
    ----------
    pieces : sequence of DrawnPiece
        In any order and sense.
    frame : ShipFrame
    name : str
        The hull's, for messages.

    Returns
    -------
    list of callable
        Smooth curves in ship coordinates, one after another; number k over [k, k + 1].

    Raises
    ------
    PlanError
        No edge, a gap of more than `GAP`, a fork, or a closed line.
    """
    pieces = [p for p in pieces if len(p.breaks) > 1]
    if not pieces:
        raise PlanError(f"{name}: the drawn line has no edge", "", "choose an edge, a wire or a sketch")
    ends = np.array([_ship(p, frame)(np.array([p.breaks[0], p.breaks[-1]], float)) for p in pieces])
    if not np.isfinite(ends).all():
        raise PlanError(f"{name}: the drawn line has a point that is no number", "", "draw it again")
    order = _order(ends, frame, name)
    out = []
    for which, turned in order:
        ship = _ship(pieces[which], frame)
        breaks = np.asarray(pieces[which].breaks, float)
        for a, b in zip(breaks, breaks[1:]):
            out.append((ship, a, b) if not turned else (ship, b, a))
        if turned:
            n = len(breaks) - 1
            out[-n:] = out[-n:][::-1]
    return [_span(ship, a, b, k) for k, (ship, a, b) in enumerate(out)]


def _ship(piece, frame):
    return lambda t: frame.points_to_ship(np.asarray(piece.points_of(t), float))


def _span(ship, a, b, k):
    return lambda t: ship(a + (np.asarray(t, float) - k) * (b - a))


def _order(ends, frame, name):
    """(piece, whether turned round) from one free end to the other."""
    n = len(ends)
    flat = ends.reshape(-1, 3)  # end e of piece k is number 2 k + e
    far = np.linalg.norm(flat[:, None] - flat[None], axis=2)
    near = far <= GAP
    np.fill_diagonal(near, False)
    mates = near.sum(axis=1)
    if mates.max(initial=0) > 1:
        k = int(np.argmax(mates))
        raise PlanError(
            f"{name}: the drawn line forks, {mates[k] + 1} ends meet in one point, or an edge has no length",
            frame.place(flat[k]), "leave out the edge that is too much",
        )  # fmt: skip
    free = np.flatnonzero(mates == 0)
    if not len(free):
        raise PlanError(
            f"{name}: the drawn line is closed, or has no length", frame.place(flat[0]),
            "draw an open line from stem to stern",
        )  # fmt: skip
    order, end = [], int(free[0])
    while True:
        order.append((end // 2, end % 2 == 1))
        other = end ^ 1
        follow = np.flatnonzero(near[other])
        if not len(follow):
            break
        end = int(follow[0])
    if len(order) < n:
        raise _gap(flat, order, near, frame, name)
    return order


def _gap(flat, order, near, frame, name):
    """The error for a chain that does not hold all edges: the narrowest gap."""
    mine = np.repeat(np.isin(np.arange(len(flat) // 2), [k for k, _ in order]), 2)
    free = ~near.any(axis=1)
    if not np.any(free & ~mine):
        rest = int(np.flatnonzero(~mine)[0])
        return PlanError(
            f"{name}: part of the drawn line is closed", frame.place(flat[rest]), "leave out the closed part"
        )
    a, b = np.flatnonzero(free & mine), np.flatnonzero(free & ~mine)
    far = np.linalg.norm(flat[a][:, None] - flat[b][None], axis=2)
    i, j = np.unravel_index(int(np.argmin(far)), far.shape)
    return PlanError(
        f"{name}: the drawn line has a gap of {far[i, j]:.2f} mm, more than {GAP:g} mm",
        f"{frame.place(flat[a[i]])} and {frame.place(flat[b[j]])}",
        "join the edges there, or leave out what does not belong to the line",
    )
