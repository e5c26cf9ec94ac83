# SPDX-License-Identifier: LGPL-2.1-or-later
"""Trial plank: a straight plank tried on the hull, with what it takes to get it home."""

import numpy as np

from ..core.errors import PlanError
from ..core.wood.course import course_of_line, course_of_strake
from ..core.wood.trial import LIMITED, TrialPlank, try_plank
from ..core.wood.words import trial_text
from ..host.cache import Keyed, Results, digest
from ..host.solids import straight_plank
from .base import HIDDEN, READ_ONLY, PlanObject, Property, kind_of, set_value
from .job import LIMITS, limit_properties, limits_among
from .line import is_line, line_or_sheer_of, surface_object_of_line
from .line_off import LineOffObject, lineoff_of
from .members import add_member, members_of
from .planked_surface import PlankedSurfaceObject, surface_of
from .wood_choice import WOOD_PROPERTIES, wood_of

__all__ = ["AT_POSITION", "TRIAL_LIMITS", "TrialPlankObject", "WORST", "can_be_tried_on", "trial_of", "trial_text_of"]

#: where the plank's middle lies
WORST, AT_POSITION = "Where it wants most edge set", "At a position"

#: those of LIMITS that a plank on trial is held to
TRIAL_LIMITS = tuple(limited for limited in LIMITS if limited.field in LIMITED)

_NEWTON = 1000.0  # the host counts forces in kg mm/s^2
_SPACING = 50.0  # mm between places at which the plank is shown on the hull
_courses = Results(8)
_trials = Results(16)


def _found(type_, name, doc):
    return Property(f"App::Property{type_}", name, "Found", doc, [] if type_ == "StringList" else None, READ_ONLY)


class TrialPlankObject(PlanObject):
    """Proxy of a trial plank."""

    KIND = "TrialPlank"
    CHOICES = ("On", "PlacedBy")
    PROPERTIES = (
        Property("App::PropertyLink", "On", "Place",
                 "Line that it is tried on, a planked surface for its sheer, or a line-off for one of its strakes"),
        Property("App::PropertyInteger", "Strake", "Place", "Strake of the line-off, counted from the sheer", 1),
        Property("App::PropertyInteger", "Part", "Place",
                 "Part of a strake that is cut by the rabbet, from the bow; 0: the strake is in one piece", 0),
        Property("App::PropertyEnumeration", "PlacedBy", "Place", "Where the middle of the plank lies",
                 [WORST, AT_POSITION]),
        Property("App::PropertyDistance", "Position", "Place", "Coordinate of its middle along the ship"),
        Property("App::PropertyLength", "Width", "Plank", "Width of the plank, the same all along", 105.0),
        Property("App::PropertyLength", "Thickness", "Plank", "Thickness of the plank, finished", 28.0),
        Property("App::PropertyLength", "PlankLength", "Plank", "Length of the plank", 5000.0),
        Property("App::PropertyLength", "FrameSpacing", "Plank", "Distance of the frames, middle to middle", 350.0),
        Property("App::PropertyBool", "Steamed", "Plank", "Whether it is put on hot", False),
        *WOOD_PROPERTIES,
        *limit_properties(TRIAL_LIMITS),
        _found("StringList", "Verdict", "Whether it goes, and what is too much"),
        _found("Float", "Margin", "Least margin of its figures, a share of the limit; below 0 where a limit is passed"),
        _found("Distance", "MiddleAt", "Coordinate along the ship at which its middle lies"),
        _found("Length", "EdgeSet", "How far it must be sprung edgewise"),
        _found("String", "Towards", "Where its middle goes when it is sprung: sheer or keel; empty where it is not sprung"),
        _found("Force", "OneClamp", "One clamp at mid-length, ends free to turn"),
        _found("FloatList", "ThreeClamps",
               "N: three clamps, at the fore quarter, the middle and the after quarter, ends free to turn; "
               "below 0 where it bears by itself"),
        _found("Force", "PerClamp", "The greatest of the three"),
        _found("Force", "TipForce", "One end fastened, sprung at its tip"),
        _found("Angle", "Roll", "How it rolls, its ends held flat and nothing between; 0 where it flips"),
        _found("Bool", "Flips", "Held at its ends alone it finds no rest"),
        _found("String", "EdgeOff", "Which edge stands off: upper or lower; empty for none"),
        _found("Length", "StandOff", "By how much that edge stands off the frames; 0 where it flips"),
        _found("Force", "HoldDown", "Greatest clamp force at a frame that holds it flat, the other edge bearing"),
        _found("String", "HoldDownEdge", "Which edge it is held down at"),
        _found("Float", "BucklingShare", "Springing force over the force at which it buckles sideways, held at its ends"),
        _found("Float", "BendRatio", "Least radius across the flat over the thickness; 0 where it is straight"),
        _found("Force", "FrameForce", "Greatest force at a frame that bends and twists it home on the flat, cold"),
        _found("Angle", "Twist", "Greatest twist over a metre"),
        _found("Angle", "TwistInAll", "Twist between its ends"),
        _found("Float", "ShareEdgewise", "Share of the breaking strain from springing, at its greatest"),
        _found("Float", "ShareFlatwise", "The same from bending across the flat"),
        _found("Float", "ShareCompound", "The same from double curvature"),
        _found("Float", "ShareCorner", "The same added at the worst corner; bending across the flat is left out where steamed"),
        _found("Float", "ShareShear", "Share of the shear strength, from twist; -1 where the strength is not known"),
        _found("Distance", "Hollow", "Depth of hollow of its inner face; below 0 where the face is round"),
        _found("Length", "Stock", "Thickness of stock that it takes"),
        _found("StringList", "Notes", "What was found and assumed"),
        Property("App::PropertyLinkListHidden", "Members", "Place", "The page to read", None, HIDDEN),
    )  # fmt: skip

    def needless(self, obj):
        names = set() if kind_of(obj.On) == LineOffObject.KIND else {"Strake", "Part"}
        return names if obj.PlacedBy == AT_POSITION else names | {"Position"}

    def build(self, obj):
        trial = trial_of(obj).value
        obj.Shape = _shape(obj, trial)
        page = members_of(obj).get("Report") or add_member(
            obj, "App::TextDocument", "Report", "TrialReport", f"{obj.Label}, report"
        )
        set_value(page, "Text", trial_text_of(obj))
        for name, value in _figures(obj, trial).items():
            set_value(obj, name, value)


def _figures(obj, t):
    """Values of the read-outs."""
    degrees = np.degrees(1.0)
    flips = bool(np.isnan(t.roll))
    return {
        "Verdict": list(t.verdict), "Margin": min((m.margin for m in t.margins if np.isfinite(m.margin)), default=1.0)
        if not flips else -1.0,
        "MiddleAt": _course(obj).value.position(t.middle), "EdgeSet": t.edge_set, "Towards": t.towards,
        "OneClamp": _NEWTON * t.one_clamp, "ThreeClamps": list(t.three_clamps), "PerClamp": _NEWTON * t.per_clamp,
        "TipForce": _NEWTON * t.tip, "Roll": 0.0 if flips else degrees * t.roll, "Flips": flips,
        "EdgeOff": t.edge_off, "StandOff": 0.0 if flips else t.stand_off, "HoldDown": _NEWTON * t.hold_down,
        "HoldDownEdge": t.hold_down_edge, "BucklingShare": t.buckling,
        "BendRatio": t.bend_ratio if np.isfinite(t.bend_ratio) else 0.0, "FrameForce": _NEWTON * t.frame_force,
        "Twist": 1000.0 * degrees * t.twist, "TwistInAll": degrees * t.twist_in_all, "ShareEdgewise": t.edgewise,
        "ShareFlatwise": t.flatwise, "ShareCompound": t.compound, "ShareCorner": t.corner,
        "ShareShear": -1.0 if np.isnan(t.shear) else t.shear, "Hollow": t.hollow, "Stock": t.stock,
        "Notes": _notes(obj, t),
    }  # fmt: skip


def can_be_tried_on(obj):
    """Whether a plank can be tried on a document object."""
    return is_line(obj) or kind_of(obj) in (PlankedSurfaceObject.KIND, LineOffObject.KIND)


def _course(obj):
    """Keyed of the Course under a document object."""
    on = obj.On
    if on is None or not can_be_tried_on(on):
        raise PlanError(
            f"{obj.Label} lies on nothing that a plank can be tried on" + (f": {on.Label}" if on is not None else ""),
            remedy="Set its property On to a line on the hull, to a planked surface for its sheer, or to a line-off",
        )
    if kind_of(on) == LineOffObject.KIND:
        found = lineoff_of(on)
        key = digest(found.key, "strake", obj.Strake, obj.Part)
        return Keyed(_courses.get(key, lambda: course_of_strake(found.value, obj.Strake, obj.Part)), key)
    hull, line = surface_of(surface_object_of_line(on)), line_or_sheer_of(on)
    where = f"{on.Label}, sheer" if kind_of(on) == PlankedSurfaceObject.KIND else on.Label
    key = digest(hull.key, line.key, where)
    return Keyed(_courses.get(key, lambda: course_of_line(hull.value, line.value.curve, where)), key)


def trial_of(obj):
    """The core's trial of a document object.

    Returns
    -------
    Keyed of Trial

    Raises
    ------
    PlanError
    """
    course, limits = _course(obj), limits_among(obj, TRIAL_LIMITS)
    plank = TrialPlank(
        obj.Width.Value, obj.Thickness.Value, obj.PlankLength.Value, wood_of(obj), obj.FrameSpacing.Value, bool(obj.Steamed)
    )
    position = obj.Position.Value if obj.PlacedBy == AT_POSITION else None
    key = digest(course.key, plank, limits, position)

    def make():
        middle = None if position is None else course.value.at_position(position)
        return try_plank(plank, course.value.place, middle, limits)

    return Keyed(_trials.get(key, make), key)


def _notes(obj, trial):
    """Where the plank lies, in a sentence or two."""
    at = _course(obj).value.position(trial.middle)
    notes = [f"Its middle lies at {at:.0f} mm along the ship."]
    asked = obj.Position.Value
    if obj.PlacedBy == AT_POSITION and abs(at - asked) > 1.0:
        notes.append(f"At {asked:.0f} mm it would run over the end of the line, so it was moved along.")
    elif obj.PlacedBy == WORST and trial.towards:
        notes.append("No other place along the line wants more edge set.")
    return notes


def trial_text_of(obj):
    """The page to read of a document object."""
    trial = trial_of(obj).value
    return trial_text(trial, _notes(obj, trial))


def _shape(obj, trial):
    """The plank where it is tried, held flat on the hull."""
    course = _course(obj).value
    half = 0.5 * trial.plank.length
    n = max(12, int(np.ceil(trial.plank.length / _SPACING)) + 1)
    s = np.linspace(trial.middle - half, trial.middle + half, n)
    p, t, outward = course.points(np.clip(s, 0.0, course.place.s[-1]))
    frame = course.frame
    return straight_plank(
        s, frame.points_to_model(p), frame.vectors_to_model(np.cross(outward, t)), frame.vectors_to_model(outward),
        trial.plank.width, trial.plank.thickness, obj.Label,
    )  # fmt: skip
