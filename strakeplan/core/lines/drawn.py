# SPDX-License-Identifier: LGPL-2.1-or-later
"""A line that somebody has drawn, laid on to the hull."""

from dataclasses import dataclass

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..frame import direction
from ..spline.lobatto import lobatto
from .chain import DrawnPiece, chained
from .drawn_ends import FOLLOWED, crossing, to_edge, with_end
from .line import LEAVES, HullLine, require_inside
from .projected import Projection, fit_elements, follow
from .seeds import seeds

__all__ = ["DrawnLine", "DrawnPiece", "WAYS", "drawn_line"]

#: ways of laying a line on: along the hull's normal, or as seen in one of the three views
WAYS = ("normal", "profile", "half-breadth", "body plan")

_AIM = 1e-7  # mm: elements are halved until that moves the line by less
_CORNER = np.radians(0.5)  # a turn worth telling
_TRIES = 4  # images followed before it is given up
_LOOKED_AT = 17  # places of an element at which the distance moved is taken


@dataclass(frozen=True, eq=False)
class DrawnLine(HullLine):
    """A drawn line on the hull.

    Attributes
    ----------
    moved : float
        Greatest distance between the line as drawn and on the hull, mm.
    moved_at : (3,) where, on the hull, in model coordinates
    moved_least : float
        mm.
    way : str
        How it was laid on.
    corners : tuple of (float, float)
        (arc length from the bow in mm, turn in radians) of corners in the line as drawn.
    """

    moved: float = 0.0
    moved_at: tuple = (0.0, 0.0, 0.0)
    moved_least: float = 0.0
    way: str = "normal"
    corners: tuple = ()


def drawn_line(hull, pieces, way="normal"):
    """Lay a drawn line on to the hull.

    Parameters
    ----------
    hull : PlankedSurface
    pieces : sequence of DrawnPiece
        In any order; they have to make one open line.
    way : 'normal', 'profile', 'half-breadth', 'body plan', or a direction
        Along the hull's normal, or along a view's direction: across, upright, lengthwise,
        or any direction in model coordinates ('Y' or three numbers).

    Returns
    -------
    DrawnLine
        From the bow aft. What was drawn past the stem or the stern is left off; where it
        ends up to 2 % of the ship's length short of them it is run on straight.

    Raises
    ------
    PlanError
        Edges that make no line; a line that misses the hull, leaves the planked surface
        over sheer or rabbet, or ends short of stem or stern.

    Notes
    -----
    Seen along a direction the image goes on wherever the hull meets the drawn line, so that
    a line in the body plan (a diagonal, say) runs through fore and aft body alike.
    """
    chain = chained(list(pieces), hull.frame, hull.name)
    d, label = _direction(hull, way)
    chain, d, mirrored = _on_modelled_side(chain, d)
    projection = Projection(hull.patch, chain, d)
    notes = []
    if mirrored:
        notes.append(f"Drawn on the {hull.frame.other_side} side, carried over to the {hull.frame.side} side.")
    starts = seeds(hull, projection)
    if not len(starts):
        raise _misses(hull, projection, label)
    first, covered = None, np.empty((0, 3))
    for _, uv, piece, t in starts:
        p = hull.patch.points(uv[:1], uv[1:])
        if len(covered) and np.min(np.linalg.norm(covered - p, axis=1)) < 2.0 * FOLLOWED * hull.patch.size:
            continue
        if first is not None and first[1] >= _TRIES:
            break
        run = _trace(hull, projection, uv, piece, t)
        covered = np.vstack([covered, hull.patch.points(*run.uv.T)])
        try:
            line = _finished(hull, projection, run, label, notes, way, d)
        except PlanError as error:
            first = (first[0], first[1] + 1) if first else (error, 1)
            continue
        elsewhere = [
            s for s in starts
            if np.min(np.linalg.norm(covered - hull.patch.points(s[1][:1], s[1][1:]), axis=1))
            > 3.0 * FOLLOWED * hull.patch.size
        ]  # fmt: skip
        if elsewhere:
            note = (
                f"Seen {label} the drawn line meets the hull in other places too, for instance "
                f"{hull.frame.place(hull.patch.points(*elsewhere[0][1][:, None])[0])}; the one nearest to it was taken."
            )
            line = DrawnLine(**{**line.__dict__, "notes": line.notes + (note,)})
        return line
    raise first[0]


# --- what was asked for -------------------------------------------------------------------
def _direction(hull, way):
    """(direction in ship coordinates or None, how messages say it)."""
    if isinstance(way, str):
        name = way.strip().lower()
        if name == "normal":
            return None, "along the normal"
        if name in WAYS:
            return np.eye(3)[{"profile": 1, "half-breadth": 2, "body plan": 0}[name]], f"in the {name}"
    try:
        d = hull.frame.vectors_to_ship(direction(way, "the view direction", hull.name))
    except PlanError as error:
        raise PlanError(
            error.what, "", "give normal, profile, half-breadth, body plan, or a direction"
        ) from None
    return d, "along (" + ", ".join(f"{c:.3g}" for c in hull.frame.vectors_to_model(d)) + ")"


def _on_modelled_side(chain, d):
    """Carry a line drawn on the other side over, unless it is laid on squarely across."""
    at = np.linspace(0.05, 0.95, 9)
    y = np.concatenate([c(k + at)[:, 1] for k, c in enumerate(chain)])
    if np.mean(y) >= 0.0 or (d is not None and abs(d[1]) > 0.9):
        return chain, d, False
    over = np.array([1.0, -1.0, 1.0])
    return [lambda t, c=c: c(t) * over for c in chain], None if d is None else d * over, True


def _misses(hull, projection, label):
    k = len(projection.curves) // 2
    p = projection.drawn(np.array([k]), np.array([k + 0.5]))[0]
    return PlanError(
        f"{hull.name}: the drawn line does not meet the planked surface {label}",
        f"its middle lies {hull.frame.place(p)}",
        "choose another view, or move the line on to the hull",
    )


# --- following and finishing -----------------------------------------------------------------
@dataclass(frozen=True, eq=False)
class _Run:
    """The whole image: places from one end to the other and how both ends came about."""

    uv: np.ndarray
    t: np.ndarray
    piece: np.ndarray
    ended: tuple
    turned: np.ndarray  # (k, 3) where it turned back in t


def _trace(hull, projection, uv, piece, t):
    size = hull.patch.size
    back, on = (
        follow(projection, uv, piece, t, sense, FOLLOWED * size, hull.inside, 3.0 * size) for sense in (-1.0, 1.0)
    )
    turned = [hull.patch.points(*part.uv[i][:, None])[0] for part in (back, on) for i in part.turned]
    return _Run(
        np.concatenate([back.uv[:0:-1], on.uv]), np.concatenate([back.t[:0:-1], on.t]),
        np.concatenate([back.piece[:0:-1], on.piece]), (back.ended, on.ended), np.array(turned).reshape(-1, 3),
    )  # fmt: skip


def _finished(hull, projection, run, label, notes, way, d):
    """The line from stem to stern, or the error that says why there is none."""
    _require_followed(hull, run, label)
    nodes, t, piece, error, longer = fit_elements(projection, run.uv, run.t, run.piece, _AIM)
    ended = run.ended
    if hull.patch.points(*nodes[0, 0][:, None])[0, 0] > hull.patch.points(*nodes[-1, -1][:, None])[0, 0]:
        nodes, t, piece, ended = nodes[::-1, ::-1], t[::-1, ::-1], piece[::-1], ended[::-1]
    curve = SurfaceCurve(hull.patch, nodes)
    corners = _corners(curve, piece)
    notes = list(notes)
    spans, boundary, before = [0.0, curve.length], [0.0, 0.0], 0.0
    for end, edge in ((0, "stem"), (1, "stern")):
        if ended[end] == "left":
            spans[end], boundary[end] = crossing(hull, curve, end, edge, label, run)
    moved = _moved(projection, curve, t, piece, spans)
    curve = curve.between(*spans)
    before = -spans[0]
    for end, edge in ((0, "stem"), (1, "stern")):
        if ended[end] == "left":
            curve = with_end(curve, end, hull.boundary_uv_at(boundary[end])[0])
            continue
        length = curve.length
        curve, boundary[end], note = to_edge(hull, curve, end, edge, label)
        before += curve.length - length if end == 0 else 0.0
        notes += [note] if note else []
    for kind in _sentences(hull, run, d, label):
        notes.append(kind)
    corners = tuple((s + before, turn) for s, turn in corners if 0.0 < s + before < curve.length)
    for s, turn in corners:
        place = hull.frame.place(curve.points([s])[0])
        notes.append(f"The line as drawn has a corner of {np.degrees(turn):.1f} degrees {place}.")
    p = hull.frame.points_to_model(moved[1])
    notes.append(
        f"Laid on {label}: moved by {moved[2]:.3f} to {moved[0]:.3f} mm, most {hull.frame.place(moved[1])}."
    )

    def left(c, edge):
        return PlanError(
            f"{hull.name}: the drawn line {LEAVES[edge]} {label}",
            f"at {hull.frame.station_label(c.p[0, 0])}", "draw it inside the planked surface",
        )  # fmt: skip

    require_inside(hull, curve, left, allowance=1e-5)
    floor = 1e-13 * hull.patch.size
    return DrawnLine(
        "Drawn line", curve, float(boundary[0]), float(boundary[1]), max(error, floor), max(longer, floor),
        tuple(notes), moved[0], tuple(float(x) for x in p), moved[2], way if isinstance(way, str) else label, corners,
    )  # fmt: skip


def _sentences(hull, run, d, label):
    if len(run.turned):
        where = ", ".join(hull.frame.place(p) for p in run.turned)
        yield f"Seen {label} the line touches the hull's outline {where} and runs on behind it."


def _require_followed(hull, run, label):
    for end, ended in zip((0, -1), run.ended):
        if ended in ("left", "end"):
            continue
        p = hull.patch.points(*run.uv[end][:, None])[0]
        what = {
            "singular": f"the drawn line touches the hull {label}, and where it goes on is not certain",
            "lost": f"the drawn line cannot be laid on {label} where the hull turns edge on to it",
            "long": f"the drawn line laid on {label} comes to no end",
        }[ended]
        raise PlanError(f"{hull.name}: {what}", hull.frame.place(p), "choose another view, or move the line a little")


def _moved(projection, curve, t, piece, spans):
    """(greatest distance moved, where in ship coordinates, least distance), mm, between arc lengths."""

    def far(e, x):
        at = np.einsum("nj,nj->n", lobatto(curve.degree).values(x), t[e])
        uv = curve.uv_local(e, x)
        p = curve.patch.points(uv[:, 0], uv[:, 1])
        return np.linalg.norm(p - projection.drawn(piece[e], at), axis=1), p

    x = np.linspace(-1.0, 1.0, _LOOKED_AT)
    e, x = np.repeat(np.arange(curve.pieces), len(x)), np.tile(x, curve.pieces)
    s = curve.arc_length(e, x)
    kept = (s > spans[0]) & (s < spans[1])
    ends = curve.locate(spans)
    e, x = np.append(e[kept], ends[0]), np.append(x[kept], ends[1])
    d, p = far(e, x)
    least, k, h = float(d.min()), int(np.argmax(d)), 2.0 / (_LOOKED_AT - 1)
    best = float(d[k]), p[k]
    for _ in range(4):  # nearer round the greatest
        near = np.clip(np.linspace(x[k] - h, x[k] + h, _LOOKED_AT), -1.0, 1.0)
        e, x, h = np.full(_LOOKED_AT, e[k]), near, h / 8.0
        d, p = far(e, x)
        s = curve.arc_length(e, x)
        d = np.where((s >= spans[0]) & (s <= spans[1]), d, -1.0)
        k = int(np.argmax(d))
        if d[k] > best[0]:
            best = float(d[k]), p[k]
    return *best, least


def _corners(curve, piece):
    """(arc length, turn) at the joints of the drawn line's pieces."""
    joint = np.flatnonzero(np.diff(piece) != 0)
    if not len(joint):
        return []
    a = curve.at_local(joint, np.ones(len(joint)))
    b = curve.at_local(joint + 1, -np.ones(len(joint)))
    turn = np.arctan2(np.linalg.norm(np.cross(a.t, b.t), axis=1), np.einsum("ij,ij->i", a.t, b.t))
    return [(float(s), float(x)) for s, x in zip(a.s, turn) if x > _CORNER]
