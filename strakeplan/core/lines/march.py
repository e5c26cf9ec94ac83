# SPDX-License-Identifier: LGPL-2.1-or-later
"""Geodesics from given points in given directions, many at once.

Each geodesic is followed with a Runge-Kutta scheme of order 8 on the polynomial of the
knot span it is in, and handed over to the next span exactly on the knot line: neither
kinks of the parametrisation nor jumps of curvature cost any order.

References
----------
E. Hairer, S. P. Norsett, G. Wanner, *Solving Ordinary Differential Equations I*, 2nd ed.,
Springer 1993, section II.5 (the scheme DOP853, whose coefficients scipy keeps).
"""

import numpy as np
from scipy.integrate import DOP853

from ..recut import broken_lines
from ..spline.patch import geometry_of

__all__ = ["Marched", "direction_uv", "march", "reach"]

_A, _B = DOP853.A[: DOP853.n_stages, : DOP853.n_stages], DOP853.B
_E3, _E5 = DOP853.E3[: DOP853.n_stages], DOP853.E5[: DOP853.n_stages]
_STEPS = 40  # over the patch's size, by default: longest step
_ERROR = 1e-10  # of the patch's size: error allowed to one step
_WILD = 1e-3  # of the longest step: a geodesic that wants shorter ones has run wild
_ON_LINE = 1e-12  # share of the parameter's range: as near as a crossing is found
_LOOKS = 24
_AT_CORNER = 1e-11  # share of the parameter's range: farther past the other line it was met before
_RIDING = 1e-9  # share of a step: a crossing this near the last one is no crossing


def direction_uv(jet, t):
    """Parameter velocities (n, 2) of space directions t (n, 3) in the tangent planes."""
    E = np.einsum("ij,ij->i", jet.su, jet.su)
    F = np.einsum("ij,ij->i", jet.su, jet.sv)
    G = np.einsum("ij,ij->i", jet.sv, jet.sv)
    a = np.einsum("ij,ij->i", jet.su, t)
    b = np.einsum("ij,ij->i", jet.sv, t)
    det = E * G - F * F
    return np.stack([(G * a - F * b) / det, (E * b - F * a) / det], axis=1)


def _rate(patch, state, spans):
    """d/ds of (u, v, u', v') along geodesics: minus Christoffel symbols times speeds; the jet too."""
    jet = patch.jets(state[:, 0], state[:, 1], 2, spans[:, 0], spans[:, 1])
    du, dv = state[:, 2:3], state[:, 3:4]
    bend = jet.suu * du * du + 2.0 * jet.suv * du * dv + jet.svv * dv * dv
    return np.concatenate([state[:, 2:], -direction_uv(jet, bend)], axis=1), jet


def _step(patch, state, spans, h):
    """One Runge-Kutta step of lengths h (n,): the new state and its estimated error (n,), mm."""
    h = h[:, None]
    rates, jet = np.empty((len(_B), *state.shape)), None
    for stage, row in enumerate(_A):
        moved = state + h * np.tensordot(row[:stage], rates[:stage], 1) if stage else state
        rates[stage], at = _rate(patch, moved, spans)
        jet = jet if stage else at
    # the scheme's own two estimates; place and direction, as lengths on the surface
    scale = np.stack([np.linalg.norm(jet.su, axis=1), np.linalg.norm(jet.sv, axis=1)], axis=1)
    scale = np.concatenate([scale, h * scale], axis=1)
    fifth, third = (np.sum((scale * np.tensordot(e, rates, 1)) ** 2, axis=1) for e in (_E5, _E3))
    with np.errstate(invalid="ignore", divide="ignore"):
        error = np.where(fifth > 0.0, h[:, 0] * fifth / np.sqrt(fifth + 0.01 * third), 0.0)
    return state + h * np.tensordot(_B, rates, 1), error


class Marched:
    """Places reached: ``uv`` (k, n, 2), points ``p`` (k, n, 3), unit tangents ``t`` (k, n, 3)."""

    def __init__(self, uv, p, t):
        self.uv, self.p, self.t = uv, p, t


def march(patch, uv, t, distances, step=None, rough=False, watch=None):
    """Follow n geodesics and report where they are at given distances.

    Parameters
    ----------
    patch : SplinePatch
    uv : (n, 2) starts
    t : (n, 3) directions; their tangential part is made unit
    distances : (k,) increasing lengths, mm
    step : float, optional
        Longest step, mm; default the patch's size / 40. Shorter ones are taken where the
        scheme's own estimate of its error asks for them.
    rough : bool
        For first guesses: steps are as long as they may be, and knot lines across which the
        surface is smooth are ignored.

    Returns
    -------
    Marched
        Past the edge of the patch geodesics go on over the end span's polynomial; one that
        runs wild there, or beyond the patch's whole extent, is reported as nan.
    """
    step = patch.size / _STEPS if step is None else step
    state, spans = _launched(patch, uv, t)
    out_uv, out_p, out_t = [], [], []
    done = 0.0
    longest = np.full(len(state), float(step))  # per geodesic: what its own last step thought right
    for distance in distances:
        left = np.full(len(state), float(distance) - done)
        _advance(patch, state, spans, left, longest, step, rough, watch)
        done = float(distance)
        p, tangent = _places(patch, state, spans)
        out_uv.append(state[:, :2].copy())
        out_p.append(p)
        out_t.append(tangent)
    return Marched(np.array(out_uv), np.array(out_p), np.array(out_t))


def reach(patch, uv, t, lengths, step=None):
    """Follow n geodesics, each over a length of its own.

    Parameters
    ----------
    patch : SplinePatch
    uv : (n, 2) starts
    t : (n, 3) directions; their tangential part is made unit
    lengths : (n,) mm, 0 or more
    step : float, optional
        Longest step, mm; default the patch's size / 40.

    Returns
    -------
    uv (n, 2), p (n, 3), t (n, 3)
        As `march` gives them: nan for one that runs wild.
    """
    step = patch.size / _STEPS if step is None else step
    state, spans = _launched(patch, uv, t)
    _advance(patch, state, spans, np.array(lengths, float), np.full(len(state), float(step)), step)
    return state[:, :2], *_places(patch, state, spans)


def _launched(patch, uv, t):
    """States (n, 4) and knot spans (n, 2) of geodesics at their starts."""
    uv = np.array(uv, float)
    spans = _spans_of(patch, uv)
    jet = patch.jets(uv[:, 0], uv[:, 1], 2, spans[:, 0], spans[:, 1])
    g = geometry_of(jet)
    t = t - np.einsum("ij,ij->i", t, g.n)[:, None] * g.n
    t = t / np.linalg.norm(t, axis=1)[:, None]
    state = np.concatenate([uv, direction_uv(jet, t)], axis=1)
    _leave_knot_lines(patch, state, spans)
    return state, spans


def _places(patch, state, spans):
    """Points (n, 3) and unit tangents (n, 3) of states."""
    with np.errstate(invalid="ignore"):
        jet = patch.jets(state[:, 0], state[:, 1], 1, spans[:, 0], spans[:, 1])
        tangent = jet.su * state[:, 2:3] + jet.sv * state[:, 3:4]
        return jet.p, tangent / np.linalg.norm(tangent, axis=1)[:, None]


def _advance(patch, state, spans, left, longest, step, rough=False, watch=None):
    """Follow geodesics over the lengths left (n,) to them. Everything in place."""
    free = rough and not any(broken_lines(patch))
    allowed = np.inf if rough else _ERROR * patch.size
    # knot lines cut steps short; a geodesic that needs far more steps has run wild
    most = 20 * int(np.ceil(np.max(left, initial=0.0) / step)) + 100
    for _ in range(most):
        active = np.flatnonzero(left > 1e-12 * patch.size)
        if not len(active):
            return
        count = np.ceil(left[active] / longest[active] - 1e-9)
        h = left[active] / np.maximum(count, 1.0)
        sub, sp = state[active], spans[active]
        with np.errstate(all="ignore"):  # those that run wild are reported as nan
            if free:
                new, error = _step(patch, sub, _spans_of(patch, sub), h)
                used, new_sp = h.copy(), _spans_of(patch, new)
            else:
                new, error, used, new_sp = _step_in_span(patch, sub, sp, h)
            # Hairer's controller: the error of a step goes with the eighth power
            better = np.clip(0.9 * (allowed / error) ** 0.125, 0.1, 5.0)
            again = error > allowed
        longer = np.where(better >= 1.0, np.maximum(longest[active], h * better), h * better)
        longest[active] = np.minimum(step, np.where(np.isfinite(better), longer, longest[active]))
        new[again], used[again] = sub[again], 0.0
        sp = np.where(again[:, None], sp, new_sp)
        far = _far_out(patch, new) | (again & (h < _WILD * step))
        if watch is not None:
            far |= watch(active, new[:, :2])
        new[far], used[far] = np.nan, np.inf
        state[active], spans[active] = new, sp
        left[active] -= used
    state[left > 1e-12 * patch.size] = np.nan


def _far_out(patch, state):
    """Geodesics (n,) bool farther outside the patch than it is long, or no numbers at all."""
    out = ~np.isfinite(state).all(axis=1)
    for way, (lo, hi) in enumerate((patch.u_range, patch.v_range)):
        with np.errstate(invalid="ignore"):
            out |= (state[:, way] < 2.0 * lo - hi) | (state[:, way] > 2.0 * hi - lo)
    return out


def _limits(patch, spans):
    """Knots (n, 2) below and above every span; the outer ones are at infinity."""
    lo = np.stack([patch.breaks_u[spans[:, 0]], patch.breaks_v[spans[:, 1]]], axis=1)
    hi = np.stack([patch.breaks_u[spans[:, 0] + 1], patch.breaks_v[spans[:, 1] + 1]], axis=1)
    last = np.array([len(patch.breaks_u) - 2, len(patch.breaks_v) - 2])
    return np.where(spans == 0, -np.inf, lo), np.where(spans == last, np.inf, hi)


def _spans_of(patch, state):
    """Knot spans (n, 2) that states lie in."""
    return np.stack(
        [patch._table_u.locate(state[:, 0]), patch._table_v.locate(state[:, 1])], axis=1
    )


def _leave_knot_lines(patch, state, spans):
    """Starts on a knot line and going down belong to the span below. In place."""
    lo, _ = _limits(patch, spans)
    for way in (0, 1):
        turn = np.flatnonzero((state[:, way] <= lo[:, way]) & (state[:, 2 + way] < 0.0))
        _hand_over(patch, state, spans, turn, way, -1)


def _hand_over(patch, state, spans, rows, way, by):
    """Enter the neighbouring span keeping the direction in space. In place."""
    if not len(rows):
        return
    s = state[rows]
    jet = patch.jets(s[:, 0], s[:, 1], 1, spans[rows, 0], spans[rows, 1])
    tangent = jet.su * s[:, 2:3] + jet.sv * s[:, 3:4]
    spans[rows, way] += by
    jet = patch.jets(s[:, 0], s[:, 1], 1, spans[rows, 0], spans[rows, 1])
    velocity = direction_uv(jet, tangent)
    space = jet.su * velocity[:, :1] + jet.sv * velocity[:, 1:]
    state[rows, 2:] = velocity / np.linalg.norm(space, axis=1)[:, None]


def _hermite_root(a, da, b, db, target, h):
    """Share (n,) of a step at which the cubic through both ends, with slopes, meets target."""
    da, db = da * h, db * h
    lo, hi = np.zeros(len(a)), np.ones(len(a))
    up = b >= a
    for _ in range(30):
        x = 0.5 * (lo + hi)
        value = (
            a * (1.0 + 2.0 * x) * (1.0 - x) ** 2 + da * x * (1.0 - x) ** 2
            + b * x * x * (3.0 - 2.0 * x) - db * x * x * (1.0 - x)
        )  # fmt: skip
        below = (value < target) == up
        lo, hi = np.where(below, x, lo), np.where(below, hi, x)
    return 0.5 * (lo + hi)


def _step_in_span(patch, state, spans, h):
    """A step, cut short on the first knot line met. Returns state, error, length used, spans."""
    new, error = _step(patch, state, spans, h)
    lo, hi = _limits(patch, spans)
    over = np.where(new[:, :2] > hi, 1, 0) - np.where(new[:, :2] < lo, 1, 0)
    crossing = np.flatnonzero(np.any(over != 0, axis=1))
    spans = spans.copy()
    if not len(crossing):
        return new, error, h.copy(), spans
    # the line met first, by linear interpolation of the overshoot
    wall = np.where(over > 0, hi, lo)[crossing]
    a, b = state[crossing, :2], new[crossing, :2]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(over[crossing] != 0, (wall - a) / (b - a), np.inf)
    way = np.argmin(share, axis=1)
    # one that rides on a knot line would cross it for ever by rounding: it goes on over this
    # span. One that merely starts on the line, and leaves it, is handed over at once.
    rows = np.arange(len(crossing))
    span_of_knots = np.array([np.ptp(patch.u_range), np.ptp(patch.v_range)])[way]
    beyond = np.abs(b - wall)[rows, way]
    riding = (share[rows, way] < _RIDING) & (beyond < _RIDING * span_of_knots)
    spans[crossing[riding]] = _spans_of(patch, new[crossing[riding]])
    crossing, wall, share, way = (a[~riding] for a in (crossing, wall, share, way))
    pick = np.arange(len(crossing))
    trial, error_there, part = _to_line(
        patch, state[crossing], spans[crossing], new[crossing], h[crossing], way, wall[pick, way]
    )
    # where the other line of a corner of the knots was met before that one after all
    lo, hi, other = lo[crossing, 1 - way], hi[crossing, 1 - way], trial[pick, 1 - way]
    near = _AT_CORNER * span_of_knots[~riding]
    first = np.flatnonzero((other > hi + near) | (other < lo - near))
    if len(first):
        at, side = crossing[first], np.where(other > hi, 1, -1)[first]
        way[first] = 1 - way[first]
        trial[first], error_there[first], part[first] = _to_line(
            patch, state[at], spans[at], trial[first], part[first], way[first], np.where(side > 0, hi[first], lo[first])
        )
        over[at, way[first]] = side
    new[crossing], error[crossing] = trial, error_there
    used = h.copy()
    used[crossing] = part
    for w in (0, 1):
        for by in (-1, 1):
            rows = crossing[(way == w) & (over[crossing, w] == by)]
            _hand_over(patch, new, spans, rows, w, by)
    return new, error, used, spans


def _to_line(patch, state, spans, end, h, way, target):
    """Steps shortened until they end on a knot line that lies between a state and its end.

    Returns the states there, the steps' errors and their lengths.
    """
    pick = np.arange(len(state))
    ends = [z[pick, k + way] for z in (state, end) for k in (0, 2)]
    part = _hermite_root(*ends, target, h) * h
    # Newton kept between ends of opposite sign: one that only grazes the line has a flat crossing
    low, high = np.zeros_like(h), h.copy()
    side = np.sign(end[pick, way] - target)
    close = _ON_LINE * np.array([np.ptp(patch.u_range), np.ptp(patch.v_range)])[way]
    trial, error = end.copy(), np.zeros(len(end))
    look = pick  # those not yet on the line
    for turn in range(_LOOKS):
        trial[look], error[look] = _step(patch, state[look], spans[look], part[look])
        gap = trial[look, way[look]] - target[look]
        keep = ~((np.abs(gap) < close[look]) | ~np.isfinite(gap))
        look, gap = look[keep], gap[keep]
        if not len(look) or turn == _LOOKS - 1:
            break
        beyond = gap * side[look] > 0.0
        high[look], low[look] = np.where(beyond, part[look], high[look]), np.where(beyond, low[look], part[look])
        rate = trial[look, 2 + way[look]]
        newton = part[look] - gap / np.where(rate == 0.0, np.inf, rate)
        between = (newton > low[look]) & (newton < high[look])
        part[look] = np.where(between, newton, 0.5 * (low[look] + high[look]))
    trial[pick, way] = target
    return trial, error, part
