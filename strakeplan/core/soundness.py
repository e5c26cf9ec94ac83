# SPDX-License-Identifier: LGPL-2.1-or-later
"""Whether a face that has been turned into ship coordinates can be a hull at all."""

import numpy as np

from .edges import edge_uv, sample_parameters
from .errors import PlanError
from .tolerances import SURFACE

__all__ = ["check_lie", "check_sound"]


def check_lie(face, settings):
    """Raise PlanError where the face lies as no hull does.

    Parameters
    ----------
    face : HullFace
    settings : SurfaceSettings
        What was given by hand is believed and not checked.

    Returns
    -------
    tuple of str, notes on what looks odd but may be meant
    """
    patch, name = face.patch, settings.name
    edge = {}
    for key, where in (("sheer", "v0"), ("keel", "v1"), ("stem", "u0"), ("stern", "u1")):
        breaks = patch.breaks_u if where[0] == "v" else patch.breaks_v
        uv = edge_uv(patch, where, sample_parameters(breaks, 8))
        edge[key] = patch.points(uv[:, 0], uv[:, 1])
    u, v = (
        a.ravel()
        for a in np.meshgrid(
            sample_parameters(patch.breaks_u, 4), sample_parameters(patch.breaks_v, 4), indexing="ij"
        )
    )
    cloud = patch.points(u, v)
    greatest = float(np.max(cloud[:, 1]))
    lie = "(taken: " + face.frame.description.rstrip(".") + ")"
    remedy = "set up, forward and centreplane to how the hull lies in the model"
    if settings.up is None:
        for end in ("stem", "stern"):
            _, broad, high = np.ptp(edge[end], axis=0)
            if broad > (2.0 if end == "stem" else 10.0) * high:
                raise PlanError(
                    f"{name}: the hull seems to lie on its side; its {end} is {broad:.0f} mm broad and "
                    f"{high:.0f} mm high {lie}",
                    f"at the {end}", remedy,
                )  # fmt: skip
    keel, sheer = float(np.mean(edge["keel"][:, 1])), float(np.mean(edge["sheer"][:, 1]))
    if not settings.sheer_edge and keel > sheer:
        raise PlanError(
            f"{name}: the hull seems to lie keel up; its lower edge is wider "
            f"({keel:.0f} mm mean half-breadth) than its upper one ({sheer:.0f} mm) {lie}",
            "", "set up to -Z, or name the sheer edge",
        )  # fmt: skip
    if sheer < 0.1 * greatest:
        raise PlanError(
            f"{name}: the upper edge lies {sheer:.0f} mm from the centreplane on the mean, "
            f"so it is no sheer {lie}",
            "along the upper edge",
            "cut the face along the sheer, or " + remedy,
        )
    if keel > 0.3 * greatest:
        raise PlanError(
            f"{name}: the lower edge lies {keel:.0f} mm from the centreplane on the mean, "
            f"so it is no keel {lie}",
            "along the keel",
            remedy + ", or choose the face that goes down to the keel",
        )
    length, depth = np.ptp(cloud[:, 0]), np.ptp(cloud[:, 2])
    if length < 1.2 * depth or length < greatest:
        raise PlanError(
            f"{name}: the face is {length:.0f} mm long, {depth:.0f} mm deep and {greatest:.0f} mm broad, "
            f"so it is no hull's side {lie}",
            "", "choose the face of the hull's side, or " + remedy,
        )  # fmt: skip
    notes = []
    widest = max(settings.sidings())
    for part in ("keel", "stem"):
        ends_at = float(np.mean(edge[part][:, 1]))
        if ends_at > 2.0 * widest + 0.02 * greatest:
            notes.append(
                f"Along the {part} the face ends {ends_at:.0f} mm from the centreplane, "
                "more than the half siding: set the centreplane if the hull lies elsewhere."
            )
    if length < 1000.0 or length > 150000.0:
        notes.append(f"The face is {length:.3g} mm long: is the hull really modelled in millimetres?")
    return tuple(notes)


def check_sound(face, level, name):
    """Raise PlanError where the planked part of a patch is collapsed, folded or knuckled.

    Parameters
    ----------
    face : HullFace
    level : Level
        Tells which part is planked.
    """
    patch, frame = face.patch, face.frame
    gu, gv = sample_parameters(patch.breaks_u, 8), sample_parameters(patch.breaks_v, 8)
    u, v = (a.ravel() for a in np.meshgrid(gu, gv, indexing="ij"))
    shape = (len(gu), len(gv))
    jet = patch.jets(u, v, 1)
    cross = np.cross(jet.su, jet.sv)
    area = np.linalg.norm(cross, axis=1)
    lu, lv = np.linalg.norm(jet.su, axis=1), np.linalg.norm(jet.sv, axis=1)
    planked = jet.p[:, 1] - level.siding.at(jet.p[:, 0]) > -SURFACE.at_siding
    small = SURFACE.collapsed_area
    bad = planked & (
        (area <= small * lu * lv)
        | (area <= 1e-3 * small * np.median(area))
        | (lu <= small * np.median(lu))
        | (lv <= small * np.median(lv))
    )
    if bad.any():
        k = int(np.nonzero(bad)[0][np.argmin(area[bad])])
        given = face.given_uv([u[k], v[k]])
        raise PlanError(
            f"{name}: the surface has collapsed (no area) at the face's "
            f"u = {given[0]:.4g}, v = {given[1]:.4g}",
            _where(frame, jet.p[k]),
            "rebuild the face without coinciding poles there",
        )
    n = (cross / np.where(area > 0.0, area, 1.0)[:, None]).reshape(*shape, 3)
    both = planked.reshape(shape)
    for axis in (0, 1):
        a, b = np.take(n, range(shape[axis] - 1), axis), np.take(n, range(1, shape[axis]), axis)
        ok = np.take(both, range(shape[axis] - 1), axis) & np.take(both, range(1, shape[axis]), axis)
        turned = ok & (np.einsum("ijk,ijk->ij", a, b) < -0.2)
        if turned.any():
            i, j = np.argwhere(turned)[0]
            raise PlanError(
                f"{name}: the surface folds back on itself",
                _where(frame, jet.p.reshape(*shape, 3)[i, j]),
                "rebuild the face without crossing poles there",
            )
    for way in "uv":
        _check_knuckles(patch, way, level, frame, name)


def _check_knuckles(patch, way, level, frame, name):
    """A knot line of full multiplicity may carry a bend in the parameters, not in the surface."""
    k = "uv".index(way)
    degree = (patch.degree_u, patch.degree_v)[k]
    breaks, mult = ((patch.breaks_u, patch.mult_u), (patch.breaks_v, patch.mult_v))[k]
    t = sample_parameters((patch.breaks_v, patch.breaks_u)[k], 8)
    for span, (value, m) in enumerate(zip(breaks[1:-1], mult[1:-1]), start=1):
        if m < degree:
            continue
        uv = np.empty((len(t), 2))
        uv[:, k], uv[:, 1 - k] = value, t
        sides = []
        for s in (span - 1, span):
            where = np.full(len(t), s)
            jet = patch.jets(uv[:, 0], uv[:, 1], 1, *((where, None) if k == 0 else (None, where)))
            cross = np.cross(jet.su, jet.sv)
            sides.append((jet.p, cross / np.linalg.norm(cross, axis=1)[:, None]))
        (p, a), (q, b) = sides
        planked = p[:, 1] - level.siding.at(p[:, 0]) > -SURFACE.at_siding
        if not planked.any():
            continue
        gap = np.where(planked, np.linalg.norm(p - q, axis=1), 0.0)
        if gap.max() > 1e-7 * patch.size:
            i = int(np.argmax(gap))
            raise PlanError(
                f"{name}: the surface has a gap of {gap[i]:.3g} mm inside it",
                _where(frame, p[i]), "rebuild the face in one piece",
            )  # fmt: skip
        angle = np.arctan2(
            np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b)
        )
        angle = np.where(planked, angle, 0.0)
        if angle.max() > SURFACE.knuckle:
            i = int(np.argmax(angle))
            raise PlanError(
                f"{name}: the surface has a knuckle of {np.degrees(angle[i]):.2f} degrees, "
                "and a round-bilged planking cannot be lined off across it",
                _where(frame, p[i]), "split the face at the knuckle, or fair it",
            )  # fmt: skip


def _where(frame, p):
    return f"{frame.place(p)} ({frame.station_label(p[0])})"
