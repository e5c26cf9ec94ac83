# SPDX-License-Identifier: LGPL-2.1-or-later
"""Which of a row of differences follow no smooth trend.

A hull departs from its drawing smoothly; a slip in reading a tape stands alone. Every
difference is compared with the one that the others let expect (it is left out itself), and
the fewest are looked for whose leaving out makes the rest smooth. Leaving out pairs finds
two slips that stand side by side and would vouch for one another.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

__all__ = ["Trend", "TrendSettings", "follow_trend"]


_AT_END = 2  # neighbours that an end's difference is carried on from


@dataclass(frozen=True)
class TrendSettings:
    """How far a difference may lie off the trend.

    Defaults are own choices: a tape hung on a frame repeats to 1 or 2 mm (common practice,
    no source), and a slip worth finding is larger than 8.

    Attributes
    ----------
    least : float
        A reading nearer the trend than this is never doubted, mm.
    scatter : float
        Least scatter that a tape is taken to have, mm (standard deviation).
    times : float
        How many times the scatter of the expected difference is doubted.
    wild : float
        More scatter than this is no tape's: the readings follow no trend, mm.
    many : int
        With fewer readings the trend itself bends more between them, and `least` grows in
        proportion.
    few_least, few_share : float
        With fewer than five readings of a mark no trend can be seen: off by more than
        so many mm and more than this share of the girth is doubted.
    """

    least: float = 8.0
    scatter: float = 1.5
    times: float = 4.0
    wild: float = 6.0
    many: int = 9
    few_least: float = 15.0
    few_share: float = 0.015


@dataclass(frozen=True, eq=False)
class Trend:
    """What the readings of one mark let expect of one another.

    Attributes
    ----------
    expected : (n,) difference that the other trusted readings let expect, mm
    allowed : (n,) how far off it may lie, mm
    doubted : (n,) bool
    scatter : float
        Scatter of the trusted readings about the trend, mm.
    uneven : bool
        No smooth trend is seen, or none is left even without a third of the readings.
    """

    expected: np.ndarray
    allowed: np.ndarray
    doubted: np.ndarray
    scatter: float
    uneven: bool = False


def follow_trend(x, difference, girth, settings=TrendSettings()):
    """Compare differences along the ship with a smooth trend.

    Parameters
    ----------
    x : (n,) increasing, mm
    difference : (n,) measured less drawn, mm
    girth : (n,) drawn, mm
    settings : TrendSettings

    Returns
    -------
    Trend

    Notes
    -----
    The difference expected between two neighbours on either side is that of the cubic through
    the four; next to the ends that of the parabola through the nearest three. With weights w
    of the neighbours and a scatter s of every reading the departure scatters by
    s sqrt(1 + |w|^2); s is 1.4826 times the median of departures over that root (which
    for normal scatter estimates its standard deviation) without the one reading whose leaving
    out makes the others smoothest, a little more for few readings.
    """
    x, d, girth = (np.asarray(a, float) for a in (x, difference, girth))
    n = len(x)
    if n < 5:
        return _of_few(x, d, girth, settings)
    none = np.zeros(n, bool)
    looked = {(): _departures(x, d, none)}
    for k in range(n):
        looked[(k,)] = _departures(x, d, _without(n, (k,)))
    # one slip spoils its neighbours' departures too: the scatter is that without the one
    # whose leaving out makes the others smoothest
    calmest = min(((k,) for k in range(n)), key=lambda out: _unrest(*looked[out], _without(n, out)))
    few = 1.0 + 3.0 / n  # the median of few departures falls short
    found = few * _scatter(*looked[calmest], _without(n, calmest))
    scatter = min(max(settings.scatter, found), settings.wild)
    least = settings.least * max(1.0, settings.many / n)

    def judged(out):
        r, gain = looked[out] if out in looked else _departures(x, d, _without(n, out))
        allowed = np.maximum(least, settings.times * scatter * gain)
        off = np.abs(r) > allowed
        kept = ~_without(n, out)
        return r, allowed, off, bool(np.any(off & kept)), _unrest(r, gain, ~kept)

    if not judged(())[3]:
        r, allowed, off, _, _ = judged(())
        return Trend(d - r, allowed, none, scatter, found > settings.wild)
    most = max(1, n // 3)
    sets = [(k,) for k in range(n)]
    best = ()
    for size in range(1, most + 1):
        tried = [(judged(out), out) for out in sets]
        smooth = [t for t in tried if not t[0][3]]
        pick = min(smooth or tried, key=lambda t: t[0][4])
        best = pick[1]
        if smooth or size == most:
            break
        # all pairs; of more, the best so far and one other
        if size == 1:
            sets = list(combinations(range(n), 2))
        else:
            sets = [tuple(sorted((*best, k))) for k in range(n) if k not in best]
    r, allowed, off, uneven, _ = judged(best)
    doubted = off if uneven else off & _without(n, best)
    return Trend(d - r, allowed, doubted, scatter, uneven or found > settings.wild)


def _without(n, out):
    mask = np.zeros(n, bool)
    mask[list(out)] = True
    return mask


def _scatter(r, gain, out):
    return 1.4826 * float(np.median(np.abs(r / gain)[~out]))


def _unrest(r, gain, out):
    return float(np.sum((r / gain)[~out] ** 2))


def _departures(x, d, out):
    """Difference less the one its trusted neighbours let expect (n,), and sqrt(1 + |w|^2) (n,)."""
    n = len(x)
    trusted = np.flatnonzero(~out)
    others = np.empty((n, 4), int)
    weight = np.empty((n, 4))
    for k in range(n):
        mine = trusted[trusted != k]
        place = int(np.searchsorted(mine, k))
        fore, aft = min(place, 2), min(len(mine) - place, 2)
        if fore and aft:
            # one neighbour on one side: two on the other
            near = mine[place - fore : place + aft]
        else:
            near = mine[:_AT_END] if not fore else mine[-_AT_END:]
        w = _lagrange(x[near], x[k])
        others[k, : len(near)], weight[k, : len(near)] = near, w
        others[k, len(near) :], weight[k, len(near) :] = 0, 0.0
    return d - np.sum(weight * d[others], axis=1), np.sqrt(1.0 + np.sum(weight**2, axis=1))


def _lagrange(nodes, at):
    """Weights of the polynomial through nodes, at a place."""
    w = np.ones(len(nodes))
    for j in range(len(nodes)):
        for m in range(len(nodes)):
            if m != j:
                w[j] *= (at - nodes[m]) / (nodes[j] - nodes[m])
    return w


def _of_few(x, d, girth, settings):
    """One to four readings: each against its neighbours, or against the drawing."""
    n = len(x)
    allowed = np.maximum(settings.few_least, settings.few_share * girth)
    if n < 3:
        expected = np.zeros(n)
        return Trend(expected, allowed, np.abs(d) > allowed, settings.scatter)

    def expect(k, others):
        return float(np.interp(x[k], x[others], d[others]))

    def looked(out):
        kept = [k for k in range(n) if k not in out]
        e = np.array([expect(k, [j for j in kept if j != k]) for k in range(n)])
        return e, np.abs(d - e) > allowed, float(np.sum((d - e)[kept] ** 2))

    e, off, _ = looked(())
    if not off.any():
        return Trend(e, allowed, off, settings.scatter)
    tried = [(looked((k,)), k) for k in range(n)]
    (e, off, _), k = min(tried, key=lambda t: t[0][2])
    uneven = bool(np.any(off & ~_without(n, (k,))))
    return Trend(e, allowed, off if uneven else off & _without(n, (k,)), settings.scatter, uneven)
