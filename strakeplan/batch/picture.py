# SPDX-License-Identifier: LGPL-2.1-or-later
"""The picture of a plan: shaded planks above, the three views below, figures beside them."""

import importlib.util
import sys
import textwrap
from dataclasses import dataclass, field

import numpy as np

from ..core.errors import PlanError
from ..core.sections import sections_at
from ..host.export import replacing
from .shading import shaded_quads, view_axes

__all__ = ["Sheet", "draw", "require_picture"]

_PAPER, _INK, _FAINT = "#fbf8f1", "#2f2219", "#b9ad9c"
_EDGE, _SEAM, _LINE, _SECTION = "#1d4a60", "#7a5230", "#c5301f", "#6f8794"
#: tints that planks take in turn from the sheer down, so that neighbours differ
_WOOD = np.array([(0.87, 0.70, 0.48), (0.80, 0.61, 0.39), (0.92, 0.78, 0.58)])
_SHEER_STRAKE = np.array((0.62, 0.40, 0.24))
#: inches; A3 landscape
_SIZE = (16.5, 11.7)
#: mm; size of the flats that the shaded planks are drawn with
_FLAT = 90.0


@dataclass
class Sheet:
    """What is drawn.

    Attributes
    ----------
    title : str
    hull : PlankedSurface
    line : SurfaceCurve
        The taut line.
    seams : list of SurfaceCurve
    nibs : list of SurfaceCurve
        Where strakes are cut off before the hull's end.
    stations : sequence of Station
    planks : list of PlankShape
    skin : float
        Distance from the modelled surface out to the planks' outer face, mm.
    figures : list of (str, str)
        What is printed beside the views: label and value.
    cautions : list of str
    """

    title: str
    hull: object
    line: object
    seams: list
    stations: tuple
    planks: list
    nibs: list = field(default_factory=list)
    skin: float = 0.0
    figures: list = field(default_factory=list)
    cautions: list = field(default_factory=list)


def require_picture():
    """Raise where no picture can be drawn, before anything is computed.

    Raises
    ------
    PlanError
    """
    if importlib.util.find_spec("matplotlib") is None:
        raise PlanError(
            "matplotlib, which draws plan.png, is not there for this Python", f"It is {sys.executable}",
            "Use the Python that FreeCAD uses, or install matplotlib for this one",
        )  # fmt: skip


def draw(path, sheet):
    """Draw the sheet as a PNG.

    Parameters
    ----------
    path : str
    sheet : Sheet
    """
    import matplotlib

    matplotlib.use("Agg", force=False)
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    style = {"font.family": "serif", "font.size": 8.5, "text.color": _INK}
    with matplotlib.rc_context(style):
        figure = Figure(figsize=_SIZE, dpi=120, facecolor=_PAPER)
        FigureCanvasAgg(figure)
        # Profile and half-breadth at one scale, one above the other.
        first, last = sheet.hull.x_range
        wide = 0.56
        per_mm = wide * _SIZE[0] / (1.08 * (last - first)) / _SIZE[1]  # of the sheet's height
        tall_breadth, tall_profile = (per_mm * np.ptp(_limits(sheet, h)) for h in (1, 2))
        low = 0.05
        middle = low + tall_breadth + 0.045
        top = max(middle + tall_profile + 0.02, 0.42)
        breadth = figure.add_axes([0.03, low, wide, tall_breadth])
        profile = figure.add_axes([0.03, middle, wide, tall_profile])
        shaded = figure.add_axes([0.02, top, 0.96, 0.93 - top])
        body = figure.add_axes([0.605, low, 0.195, top - 0.03 - low])
        text = figure.add_axes([0.82, low, 0.16, top - 0.03 - low])
        figure.text(0.03, 0.945, sheet.title, fontsize=22, color=_INK)
        _draw_shaded(shaded, sheet)
        _draw_long(profile, sheet, 2, "Profile")
        _draw_long(breadth, sheet, 1, "Half-breadth")
        _draw_body(body, sheet)
        _write_figures(text, sheet)
        with replacing(path) as draft:
            figure.savefig(draft, facecolor=_PAPER)


def _bare(axes, title):
    axes.set_aspect("equal")
    axes.set_facecolor(_PAPER)
    axes.set_axis_off()
    if title:
        axes.text(
            0.0, 1.0, title, transform=axes.transAxes, fontsize=10, style="italic", va="bottom"
        )


def _draw_shaded(axes, sheet):
    """Planks of both sides, seen from off the bow and above."""
    from matplotlib.collections import LineCollection, PolyCollection

    _bare(axes, "")
    view = view_axes(np.radians(28.0), np.radians(20.0))
    frame = sheet.hull.frame
    corners, normals, colours = [], [], []
    for plank in sheet.planks:
        tint = _SHEER_STRAKE if plank.strake == 1 else _WOOD[plank.strake % len(_WOOD)]
        for face in plank.faces:
            if "edge" in face.role and plank.strake > 1:
                continue  # hidden in the seam
            quads, out = _quads(face.patch)
            corners.append(frame.points_to_ship(quads))
            normals.append(frame.vectors_to_ship(out))
            colours.append(np.tile(tint, (len(quads), 1)))
    polygons, shades = shaded_quads(*map(np.concatenate, (corners, normals, colours)), view)
    axes.add_collection(
        PolyCollection(polygons, facecolors=shades, edgecolors=shades, linewidths=0.25)
    )
    # Seams where the hull's side is turned to us.
    lines = []
    for curve in [*sheet.seams, *sheet.nibs, sheet.hull.boundary]:
        at = curve.sample(240)
        seen = at.n @ view[2] > 0.05
        skin = at.p + sheet.skin * at.n
        flat = np.stack([skin @ view[0], skin @ view[1]], axis=1)
        flat[~seen] = np.nan
        lines.append(flat)
    axes.add_collection(LineCollection(lines, colors=_INK, linewidths=0.5, alpha=0.55))
    axes.autoscale_view()
    axes.margins(0.02)


def _quads(patch):
    """A face in small four-sided flats: corners (n, 4, 3) and normals (n, 3) out of the wood."""
    ends = patch.points(np.repeat(patch.u_range, 2), np.tile(patch.v_range, 2))
    sides = np.linalg.norm([ends[2] - ends[0], ends[1] - ends[0]], axis=1)
    nu, nv = (int(n) for n in np.clip(np.ceil(sides / _FLAT), 2, 150) + 1)
    u, v = np.meshgrid(
        np.linspace(*patch.u_range, nu), np.linspace(*patch.v_range, nv), indexing="ij"
    )
    p = patch.points(u.ravel(), v.ravel()).reshape(nu, nv, 3)
    a, b, c, d = p[:-1, :-1], p[1:, :-1], p[1:, 1:], p[:-1, 1:]
    corners = np.stack([a, b, c, d], axis=2).reshape(-1, 4, 3)
    return corners, np.cross(c - a, d - b).reshape(-1, 3)


def _draw_long(axes, sheet, height, title):
    """Profile (height 2: up) or half-breadth (height 1: outboard), bow to the right."""
    _bare(axes, title)
    hull = sheet.hull
    base, high = _limits(sheet, height)
    for station in sheet.stations:
        x = float(hull.frame.to_ship_station(station.x))
        axes.plot([x, x], [base, high], color=_FAINT, lw=0.5, zorder=0)
        axes.text(x, high, station.name, ha="center", va="bottom", fontsize=6.5, color=_INK)
    if height == 1:
        axes.axhline(0.0, color=_FAINT, lw=0.8, dashes=(8, 3, 2, 3), zorder=0)
    for curve in (*sheet.seams, *sheet.nibs):
        p = curve.sample(200).p
        axes.plot(p[:, 0], p[:, height], color=_SEAM, lw=0.7)
    _heavy(axes, sheet, lambda p: (p[:, 0], p[:, height]))
    first, last = hull.x_range
    axes.set_xlim(last + 0.05 * (last - first), first - 0.03 * (last - first))
    axes.set_ylim(base, high)
    axes.set_anchor("W")


def _limits(sheet, height):
    """Lowest and highest that a long view shows; the half-breadth starts at the centreplane."""
    hull = sheet.hull
    p = np.concatenate([c.sample(200).p for c in (hull.sheer, hull.boundary, *sheet.seams)])
    margin = 0.012 * np.ptp(p[:, 0])
    low, high = p[:, height].min(), p[:, height].max()
    if height == 1:
        low = min(low, 0.0)
    return low - margin, high + margin


def _heavy(axes, sheet, flat):
    """Sheer, rabbet and taut line over the rest."""
    hull = sheet.hull
    for curve in (hull.sheer, hull.boundary):
        axes.plot(*flat(curve.sample(500).p), color=_EDGE, lw=1.5)
    axes.plot(*flat(sheet.line.sample(400).p), color=_LINE, lw=1.4)


def _draw_body(axes, sheet):
    """Body plan: forebody to the right, afterbody to the left."""
    _bare(axes, "Body plan")
    hull = sheet.hull
    middle = hull.greatest_half_breadth[0]

    def sides(p):
        """The points on the side of their half, broken where they pass from one to the other."""
        aft = p[:, 0] > middle
        across = np.where(aft, -p[:, 1], p[:, 1])
        up = p[:, 2].copy()
        change = np.flatnonzero(aft[1:] != aft[:-1]) + 1
        return np.insert(across, change, np.nan), np.insert(up, change, np.nan)

    x = [float(hull.frame.to_ship_station(s.x)) for s in sheet.stations]
    sections = sections_at(hull, x)
    for k, station in enumerate(sheet.stations):
        across, up = sides(sections.single(k).sample(150).p)
        axes.plot(across, up, color=_SECTION, lw=0.9)
        axes.text(across[0], up[0], station.name, fontsize=6, va="bottom", ha="center")
    for curve in (*sheet.seams, *sheet.nibs):
        axes.plot(*sides(curve.sample(300).p), color=_SEAM, lw=0.45, alpha=0.8)
    _heavy(axes, sheet, sides)
    axes.axvline(0.0, color=_FAINT, lw=0.8, dashes=(8, 3, 2, 3), zorder=0)


def _write_figures(axes, sheet):
    """Figures, and the cautions below them."""
    axes.set_axis_off()
    axes.set_xlim(0, 1)
    axes.set_ylim(0, 1)
    y = 0.97
    for label, value in sheet.figures:
        axes.text(0.0, y, label, fontsize=8.5, va="top", color=_INK)
        axes.text(1.0, y, value, fontsize=8.5, va="top", ha="right", color=_EDGE)
        y -= 0.044
        axes.plot([0, 1], [y + 0.01] * 2, color=_FAINT, lw=0.5)
    y -= 0.02
    for caution in sheet.cautions:
        lines = textwrap.wrap(caution, 56)
        axes.text(0.0, y, "\n".join(lines), fontsize=6.4, va="top", color=_INK, style="italic")
        y -= 0.027 * len(lines) + 0.010
