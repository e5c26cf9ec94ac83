# SPDX-License-Identifier: LGPL-2.1-or-later
"""All checks of a line-off at once, beside their limits."""

from dataclasses import dataclass
from typing import NamedTuple, Optional

import numpy as np

from ..develop import laid_flat
from ..errors import PlanError
from ..wood.mechanics import corner_strain
from .bending import Bending, check_bending
from .boards import Boards, board_widths
from .fairness import Fairness, check_fairness
from .hollow import Hollows, check_hollow
from .landings import Landings, TuckAngles, check_landings
from .limits import Limits
from .margins import Figure, Item, Margins, margins
from .spring_or_spile import Classes, classed
from .springing import Springing, check_springing
from .widths import Widths, check_widths
from .windows import stubs

__all__ = ["Binding", "Checks", "Job", "check_strakes"]

STEAM = ("never", "where needed", "always")
_DEGREES = float(np.degrees(1.0))


@dataclass(frozen=True)
class Job:
    """What the strakes are planked with.

    Attributes
    ----------
    wood : Wood
        See `core.wood`.
    thickness : mm, finished
    plank_length : mm, of the planks on hand
    frame_spacing : mm
    steam : str
        'never', 'where needed' (where a cold plank would pass a limit of bend, twist, force,
        shear or strain) or 'always'.
    """

    wood: object
    thickness: float
    plank_length: float
    frame_spacing: float
    steam: str = "where needed"

    def __post_init__(self):
        for name in ("thickness", "plank_length", "frame_spacing"):
            value = getattr(self, name)
            if not np.isfinite(value) or value <= 0.0:
                raise PlanError(f"a {name.replace('_', ' ')} of {value:g} mm cannot be planked with", "",
                                f"give a {name.replace('_', ' ')} above 0 mm")  # fmt: skip
        if self.steam not in STEAM:
            raise PlanError(
                f"planks cannot be steamed {self.steam!r}", "", "say " + ", ".join(STEAM[:2]) + f" or {STEAM[2]}"
            )


class Binding(NamedTuple):
    """What binds: ``label`` of the strake or seam, its ``row``, whether it is a ``seam``, the
    ``item``, its ``value`` and ``limit``, the signed ``margin``, and ship position ``x``, mm."""

    label: str
    row: int
    seam: bool
    item: Item
    value: float
    limit: float
    margin: float
    x: float


@dataclass(frozen=True, eq=False)
class Checks:
    """Everything looked at on m strakes and k seams.

    Attributes
    ----------
    strakes : StrakeSamples
    seams : SeamSamples
    job : Job
    limits : Limits
    widths, springing, bending, hollows, boards : figures of the strakes
    fairness, landings : figures of the seams
    tuck : TuckAngles or None
        None where no tuck was given.
    strake_margins, seam_margins : Margins
    classes : Classes
        How every strake is got out.
    steamed : (m,) bool
        Which strakes are steamed.
    """

    strakes: object
    seams: object
    job: Job
    limits: Limits
    widths: Widths
    springing: Springing
    bending: Bending
    hollows: Hollows
    boards: Boards
    fairness: Fairness
    landings: Landings
    tuck: Optional[TuckAngles]
    strake_margins: Margins
    seam_margins: Margins
    classes: Classes
    steamed: np.ndarray

    def label(self, row, seam=False):
        """'Strake 07', 'Strake 21, part 2', or the seam's name."""
        if seam:
            part = self.seams.part[row]
            return self.seams.name[row] + (f", part {part}" if part else "")
        part = self.strakes.part[row]
        return f"Strake {self.strakes.number[row]:02d}" + (f", part {part}" if part else "")

    def binding(self, row, seam=False):
        """What binds on one strake, got out as it is classed, or on one seam; None for nothing."""
        table = self.seam_margins if seam else self.strake_margins
        item = table.worst()[1][row] if seam else self.classes.item[row]
        return self._binding(table, int(item), int(row), seam)

    def own(self, spiled=True):
        """Margins (m,) of the strakes, and the rows (m,) of what binds in their table.

        Parameters
        ----------
        spiled : bool
            Got out as they are classed; or every one sprung that is not always spiled.
        """
        classes = self.classes
        if spiled:
            return classes.margin, classes.item
        never = np.isin(np.asarray(self.strakes.rule, str), list(self.limits.always_spiled))
        return (
            np.where(never, classes.spiled, classes.sprung),
            np.where(never, classes.spiled_item, classes.sprung_item),
        )

    @property
    def worst_margin(self):
        """The least margin of all strakes, got out as they are classed, and of all seams."""
        return self._worst(True)

    @property
    def worst_sprung(self):
        """The least margin if every strake were sprung that is not always spiled."""
        return self._worst(False)

    @property
    def binds(self):
        """The limit that binds over all: Binding, or None where nothing is looked at."""
        return self._binds(True)

    @property
    def binds_sprung(self):
        """The limit that binds if every strake were sprung that is not always spiled; or None."""
        return self._binds(False)

    def _worst(self, spiled):
        return float(min(np.min(self.own(spiled)[0]), np.min(self.seam_margins.worst()[0], initial=np.inf)))

    def _binds(self, spiled):
        own, item = self.own(spiled)
        by_seam = self.seam_margins.worst()[0]
        if np.min(by_seam, initial=np.inf) < np.min(own):
            return self.binding(int(np.argmin(by_seam)), True)
        row = int(np.argmin(own))
        return self._binding(self.strake_margins, int(item[row]), row, False)

    def _binding(self, table, item, row, seam):
        if item < 0:
            return None
        samples = self.seams if seam else self.strakes
        x = float(samples.x[row, table.index[item, row]])
        return Binding(
            self.label(row, seam), row, seam, table.items[item], float(table.value[item, row]),
            float(table.limit[item, row]), float(table.margin[item, row]), x,
        )  # fmt: skip


def check_strakes(strakes, seams, job, limits=Limits(), lines=(), tuck=None):
    """Check all strakes and seams of a line-off.

    Parameters
    ----------
    strakes : StrakeSamples
    seams : SeamSamples
    job : Job
    limits : Limits
    lines : sequence of GivenLine
        Lines that seams should keep clear of.
    tuck : TuckAngles, optional
        Of `check_tuck`, or of `tuck_angles` for plans that are only looked at.

    Returns
    -------
    Checks
    """
    flat = laid_flat(strakes.s, strakes.edgewise)
    on = (job.thickness, job.plank_length, job.frame_spacing)
    widths = check_widths(strakes)
    bending = check_bending(strakes, job.wood, *on)
    steamed = _steamed(strakes, job, limits, bending)
    springing = check_springing(strakes, job.wood, *on, steamed=steamed, flat=flat)
    hollows = check_hollow(strakes, job.thickness)
    boards = board_widths(strakes, flat, job.plank_length)
    fairness = check_fairness(seams)
    landings = check_landings(seams, lines, limits.line_clear)
    of_strakes = margins(
        _strake_figures(strakes, job, limits, steamed, widths, springing, bending, hollows, boards), len(strakes.number)
    )
    of_seams = margins(_seam_figures(seams, limits, fairness, landings, tuck), len(seams.number))
    return Checks(
        strakes, seams, job, limits, widths, springing, bending, hollows, boards, fairness, landings, tuck,
        of_strakes, of_seams, classed(of_strakes, strakes.rule, limits.always_spiled), steamed,
    )  # fmt: skip


def _steamed(strakes, job, limits, bending):
    """Which strakes (m,) are steamed."""
    m = len(strakes.number)
    if job.steam != "where needed":
        return np.full(m, job.steam == "always")
    wanted = np.zeros(m, bool)
    if limits.bend_cold is not None:
        wanted |= bending.over_thickness.worst < limits.bend_cold
    if limits.twist is not None:
        wanted |= np.abs(bending.metre.worst) > limits.twist
    if limits.frame_force is not None:
        wanted |= bending.frame_force.worst > limits.frame_force
    if limits.shear is not None:
        wanted |= bending.shear.worst > limits.shear * job.wood.breaking_shear
    if limits.share is not None:
        cold = corner_strain(strakes.width, job.thickness, 0.0, strakes.bend, strakes.gauss)
        wanted |= np.max(cold, axis=1) > limits.share * job.wood.breaking_strain
    return wanted


def _strake_figures(strakes, job, limits, steamed, widths, springing, bending, hollows, boards):
    last = strakes.s.shape[1] - 1
    if_cold = lambda limit: None if limit is None else np.where(steamed, np.nan, limit)  # noqa: E731
    never = np.isin(np.asarray(strakes.rule, str), list(limits.always_spiled))
    # a garboard, and what a rabbet or a nib has left of a plank, is cut to shape whatever its taper
    shaped = never | stubs(strakes, job.plank_length)
    if_sprung = lambda limit: None if limit is None else np.where(shaped, np.nan, limit)  # noqa: E731
    tightest = [np.nan if a is None else a for a in (limits.bend_steamed, limits.bend_cold)]
    twistest = [np.nan if a is None else a for a in (limits.twist_steamed, limits.twist)]
    size = lambda a: np.abs(a.worst)  # noqa: E731
    percent = dict(unit="%", scale=100.0)
    middle = np.rint(boards.at / strakes.s[:, 1]).astype(int)
    rows = (
        (Item("hood_bow", "breadth at the stem", least=True), widths.bow, 0, limits.hood_end),
        (Item("hood_stern", "breadth at the stern", least=True), widths.stern, last, limits.hood_end),
        (Item("widest", "greatest width"), widths.wide.worst, widths.wide.index, limits.widest),
        (Item("narrowest", "least width", least=True), widths.narrow.worst, widths.narrow.index, limits.narrowest),
        (Item("taper", "taper", "mm/m"), size(widths.taper), widths.taper.index, if_sprung(limits.taper)),
        (Item("edge_set", "edge set", group="spring"), *springing.edge_set[1:], limits.edge_set),
        (Item("force", "force to spring it", "N", group="spring"), *springing.force[1:], limits.force),
        (Item("stand_off", "edge standing off", group="spring"), springing.stand_off, springing.roll_at,
         limits.stand_off),
        (Item("hold_down", "force to hold it down", "N", group="spring"), *springing.hold_down[1:],
         limits.hold_down),
        (Item("buckling", "springing force over buckling force", "", group="spring"),
         springing.buckling, springing.force.index, limits.buckling),
        (Item("share", "share of the breaking strain", group="spring", **percent), *springing.share[1:], limits.share),
        (Item("share_spiled", "share of the breaking strain, spiled", group="spile", **percent),
         *springing.share_spiled[1:], limits.share),
        (Item("board", "board to spile it from", group="spile"), boards.plank, middle, limits.board),
        (Item("bend", "bend, R/t", "", least=True), *bending.over_thickness[1:], np.where(steamed, *tightest)),
        (Item("frame_force", "force to bend and twist it home", "N"), *bending.frame_force[1:],
         if_cold(limits.frame_force)),
        (Item("twist", "twist", "degrees/m", 1000.0 * _DEGREES), size(bending.metre), bending.metre.index,
         np.where(steamed, *twistest)),
        (Item("twist_in_all", "twist over a plank", "degrees", _DEGREES), size(bending.in_all), bending.in_all.index,
         limits.twist_in_all),
        (Item("shear", "share of the breaking shear", **percent), bending.shear.worst / job.wood.breaking_shear,
         bending.shear.index, if_cold(limits.shear)),
        (Item("hollow", "hollow"), *hollows.hollow[1:], limits.hollow),
        (Item("stock", "stock thickness"), hollows.stock, hollows.hollow.index, limits.stock),
        (Item("compound", "strain of double curvature", **percent), size(springing.compound),
         springing.compound.index, limits.compound),
    )  # fmt: skip
    return [Figure(*row) for row in rows]


def _seam_figures(seams, limits, fairness, landings, tuck):
    given = seams.number == 0  # the sheer is not ours to move
    ours = lambda value: np.where(given, np.nan, value)  # noqa: E731
    out = [Figure(Item("fairness", "jump of bending, as seen"), ours(fairness.seen.worst),
                  fairness.seen.index, limits.fairness)]  # fmt: skip
    for name, off, clear in zip(landings.name, landings.off, landings.clear):
        item = Item(f"clear of {name}", f"distance from {name}", least=True)
        out.append(Figure(item, ours(off.worst), off.index, clear))
    if tuck is not None:
        near = np.argmin(np.abs(seams.x - np.where(np.isnan(tuck.x), seams.x[:, 0], tuck.x)[:, None]), axis=1)
        item = Item("tuck_angle", "angle across the tuck", "degrees", _DEGREES)
        out.append(Figure(item, ours(tuck.angle), near, limits.tuck_angle))
    return out
