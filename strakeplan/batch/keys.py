# SPDX-License-Identifier: LGPL-2.1-or-later
"""Every key a recipe may hold, in one table: used to check recipes and to document them."""

from dataclasses import dataclass
from typing import Any

__all__ = ["Key", "KEYS", "SECTIONS", "ARRAYS", "REQUIRED", "as_markdown"]

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
    "line": "The taut line that the strakes above it are divided by.",
    "belts": "What is lined off, from the sheer down; one table for each belt.",
    "planks": "The planks as solids.",
    "checks": "What the line-off is looked at for.",
}

#: sections written as [[section]], any number of times
ARRAYS = ("belts",)

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
    Key("line", "kind", "choice", REQUIRED, "\"ends\": between two marks on stem and stern; \"marks\": through two aim marks and on to stem and stern.", ("ends", "marks")),
    Key("line", "bow_girth", "length", None, "For \"ends\": girth below the sheer along the stem."),
    Key("line", "stern_girth", "length", None, "For \"ends\": girth below the sheer along the stern."),
    Key("line", "marks", "marks", None, "For \"marks\": two pairs [coordinate along the ship, girth below the sheer]."),
    Key("belts", "rule", "choice", REQUIRED, "\"equal\": strakes of equal girth down to the line; \"parallel\": strakes of one width below it.", ("equal", "parallel")),
    Key("belts", "strakes", "integer", None, "For \"equal\": how many."),
    Key("belts", "width", "length", None, "For \"parallel\": the width; that of the equal strakes amidships by default."),
    Key("planks", "thickness", "length", REQUIRED, "Thickness of the planking."),
    Key("planks", "layer", "choice", "outside", "On which side of the modelled surface the planks lie.", ("outside", "inside")),
    Key("planks", "mirror", "boolean", True, "Planks for both sides of the ship."),
    Key("checks", "plank_length", "length", 5000.0, "Length of plank over which the edge set is measured."),
)  # fmt: skip

_KINDS = {
    "text": "text",
    "texts": "list of texts",
    "integer": "whole number",
    "boolean": "true or false",
    "length": "length",
    "lengths": "list of lengths",
    "direction": "direction",
    "choice": "choice",
    "marks": "two pairs of lengths",
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
    lines.append('Lengths are in mm, or texts with units: `"32 mm"`, `"1 1/4 in"`, `"6 ft 2 in"`.')
    return "\n".join(lines) + "\n"
