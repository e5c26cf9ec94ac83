# SPDX-License-Identifier: LGPL-2.1-or-later
"""A boat with one line of each kind, and the host's own measures of lines, for tests."""

import Part
from demo_hull import demo_patch_data
from FreeCAD import Vector

from strakeplan.core.lines.marks import Mark, places
from strakeplan.core.spline.patch import SplinePatch
from strakeplan.host.shapes import AIM, face_of
from strakeplan.objects import make
from strakeplan.objects.base import kind_of
from strakeplan.objects.line import line_of
from strakeplan.objects.planked_surface import surface_of

__all__ = ["Boat", "SHOWN", "end_girth", "ends_and_length", "inner", "off", "sheer_stem_rabbet_stern"]

SHOWN = AIM  # mm: how far what is shown may lie from the line itself


class Boat:
    """The demonstration hull with its planked surface, and one line of each kind."""

    def __init__(self, document):
        self.document = document
        self.hull = document.addObject("Part::Feature", "Hull")
        self.hull.Label = "Moulded surface"
        self.hull.Shape = face_of(SplinePatch(*demo_patch_data()))
        self.surface = make.make_planked_surface(self.hull, HalfSiding="37.5 mm", StationSpacing="2 m")

    def every_kind(self):
        """One line of each kind, the tuck and a report: dict by kind."""
        self.mark = self.document.addObject("Part::Feature", "Mark")
        self.mark.Shape = Part.Vertex(*self.point(0.6, 7500.0))
        self.drawing = self.document.addObject("Part::Feature", "Drawing")
        self.drawing.Shape = self.profile(1050.0, 950.0)
        self.taut = make.make_taut_line(self.surface, BowGirth="1050 mm", SternGirth=950)
        self.eased = make.make_eased_line(self.surface, BowGirth=1050, SternGirth=950, Slack=10)
        self.batten = make.make_batten_line(
            self.surface, BowGirth=1000, SternGirth=900, MarkPositions=[4000.0], MarkGirths=[1350.0],
            MarkVertices=[(self.mark, ["Vertex1"])],
        )  # fmt: skip
        self.parallel = make.make_parallel_line(self.taut, -100)
        self.drawn = make.make_drawn_line(self.surface, self.drawing, Way="As seen in profile")
        self.line_off = make.make_line_off(self.parallel, Strakes=4, ParallelBelt=False)
        self.tuck = make.make_tuck_line(
            self.surface, Turn="Round, of the bilge", Lines=[self.taut, self.line_off]
        )
        self.report = make.make_line_report([self.taut, self.eased, self.batten], CompareWith=self.parallel)
        return {
            kind_of(o): o
            for o in (self.taut, self.eased, self.batten, self.parallel, self.drawn, self.tuck, self.report,
                      self.line_off)
        }  # fmt: skip

    def point(self, share, station):
        """A point on the hull in the document's coordinates."""
        hull = surface_of(self.surface).value
        place = places(hull, [Mark(station=station, share=share)])[0]
        return tuple(float(v) for v in hull.frame.points_to_model(place.p[None])[0])

    def profile(self, bow, stern):
        """A straight line in profile between two girths on stem and stern, drawn abreast of the hull."""
        hull = surface_of(self.surface).value
        ends = places(hull, [Mark.end("stem", bow), Mark.end("stern", stern)])
        a, b = (Vector(p[0], 4000.0, p[2]) for p in (hull.frame.points_to_model(e.p[None])[0] for e in ends))
        return Part.makeLine(a + (a - b) * 0.1, b + (b - a) * 0.1)

    def recompute(self):
        """Recompute, and see that nothing is left to do."""
        self.document.recompute()
        assert [(o.Label, o.State) for o in self.document.Objects if o.State != ["Up-to-date"]] == []


def sheer_stem_rabbet_stern(boat):
    return boat.surface.Shape.Wires


def end_girth(boat, line, edge):
    """Girth from the sheer down to a line's end, by the host's lengths along the planked surface's wires."""
    _, stem, _, stern = sheer_stem_rabbet_stern(boat)
    wire = stem if edge == "stem" else stern
    ends = [v.Point for v in line.Shape.Vertexes]
    end = min(ends, key=lambda p: wire.distToShape(Part.Vertex(p))[0])
    assert wire.distToShape(Part.Vertex(end))[0] < SHOWN
    top = max((v.Point for v in wire.Vertexes), key=lambda p: p.z)
    edges = Part.__sortEdges__(wire.Edges)
    if (edges[0].valueAt(edges[0].FirstParameter) - top).Length > SHOWN:
        edges = [e for e in reversed(edges)]
    total = 0.0
    for one in edges:
        curve, (a, b) = one.Curve, one.ParameterRange
        if one.distToShape(Part.Vertex(end))[0] < SHOWN:
            t = curve.parameter(end)
            down = one.valueAt(a).z > one.valueAt(b).z
            return total + (curve.length(a, t) if down else curve.length(t, b))
        total += one.Length
    raise AssertionError(f"the line does not end on the {edge}")


def off(obj, point):
    """Distance of a point from what is shown of an object."""
    return obj.Shape.distToShape(Part.Vertex(*point))[0]


def ends_and_length(line):
    return [tuple(round(x, 6) for x in v.Point) for v in line.Shape.Vertexes], line.LineLength.Value


def inner(boat, line):
    frame = surface_of(boat.surface).value.frame
    return frame.points_to_model(line_of(line).value.curve.sample(21).p)[2:-2]
