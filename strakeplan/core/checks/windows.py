# SPDX-License-Identifier: LGPL-2.1-or-later
"""Stretches of strakes as long as a plank, read from samples."""

import numpy as np

from ..develop import integrated

__all__ = ["between", "even_widths", "mean_over_planks", "over_planks", "stretch", "stubs"]


def between(f, s, at):
    """Samples at any arc lengths, by the cubic through the four places about them.

    Parameters
    ----------
    f : (..., m, n), n >= 4
    s : (m, n) mm, equally spaced from 0
    at : (m, k) mm

    Returns
    -------
    (..., m, k)
    """
    m, n = s.shape
    x = at / s[:, 1][:, None]
    i = np.clip(x.astype(np.intp) - 1, 0, n - 4)
    x = x - i
    i += n * np.arange(m)[:, None]
    f = f.reshape(*f.shape[:-2], m * n)
    # Lagrange's cubic at 0, 1, 2, 3
    a, b, c = x - 1.0, x - 2.0, x - 3.0
    low, high = b * c, x * a
    out = np.take(f, i, axis=-1) * (low * a * (-1.0 / 6.0))
    for k, weight in ((1, 0.5 * low * x), (2, -0.5 * high * c), (3, high * b * (1.0 / 6.0))):
        out += np.take(f, i + k, axis=-1) * weight
    return out


def over_planks(f, s, plank_length):
    """Integral of samples over the plank centred at every place, moved inside the strake's ends.

    Parameters
    ----------
    f : (..., m, n)
    s : (m, n) mm
    plank_length : float or (m,)

    Returns
    -------
    (..., m, n)
    """
    start, window = _planks(s, plank_length)
    total = integrated(f, s[:, 1] - s[:, 0])
    ends = between(total, s, np.concatenate([start, start + window], axis=1))
    return ends[..., s.shape[1] :] - ends[..., : s.shape[1]]


def mean_over_planks(f, s, plank_length):
    """Mean of samples over those planks; see `over_planks`."""
    return over_planks(f, s, plank_length) / np.minimum(plank_length, s[:, -1])[:, None]


def _planks(s, plank_length):
    """Where the plank centred at every place starts (m, n), and its length (m, 1)."""
    window = np.minimum(plank_length, s[:, -1])[:, None]
    return np.clip(s - 0.5 * window, 0.0, s[:, -1:] - window), window


# Gauss's rule of three places for the weight 12 min(x, 1 - x)^2 on [0, 1]: its moments about the
# middle are 1, 1/40 and 1/560
_FROM_MIDDLE = np.sqrt(40.0 / 560.0)
_OUTER = 560.0 / 40.0**2 / 2.0


def even_widths(w, s, plank_length, least):
    """Width of the even beam that bends as far as the plank centred at every place.

    One clamp at mid-length between two ends that are free to turn moves the middle by
    P / E times the integral of (x / 2)^2 / I (by energy; Castigliano's theorem), so that the
    inverse of I counts with the weight 12 min(x, 1 - x)^2: a tapered plank is about as stiff as
    one of its width near the middle, not as one of its mean width. Exact where 1 / w^3 is a
    polynomial of degree 5 along the plank.

    Parameters
    ----------
    w : (m, n) mm
    s : (m, n) mm, equally spaced from 0
    plank_length : float or (m,)
    least : float
        mm: narrower than that no plank bears at its ends.

    Returns
    -------
    (m, n) mm
    """
    start, window = _planks(s, plank_length)
    n = s.shape[1]
    at = [start + share * window for share in (0.5 - _FROM_MIDDLE, 0.5, 0.5 + _FROM_MIDDLE)]
    soft = np.maximum(between(w, s, np.concatenate(at, axis=1)), least) ** -3.0
    fore, middle, aft = soft[:, :n], soft[:, n : 2 * n], soft[:, 2 * n :]
    return np.cbrt(1.0 / (_OUTER * (fore + aft) + (1.0 - 2.0 * _OUTER) * middle))


def stubs(strakes, plank_length):
    """Which runs (m,) are short pieces, less than half a plank, of planks that go on.

    Their edges are those of a plank cut by the rabbet or a nib: what one of them asks by itself,
    as if it were a plank, says nothing of the plank that it is part of.
    """
    if strakes.runs is None:
        return np.zeros(len(strakes.number), bool)
    return ~np.asarray(strakes.runs.whole, bool) & (strakes.s[:, -1] < 0.5 * np.asarray(plank_length))


def stretch(s, middle, plank_length, places):
    """Arc lengths (m, places), equally spaced, over one plank of every strake.

    Parameters
    ----------
    s : (m, n) mm
    middle : (m,) arc length of its middle, mm
    plank_length : float or (m,)
    places : int
    """
    window = np.minimum(plank_length, s[:, -1])
    start = np.clip(middle - 0.5 * window, 0.0, s[:, -1] - window)
    return start[:, None] + window[:, None] * np.linspace(0.0, 1.0, places)
