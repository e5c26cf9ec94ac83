# SPDX-License-Identifier: LGPL-2.1-or-later
"""Curves in space laid on to a patch, along its normal or along one direction.

The image of a drawn curve C(t) is the set of (u, v, t) with

    (S - C) . S_u = (S - C) . S_v = 0      along the normal,
    (S - C) . e1 = (S - C) . e2 = 0        along a direction d, e1 and e2 square to d.

Two equations in three unknowns: a curve, followed in arc length, so that it may turn back in
t. That is what a line drawn in the body plan does where it passes from fore to aft body.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..curve import SurfaceCurve
from ..spline.lobatto import lobatto

__all__ = ["Projection", "Traced", "fit_elements", "follow"]

DEGREE = 8
_DIFFERENCE = 1e-5  # share of a piece's parameters over which C is differenced for Newton
_MAX_SPLITS = 9
_ROUNDS = 30
_ALONG = 1e-10  # share of the parameter's range within which a line runs along a knot line
_U, _V, _T = np.eye(3)  # what `Projection.at` may keep


@dataclass(frozen=True, eq=False)
class Projection:
    """The two equations.

    Parameters
    ----------
    patch : SplinePatch
    curves : list of callable
        (n,) parameters -> (n, 3), ship coordinates; smooth, piece k over [k, k + 1].
    direction : (3,) unit vector in ship coordinates, or None for the normal
    """

    patch: object
    curves: list
    direction: object = None

    @cached_property
    def across(self):
        """(2, 3): e1 and e2."""
        d = self.direction
        e1 = np.cross(d, np.eye(3)[np.argmin(np.abs(d))])
        e1 /= np.linalg.norm(e1)
        return np.stack([e1, np.cross(d, e1)])

    def drawn(self, piece, t):
        """C (n, 3) at parameters t (n,) of pieces (n,)."""
        out = np.empty((len(t), 3))
        for k in np.unique(piece):
            mine = piece == k
            out[mine] = self.curves[k](np.clip(t[mine], k, k + 1.0))
        return out

    def _with_slope(self, piece, t):
        """C and C'; the latter by differences inside the piece: Newton's steps need no more."""
        n = len(t)
        lo = np.clip(t - _DIFFERENCE, piece, piece + 1.0 - 2.0 * _DIFFERENCE)
        hi = lo + 2.0 * _DIFFERENCE
        p = self.drawn(np.tile(piece, 3), np.concatenate([t, lo, hi]))
        return p[:n], (p[2 * n :] - p[n : 2 * n]) / (2.0 * _DIFFERENCE)

    def equations(self, uv, piece, t, spans=(None, None)):
        """Residuals (n, 2) and their derivatives (n, 2, 3) by u, v and t.

        Past its ends a piece is run on along its tangent.
        """
        drawn, slope = self._with_slope(piece, t)
        past = t - np.clip(t, piece, piece + 1.0)
        drawn = drawn + past[:, None] * slope
        if self.direction is not None:
            jet = self.patch.jets(uv[:, 0], uv[:, 1], 1, *spans)
            r = jet.p - drawn
            e = self.across
            return r @ e.T, np.stack([jet.su @ e.T, jet.sv @ e.T, -slope @ e.T], axis=2)
        jet = self.patch.jets(uv[:, 0], uv[:, 1], 2, *spans)
        r = jet.p - drawn
        dot = lambda a, b: np.einsum("ij,ij->i", a, b)  # noqa: E731
        mixed = dot(jet.su, jet.sv) + dot(r, jet.suv)
        rows = [
            [dot(jet.su, jet.su) + dot(r, jet.suu), mixed, -dot(slope, jet.su)],
            [mixed, dot(jet.sv, jet.sv) + dot(r, jet.svv), -dot(slope, jet.sv)],
        ]
        f = np.stack([dot(r, jet.su), dot(r, jet.sv)], axis=1)
        return f, np.moveaxis(np.array(rows), 2, 0)

    def at(self, uv, piece, t, fixed=_T, spans=(None, None), done=1e-15):
        """Newton's method on the equations in a plane of the unknowns.

        Parameters
        ----------
        uv : (n, 2), t : (n,), piece : (n,) int
            First guesses.
        fixed : (3,) or (n, 3)
            Row of a linear combination of the scaled (u, v, t) that keeps its value; t alone
            by default.
        spans : knot spans to keep to
        done : float
            Share of the parameters' ranges: a shorter step is the last.

        Returns
        -------
        uv (n, 2), t (n,), last step (n,) as a share of the parameters' ranges
        """
        w = np.concatenate([uv, np.asarray(t, float)[:, None]], axis=1)
        scale = self.scale
        fixed = np.broadcast_to(np.asarray(fixed, float), w.shape)
        last = np.full(len(w), np.inf)
        for _ in range(_ROUNDS):
            f, d = self.equations(w[:, :2], piece, w[:, 2], spans)
            d = d * scale
            size = np.linalg.norm(d, axis=2).max(axis=1)[:, None]
            system = np.concatenate([d / size[..., None], fixed[:, None]], axis=1)
            right = np.concatenate([-f / size, np.zeros((len(w), 1))], axis=1)
            step = _solved(system, right)
            # long steps come from near-singular systems and would leave the hull
            reach = np.max(np.abs(step), axis=1)
            step = step * np.minimum(1.0, 0.1 / np.maximum(reach, 1e-300))[:, None]
            w = w + step * scale
            before, last = last, np.max(np.abs(step), axis=1)
            if np.all((last < done) | ((last < 1e-12) & (last >= 0.5 * before))):
                break
        return w[:, :2], w[:, 2], last

    @cached_property
    def scale(self):
        """(3,) ranges of u, v and t."""
        (u0, u1), (v0, v1) = self.patch.u_range, self.patch.v_range
        return np.array([u1 - u0, v1 - v0, float(len(self.curves))])

    def tangent(self, uv, piece, t):
        """Unit direction of the image in scaled (u, v, t) (3,), and how well it is defined.

        The second figure is the ratio of the equations' singular values: nothing where two
        branches meet.
        """
        _, d = self.equations(uv[None], np.array([piece]), np.array([t]))
        d = d[0] * self.scale
        d = d / np.linalg.norm(d, axis=1).max()
        _, singular, rows = np.linalg.svd(d)
        return rows[2], float(singular[1] / singular[0])


def _solved(system, right):
    try:
        return np.linalg.solve(system, right[..., None])[..., 0]
    except np.linalg.LinAlgError:
        return np.einsum("nij,nj->ni", np.linalg.pinv(system), right)


@dataclass(frozen=True, eq=False)
class Traced:
    """The image followed from a seed one way.

    Attributes
    ----------
    uv : (n, 2), t : (n,), piece : (n,) int
        Places one after another; where one piece of the drawn line ends and the next begins
        the place is there twice.
    ended : 'left', 'end', 'singular', 'lost' or 'long'
        Left the planked surface (the last place lies outside it), at the end of the drawn
        line, where two branches meet, could not be followed, or came to no end.
    turned : list of int
        Indices after which it turned back in t.
    """

    uv: np.ndarray
    t: np.ndarray
    piece: np.ndarray
    ended: str
    turned: list


def follow(projection, uv, piece, t, sense, step, inside, longest):
    """Follow the image of the drawn line from a place on it.

    Parameters
    ----------
    projection : Projection
    uv : (2,), piece : int, t : float
        A solution.
    sense : +1.0 or -1.0
        Sense of t to start in.
    step : float, mm on the patch
    inside : callable (u (n,), v (n,)) -> (n,), positive on the planked surface
    longest : float, mm

    Returns
    -------
    Traced
    """
    patch, scale = projection.patch, projection.scale
    pieces = len(projection.curves)
    out_uv, out_t, out_piece, turned = [uv], [t], [piece], []
    direction, _ = projection.tangent(uv, piece, t)
    direction = direction * (sense if direction[2] >= 0.0 else -sense)
    gone, h = 0.0, step

    def done(how):
        return Traced(np.array(out_uv), np.array(out_t), np.array(out_piece), how, turned)

    while gone < longest:
        jet = patch.jets(uv[:1], uv[1:], 1)
        pace = np.linalg.norm(jet.su[0] * direction[0] * scale[0] + jet.sv[0] * direction[1] * scale[1])
        # neither too far on the hull nor past a piece of the drawn line unseen
        ahead = direction * min(h / max(pace, 1e-300), 0.25)
        guess = np.append(uv, t) + ahead * scale
        new, new_t, error = projection.at(
            guess[None, :2], np.array([piece]), guess[2:], direction, done=1e-9
        )
        new, new_t = new[0], float(new_t[0])
        good = error[0] < 1e-9 and np.linalg.norm((np.append(new, new_t) - guess) / scale) < 0.5 * np.linalg.norm(ahead)
        way, firm = projection.tangent(new, piece, new_t) if good else (direction, 1.0)
        way = way * (1.0 if way @ direction >= 0.0 else -1.0)
        if not good or way @ direction < 0.9:
            h *= 0.5
            if h < 1e-6 * step:
                _, firm = projection.tangent(uv, piece, t)
                return done("singular" if firm < 1e-4 else "lost")
            continue
        edge = piece if new_t < piece else piece + 1 if new_t > piece + 1 else None
        if edge is not None:  # stop exactly where this piece of the drawn line ends
            share = (edge - t) / (new_t - t)
            near = uv + share * (new - uv)
            near, _, error = projection.at(near[None], np.array([piece]), np.array([float(edge)]))
            new, new_t = near[0], float(edge)
            if error[0] > 1e-9:
                return done("lost")
        out_uv.append(new)
        out_t.append(new_t)
        out_piece.append(piece)
        gone += float(np.linalg.norm(patch.points(*new[:, None]) - patch.points(*uv[:, None])))
        if inside(new[:1], new[1:])[0] < 0.0:
            return done("left")
        if way[2] * direction[2] < 0.0:
            turned.append(len(out_t) - 1)
        uv, t, direction = new, new_t, way
        h = min(step, 2.0 * h)
        if edge is not None:
            forward = edge > piece
            piece += 1 if forward else -1
            if not 0 <= piece < pieces:
                return done("end")
            direction, _ = projection.tangent(uv, piece, t)
            direction = direction * (1.0 if (direction[2] > 0.0) == forward else -1.0)
            out_uv.append(uv)
            out_t.append(t)
            out_piece.append(piece)
    return done("long")


def fit_elements(projection, uv, t, piece, aim):
    """Polynomials through true places of the image, cut on knot lines and piece ends.

    Parameters
    ----------
    projection : Projection
    uv : (n, 2), t : (n,), piece : (n,) int
        The image's places in order, as `follow` gives them.
    aim : float
        mm: elements are halved until halving moves the line by less.

    Returns
    -------
    nodes : (elements, DEGREE + 1, 2)
    t : (elements, DEGREE + 1) parameters of the drawn line at the nodes
    piece : (elements,) of the drawn line
    error_position, error_length : float
        By how much halving the elements moved the line sideways, and changed its length, mm.
    """
    patch, scale = projection.patch, projection.scale
    runs = _cut(projection, np.concatenate([uv, t[:, None]], axis=1) / scale, piece)
    level = [((k, 0.0), 1.0, run) for k, run in enumerate(runs)]  # place, share, run
    done, worst, longer, depth = [], 0.0, 0.0, 0
    while level:
        whole = _solve(projection, [run for _, _, run in level])
        middle = DEGREE // 2
        halves = [
            (run[0], part) for (_, _, run), w in zip(level, whole) for part in (w[: middle + 1], w[middle:])
        ]
        fine = _solve(projection, halves)
        error, change = _moved(patch, scale, whole, fine)
        again = []
        for k, (place, share, _) in enumerate(level):
            inner = [((place[0], place[1] + 0.5 * i * share), 0.5 * share) for i in (0, 1)]
            if error[k] > aim and depth < _MAX_SPLITS:
                again += [(*inner[i], halves[2 * k + i]) for i in (0, 1)]
                continue
            worst, longer = max(worst, float(error[k])), longer + float(change[k])
            done += [(inner[i][0], halves[2 * k][0], fine[2 * k + i]) for i in (0, 1)]
        level, depth = again, depth + 1
    done.sort(key=lambda entry: entry[0])
    nodes = np.array([w for _, _, w in done]) * scale
    nodes[1:, 0, :2] = nodes[:-1, -1, :2]
    return nodes[..., :2], nodes[..., 2], np.array([k for _, k, _ in done]), worst, abs(longer)


def _cut(projection, w, piece):
    """Runs (piece, (m, 3) scaled places) that keep to one knot span and one drawn piece."""
    patch, scale = projection.patch, projection.scale
    runs = []
    for k, part in _by_piece(w, piece):
        cuts = []  # (index before, share, place)
        for way, breaks in enumerate((patch.breaks_u, patch.breaks_v)):
            value = part[:, way] * scale[way]
            for knot in breaks[1:-1]:
                # a line that runs along a knot line does not cross it with every rounding
                side = value >= knot - _ALONG * scale[way]
                for i in np.flatnonzero(side[:-1] != side[1:]):
                    share = (knot - value[i]) / (value[i + 1] - value[i])
                    place = part[i] + share * (part[i + 1] - part[i])
                    place[way] = knot / scale[way]
                    uv, t, _ = projection.at(
                        (place[:2] * scale[:2])[None], np.array([k]), place[2:] * scale[2], (_U, _V)[way]
                    )
                    place = np.append(uv[0], t) / scale
                    place[way] = knot / scale[way]
                    cuts.append((i, share, place))
        cuts.sort(key=lambda c: c[:2])
        current, at = [part[0]], 0
        for i, _, place in cuts:
            current += [*part[at + 1 : i + 1], place]
            runs += _straightened(k, np.array(current))
            current, at = [place], i
        runs += _straightened(k, np.array([*current, *part[at + 1 :]]))
    return runs


def _by_piece(w, piece):
    ends = np.flatnonzero(np.diff(piece)) + 1
    for part, k in zip(np.split(w, ends), np.split(piece, ends)):
        if len(part) > 1:
            yield int(k[0]), part


def _straightened(piece, w):
    """The run, or its parts where it turns so much that its chord does not describe it."""
    chord = w[-1, :2] - w[0, :2]
    if np.linalg.norm(chord) < 1e-11:
        return []
    ahead = np.diff(w[:, :2], axis=0) @ chord
    if np.all(ahead > 0.0) or len(w) < 3:
        keep = np.concatenate([[True], ahead > 0.0])
        keep[-1] = True
        return [(piece, w[keep])]
    middle = len(w) // 2
    return _straightened(piece, w[: middle + 1]) + _straightened(piece, w[middle:])


def _solve(projection, runs):
    """True places (runs, DEGREE + 1, 3), scaled, at Gauss-Lobatto nodes along the runs' chords."""
    xi = 0.5 * (lobatto(DEGREE).nodes + 1.0)
    scale, patch = projection.scale, projection.patch
    guess, rows, spans = np.empty((len(runs), len(xi), 3)), [], []
    for r, (_, w) in enumerate(runs):
        chord = w[-1, :2] - w[0, :2]
        share = (w[:, :2] - w[0, :2]) @ chord / (chord @ chord)
        guess[r] = np.stack([np.interp(xi, share, w[:, c]) for c in range(3)], axis=1)
        rows.append(np.append(chord, 0.0) / np.linalg.norm(chord))
        middle = guess[r, len(xi) // 2] * scale
        spans.append((patch._table_u.locate(middle[:1])[0], patch._table_v.locate(middle[1:2])[0]))
    n = len(xi)
    flat = (guess * scale).reshape(-1, 3)
    spans = np.repeat(np.array(spans), n, axis=0)
    uv, t, _ = projection.at(
        flat[:, :2], np.repeat([k for k, _ in runs], n), flat[:, 2], np.repeat(rows, n, axis=0),
        (spans[:, 0], spans[:, 1]),
    )  # fmt: skip
    out = (np.concatenate([uv, t[:, None]], axis=1) / scale).reshape(guess.shape)
    for r, (_, w) in enumerate(runs):  # ends are shared
        out[r, 0], out[r, -1] = w[0], w[-1]
    return out


def _moved(patch, scale, whole, fine):
    """What halving does to every element: moves its places (n,), lengthens it (n,), mm."""
    n = len(whole)
    fine = fine.reshape(n, -1, 3)[..., :2]
    chord = (whole[:, -1] - whole[:, 0])[:, :2]
    x = np.einsum("nkc,nc->nk", fine - whole[:, :1, :2], chord)
    x = 2.0 * x / np.einsum("nc,nc->n", chord, chord)[:, None] - 1.0
    values = lobatto(DEGREE).values(x.ravel()).reshape(n, -1, DEGREE + 1)
    guess = np.einsum("nkj,njc->nkc", values, whole[..., :2]) * scale[:2]
    true = fine * scale[:2]
    gap = patch.points(*guess.reshape(-1, 2).T) - patch.points(*true.reshape(-1, 2).T)
    moved = np.linalg.norm(gap, axis=1).reshape(n, -1).max(axis=1)
    lengths = [
        SurfaceCurve(patch, nodes.reshape(-1, DEGREE + 1, 2) * scale[:2]).piece_lengths
        for nodes in (whole[..., :2], fine)
    ]
    return moved, lengths[1].reshape(n, 2).sum(axis=1) - lengths[0]
