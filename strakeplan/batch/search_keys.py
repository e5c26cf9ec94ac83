# SPDX-License-Identifier: LGPL-2.1-or-later
"""From a recipe's [search] to the bounds of the core's search."""

from ..core.errors import PlanError
from ..core.search.space import Space

__all__ = ["space_of"]


def space_of(keys, path):
    """The core's bounds of a recipe's search.

    Parameters
    ----------
    keys : dict
        Of [search].
    path : str
        The recipe's.

    Returns
    -------
    Space

    Raises
    ------
    PlanError
    """
    where, bounds = f"In [search] of {path}", {}
    for name, key in (("bow", "stem"), ("stern", "stern")):
        if keys[key] is not None:
            if len(keys[key]) != 2:
                raise PlanError(f"{key} has {len(keys[key])} numbers", where, "Give two, the less first")
            bounds[name] = tuple(keys[key])
    try:
        return Space(
            counts=(keys["fewest"], keys["most"]), easing=keys["easing"], stealers=keys["stealers"],
            spiling=keys["spiling"], parallel_width=keys["parallel_width"], **bounds,
        )  # fmt: skip
    except PlanError as fault:
        raise PlanError(fault.what, f"{where}{', ' + fault.where if fault.where else ''}", fault.remedy) from None
