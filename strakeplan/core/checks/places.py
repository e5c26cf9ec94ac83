# SPDX-License-Identifier: LGPL-2.1-or-later
"""Figures along strakes, and where they are worst."""

from typing import NamedTuple

import numpy as np

__all__ = ["Along", "greatest", "least", "slopes"]


class Along(NamedTuple):
    """A figure at every place of every strake, and its worst.

    Attributes
    ----------
    value : (m, n)
        In the unit its check states.
    worst : (m,)
        The worst one; nan where there is none.
    index : (m,) int
        Its place on the strake.
    """

    value: np.ndarray
    worst: np.ndarray
    index: np.ndarray


def greatest(value, where=None):
    """The greatest figure on every strake.

    Parameters
    ----------
    value : (m, n), nan for none
    where : (m, n) bool, optional
        Places that count.

    Returns
    -------
    Along
    """
    return _worst(value, where, 1.0)


def least(value, where=None):
    """The least figure on every strake; see `greatest`."""
    return _worst(value, where, -1.0)


def _worst(value, where, sign):
    counts = np.isfinite(value) if where is None else np.isfinite(value) & where
    index = np.argmax(np.where(counts, sign * value, -np.inf), axis=-1)
    pick = index[..., None]
    found = np.take_along_axis(value, pick, -1)[..., 0]
    return Along(value, np.where(np.take_along_axis(counts, pick, -1)[..., 0], found, np.nan), index)


def slopes(f, s):
    """Slope of equally spaced samples: fourth order inside, second towards the ends.

    Parameters
    ----------
    f : (..., n), n >= 5
    s : (..., n) equally spaced

    Returns
    -------
    (..., n)
    """
    h = (s[..., 1] - s[..., 0])[..., None]
    d = np.empty(f.shape)
    d[..., 2:-2] = (8.0 * (f[..., 3:-1] - f[..., 1:-3]) - f[..., 4:] + f[..., :-4]) / 12.0
    d[..., 1] = 0.5 * (f[..., 2] - f[..., 0])
    d[..., -2] = 0.5 * (f[..., -1] - f[..., -3])
    d[..., 0] = -1.5 * f[..., 0] + 2.0 * f[..., 1] - 0.5 * f[..., 2]
    d[..., -1] = 1.5 * f[..., -1] - 2.0 * f[..., -2] + 0.5 * f[..., -3]
    return d / h
