# SPDX-License-Identifier: LGPL-2.1-or-later
"""Roots of many bracketed functions at once."""

import numpy as np

__all__ = ["bracketed_roots"]


def bracketed_roots(function, a, b, fa, fb, iterations=80, done=4e-15):
    """Illinois variant of false position, vectorised.

    Parameters
    ----------
    function : callable
        (n,) -> (n,) values; every entry its own function.
    a, b : (n,) brackets
    fa, fb : (n,) values there, of opposite sign or one of them nothing
    iterations : int
    done : float
        Largest relative change of a root that ends the iteration.

    Returns
    -------
    (n,) roots

    References
    ----------
    M. Dowell and P. Jarratt, "A modified regula falsi method for computing the root of an
    equation", *BIT* 11 (1971).
    """
    a, b, fa, fb = (np.array(z, float) for z in (a, b, fa, fb))
    root = np.where(np.abs(fa) <= np.abs(fb), a, b)
    kept = np.zeros(len(a), int)  # which end the last step kept: -1 a, +1 b
    for _ in range(iterations):
        last = root
        with np.errstate(divide="ignore", invalid="ignore"):
            root = b - fb * (b - a) / (fb - fa)
        inside = (root >= np.minimum(a, b)) & (root <= np.maximum(a, b))
        root = np.where(inside, root, 0.5 * (a + b))
        f = function(root)
        up = (f >= 0.0) == (fa >= 0.0)  # the root lies between `root` and b
        fb = np.where(up & (kept == 1), 0.5 * fb, np.where(up, fb, f))
        fa = np.where(~up & (kept == -1), 0.5 * fa, np.where(up, f, fa))
        a, b = np.where(up, root, a), np.where(up, b, root)
        kept = np.where(up, 1, -1)
        if np.all((f == 0.0) | (np.abs(root - last) <= done * (1.0 + np.abs(root)))):
            break
    return root
