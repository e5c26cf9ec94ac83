# SPDX-License-Identifier: LGPL-2.1-or-later
"""Results kept by what they were made from, so that a recompute repeats no upstream work.

A key is a digest of the content (poles, knots, numbers, texts), never of a name or an
identity: a document reopened, a hull copied, a value changed and changed back all find
what was worked out before.
"""

import hashlib
from collections import OrderedDict
from dataclasses import dataclass, fields, is_dataclass
from typing import Any

import numpy as np

__all__ = ["Keyed", "Results", "digest"]


@dataclass(frozen=True)
class Keyed:
    """A result and the digest of everything it was made from."""

    value: Any
    key: str


def digest(*parts):
    """Digest of plain data: arrays, numbers, texts, None, tuples, dicts, dataclasses.

    Returns
    -------
    str
    """
    state = hashlib.sha256()
    for part in parts:
        _feed(state, part)
    return state.hexdigest()


def _feed(state, part):
    """Add one part, each with its kind so that unlike parts cannot run together."""
    if isinstance(part, np.ndarray):
        state.update(f"array{part.dtype.str}{part.shape}".encode())
        state.update(np.ascontiguousarray(part).tobytes())
    elif part is None or isinstance(part, (bool, int, float, str, np.generic)):
        state.update(f"{type(part).__name__}:{part!r};".encode())
    elif isinstance(part, (list, tuple)):
        state.update(f"list{len(part)}".encode())
        for item in part:
            _feed(state, item)
    elif isinstance(part, dict):
        _feed(state, sorted(part.items()))
    elif is_dataclass(part):
        state.update(type(part).__name__.encode())
        for field in fields(part):
            _feed(state, getattr(part, field.name))
    else:
        raise TypeError(f"cannot digest a {type(part).__name__}")


class Results:
    """The last few results, by key.

    Parameters
    ----------
    size : int
        How many are kept; the one longest unused goes first.
    """

    def __init__(self, size=24):
        self._size = size
        self._kept = OrderedDict()

    def get(self, key, make):
        """The result of a key, made when it is not there.

        Parameters
        ----------
        key : str
        make : callable without arguments
            What it raises is passed on, and nothing is kept.
        """
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        value = make()
        self._kept[key] = value
        while len(self._kept) > self._size:
            self._kept.popitem(last=False)
        return value

    def clear(self):
        """Forget everything."""
        self._kept.clear()
