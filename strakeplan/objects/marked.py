# SPDX-License-Identifier: LGPL-2.1-or-later
"""Marks as properties: by the girth below the sheer, its share, or a point picked on the hull."""

from ..core.errors import PlanError
from ..core.lines.marks import Mark
from ..host.files import in_document
from .base import Property

__all__ = ["GIRTH", "SHARE", "POINT", "Marked", "BOW", "STERN", "MARK_1", "MARK_2", "vertex_points"]

#: how a mark is given
GIRTH, SHARE, POINT = "Girth", "Share of the girth", "Picked point"


class Marked:
    """A mark's properties on an object.

    Parameters
    ----------
    before, after : str
        What its properties' names begin and end with.
    group, called : str
        Group in the property editor, and what the mark is called.
    edge : 'stem', 'stern' or None
        An end; None for a mark at a station.
    """

    def __init__(self, before, after, group, called, edge=None):
        self._before, self._after = before, after
        self._group, self._called, self._edge = group, called, edge

    def name(self, part):
        """A property's name: of 'GivenBy', 'Position', 'Girth', 'Share', 'Point', 'Vertex'."""
        return f"{self._before}{part}{self._after}"

    @property
    def properties(self):
        """Definitions of its properties."""
        called, along = self._called, f" along the {self._edge}" if self._edge else ""

        def own(type_, part, doc, default=None):
            return Property(type_, self.name(part), self._group, doc, default)

        some = (
            own("App::PropertyEnumeration", "GivenBy", f"How {called} is given", [GIRTH, SHARE, POINT]),
            own("App::PropertyLength", "Girth", f"Girth of {called} below the sheer{along}"),
            own("App::PropertyFloat", "Share", f"The same as a share of the whole girth{along}, 0 to 1", 0.5),
            own("App::PropertyVectorDistance", "Point", f"Point picked on the hull as {called}"),
            own("App::PropertyLinkSubGlobal", "Vertex",
                f"Vertex that is {called}, and goes before the point; the line follows it"),
        )  # fmt: skip
        if self._edge:
            return some
        position = own("App::PropertyDistance", "Position", f"Coordinate of {called} along the ship")
        return (some[0], position, *some[1:])

    @property
    def names(self):
        """Names of all its properties."""
        return tuple(p.name for p in self.properties)

    def needless(self, obj):
        """Names of those that say nothing as the mark is given now."""
        wanted = {
            GIRTH: {"Position", "Girth"},
            SHARE: {"Position", "Share"},
            POINT: {"Point", "Vertex"},
        }[getattr(obj, self.name("GivenBy"))]
        keep = {self.name(part) for part in (*wanted, "GivenBy")}
        return tuple(name for name in self.names if name not in keep)

    def mark(self, obj):
        """The core's mark.

        Raises
        ------
        PlanError
            A link to something that is no vertex.
        """
        given = getattr(obj, self.name("GivenBy"))
        if given == POINT:
            linked = getattr(obj, self.name("Vertex"))
            if linked is not None and linked[0] is not None:
                points = vertex_points([linked], obj, self.name("Vertex"))
                if len(points) != 1:
                    raise PlanError(
                        f"{obj.Label}: {len(points)} vertices are linked as {self._called}",
                        remedy=f"Link one vertex in its property {self.name('Vertex')}",
                    )
                return Mark(point=points[0])
            return Mark(point=tuple(getattr(obj, self.name("Point"))))
        key, value = ("girth", getattr(obj, self.name("Girth")).Value)
        if given == SHARE:
            key, value = "share", getattr(obj, self.name("Share"))
        if self._edge:
            return Mark(edge=self._edge, **{key: value})
        return Mark(station=getattr(obj, self.name("Position")).Value, **{key: value})


BOW = Marked("Bow", "", "Ends", "the mark on the stem", "stem")
STERN = Marked("Stern", "", "Ends", "the mark on the stern", "stern")
MARK_1 = Marked("Mark", "1", "Aim marks", "the first mark")
MARK_2 = Marked("Mark", "2", "Aim marks", "the second mark")


def vertex_points(links, obj, name):
    """Points of linked vertices, in the document's coordinates.

    Parameters
    ----------
    links : sequence of (document object, sub-element names)
    obj, name : the object that links to them, and its property, for messages

    Returns
    -------
    list of (x, y, z)

    Raises
    ------
    PlanError
    """
    points = []
    for target, subs in links:
        shape = getattr(target, "Shape", None)
        subs = [s.split(".")[-1] for s in ([subs] if isinstance(subs, str) else subs) if s]
        vertexes = []
        if shape is not None and hasattr(shape, "Vertexes") and not shape.isNull():
            vertexes = in_document(target, shape).Vertexes
        if not subs and len(vertexes) == 1:
            subs = ["Vertex1"]
        for sub in subs or [""]:
            number = sub[len("Vertex"):]
            if not sub.startswith("Vertex") or not number.isdigit() or not 1 <= int(number) <= len(vertexes):
                raise PlanError(
                    f"{obj.Label}: {sub or 'the whole'} of {target.Label} is no vertex",
                    remedy=f"Link a vertex in its property {name}, or clear it",
                )
            points.append(tuple(vertexes[int(number) - 1].Point))
    return points
