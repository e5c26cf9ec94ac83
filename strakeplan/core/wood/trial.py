# SPDX-License-Identifier: LGPL-2.1-or-later
"""Trial plank: what a builder finds with a clamp and an hour, in a second.

A straight plank is put on a place of the hull: how far it must be sprung edgewise, what its
clamps pull, how it rolls off the frames and what holds it down, and how near it is to breaking.
"""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np
from scipy.interpolate import CubicSpline

from ..cautions import CAUTIONS
from ..checks.bending import METRE
from ..checks.limits import Limits
from ..develop import edge_sets, laid_flat
from ..errors import PlanError
from . import forces, mechanics
from .place import Place
from .roll import hold_down, plank_roll
from .species import Wood

__all__ = ["LIMITED", "Margin", "Trial", "TrialPlank", "newtons", "try_plank"]


@dataclass(frozen=True)
class TrialPlank:
    """A straight plank.

    Attributes
    ----------
    width, thickness, length : float
        mm, finished; straight and parallel.
    wood : Wood
    frame_spacing : float
        mm.
    steamed : bool
        Steamed planks take their bend across the flat without keeping the strain; its share is
        then left out. Strength and stiffness stay those of the wood as it was: forces of a hot
        plank are less, by how much is not printed.
    """

    width: float
    thickness: float
    length: float
    wood: Wood
    frame_spacing: float
    steamed: bool = False

    def __post_init__(self):
        for name in ("width", "thickness", "length", "frame_spacing"):
            value = getattr(self, name)
            if not 0.0 < value < np.inf:
                raise PlanError(
                    f"a {name.replace('_', ' ')} of {value:g} mm makes no plank", "trial plank", "give one above 0"
                )
        if self.length < 5.0 * self.width:
            raise PlanError(
                f"a plank {self.length:.0f} mm long and {self.width:.0f} mm wide is too short for beam formulas",
                "trial plank", "try one at least five times as long as wide",
            )  # fmt: skip


@dataclass(frozen=True)
class Margin:
    """A figure beside its limit.

    ``key`` is the field of `Limits`; ``margin`` = (limit - value) / limit, or (value - limit) /
    limit where the limit is the least allowed; ``mends`` says who can help: 'spile', 'steam',
    'narrower', 'hold' (hold it flat first) or 'other'.
    """

    key: str
    title: str
    value: float
    limit: float
    margin: float
    mends: str


@dataclass(frozen=True, eq=False)
class Trial:
    """What the trial found. Forces N, lengths mm, angles radians, curvatures 1/mm.

    Attributes
    ----------
    plank : TrialPlank
    place : Place
        The stretch of line under the plank.
    middle : float
        Arc length of its middle along the line given.
    edge_set : float
        Greatest distance between the line laid flat and its chord.
    towards : str
        Where the middle of the plank goes from a straight line through its ends: "sheer",
        "keel", or "" for a plank that is not sprung.
    one_clamp : float
        Force at mid-length, ends free to turn: 48 E I d / l^3.
    three_clamps : tuple of 3 floats
        Forces at the quarters and at mid-length that bring the plank to the line there, its
        ends free to turn; positive along the spring, negative where it bears by itself.
    per_clamp : float
        The greatest of them that a clamp has to give.
    tip : float
        One end fastened, sprung at its tip.
    roll : float
        Angle at the place where an edge stands off most, both ends held flat and nothing between;
        nan for a plank that flips.
    roll_error : float
        Error of it by halving the places.
    edge_off : str
        "upper" or "lower" edge, or "".
    stand_off : float
    hold_down : float
        Greatest clamp force per frame that holds it flat, on the edge that would stand off.
    hold_down_edge : str
    buckling : float
        Springing force over the force at which a strip of that length, held at its ends only,
        buckles sideways.
    bend_ratio : float
        Least R / t across the flat.
    frame_force : float
        Greatest force at a frame to bend and twist the plank home on the flat, cold.
    twist, twist_in_all : float
        Greatest over a metre (rad/mm) and the angle between the ends (rad).
    edgewise, flatwise, compound, corner : float
        Shares of the breaking strain: each alone at its greatest (compound by size), and added
        at the worst corner (flatwise left out where steamed).
    shear : float
        Share of the shear strength; nan where that is not known.
    hollow, stock : float
        Greatest depth of hollow (negative for a round inner face), and the stock wanted.
    strain : float
        The strain at the worst corner.
    margins : tuple of Margin, the least first
    verdict : tuple of str
        Sentences, the first one says whether it goes.
    cautions : tuple of str
    """

    plank: TrialPlank
    place: Place
    middle: float
    edge_set: float
    towards: str
    one_clamp: float
    three_clamps: Tuple[float, float, float]
    per_clamp: float
    tip: float
    roll: float
    roll_error: float
    edge_off: str
    stand_off: float
    hold_down: float
    hold_down_edge: str
    buckling: float
    bend_ratio: float
    frame_force: float
    twist: float
    twist_in_all: float
    edgewise: float
    flatwise: float
    compound: float
    corner: float
    shear: float
    hollow: float
    stock: float
    strain: float
    margins: Tuple[Margin, ...] = ()
    verdict: Tuple[str, ...] = ()
    cautions: Tuple[str, ...] = CAUTIONS


def try_plank(plank, place, middle=None, limits: Optional[Limits] = None):
    """Try a plank on a place.

    Parameters
    ----------
    plank : TrialPlank
    place : Place
        A line as long as the plank or longer.
    middle : float, optional
        Arc length of the plank's middle on the line, mm; by default where it wants the most
        edge set.
    limits : Limits, optional
        What counts as too much; the defaults are common practice, no source.

    Returns
    -------
    Trial

    Raises
    ------
    PlanError
        If the line is shorter than the plank.
    """
    at, middle = place.cut(plank.length, middle)
    w, t, length, wood = plank.width, plank.thickness, plank.length, plank.wood
    off, edge_set, towards = _sprung(at, length)
    kappa_n = -at.bend
    three = forces.clamp_forces(wood.along, w, t, off, length)
    rolled = plank_roll(at.s, w, t, at.edgewise, kappa_n, at.twist, wood.shear_modulus / wood.along)
    down = hold_down(
        at.s, w, t, at.edgewise, kappa_n, at.twist, wood.along, wood.shear_modulus, plank.frame_spacing
    )
    one = float(forces.one_clamp_force(wood.along, w, t, edge_set, length))
    critical = float(forces.buckling_force(wood.along, wood.shear_modulus, w, t, length))
    home = forces.bend_home_force(wood.along, w, t, at.bend, plank.frame_spacing)
    home = home + forces.twist_home_force(wood.shear_modulus, w, t, at.twist)
    broken = wood.breaking_strain
    strain = mechanics.corner_strain(w, t, at.edgewise, 0.0 * at.bend if plank.steamed else at.bend, at.gauss)
    depth = mechanics.hollow_depth(w, at.across)
    worst = int(rolled.worst)
    most = lambda values: float(np.max(np.abs(values)))  # noqa: E731
    found = dict(
        edge_set=edge_set, towards=towards, one_clamp=one, three_clamps=tuple(float(f) for f in three),
        per_clamp=max(0.0, float(np.max(three))),
        tip=float(forces.tip_force(wood.along, w, t, edge_set, length)),
        roll=float(np.abs(rolled.angle[worst])), roll_error=float(rolled.error),
        edge_off=_edge(rolled.edge[worst]), stand_off=float(rolled.most), hold_down=float(down.most),
        hold_down_edge=_edge(down.edge[int(down.worst)]), buckling=one / critical,
        bend_ratio=float(np.min(mechanics.bend_ratio(t, at.bend))), frame_force=most(home),
        twist=_over_a_metre(at.s, at.twist), twist_in_all=abs(float(CubicSpline(at.s, at.twist).integrate(0.0, length))),
        edgewise=most(mechanics.edgewise_strain(w, at.edgewise)) / broken,
        flatwise=most(mechanics.bend_strain(t, at.bend)) / broken,
        compound=most(mechanics.compound_strain(w, at.gauss).edge) / broken, corner=most(strain) / broken,
        shear=most(mechanics.twist_shear(w, t, at.twist)) / wood.breaking_shear,
        hollow=float(depth[np.argmax(np.abs(depth))]),
        stock=most(mechanics.stock_thickness(w, t, at.across)), strain=most(strain),
    )  # fmt: skip
    margins = _margins(plank, found, limits or Limits())
    return Trial(plank, at, middle, **found, margins=margins, verdict=_verdict(plank, found, margins))


def _sprung(at, length):
    """Offsets at the quarters and the middle along the spring (3,), edge set, and which way."""
    flat = laid_flat(at.s, at.edgewise)
    edge_set = float(edge_sets(flat, length).most)
    chord = flat.z[-1]
    across = (flat.z * (np.conj(chord) / abs(chord))).imag
    # a line that turns towards the keel (+y) has its middle on the sheer's side of its chord
    off = CubicSpline(at.s, across)(length * np.array([0.25, 0.5, 0.75]))
    side = across[np.argmax(np.abs(across))]
    towards = "" if edge_set < 0.05 else "sheer" if side < 0.0 else "keel"
    return (off if side >= 0.0 else -off), edge_set, towards


def _over_a_metre(s, twist):
    """Greatest mean twist over a metre, or over all of a shorter plank, radians/mm."""
    span = min(METRE, s[-1])
    turned = CubicSpline(s, twist).antiderivative()
    start = np.clip(s - 0.5 * span, 0.0, s[-1] - span)
    return float(np.max(np.abs(turned(start + span) - turned(start)))) / span


_SPRUNG = 1.0  # mm of edge set below which a plank is not what one calls sprung
_WORTH_SAYING = 0.6  # a figure that is farther inside its limit is not named


def _edge(sign):
    return {1: "lower", -1: "upper", 0: ""}[int(sign)]


# field of Limits, title, figure, what mends it
_LIMITED = (
    ("edge_set", "edge set", "edge_set", "spile"),
    ("force", "force of one clamp at mid-length", "one_clamp", "spile"),
    ("share", "share of the breaking strain", "corner", "other"),
    ("shear", "share of the shear strength", "shear", "narrower"),
    ("stand_off", "edge standing off", "stand_off", "spile"),
    ("hold_down", "hold-down force per frame", "hold_down", "spile"),
    ("buckling", "springing force over buckling force", "buckling", "hold"),
    ("frame_force", "force per frame to bend and twist it home", "frame_force", "steam"),
    ("twist_in_all", "twist from end to end", "twist_in_all", "narrower"),
    ("hollow", "depth of hollow", "hollow", "narrower"),
    ("stock", "thickness of stock", "stock", "narrower"),
)

#: fields of `Limits` that a trial looks at
LIMITED = (*(row[0] for row in _LIMITED), "twist", "twist_steamed", "bend_cold", "bend_steamed")


def _margins(plank, found, limits):
    rows = []
    for key, title, name, mends in _LIMITED:
        limit = getattr(limits, key)
        if key == "frame_force" and plank.steamed:
            continue  # no figure for a hot plank
        value = abs(found[name])
        if key == "stand_off" and np.isnan(value):
            value = np.inf  # it flips
        if limit is None or np.isnan(value):
            continue
        if mends == "spile" and found["edge_set"] < _SPRUNG:
            mends = "narrower"  # it is the twist that rolls it, and a spiled plank is no better
        rows.append(Margin(key, title, value, limit, (limit - value) / limit, mends))
    key = "twist_steamed" if plank.steamed else "twist"
    limit = getattr(limits, key)
    if limit is not None:
        mends = "narrower" if plank.steamed or found["twist"] > (limits.twist_steamed or np.inf) else "steam"
        rows.append(Margin(key, "twist", found["twist"], limit, (limit - found["twist"]) / limit, mends))
    key = "bend_steamed" if plank.steamed else "bend_cold"
    limit = getattr(limits, key)
    if limit is not None:
        ratio = found["bend_ratio"]
        margin = (ratio - limit) / limit
        mends = "narrower" if plank.steamed or ratio < (limits.bend_steamed or 0.0) else "steam"
        rows.append(Margin(key, "radius of the bend over the thickness", ratio, limit, margin, mends))
    if found["corner"] > (limits.share or np.inf):
        # the greatest part of the strain says who can help
        parts = {"spile": found["edgewise"], "narrower": found["compound"]}
        if not plank.steamed:
            parts["steam"] = found["flatwise"]
        mends = max(parts, key=parts.get)
        rows = [Margin(m.key, m.title, m.value, m.limit, m.margin, mends) if m.key == "share" else m for m in rows]
    return tuple(sorted(rows, key=lambda m: m.margin))


def _verdict(plank, found, margins):
    broken = [m for m in margins if m.margin < 0.0]
    mends = {m.mends for m in broken}
    said = []
    if found["corner"] >= 1.0:
        said.append("It breaks: the strain at the worst corner is beyond the breaking strain of this wood.")
    if "spile" in mends:
        said.append("It does not go on straight: spile it, or make the strakes narrower.")
    if "steam" in mends:
        said.append("It does not go on cold: steam it, or get it out thinner.")
    if "narrower" in mends:
        said.append("It does not go at this width and thickness: make the strakes narrower, or the planks thinner.")
    held_first = "hold it flat on the frames before it is sprung, for held at its ends alone it flips"
    stops = [m for m in broken if m.mends != "hold"]
    if not stops:
        start = "It goes on " + ("steamed" if plank.steamed else "cold") + (" and straight" if found["towards"] else "")
        said.append(start + (f": {held_first}." if broken else "."))
        near = next((m for m in margins if m.mends != "hold"), None)
        if near and near.margin < _WORTH_SAYING:
            said.append(f"Nearest its limit: {near.title}, {_at(near)}.")
    elif "hold" in mends:
        said.append(f"If it is sprung all the same, {held_first}.")
    for m in stops:
        said.append(f"Too much: {m.title}, {_at(m)}." if "bend" not in m.key else f"Too hard: {m.title}, {_at(m)}.")
    if found["stand_off"] >= 1.0 or np.isnan(found["roll"]):
        held = f"hold it down with at most {newtons(found['hold_down'])} at a frame"
        if np.isnan(found["roll"]):
            said.append(f"Held at its ends alone it finds no rest and flips: {held}.")
        else:
            tight = "upper" if found["edge_off"] == "lower" else "lower"
            when = "While it is sprung" if found["edge_set"] >= _SPRUNG else "Held at its ends alone"
            said.append(
                f"{when} its {tight} edge lies tight and its {found['edge_off']} edge stands "
                f"{found['stand_off']:.0f} mm off the frames: {held}."
            )
    return tuple(said)


_SHOWN = {
    "share": (100.0, " %", 0), "shear": (100.0, " %", 0), "twist": (1e3 * 180.0 / np.pi, " degrees a metre", 1),
    "twist_steamed": (1e3 * 180.0 / np.pi, " degrees a metre", 1),
    "twist_in_all": (180.0 / np.pi, " degrees", 0), "edge_set": (1.0, " mm", 0), "stand_off": (1.0, " mm", 0),
    "hollow": (1.0, " mm", 1), "stock": (1.0, " mm", 1), "buckling": (1.0, "", 2), "bend_cold": (1.0, "", 0),
    "bend_steamed": (1.0, "", 0),
}  # fmt: skip


def _at(m):
    if m.key in ("force", "hold_down", "frame_force"):
        return f"{newtons(m.value)} against {newtons(m.limit)}"
    scale, unit, digits = _SHOWN[m.key]
    return f"{m.value * scale:.{digits}f}{unit} against {m.limit * scale:.{digits}f}{unit}"


def newtons(force):
    """Two figures are what such an estimate is worth; kilograms are what a builder's arm knows."""
    kilograms = force / 9.80665
    return f"{_two(force)} N ({_two(kilograms)} kg)"


def _two(value):
    return "0" if value < 0.5 else f"{float(f'{value:.2g}'):.0f}"
