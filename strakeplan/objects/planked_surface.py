# SPDX-License-Identifier: LGPL-2.1-or-later
"""The planked surface: one side of a hull with its sheer, stem, rabbet and stern."""

import Part

from ..core.edges import EDGES
from ..core.errors import PlanError
from ..core.stations import stations_at, stations_spaced
from ..core.surface import SurfaceSettings, planked_surface
from ..host import shapes
from ..host.cache import Keyed, Results, digest
from ..host.faces import patch_from_face
from ..host.files import face_of_object
from .base import READ_ONLY, PlanObject, Property, set_value

__all__ = ["PlankedSurfaceObject", "are_stations_given", "surface_of", "stations_of", "FOUND"]

#: value of an override that is not set
FOUND = "Found"

_hulls = Results()

_HULL, _SIDING, _STATIONS, _OVERRIDE, _FOUND = (
    "Hull",
    "Half siding",
    "Stations",
    "Overrides",
    "Found",
)


class PlankedSurfaceObject(PlanObject):
    """Proxy of a planked surface."""

    KIND = "PlankedSurface"
    PROPERTIES = (
        Property("App::PropertyLinkSubGlobal", "Hull", _HULL,
                 "Object, and face of it, that is one side of the hull"),
        Property("App::PropertyLength", "HalfSiding", _SIDING,
                 "Half the siding of stem, keel and sternpost: the planks end where the hull is this wide"),
        Property("App::PropertyBool", "SeparateSidings", _SIDING,
                 "Stem, keel and sternpost have half sidings of their own", False),
        Property("App::PropertyLength", "HalfSidingStem", _SIDING, "Half siding of the stem"),
        Property("App::PropertyLength", "HalfSidingKeel", _SIDING, "Half siding of the keel"),
        Property("App::PropertyLength", "HalfSidingPost", _SIDING, "Half siding of the sternpost"),
        Property("App::PropertyLength", "StationSpacing", _STATIONS,
                 "Distance between stations, where no positions are given; 0: a tenth of the length"),
        Property("App::PropertyFloatList", "StationPositions", _STATIONS,
                 "Coordinates of the stations along the ship, mm"),
        Property("App::PropertyStringList", "StationNames", _STATIONS,
                 "Names of the stations, as many as positions; 1, 2, 3 where there are none"),
        Property("App::PropertyBool", "HalfStations", _STATIONS,
                 "Also half-way between the stations", False),
        Property("App::PropertyString", "Up", _OVERRIDE,
                 "Direction that is up, such as Z, -Y or 0, 0, 1; empty: Z"),
        Property("App::PropertyString", "Forward", _OVERRIDE,
                 "Direction from stern to bow, such as X or -X; empty: found"),
        Property("App::PropertyDistance", "Centreplane", _OVERRIDE,
                 "Transverse coordinate of the centreplane"),
        Property("App::PropertyEnumeration", "SheerEdge", _OVERRIDE,
                 "Edge of the face that is the sheer: where u or v is lowest (0) or highest (1)",
                 [FOUND, *EDGES]),
        Property("App::PropertyEnumeration", "StemEdge", _OVERRIDE,
                 "Edge of the face that is the stem: where u or v is lowest (0) or highest (1)",
                 [FOUND, *EDGES]),
        Property("App::PropertyString", "Side", _FOUND, "Side of the ship that is modelled", "", READ_ONLY),
        Property("App::PropertyStringList", "Notes", _FOUND, "What was found and assumed", [], READ_ONLY),
        Property("App::PropertyLength", "SheerLength", _FOUND, "Length of the sheer", None, READ_ONLY),
        Property("App::PropertyLength", "StemLength", _FOUND,
                 "Girth of the stem edge, from the sheer down", None, READ_ONLY),
        Property("App::PropertyLength", "SternLength", _FOUND,
                 "Girth of the stern edge, from the sheer down", None, READ_ONLY),
    )  # fmt: skip

    def build(self, obj):
        hull = surface_of(obj).value
        stations_of(obj)  # so that stations off the hull are refused here, not downstream
        stem = hull.boundary.between(0.0, hull.s_stem_end)
        rabbet = hull.boundary.between(hull.s_stem_end, hull.s_stern_start)
        stern = hull.boundary.between(hull.s_stern_start, hull.boundary.length)
        obj.Shape = Part.Compound(
            [
                shapes.wire_of(shapes.fit_curve(curve, hull.frame))
                for curve in (hull.sheer, stem, rabbet, stern)
            ]
        )
        set_value(obj, "Side", hull.frame.side)
        set_value(obj, "Notes", list(hull.notes))
        set_value(obj, "SheerLength", hull.sheer.length)
        set_value(obj, "StemLength", hull.stem_length)
        set_value(obj, "SternLength", hull.stern_length)


def surface_of(obj):
    """The core's planked surface of a document object.

    Parameters
    ----------
    obj : document object with a PlankedSurfaceObject

    Returns
    -------
    Keyed of PlankedSurface

    Raises
    ------
    PlanError
    """
    if obj.Hull is None:
        raise PlanError(
            f"{obj.Label} has no hull",
            remedy="Set its property Hull to the object that is one side of the hull",
        )
    source, subs = obj.Hull
    subs = [s for s in subs if s]
    if len(subs) > 1:
        raise PlanError(
            f"{obj.Label} has {len(subs)} faces as its hull", remedy="Choose one face"
        )
    patch = patch_from_face(face_of_object(source, subs[0] if subs else ""), source.Label)
    settings = SurfaceSettings(
        up=_direction(obj.Up),
        forward=_direction(obj.Forward),
        centreplane=obj.Centreplane.Value or None,
        sheer_edge=None if obj.SheerEdge == FOUND else obj.SheerEdge,
        stem_edge=None if obj.StemEdge == FOUND else obj.StemEdge,
        name=source.Label,
        **_sidings(obj),
    )
    key = digest(patch, settings)
    return Keyed(_hulls.get(key, lambda: planked_surface(patch, settings)), key)


def _sidings(obj):
    """The half sidings as settings."""
    if not obj.SeparateSidings:
        return {"half_siding": obj.HalfSiding.Value}
    return {
        "half_siding_stem": obj.HalfSidingStem.Value,
        "half_siding_keel": obj.HalfSidingKeel.Value,
        "half_siding_post": obj.HalfSidingPost.Value,
    }


def _direction(text):
    """A direction as the core takes it: None, a name, or three numbers."""
    text = text.strip()
    if not text:
        return None
    parts = text.strip("()[]").replace(";", ",").split(",")
    if len(parts) == 1:
        return text
    try:
        return tuple(float(p) for p in parts)
    except ValueError:
        return text  # the core's message names it


def are_stations_given(obj):
    """Whether the user has said where the stations of a planked surface stand."""
    return bool(obj.StationPositions) or obj.StationSpacing.Value > 0.0


def stations_of(obj):
    """The stations of a planked surface's document object.

    Returns
    -------
    tuple of Station
    """
    hull = surface_of(obj).value
    positions, names = list(obj.StationPositions), list(obj.StationNames)
    if not positions:
        first, last = hull.x_range
        spacing = obj.StationSpacing.Value or (last - first) / 10.0
        return stations_spaced(hull, spacing, half=obj.HalfStations)
    if names and len(names) != len(positions):
        raise PlanError(
            f"{obj.Label} has {len(names)} names for {len(positions)} stations",
            remedy="Give as many names as positions, or no names",
        )
    entries = list(zip(names, positions)) if names else positions
    return stations_at(hull, entries, half=obj.HalfStations)
