# SPDX-License-Identifier: LGPL-2.1-or-later
"""The panels of strake checks and of trial planks."""

from ...objects.base import kind_of
from ...objects.job import LIMITS, STEAM
from ...objects.line import is_line
from ...objects.trial_plank import AT_POSITION, TRIAL_LIMITS, WORST, can_be_tried_on
from ...objects.wood_choice import MOISTURES, SAWN, WOOD_PROPERTIES
from .rows import links_to, row, section

__all__ = ["PANELS", "job_rows", "limit_rows", "wood_rows"]

_KINDS = {
    "App::PropertyLength": "length", "App::PropertyForce": "force", "App::PropertyAngle": "angle",
    "App::PropertyFloat": "number",
}  # fmt: skip


def wood_rows(document, obj):
    """Rows that say which wood is planked with."""
    sheets = links_to(document, obj, lambda o: o.isDerivedFrom("Spreadsheet::Sheet") and not hasattr(o, "FilledBy"))
    species = next(p.default for p in WOOD_PROPERTIES if p.name == "Wood")
    rows = [
        row("Wood", "Species", "choice", "Figures of the Wood Handbook", tuple(species)),
        row("Moisture", "Moisture", "choice", "When the planks are put on", tuple(MOISTURES)),
        row("Grade", "Grade factor", "number",
            "On the strengths, for knots and slope of grain; 1 is clear, straight-grained wood"),
        row("Sawn", "Sawn", "choice", "It decides how stiff planks are in twist", tuple(SAWN)),
    ]  # fmt: skip
    if sheets:
        rows += [
            row("WoodTable", "Own table", "object", "Sheet with species of your own", (None, *sheets)),
            row("OwnWood", "Own species", "words", "A name in that table, in place of the species above"),
        ]
    return rows


def job_rows(document, obj):
    """Rows that say what is planked with."""
    return [
        section("PlanksSection", "Wood and planks"),
        *wood_rows(document, obj),
        row("Thickness", "Thickness", "length", "Finished"),
        row("PlankLength", "Plank length", "length", "Of the planks on hand"),
        row("FrameSpacing", "Frame spacing", "length", "Middle to middle"),
        row("Steamed", "Steamed", "choice", "Which strakes are steamed", tuple(STEAM)),
    ]  # fmt: skip


def limit_rows(limits=LIMITS):
    """Rows of limits, a section for each group."""
    rows, group = [], None
    for limited in limits:
        if limited.group != group:
            group = limited.group
            rows.append(section(group.replace(" ", ""), group, closed=True))
        kind = "share" if limited.share else _KINDS[limited.type]
        tip = f"{limited.doc}. 0: not looked at. The default is common practice, no source"
        rows.append(row(limited.name, limited.label, kind, tip))
        if limited.field == "board":
            rows.append(row("SpileGarboard", "Garboard always spiled", "switch", "It is never sprung"))
    return rows


def _checks(document, obj):
    tucks = links_to(document, obj, lambda o: kind_of(o) == "TuckLine")
    lines = links_to(document, obj, is_line)
    rows = [row("LineOff", "Line-off", "object", "Whose strakes are looked at",
                links_to(document, obj, lambda o: kind_of(o) == "LineOff"))]  # fmt: skip
    if tucks:
        rows.append(row("Tuck", "Tuck line", "object", "That seams should not cross steeply", (None, *tucks)))
    rows.append(row("Lines", "Keep clear of", "objects", "Lines that seams should run on or keep clear of", lines))
    return [*rows, *job_rows(document, obj), *limit_rows()]


def _trial(document, obj):
    def on_strake(v):
        return kind_of(v["On"]) == "LineOff"

    return [
        row("On", "Tried on", "object", "A line, the sheer, or a line-off for one of its strakes",
            links_to(document, obj, can_be_tried_on)),
        row("Strake", "Strake", "integer", "Counted from the sheer", (), on_strake),
        row("Part", "Part", "integer", "Of a strake that is cut by the rabbet, from the bow; 0: it is in one piece", (),
            on_strake),
        row("PlacedBy", "Its middle", "choice", "", (WORST, AT_POSITION)),
        row("Position", "Along the ship", "length", "Coordinate of its middle along the ship", (),
            lambda v: v["PlacedBy"] == AT_POSITION),
        section("PlankSection", "Plank"),
        row("Width", "Width", "length", "The same all along"),
        row("Thickness", "Thickness", "length", "Finished"),
        row("PlankLength", "Length", "length"),
        row("FrameSpacing", "Frame spacing", "length", "Middle to middle"),
        row("Steamed", "Steamed", "switch", "Put on hot: the bend across the flat then leaves no strain"),
        section("WoodSection", "Wood"),
        *wood_rows(document, obj),
        *limit_rows(TRIAL_LIMITS),
    ]  # fmt: skip


PANELS = {
    "TrialPlank": (
        "Trial plank",
        "A straight plank tried on the hull: how far it is sprung, what clamps pull, and whether it goes.",
        _trial,
    ),
    "StrakeChecks": (
        "Strake checks",
        "Every strake beside the limits of wood and builder, as sheets and a page to read.",
        _checks,
    ),
}
