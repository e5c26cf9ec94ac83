# SPDX-License-Identifier: LGPL-2.1-or-later
"""Nibs set by hand, as properties of a line-off: one list for each figure of theirs."""

import re

import FreeCAD

from ..core.errors import PlanError
from ..core.lineoff.nibs import Nib, check_nibs
from .base import Property

__all__ = ["BOW", "NIB_NAMES", "NIB_PROPERTIES", "STERN", "nibs_of"]

#: towards which end of the hull a strake ends in a nib
BOW, STERN = "Bow", "Stern"

NIB_PROPERTIES = (
    Property("App::PropertyIntegerList", "NibStrakes", "Nibs",
             "Strakes, counted from the sheer down, that end in nibs; the strake above each takes over its breadth"),
    Property("App::PropertyStringList", "NibEnds", "Nibs", f"Towards which end each of them ends: {BOW} or {STERN}"),
    Property("App::PropertyStringList", "NibStations", "Nibs",
             "Where each nib stands: a coordinate along the ship such as 1500 mm, or a station such as "
             "station 3; empty below the divided belts: where the strake is as broad as the nib is deep"),
    Property("App::PropertyFloatList", "NibDepths", "Nibs",
             "Breadth of each strake at its nib, mm; 0: what the fair seams leave there"),
)  # fmt: skip

NIB_NAMES = tuple(p.name for p in NIB_PROPERTIES)


def nibs_of(obj, stations):
    """The core's nibs that are set by hand.

    Parameters
    ----------
    obj : document object with `NIB_PROPERTIES`
    stations : callable
        () -> tuple of Station; called only where a nib stands at one.

    Returns
    -------
    tuple of Nib

    Raises
    ------
    PlanError
    """
    strakes, ends, places, depths = (list(getattr(obj, name)) for name in NIB_NAMES)
    if not len(strakes) == len(ends) == len(places) == len(depths):
        raise PlanError(
            f"There are {len(strakes)} strakes that end in nibs, {len(ends)} ends, {len(places)} stations and "
            f"{len(depths)} depths for them",
            remedy="Give one of each for every nib; an empty station and a depth of 0 stand for none",
        )
    nibs = []
    for strake, end, place, depth in zip(strakes, ends, places, depths):
        plain = end.strip().lower()
        if plain not in (BOW.lower(), STERN.lower()):
            raise PlanError(
                f"The nib of strake {strake} is at {end!r}", remedy=f"Write {BOW} or {STERN}"
            )
        where = f"strake {strake} at the {plain}"
        nibs.append(Nib(int(strake), plain, _position(place, where, stations), depth if depth else None))
    check_nibs(nibs)
    return tuple(nibs)


def _position(text, where, stations):
    """Model coordinate along the ship of a nib, or None."""
    text = text.strip()
    if not text:
        return None
    named = re.fullmatch(r"(?:station|stn|st)\b\.?\s*(.+)", text, flags=re.IGNORECASE)
    if named:
        name = named.group(1).strip()
        known = {s.name: s.x for s in stations()}
        if name not in known:
            raise PlanError(
                f"There is no station {name!r} for a nib", where, "Known are: " + ", ".join(known)
            )
        return float(known[name])
    try:
        return float(text)
    except ValueError:
        try:
            return float(FreeCAD.Units.Quantity(text).getValueAs("mm"))
        except Exception:  # the host raises differently from version to version
            raise PlanError(
                f"{text!r} is no place for a nib", where, "Write such as 1500 mm, or station 3"
            ) from None
