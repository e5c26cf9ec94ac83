# SPDX-License-Identifier: LGPL-2.1-or-later
"""The tuck line: where transverse sections turn hardest aft.

It is found from the surface and advises: strakes should run along it, not across it.

Two turns are meant by the word. The *hollow* (reverse) turn is the one by which a wineglass
section goes over into deadwood and sternpost: there the section turns hardest into the
sternpost, and there a plank across it would have to be hollowed most. The *round* turn is
that of the bilge above it, which runs up into the quarter. Each is asked for by name; the
hollow one is the tuck unless told otherwise.
"""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..sections import sections_at
from ..spline.lobatto import lobatto
from .tuck_crossings import TuckCrossing, crossing_angles
from .turns import section_peaks

__all__ = ["OVER", "TuckCrossing", "TuckLine", "crossing_angles", "tuck_line"]

#: mm of girth over which a turn is taken where nothing else is asked: about a plank's width
OVER = 150.0

_DEGREE = 8
_SIGNS = {"hollow": -1.0, "round": 1.0}
_WORDS = {"hollow": "hollow", "round": "round turn"}
_SCAN = 64  # stations at which the ridge is first looked for
_ELEMENT = 8  # scan stations to an element of the line, before halving
_MAX_SPLITS = 5
_AIM = 1e-4  # mm: elements are halved until that moves the line by less
_STRAY = 1.0  # mm sideways per mm lengthwise, that a ridge may move between scan stations
_LOOSE = 0.02  # of the girth, beside it
_ENDING = 8  # halvings by which the ridge's ends are found


@dataclass(frozen=True, eq=False)
class TuckLine:
    """The line of the hardest turn aft. It need not reach from stem to stern.

    Attributes
    ----------
    which : 'hollow' or 'round'
    over : float
        Girth over which the turn is taken, mm; 0 for the curvature itself.
    curve : SurfaceCurve or None
        From forward aft; None where the surface has no such ridge (the notes say why).
    stations : (float, float)
        Model coordinates of its fore and after end; nan without a curve.
    s, station, turn, radius : (n,) arrays
        Arc length from its fore end, model coordinate, turn of the section in 1/mm (positive
        round, negative hollow; the mean over `over`), and its radius in mm.
    error_position : float
        mm, where the ridge is smooth: the change when the elements are halved.
    rough : tuple of (float, float)
        Stretches (model coordinates) along which it is not smooth: it jumps or bends there
        within some millimetres and is only near by.
    notes : tuple of str
    """

    which: str
    over: float
    curve: Optional[SurfaceCurve]
    stations: Tuple[float, float]
    s: np.ndarray
    station: np.ndarray
    turn: np.ndarray
    radius: np.ndarray
    error_position: float
    rough: Tuple[Tuple[float, float], ...]
    notes: Tuple[str, ...]


def tuck_line(hull, which="hollow", over=OVER, forward=None, aft=None):
    """Find the line of the hardest turn of the sections aft.

    Parameters
    ----------
    hull : PlankedSurface
    which : 'hollow' or 'round'
        The reverse turn into the sternpost, or the bilge's above it.
    over : float
        Girth over which the turn is taken, mm. 0 takes the curvature at a point, whose ridge
        on a surface of degree 3 runs along knot lines and jumps from one to the next; over a
        plank's width it is what the planks feel.
    forward, aft : float, optional
        Model coordinates between which it is looked for: the greatest half-breadth, and the
        aftmost planking.

    Returns
    -------
    TuckLine

    Raises
    ------
    PlanError
        A turn that has no name, a width below nothing, or limits off the hull.
    """
    if which not in _SIGNS:
        raise PlanError(f"{hull.name}: {which!r} is no turn of the sections", "", "ask for hollow or round")
    if not np.isfinite(over) or over < 0.0:
        raise PlanError(f"{hull.name}: a turn cannot be taken over {over:g} mm", "", "give a width of 0 mm or more")
    x0, x1 = _limits(hull, forward, aft)
    finder = _Finder(hull, _SIGNS[which], float(over))
    x = np.linspace(x0, x1, _SCAN)
    peaks = finder.peaks(x)
    chain = _strongest(x, peaks, finder.girths)
    notes = _why_not(hull, which, x, peaks, chain)
    if len(chain) < 2:
        nothing = np.empty(0)
        return TuckLine(which, over, None, (np.nan, np.nan), nothing, nothing, nothing, nothing, np.nan, (), notes)
    finder.follow(x[peaks.row[chain]], peaks.p[chain])
    start, end = (_end(finder, x, peaks.row[chain], side) for side in (0, -1))
    nodes, turns, at, error, rough, jumps = _elements(finder, start, end)
    curve = SurfaceCurve(hull.patch, nodes)
    model = hull.frame.to_model_station
    e = np.repeat(np.arange(curve.pieces), _DEGREE + 1)
    s = curve.arc_length(e, np.tile(lobatto(_DEGREE).nodes, curve.pieces))
    turn, station = turns.ravel(), model(at.ravel())
    k = int(np.argmax(np.abs(turn)))
    measure = f"over {over:.0f} mm of girth" if over else "at a point"
    first = (
        f"The {_WORDS[which]} of the sections runs from {hull.frame.station_label(start)} to "
        f"{hull.frame.station_label(end)}; hardest at {hull.frame.station_label(at.ravel()[k])}, "
        f"radius {1.0 / abs(turn[k]):.0f} mm {measure}."
    )
    rough = tuple(tuple(float(v) for v in model(np.array(r))) for r in rough)
    if rough:
        notes += (
            f"It is not smooth in {len(rough)} place(s), near "
            + ", ".join(f"{r[0]:.0f}" for r in rough[:4])
            + f" mm: it moves up to {max(jumps):.1f} mm there within some millimetres.",
        )
    return TuckLine(
        which, over, curve, (float(model(start)), float(model(end))), s, station, turn, 1.0 / np.abs(turn),
        max(error, 1e-13 * hull.patch.size), rough, (first, *notes),
    )  # fmt: skip


def _limits(hull, forward, aft):
    lo, hi = hull.x_range
    clear = 1e-3 * (hi - lo)
    given = [None if v is None else float(hull.frame.to_ship_station(v)) for v in (forward, aft)]
    x0 = hull.greatest_half_breadth[0] if given[0] is None else given[0]
    x1 = hi - clear if given[1] is None else given[1]
    if not (np.isfinite([x0, x1]).all() and lo + clear <= x0 < x1 <= hi - 0.5 * clear):
        raise PlanError(
            f"{hull.name}: the tuck cannot be looked for between {hull.frame.station_label(x0)} and "
            f"{hull.frame.station_label(x1)}",
            f"the hull runs from {hull.frame.station_label(lo)} to {hull.frame.station_label(hi)}",
            "give two stations on the hull, the forward one first",
        )  # fmt: skip
    return x0, x1


class _Finder:
    """Peaks of sections, and the one that belongs to the ridge followed."""

    def __init__(self, hull, sign, over):
        self.hull, self.sign, self.over = hull, sign, over
        self.girths = None

    def peaks(self, x):
        sections = sections_at(self.hull, x)
        self.girths = sections.girth
        return section_peaks(sections, self.sign, self.over)

    def follow(self, x, p):
        """Take the ridge through places (n, 3) at stations x for known."""
        self.x, self.p = x, p

    def ridge(self, x):
        """uv (n, 2), turn (n,), p (n, 3) of the ridge at stations x (n,); nan where it is lost."""
        peaks = self.peaks(x)
        guess = np.stack([np.interp(x, self.x, self.p[:, c]) for c in (1, 2)], axis=1)
        spacing = np.max(np.diff(self.x))
        uv, turn, p = np.full((len(x), 2), np.nan), np.full(len(x), np.nan), np.full((len(x), 3), np.nan)
        for row in range(len(x)):
            mine = np.flatnonzero(peaks.row == row)
            if not len(mine):
                continue
            far = np.linalg.norm(peaks.p[mine, 1:] - guess[row], axis=1)
            k = int(np.argmin(far))
            if far[k] <= _STRAY * spacing + _LOOSE * self.girths[row]:
                uv[row], turn[row], p[row] = peaks.uv[mine[k]], peaks.turn[mine[k]], peaks.p[mine[k]]
        return uv, turn, p


def _strongest(x, peaks, girths):
    """Indices of the peaks, one to a station, that make the hardest continuous ridge."""
    chains, open_ = [], {}
    for row in range(len(x)):
        mine = list(np.flatnonzero(peaks.row == row))
        going = {}
        pairs = sorted(
            (float(np.linalg.norm(peaks.p[k, 1:] - peaks.p[chains[c][-1], 1:])), c, k)
            for c in open_.values() for k in mine
        )  # fmt: skip
        taken = set()
        for far, c, k in pairs:
            allowed = _STRAY * (x[1] - x[0]) + _LOOSE * girths[row]
            if far <= allowed and c not in going and k not in taken:
                chains[c].append(k)
                going[c] = c
                taken.add(k)
        for k in mine:
            if k not in taken:
                chains.append([k])
                going[len(chains) - 1] = len(chains) - 1
        open_ = going
    if not chains:
        return np.empty(0, int)
    # the angle turned summed along it: neither one sharp place nor a long faint one
    best = max(chains, key=lambda c: float(np.sum(np.abs(peaks.turn[c]))))
    return np.array(best, int)


def _why_not(hull, which, x, peaks, chain):
    """Notes on the stretches where the sections have no such ridge."""
    has = np.zeros(len(x), bool)
    has[peaks.row[chain]] = True
    word, notes = _WORDS[which], []
    causes = (
        (peaks.rising, f"the {word} grows to the section's end, so that it is hardest at sheer or rabbet"),
        (peaks.even, f"the {word} is too even to have a hardest place"),
    )
    if len(chain) < 2:
        notes.append(f"The sections have no line of hardest {word} aft.")
    for mask, text in causes:
        rows = np.flatnonzero(mask & ~has)
        if len(rows):
            notes.append(
                f"Between {hull.frame.station_label(x[rows[0]])} and {hull.frame.station_label(x[rows[-1]])} {text}."
            )
    others = np.setdiff1d(np.unique(peaks.row), peaks.row[chain])
    if len(others):
        notes.append(
            f"Another {word} is hardest between {hull.frame.station_label(x[others[0]])} and "
            f"{hull.frame.station_label(x[others[-1]])}; the two do not join."
        )
    if not notes and not len(chain):
        notes.append(f"The sections aft have no {word} at all.")
    return tuple(notes)


def _end(finder, x, rows, side):
    """How far the ridge goes beyond its last scan station: x."""
    row = rows[side]
    beyond = row + (-1 if side == 0 else 1)
    here = float(x[row])
    if not 0 <= beyond < len(x):
        return here
    out = float(x[beyond])
    for _ in range(_ENDING):
        middle = 0.5 * (here + out)
        uv, _, p = finder.ridge(np.array([middle]))
        if np.isfinite(uv).all():
            here = middle
            places = np.insert(finder.p, 0 if side == 0 else len(finder.x), p, axis=0)
            finder.follow(np.insert(finder.x, 0 if side == 0 else len(finder.x), middle), places)
        else:
            out = middle
    return here


def _elements(finder, start, end):
    """Polynomials through places of the ridge.

    Returns
    -------
    nodes (n, DEGREE + 1, 2), turn and x (n, DEGREE + 1), error mm, rough [(x, x)], jumps [mm]
    """
    xi = 0.5 * (lobatto(_DEGREE).nodes + 1.0)
    count = max(1, int(np.ceil(len(finder.x) / _ELEMENT)))
    breaks = np.linspace(start, end, count + 1)
    level = list(zip(breaks[:-1], breaks[1:]))
    whole = _on(finder, level, xi)
    done, worst, rough, jumps, depth = [], 0.0, [], [], 0
    values = lobatto(_DEGREE).values
    while level:
        halves = [h for a, b in level for h in ((a, 0.5 * (a + b)), (0.5 * (a + b), b))]
        fine = _on(finder, halves, xi)
        again, kept = [], []
        for k, (a, b) in enumerate(level):
            pair = [f[2 * k : 2 * k + 2] for f in fine]
            at = np.concatenate([0.5 * xi, 0.5 + 0.5 * xi])
            guess = values(2.0 * at - 1.0) @ whole[0][k]
            gap = _gap(finder.hull.patch, guess, pair[0].reshape(-1, 2))
            if not gap < _AIM:  # a place lost counts too
                if depth < _MAX_SPLITS:
                    again += [(halves[2 * k + i], [f[i] for f in pair]) for i in (0, 1)]
                    continue
                rough.append((a, b))
                jumps.append(gap if np.isfinite(gap) else _across(finder.hull, whole[0][k], a))
                done.append((a, *_straight(a, b, xi, whole, k)))
                continue
            worst = max(worst, gap)
            kept += [(halves[2 * k + i][0], *(f[i] for f in pair), a + (b - a) * (0.5 * i + 0.5 * xi)) for i in (0, 1)]
        done += kept
        level = [h for h, _ in again]
        if again:
            whole = [np.array([parts[c] for _, parts in again]) for c in range(2)]
        depth += 1
    done.sort(key=lambda d: d[0])
    nodes = np.array([d[1] for d in done])
    nodes[1:, 0] = nodes[:-1, -1]
    return nodes, np.array([d[2] for d in done]), np.array([d[3] for d in done]), worst, _merged(rough), jumps


def _on(finder, spans, xi):
    """uv (n, nodes, 2) and turn (n, nodes) of the ridge on stretches of x."""
    a, b = (np.array(v)[:, None] for v in zip(*spans))
    x = a + (b - a) * xi
    flat, back = np.unique(x.ravel(), return_inverse=True)
    uv, turn, _ = finder.ridge(flat)
    return uv[back].reshape(*x.shape, 2), turn[back].reshape(x.shape)


def _gap(patch, guess, true):
    p, q = (patch.points(v[:, 0], v[:, 1]) for v in (guess, true))
    return float(np.max(np.linalg.norm(p - q, axis=1)))


def _across(hull, uv, x):
    """Distance between the ends of a stretch within which the ridge is lost, mm."""
    p, q = hull.patch.points(*uv[[0, -1]].T)
    if not (np.isfinite(p).all() and np.isfinite(q).all()):
        raise PlanError(
            f"{hull.name}: the tuck is lost", f"at {hull.frame.station_label(float(x))}",
            "choose the other kind of tuck, or a greater length of girth to turn over",
        )  # fmt: skip
    return float(np.linalg.norm(q - p))


def _straight(a, b, xi, whole, k):
    """A stretch on which the ridge is not smooth: straight from end to end in the parameters."""
    uv, turn = whole[0][k], whole[1][k]
    return uv[0] + (uv[-1] - uv[0]) * xi[:, None], turn[0] + (turn[-1] - turn[0]) * xi, a + (b - a) * xi


def _merged(spans):
    """Stretches that touch, as one."""
    out = []
    for a, b in sorted(spans):
        if out and abs(out[-1][1] - a) < 1e-6 * abs(b - a):
            out[-1] = (out[-1][0], b)
        else:
            out.append((a, b))
    return out
