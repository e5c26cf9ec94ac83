# SPDX-License-Identifier: LGPL-2.1-or-later
"""The line-off: seams and strakes from the sheer down to the rabbet."""

import math

import Part

from ..core.errors import PlanError
from ..core.lineoff.belts import EqualBelt, ParallelBelt
from ..core.lineoff.figures import line_off_figures
from ..core.lineoff.lineoff import line_off
from ..core.lineoff.nibs import nib_curves
from ..core.lineoff.stealers import line_off_with_stealers
from ..core.tables.nibs import nib_table
from ..host import shapes
from ..host.cache import Keyed, Results, digest
from .base import READ_ONLY, PlanObject, Property, set_value
from .belt import belt_of, line_object_of
from .line import is_line, line_of, surface_object_of_line
from .nibs import NIB_PROPERTIES, nibs_of
from .planked_surface import are_stations_given, stations_of, surface_of

__all__ = ["LineOffObject", "belts_of", "lineoff_of", "nib_splines", "seam_splines", "surface_object_of"]

_lineoffs = Results(8)
_splines = Results(8)


class LineOffObject(PlanObject):
    """Proxy of a line-off."""

    KIND = "LineOff"
    CHOICES = ("Belts",)
    PROPERTIES = (
        Property("App::PropertyLinkList", "Belts", "Belts",
                 "Belts from the sheer down, each with its own rule; none: the properties below it here"),
        Property("App::PropertyLink", "Line", "Belts",
                 "Line between the equal strakes and what lies below"),
        Property("App::PropertyInteger", "Strakes", "Belts",
                 "Number of equal strakes between the sheer and the line", 12),
        Property("App::PropertyBool", "ParallelBelt", "Belts",
                 "Below the line, strakes of one width parallel to it down to the rabbet", True),
        Property("App::PropertyLength", "ParallelWidth", "Belts",
                 "Width of the strakes below the line; 0: that of the equal strakes amidships"),
        Property("App::PropertyLength", "NarrowestStrake", "Nibs",
                 "Narrowest breadth of a strake: narrower ones end in nibs, and one plank takes over from two; "
                 "0: all strakes go on to the end of the hull"),
        *NIB_PROPERTIES,
        Property("App::PropertyInteger", "StrakeCount", "Found",
                 "Number of strakes, from the sheer to the garboard", 0, READ_ONLY),
        Property("App::PropertyLength", "FoundParallelWidth", "Found",
                 "Width of the strakes below the line, square to it", None, READ_ONLY),
        Property("App::PropertyStringList", "FoundBelts", "Found", "The belts from the sheer down", [], READ_ONLY),
        Property("App::PropertyStringList", "FoundNibs", "Found", "Strakes that end in nibs", [], READ_ONLY),
        Property("App::PropertyLength", "LeastBreadth", "Found",
                 "Least breadth of a strake square to its middle line; garboard and points on the rabbet left out",
                 None, READ_ONLY),
        Property("App::PropertyLength", "GarboardWidth", "Found",
                 "Greatest breadth of the garboard", None, READ_ONLY),
        Property("App::PropertyStringList", "RunOuts", "Found",
                 "Strakes that run out to a point on the rabbet, and at what angle", [], READ_ONLY),
        Property("App::PropertyStringList", "Notes", "Found",
                 "What was found and assumed, and what to look at", [], READ_ONLY),
    )  # fmt: skip

    def needless(self, obj):
        return ("Line", "Strakes", "ParallelBelt", "ParallelWidth") if obj.Belts else ()

    def build(self, obj):
        splines = [*seam_splines(obj).value, *nib_splines(obj).value]
        found = _found(obj).value
        lineoff = found.lineoff
        figures = line_off_figures(lineoff)
        obj.Shape = Part.Compound([shapes.wire_of(piece) for piece in splines])
        set_value(obj, "StrakeCount", len(lineoff.strakes))
        set_value(obj, "FoundParallelWidth", lineoff.parallel_width or 0.0)
        set_value(obj, "FoundBelts", _belt_words(lineoff))
        set_value(obj, "FoundNibs", [row.words for row in nib_table(lineoff)])
        set_value(obj, "LeastBreadth", figures.least.value if figures.least else 0.0)
        set_value(obj, "GarboardWidth", figures.garboard.value)
        set_value(obj, "RunOuts", [_run_out_words(r) for r in figures.run_outs])
        set_value(obj, "Notes", [*lineoff.notes, *found.notes, *figures.notes(obj.NarrowestStrake.Value)])


def surface_object_of(obj):
    """The planked surface's document object that a line-off lies on."""
    return surface_object_of_line(_line(obj))


def _line(obj):
    """A line's document object (or a planked surface) that tells which hull is lined off."""
    lines = [line for line in map(line_object_of, obj.Belts) if line is not None]
    if lines:
        return lines[0]
    if obj.Line is None:
        what = "none of its belts has a line, and it has no line itself" if obj.Belts else "has no line"
        raise PlanError(
            f"{obj.Label}: {what}" if obj.Belts else f"{obj.Label} {what}",
            remedy="Set its property Line to a line from stem to stern, such as a taut line",
        )
    return obj.Line


def belts_of(obj):
    """The core's belts of a line-off.

    Returns
    -------
    Keyed of tuple

    Raises
    ------
    PlanError
    """
    if obj.Belts:
        belts = [belt_of(one) for one in obj.Belts]
        surface = surface_object_of(obj)
        for one in obj.Belts:
            line = line_object_of(one)
            if line is not None and surface_object_of_line(line) is not surface:
                raise PlanError(
                    f"{obj.Label}: the line of {one.Label} lies on another hull than {surface.Label}",
                    remedy="Choose lines of one planked surface",
                )
        return Keyed(tuple(belt.value for belt in belts), digest("belts", [belt.key for belt in belts]))
    line = _line(obj)
    if not is_line(line):
        raise PlanError(
            f"{obj.Label} has no line to end its strakes at", remedy="Set its property Line to a line from stem to stern"
        )
    line = line_of(line)
    width = obj.ParallelWidth.Value or None
    belts = [EqualBelt(obj.Strakes, lower=line.value)]
    if obj.ParallelBelt:
        belts.append(ParallelBelt(width))
    return Keyed(tuple(belts), digest(line.key, obj.Strakes, obj.ParallelBelt, width))


class _Found:
    """A line-off, and what is told of its nibs."""

    def __init__(self, lineoff, notes=()):
        self.lineoff, self.notes = lineoff, tuple(notes)


def _found(obj):
    belts = belts_of(obj)
    surface = surface_object_of(obj)
    hull = surface_of(surface)
    nibs = nibs_of(obj, lambda: stations_of(surface))
    narrowest = obj.NarrowestStrake.Value
    # nibs stand at the stations where any are given, anywhere otherwise
    stations = stations_of(surface) if narrowest and are_stations_given(surface) else ()
    places = [(s.name, s.x) for s in stations]
    key = digest(hull.key, belts.key, nibs, narrowest, places)

    def make():
        if not narrowest:
            return _Found(line_off(hull.value, belts.value, nibs=nibs))
        found = line_off_with_stealers(hull.value, belts.value, narrowest, stations, nibs=nibs)
        return _Found(found.lineoff, found.notes)

    return Keyed(_lineoffs.get(key, make), key)


def lineoff_of(obj):
    """The core's line-off of a document object.

    Parameters
    ----------
    obj : document object with a LineOffObject

    Returns
    -------
    Keyed of LineOff

    Raises
    ------
    PlanError
    """
    found = _found(obj)
    return Keyed(found.value.lineoff, found.key)


def seam_splines(obj):
    """Splines of all seams, in model coordinates: one list for each part of a seam.

    Returns
    -------
    Keyed of list of list of SplineCurve
    """
    lineoff = lineoff_of(obj)
    frame = lineoff.value.hull.frame
    key = digest(lineoff.key, "seams")

    def make():
        return [
            shapes.fit_curve(part.curve, frame)
            for seam in lineoff.value.seams
            for part in seam.parts
        ]

    return Keyed(_splines.get(key, make), key)


def nib_splines(obj):
    """Splines of all nibs, in model coordinates: one list for each.

    Returns
    -------
    Keyed of list of list of SplineCurve
    """
    lineoff = lineoff_of(obj)
    frame = lineoff.value.hull.frame
    key = digest(lineoff.key, "nibs")

    def make():
        return [shapes.fit_curve(curve, frame) for curve in nib_curves(lineoff.value)]

    return Keyed(_splines.get(key, make), key)


# --- words ------------------------------------------------------------------------------
def _belt_words(lineoff):
    """A line for each belt, from the sheer down."""
    words = []
    first = 1
    for belt in lineoff.belts:
        count = belt.count if belt.count is not None else len(lineoff.strakes) - first + 1
        numbers = f"Strake {first}" if count == 1 else f"Strakes {first} to {first + count - 1}"
        text = f"{numbers}: {belt.rule}"
        if isinstance(belt, ParallelBelt):
            width = belt.width if belt.width is not None else lineoff.parallel_width
            text += f", {width:.1f} mm" + ("" if belt.count is not None else ", the last of them the garboard")
        lower = getattr(belt, "lower", None)
        words.append(text + (f", down to the {lower.kind.lower()}" if lower is not None else ""))
        first += count
    if first == len(lineoff.strakes):
        words.append(f"Strake {first}: garboard")
    return words


def _run_out_words(r):
    part = f" part {r.part}" if r.part else ""
    return (
        f"Strake {r.strake}{part} runs out on the rabbet towards the {r.end} at {r.position:.0f} mm, "
        f"at an angle of {math.degrees(r.angle):.1f} degrees"
    )
