# SPDX-License-Identifier: LGPL-2.1-or-later
"""Stretches of strakes as long as a plank, read from samples."""

import numpy as np

from ..develop import integrated

__all__ = ["between", "mean_over_planks", "over_planks", "stretch"]


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
    window = np.minimum(plank_length, s[:, -1])[:, None]
    start = np.clip(s - 0.5 * window, 0.0, s[:, -1:] - window)
    total = integrated(f, s[:, 1] - s[:, 0])
    ends = between(total, s, np.concatenate([start, start + window], axis=1))
    return ends[..., s.shape[1] :] - ends[..., : s.shape[1]]


def mean_over_planks(f, s, plank_length):
    """Mean of samples over those planks; see `over_planks`."""
    return over_planks(f, s, plank_length) / np.minimum(plank_length, s[:, -1])[:, None]


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
