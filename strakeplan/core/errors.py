# SPDX-License-Identifier: LGPL-2.1-or-later
"""The one exception that the user is meant to read."""

__all__ = ["PlanError"]


class PlanError(ValueError):
    """Something the user can mend: what is wrong, where on the hull, and what to do.

    Parameters
    ----------
    what : str
        The fault, naming the object.
    where : str
        Place on the hull: strake, station, side, distance along an edge.
    remedy : str
        What the user should change.
    """

    def __init__(self, what, where="", remedy=""):
        self.what = what
        self.where = where
        self.remedy = remedy
        parts = (what, where, remedy)
        super().__init__(" ".join(_sentence(p, k > 0) for k, p in enumerate(parts) if p))


def _sentence(text, capital):
    """The first part begins with the object's name, which stays as the user wrote it."""
    text = text.strip().rstrip(".")
    return (text[:1].upper() + text[1:] if capital else text) + "."
