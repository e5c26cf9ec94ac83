# SPDX-License-Identifier: LGPL-2.1-or-later
"""The planked surface: one side of a hull from the sheer down to the rabbet."""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Optional, Tuple, Union

import numpy as np

from .boundary import planking_boundary
from .contour import Level
from .curve import SurfaceCurve
from .edges import HullFace, find_hull_face, sample_parameters
from .errors import PlanError
from .frame import ShipFrame
from .siding import HalfSiding
from .soundness import check_lie, check_sound
from .spline.patch import SplinePatch
from .tolerances import SURFACE

__all__ = ["PlankedSurface", "SurfaceSettings", "planked_surface"]

_SLIM = 0.5  # of the greatest half-breadth: no keel's half siding is more

Direction = Union[str, Tuple[float, float, float], None]


@dataclass(frozen=True)
class SurfaceSettings:
    """What a user may say about a face; None is found from geometry.

    Parameters
    ----------
    up, forward : 'X', '-Y', ... or three numbers
        Directions in model coordinates. Up is Z, and the ship lies along the longer
        horizontal axis, unless told otherwise.
    centreplane : float
        Coordinate of the centreplane along the transverse axis, mm (0).
    sheer_edge, stem_edge : 'u0', 'u1', 'v0' or 'v1'
        Edges of the face as given: u at its lowest, highest, v at its lowest, highest.
    half_siding : float
        Half the width of stem, keel and sternpost, mm.
    half_siding_stem, half_siding_keel, half_siding_post : float
        Values that differ from it, mm.
    name : str
        The hull's name in messages.
    """

    up: Direction = None
    forward: Direction = None
    centreplane: Optional[float] = None
    sheer_edge: Optional[str] = None
    stem_edge: Optional[str] = None
    half_siding: float = 0.0
    half_siding_stem: Optional[float] = None
    half_siding_keel: Optional[float] = None
    half_siding_post: Optional[float] = None
    name: str = "hull"

    def sidings(self):
        """(stem, keel, post) half sidings, mm.

        Raises
        ------
        PlanError
            A value that is negative or no finite number.
        """
        out = []
        for part in ("stem", "keel", "post"):
            value = getattr(self, "half_siding_" + part)
            value = self.half_siding if value is None else value
            try:
                value = float(value)
            except (TypeError, ValueError):
                value = float("nan")
            if not np.isfinite(value) or value < 0.0:
                raise PlanError(
                    f"{self.name}: the half siding {value:g} mm is not a width",
                    f"at the {'sternpost' if part == 'post' else part}",
                    "give half the width of the timber in mm, or 0",
                )
            out.append(value)
        return tuple(out)


@dataclass(frozen=True, eq=False)
class PlankedSurface:
    """One side of a hull with its edges, in ship coordinates.

    Attributes
    ----------
    frame : ShipFrame
    patch : SplinePatch
        u from bow to stern, v from the sheer to the keel; x aft, y outboard, z up;
        su x sv points outboard.
    sheer : SurfaceCurve
        From bow to stern.
    boundary : SurfaceCurve
        Stem head, down the stem, along the rabbet, up the stern to the sheer.
    s_stem_end, s_stern_start : float
        Arc lengths on the boundary, mm: the stem edge is [0, s_stem_end], the stern edge
        [s_stern_start, boundary.length], the rabbet of the keel between.
    notes : tuple of str
        What was found and assumed.
    face : HullFace
        How the given face was turned.
    siding : HalfSiding
    trimmed : (pieces,) bool
        Which pieces of the boundary lie on the half siding instead of on a face's edge.
    name : str
    """

    frame: ShipFrame
    patch: SplinePatch
    sheer: SurfaceCurve
    boundary: SurfaceCurve
    s_stem_end: float
    s_stern_start: float
    notes: Tuple[str, ...]
    face: HullFace
    siding: HalfSiding
    trimmed: np.ndarray
    name: str = "hull"
    outline: Optional[np.ndarray] = field(default=None, repr=False)

    # --- inside and outside -------------------------------------------------------------
    @cached_property
    def _scale(self):
        """Mean mm per unit of u and of v."""
        u, v = _grid(self.patch, 2)
        jet = self.patch.jets(u, v, 1)
        return tuple(float(np.mean(np.linalg.norm(d, axis=1))) for d in (jet.su, jet.sv))

    def inside(self, u, v):
        """How far points lie inside the planking.

        Parameters
        ----------
        u, v : (n,) arrays; may lie outside the patch

        Returns
        -------
        (n,) roughly mm, positive inside, zero on the boundary, negative outside: the least
        of the distances to the patch's edges and of half-breadth less half siding.
        """
        u, v = np.asarray(u, float), np.asarray(v, float)
        (u0, u1), (v0, v1) = self.patch.u_range, self.patch.v_range
        ku, kv = self._scale
        out = np.minimum(
            np.minimum(u - u0, u1 - u) * ku, np.minimum(v - v0, v1 - v) * kv
        )
        if self.trimmed.any():
            p = self.patch.points(u, v)
            f = p[:, 1] - self.siding.at(p[:, 0])
            out = np.minimum(out, f)
            if self.outline is not None:
                within = _within(self.outline, np.stack([u, v], axis=1))
                out = np.where((out > 0.0) & ~within, -out, out)
        return out

    @cached_property
    def x_range(self):
        """(foremost, aftermost) ship x of the planking, mm."""
        x = np.concatenate([_dense(c)[1][:, 0] for c in (self.sheer, self.boundary)])
        return float(x.min()), float(x.max())

    @cached_property
    def greatest_half_breadth(self):
        """(ship x, half-breadth), mm, of the widest place of a sampling of the planking."""
        u, v = _grid(self.patch, 8)
        p = self.patch.points(u, v)
        k = int(np.argmax(np.where(self.inside(u, v) >= -1e-6, p[:, 1], -np.inf)))
        return float(p[k, 0]), float(p[k, 1])

    # --- along the boundary ---------------------------------------------------------------
    @property
    def stem_length(self):
        """Length of the stem edge below the sheer, mm."""
        return self.s_stem_end

    @property
    def stern_length(self):
        """Length of the stern edge below the sheer, mm."""
        return self.boundary.length - self.s_stern_start

    def stem_girth(self, s):
        """Girth below the sheer along the stem edge at boundary arc lengths s, mm."""
        return np.asarray(s, float) + 0.0

    def stern_girth(self, s):
        """Girth below the sheer along the stern edge at boundary arc lengths s, mm."""
        return self.boundary.length - np.asarray(s, float)

    def arc_at_girth(self, edge, girth):
        """Boundary arc length at a girth below the sheer on an end.

        Parameters
        ----------
        edge : 'stem' or 'stern'
        girth : float
            mm below the sheer, along the edge.

        Returns
        -------
        float

        Raises
        ------
        PlanError
            The girth is no number, or longer than the edge.
        """
        length = {"stem": self.stem_length, "stern": self.stern_length}[edge]
        g = float(girth)
        if not np.isfinite(g) or g < 0.0 or g > length:
            raise PlanError(
                f"{self.name}: a girth of {g:.1f} mm below the sheer is off the {edge} edge, "
                f"which is {length:.1f} mm long",
                f"at the {edge}, {self.frame.side} side",
                f"give a girth between 0 and {np.floor(length * 10.0) / 10.0:.1f} mm",
            )
        return g if edge == "stem" else self.boundary.length - g

    def boundary_uv_at(self, s):
        """(u, v) of boundary arc lengths s (n,): (n, 2)."""
        return self.boundary.uv_local(*self.boundary.locate(s))

    def uv_at_girth(self, edge, girth):
        """(u, v) of a girth below the sheer on 'stem' or 'stern': (2,)."""
        return self.boundary_uv_at(self.arc_at_girth(edge, girth))[0]


def planked_surface(patch, settings=SurfaceSettings()):
    """Find sheer, stem, rabbet and stern of a hull's face and trim it to the half siding.

    Parameters
    ----------
    patch : SplinePatch
        One side of a hull, in model coordinates, any order and sense of u and v.
    settings : SurfaceSettings

    Returns
    -------
    PlankedSurface

    Raises
    ------
    PlanError
        The face is no sound side of a hull; the message says what, where and what to do.
    """
    stem, keel, post = settings.sidings()
    if settings.centreplane is not None and not np.isfinite(settings.centreplane):
        raise PlanError(
            f"{settings.name}: the centreplane {settings.centreplane!r} is not a coordinate", "",
            "give the transverse coordinate of the centreplane in mm",
        )  # fmt: skip
    face = find_hull_face(patch, settings)
    notes = list(face.notes) + list(check_lie(face, settings))
    _require_slim(face, (stem, keel, post), settings.name)
    check_sound(face, Level(face.patch, HalfSiding(stem, keel, post)), settings.name)
    border = planking_boundary(face.patch, stem, keel, post, settings.name, face.frame)
    breaks = border.curve.s_breaks
    outline = _check_parts(face, border, settings.name)
    if outline is not None:
        notes.append("The face is wider than the siding again below the rabbet; that part is not planked.")
    notes.append(_trim_note(border))
    return PlankedSurface(
        frame=face.frame, patch=face.patch, sheer=border.sheer, boundary=border.curve,
        s_stem_end=float(breaks[border.stem_end]),
        s_stern_start=float(breaks[border.stern_start]),
        notes=tuple(notes), face=face, siding=border.siding, trimmed=border.trimmed,
        name=settings.name, outline=outline,
    )  # fmt: skip


def _require_slim(face, sidings, name):
    """Raise where a timber would be as wide as the hull: a slip of the pen or of the unit."""
    u, v = _grid(face.patch, 4)
    most = float(np.max(face.patch.points(u, v)[:, 1]))
    for part, half in zip(("stem", "keel", "sternpost"), sidings):
        if half > _SLIM * most:
            raise PlanError(
                f"{name}: nothing is left to plank at a half siding of {half:g} mm of the {part}; the "
                f"greatest half-breadth is {most:.0f} mm",
                f"at the {part}",
                "give a smaller half siding, half the width of the timber; the hull must be modelled in mm",
            )


def _trim_note(border):
    h = border.siding
    if not border.trimmed.any():
        return "The face already ends at the half siding; nothing is trimmed."
    length = float(np.sum(border.curve.piece_lengths[border.trimmed]))
    values = f"{h.stem:g} mm"
    if not h.constant:
        values = f"{h.stem:g}, {h.keel:g} and {h.post:g} mm at stem, keel and post"
    return f"The rabbet line lies where the half-breadth is {values}: {length:.0f} mm of the boundary."


def _grid(patch, per_span):
    u = sample_parameters(patch.breaks_u, per_span)
    v = sample_parameters(patch.breaks_v, per_span)
    u, v = np.meshgrid(u, v, indexing="ij")
    return u.ravel(), v.ravel()


def _dense(curve, per_piece=25):
    """(uv, p) of many points along a curve."""
    x = np.tile(np.linspace(-1.0, 1.0, per_piece), curve.pieces)
    uv = curve.uv_local(np.repeat(np.arange(curve.pieces), per_piece), x)
    return uv, curve.patch.points(uv[:, 0], uv[:, 1])


def _check_parts(face, border, name):
    """Look for places on the wrong side of the rabbet line.

    Returns
    -------
    (m, 2) outline of the planking in (u, v) where the face is wider again below the rabbet,
    else None.

    Raises
    ------
    PlanError
        The planking itself comes within the half siding somewhere in its middle.
    """
    outline = np.vstack([_dense(border.curve)[0], _dense(border.sheer)[0][::-1]])
    u, v = _grid(face.patch, 6)
    p = face.patch.points(u, v)
    f = p[:, 1] - border.siding.at(p[:, 0])
    within = _within(outline, np.stack([u, v], axis=1))
    # half a millimetre bridges the outline's chords
    thin = within & (f < -10.0 * SURFACE.at_siding)
    if thin.any():
        k = int(np.nonzero(thin)[0][np.argmin(f[thin])])
        raise PlanError(
            f"{name}: inside the planking the surface comes within {p[k, 1]:.1f} mm of the centreplane, "
            f"nearer than the half siding {float(border.siding.at(p[k, 0])):.1f} mm",
            f"{face.frame.place(p[k])} ({face.frame.station_label(p[k, 0])})",
            "give a smaller half siding, or check the hollow there",
        )
    edge = (np.isin(u, face.patch.u_range)) | (np.isin(v, face.patch.v_range))
    return outline if np.any(~within & ~edge & (f > 1.0)) else None


def _within(outline, uv):
    """Whether points (n, 2) lie in a closed outline (m, 2): even-odd rule, (n,) bool."""
    a, b = outline, np.roll(outline, -1, axis=0)
    out = np.zeros(len(uv), bool)
    for lo in range(0, len(uv), 2000):
        u, v = uv[lo : lo + 2000, :1], uv[lo : lo + 2000, 1:]
        spans = (a[:, 1] > v) != (b[:, 1] > v)
        with np.errstate(divide="ignore", invalid="ignore"):
            at = a[:, 0] + (v - a[:, 1]) * (b[:, 0] - a[:, 0]) / (b[:, 1] - a[:, 1])
        out[lo : lo + 2000] = np.sum(spans & (u < at), axis=1) % 2 == 1
    return out
