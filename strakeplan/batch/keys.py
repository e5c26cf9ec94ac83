# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every key a recipe may hold, in one table: used to check recipes and to document them."""

from dataclasses import dataclass
from typing import Any

__all__ = ["Key", "KEYS", "SECTIONS", "ARRAYS", "OPTIONAL", "LINE_KINDS", "REQUIRED", "as_markdown"]

#: the core's names for the edges of a face (kept apart: reading a recipe needs no numpy)
EDGES = ("u0", "u1", "v0", "v1")

#: marks a key that has no default
REQUIRED = object()


@dataclass(frozen=True)
class Key:
    """One key of a recipe.

    Attributes
    ----------
    section, name : str
    kind : str
        One of the kinds that `strakeplan.batch.recipe` knows how to check.
    default : object
        `REQUIRED` where it must be given; None where leaving it out means "found".
    doc : str
        For the manual and for messages.
    choices : tuple of str
        For the kind "choice".
    """

    section: str
    name: str
    kind: str
    default: Any
    doc: str
    choices: tuple = ()


#: section -> what it is for
SECTIONS = {
    "hull": "The modelled hull: one face, one side of the ship.",
    "stations": "Where the tape is hung.",
    "lines": "Other lines, before the one that divides; one table for each, with a name and the keys of [line].",
    "line": "The line that the strakes above it are divided by.",
    "belts": "What is lined off, from the sheer down; one table for each belt.",
    "nibs": "Strakes that end in a nib before the hull does, set by hand; one table for each.",
    "stealers": "Strakes that end in nibs wherever they would be too narrow. Left out where all go on to the end of the hull.",
    "planks": "The planks as solids.",
    "checks": "What the line-off is looked at for.",
    "wood": "What the strakes are planked with. Left out where they are not checked against wood and limits.",
    "limits": "Limits of those checks. What is left out keeps its default, which is common practice, no source; 0: not looked at.",
    "trials": "Straight planks tried on the hull, each by itself, with the same wood and limits; needs [wood]. Their pages go to trials.txt. One table for each.",
    "search": "A search for a line-off that leaves its worst strake more margin than [line] and [[belts]] do, with the same wood and limits; needs [wood]. Ctrl-C ends it with what it has. Left out where none is wanted.",
    "as_built": "Girths measured on the boat: the marks are divided anew for them. Left out where nothing was measured.",
    "half_model": "The marks for a half model. Left out where none is wanted.",
}

#: sections written as [[section]], any number of times
ARRAYS = ("lines", "belts", "nibs", "trials")

#: sections that may be left out as a whole
OPTIONAL = ("stealers", "wood", "limits", "search", "as_built", "half_model")

#: kind of line -> what it is
LINE_KINDS = {
    "ends": "taut between marks on stem and stern",
    "marks": "taut through two aim marks and on to stem and stern",
    "end_and_mark": "taut from a mark on stem or stern through an aim mark",
    "heading": "taut through one mark by a heading",
    "eased": "a heavy string that sags towards the sheer",
    "batten": "a batten of least edgewise bending through marks",
    "parallel": "parallel to another line",
    "drawn": "a drawn edge, wire or sketch laid on to the hull",
}

#: how a drawn line is laid on
WAYS = ("normal", "profile", "half-breadth", "body plan", "direction")


def _line_keys(section):
    """The keys of a line, of the one that divides as of the others."""
    kinds = "; ".join(f'"{kind}": {meaning}' for kind, meaning in LINE_KINDS.items())

    def key(*parts):
        return Key(section, *parts)

    return (
        key("kind", "choice", REQUIRED, kinds + ".", tuple(LINE_KINDS)),
        key("bow_girth", "girth", None, "Girth below the sheer along the stem, or a share of it such as \"60 %\". For \"ends\", \"eased\"; for \"end_and_mark\" and \"batten\" where it starts there."),
        key("stern_girth", "girth", None, "The same along the stern."),
        key("bow_point", "point", None, "In place of bow_girth: a point [x, y, z] picked on the stem."),
        key("stern_point", "point", None, "In place of stern_girth: a point picked on the stern."),
        key("marks", "marks", None, "Marks, each [coordinate along the ship, girth below the sheer or a share such as \"60 %\"] or a point [x, y, z] on the hull: two for \"marks\", one for \"end_and_mark\" and \"heading\", any number for \"batten\"."),
        key("heading", "angle", None, "For \"heading\": degrees by which the line, going aft, falls below square to the station."),
        key("slack", "length", None, "For \"eased\": length more than the taut line's; negative eases away from the sheer."),
        key("through", "mark", None, "For \"eased\", in place of slack: [coordinate along the ship, girth or share] that it has to pass."),
        key("tolerance", "length", None, "For \"batten\": how far it may pass from every mark; 0 by default."),
        key("hold_bow", "angle", None, "For \"batten\": hold it at its first mark at this angle off the string to the next, degrees, positive towards the keel; free by default."),
        key("hold_stern", "angle", None, "The same at its last mark."),
        key("of", "text", None, "For \"parallel\": the name of a line in [[lines]], or \"sheer\"."),
        key("distance", "length", None, "For \"parallel\": square to that line on the hull, positive towards the keel."),
        key("object", "text", None, "For \"drawn\": name or label of the edge, wire or sketch in the file."),
        key("file", "text", None, "For \"drawn\": the file it is in; the hull's file by default."),
        key("edges", "integers", None, "For \"drawn\": which edges of the object, from 1; all by default."),
        key("way", "choice", None, "For \"drawn\": laid on along the hull's normal (the default), as seen in a view, or along a direction.", WAYS),
        key("direction", "direction", None, "For \"drawn\" along a direction: three numbers, or \"Y\" and the like."),
        key("bridge", "boolean", None, "For taut lines: the string bridges hollows as a real one does, and the belts use its foot on the hull; false by default."),
    )  # fmt: skip


KEYS = (
    Key("hull", "file", "text", REQUIRED, "FCStd, STEP, IGES or BREP file; a relative name counts from the recipe's folder."),
    Key("hull", "object", "text", None, "Name or label of the object that holds the hull; needed where several have faces."),
    Key("hull", "face", "integer", None, "Number of the face, from 1; needed where the object has several."),
    Key("hull", "name", "text", None, "What the hull is called in messages and on the picture; the object's label by default."),
    Key("hull", "up", "direction", None, "Direction that is up: \"Z\", \"-Y\" ... or three numbers; Z by default."),
    Key("hull", "forward", "direction", None, "Direction from stern to bow; found from the hull's shape by default."),
    Key("hull", "centreplane", "length", None, "Transverse coordinate of the centreplane; found by default."),
    Key("hull", "half_siding", "length", 0.0, "Half the siding of keel, stem and sternpost: the planks end where the hull is this wide."),
    Key("hull", "half_siding_stem", "length", None, "The same for the stem alone."),
    Key("hull", "half_siding_keel", "length", None, "The same for the keel alone."),
    Key("hull", "half_siding_post", "length", None, "The same for the sternpost alone."),
    Key("hull", "sheer_edge", "choice", None, "Edge of the face that is the sheer: where u is lowest (\"u0\") or highest (\"u1\"), or v; found by default.", EDGES),
    Key("hull", "stem_edge", "choice", None, "Edge of the face that is the stem, named likewise; found by default.", EDGES),
    Key("stations", "positions", "lengths", None, "Coordinates of the stations along the ship, as in the model."),
    Key("stations", "names", "texts", None, "Their names, as many as positions; 1, 2, 3 ... by default."),
    Key("stations", "spacing", "length", None, "Distance between stations, in place of positions."),
    Key("stations", "half", "boolean", False, "Also half-way between stations."),
    *_line_keys("line"),
    Key("lines", "name", "text", REQUIRED, "What the line is called, for `of` and in the plan."),
    *_line_keys("lines"),
    Key("belts", "rule", "choice", REQUIRED, "\"equal\": strakes of equal girth down to the line; \"graded\": widths in a given proportion; \"by_widths\": widths given at stations; \"parallel\": strakes of one width.", ("equal", "graded", "by_widths", "parallel")),
    Key("belts", "line", "text", None, "Name of the line in [[lines]] that the belt ends at below; the [line] by default, for one belt."),
    Key("belts", "strakes", "integer", None, "For \"equal\": how many. For \"parallel\" too; by default as many as go down to the rabbet."),
    Key("belts", "greatest_width", "length", None, "For \"equal\", in place of strakes: as few as keep below this width by the tape."),
    Key("belts", "weights", "numbers", None, "For \"graded\": a number for every strake from above down; a strake of 1.2 is a fifth wider than one of 1."),
    Key("belts", "stations", "lengths", None, "For \"by_widths\": coordinates along the ship where widths are given."),
    Key("belts", "widths", "rows", None, "For \"by_widths\": for every such station the list of widths from above down; they count in proportion, to fill the girth."),
    Key("belts", "stem_widths", "lengths", None, "For \"by_widths\": widths at the stem; by default as at the nearest station."),
    Key("belts", "stern_widths", "lengths", None, "The same at the stern."),
    Key("belts", "width", "length", None, "For \"parallel\": the width; that of the strakes above amidships by default."),
    Key("belts", "along", "choice", None, "For \"parallel\" with strakes: which of its lines they run parallel to, \"upper\" by default.", ("upper", "lower")),
    Key("belts", "garboard_least", "number", None, "For \"parallel\" down to the rabbet: least share of the width for a garboard, at its widest; what is less is added to the strake above. 0.5 by default."),
    Key("nibs", "strake", "integer", REQUIRED, "Which strake ends, counted from the sheer down; the one above takes over its breadth."),
    Key("nibs", "end", "choice", REQUIRED, "Towards which end of the hull.", ("bow", "stern")),
    Key("nibs", "position", "length", None, "Where it stands: coordinate along the ship."),
    Key("nibs", "station", "text", None, "In place of position: the name of a station."),
    Key("nibs", "depth", "length", None, "Breadth of the strake at its nib; what the fair seams leave there by default. Alone it will do below the divided belts."),
    Key("stealers", "narrowest", "length", REQUIRED, "Narrowest breadth of a strake: one that would be narrower ends in a nib, at a station, and one plank takes over from two."),
    Key("planks", "thickness", "length", REQUIRED, "Thickness of the planking."),
    Key("planks", "layer", "choice", "outside", "On which side of the modelled surface the planks lie.", ("outside", "inside")),
    Key("planks", "mirror", "boolean", True, "Planks for both sides of the ship."),
    Key("checks", "plank_length", "length", 5000.0, "Length of plank over which the edge set is measured."),
    Key("checks", "compare", "integers", None, "Numbers of equal strakes to set side by side in numbers.csv, such as [17, 18, 19, 20]."),
    Key("checks", "tuck", "choice", "hollow", "The turn of the sections aft that is looked for, and the angle at which seams cross it: into the sternpost (\"hollow\"), of the bilge (\"round\"), or \"none\".", ("hollow", "round", "none")),
    Key("checks", "clear_of", "texts", None, "Names of lines in [[lines]] that seams should run on or keep clear of, such as a wale or a knuckle; with [wood]."),
    Key("wood", "species", "text", REQUIRED, "Name of the species; `python3 -m strakeplan --wood` prints the table."),
    Key("wood", "file", "text", None, "CSV file with species of your own, in the columns of that table. A relative name counts from the recipe's folder."),
    Key("wood", "moisture", "choice", "12 %", "State of moisture when the planks are put on.", ("12 %", "green")),
    Key("wood", "grade", "number", 1.0, "Factor on the strengths for knots and slope of grain; 1 is clear, straight-grained wood."),
    Key("wood", "sawn", "choice", "flat", "Flat-sawn or quarter-sawn planks.", ("flat", "quarter")),
    Key("wood", "frame_spacing", "length", REQUIRED, "Distance of the frames, middle to middle."),
    Key("wood", "steam", "choice", "where needed", "Which strakes are steamed.", ("where needed", "never", "always")),
    Key("limits", "hood_end", "length", None, "Least breadth along the stem and the stern."),
    Key("limits", "widest", "length", None, "Greatest width, square to the strake."),
    Key("limits", "narrowest", "length", None, "Least width, pointed wedges apart."),
    Key("limits", "taper", "length", None, "Greatest change of width in a metre."),
    Key("limits", "edge_set", "length", None, "Edge set of a plank of the length on hand."),
    Key("limits", "force", "number", None, "N: one clamp at mid-length, ends free to turn."),
    Key("limits", "share", "number", None, "Share of the breaking strain at the worst corner; 0.5 is half of it."),
    Key("limits", "stand_off", "length", None, "By which an edge may stand off the frames while the plank is sprung."),
    Key("limits", "hold_down", "number", None, "N: clamp force at a frame that holds that edge down."),
    Key("limits", "buckling", "number", None, "Springing force over the force at which the strip buckles sideways."),
    Key("limits", "bend_cold", "number", None, "Least radius over thickness across the flat, cold."),
    Key("limits", "bend_steamed", "number", None, "The same, steamed."),
    Key("limits", "frame_force", "number", None, "N: clamp force at a frame that bends and twists the plank home, cold."),
    Key("limits", "twist", "angle", None, "Degrees in a metre, put on cold."),
    Key("limits", "twist_steamed", "angle", None, "Degrees in a metre, put on steamed."),
    Key("limits", "twist_in_all", "angle", None, "Degrees between the ends of a plank."),
    Key("limits", "shear", "number", None, "Share of the breaking shear, from twist."),
    Key("limits", "hollow", "length", None, "Greatest depth of backing out."),
    Key("limits", "stock", "length", None, "Thickness of the stock on hand."),
    Key("limits", "board", "length", None, "Widest board on hand, for strakes that are spiled."),
    Key("limits", "compound", "number", None, "Strain at the edges that double curvature asks; 0.001 is 0.1 %."),
    Key("limits", "tuck_angle", "angle", None, "Degrees at which a seam may cross the tuck."),
    Key("limits", "fairness", "length", None, "Departure from a fair curve over the 2 m that an eye takes in."),
    Key("limits", "line_clear", "length", None, "Distance that seams keep from lines of clear_of they do not lie on."),
    Key("limits", "spile_garboard", "boolean", True, "The garboard is always cut to shape, never sprung."),
    Key("trials", "name", "text", None, "What the plank is called; Trial 1, Trial 2 ... by default."),
    Key("trials", "on", "text", None, "What it is tried on: a line in [[lines]] by its name, \"line\" for the [line], or \"sheer\"."),
    Key("trials", "strake", "integer", None, "In place of on: a strake of the line-off, counted from the sheer."),
    Key("trials", "part", "integer", 0, "Part of a strake that is cut by the rabbet, from the bow; 0 for one in one piece."),
    Key("trials", "position", "length", None, "Where its middle lies: coordinate along the ship; where it wants most edge set by default."),
    Key("trials", "station", "text", None, "In place of position: the name of a station."),
    Key("trials", "width", "length", REQUIRED, "Width of the plank, the same all along."),
    Key("trials", "thickness", "length", None, "Thickness; that of [planks] by default."),
    Key("trials", "length", "length", None, "Length; plank_length of [checks] by default."),
    Key("trials", "steamed", "boolean", False, "Whether it is put on hot."),
    Key("search", "fewest", "integer", 8, "Fewest equal strakes."),
    Key("search", "most", "integer", 30, "Most equal strakes."),
    Key("search", "easing", "boolean", True, "Whether the line may be eased."),
    Key("search", "stealers", "boolean", False, "Whether strakes may end in nibs where they would be too narrow."),
    Key("search", "spiling", "boolean", True, "Whether strakes may be spiled out of wider boards."),
    Key("search", "parallel_width", "length", None, "Width of the strakes below the line; that of those above amidships by default."),
    Key("search", "stem", "numbers", None, "Two shares of the stem's girth between which the line may end, 0 to 1 from the sheer down; [0.35, 0.92] by default."),
    Key("search", "stern", "numbers", None, "The same at the stern."),
    Key("search", "tries", "choice", "usual", "How many line-offs are tried.", ("few", "usual", "many")),
    Key("search", "seed", "integer", 0, "The same seed finds the same."),
    Key("search", "use", "boolean", False, "Plan by the best one found, in place of [line] and [[belts]], where it leaves more margin than they do."),
    Key("as_built", "file", "text", REQUIRED, "CSV file of what the tape reads: columns Station, Mark and Measured, perhaps Set aside and Note; or Station and one column for each mark. A reading in brackets is set aside. A relative name counts from the recipe's folder."),
    Key("as_built", "unit", "choice", "mm", "What a number without a unit counts in; \"eighths\" and \"sixteenths\" are feet, inches and those, as in 6-6-4.", ("mm", "cm", "m", "in", "ft", "eighths", "sixteenths")),
    Key("as_built", "ends", "choice", "drawn", "Stem and stern where they were not measured: as drawn (\"drawn\"), or with the difference of the nearest station (\"held\").", ("drawn", "held")),
    Key("half_model", "scale", "text", REQUIRED, "Scale of the model: \"1:12\", or \"1 in = 1 ft\"."),
    Key("half_model", "skin", "length", 0.0, "Thickness of the model's own skin, measured on the model."),
    Key("half_model", "ticked", "choice", "skin", "Where the marks are ticked: on the skin that lies over the moulded surface (\"skin\"), or on the body under it, whose skin will be the moulded surface (\"body\").", ("skin", "body")),
)  # fmt: skip

_KINDS = {
    "text": "text",
    "texts": "list of texts",
    "integer": "whole number",
    "boolean": "true or false",
    "length": "length",
    "lengths": "list of lengths",
    "rows": "lists of lengths",
    "number": "number",
    "numbers": "list of numbers",
    "direction": "direction",
    "choice": "choice",
    "integers": "list of whole numbers",
    "girth": "length or share",
    "point": "three lengths",
    "mark": "mark",
    "marks": "list of marks",
    "angle": "degrees",
}


def as_markdown():
    """The table of keys for the manual, in Markdown."""
    lines = []
    for section, purpose in SECTIONS.items():
        title = f"[[{section}]]" if section in ARRAYS else f"[{section}]"
        lines += [f"### `{title}`", "", purpose, "", "| key | kind | default | meaning |"]
        lines.append("|---|---|---|---|")
        for key in KEYS:
            if key.section != section:
                continue
            default = {True: "true", False: "false", None: "", REQUIRED: "must be given"}.get(
                key.default if isinstance(key.default, bool) or key.default in (None, REQUIRED)
                else "", str(key.default)
            )  # fmt: skip
            lines.append(f"| `{key.name}` | {_KINDS[key.kind]} | {default} | {key.doc} |")
        lines.append("")
    lines.append('Lengths are in mm, or texts with units: `"32 mm"`, `"1 1/4 in"`, `"6 ft 2 in"`; angles in degrees.')
    return "\n".join(lines) + "\n"
