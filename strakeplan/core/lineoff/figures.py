# SPDX-License-Identifier: LGPL-2.1-or-later
"""What a line-off comes to: least breadth, garboard, and how strakes run out on the rabbet."""

from dataclasses import dataclass
from typing import Optional, Tuple

import numpy as np

from ..checks.widths import check_widths
from ..strakes.samples import strake_samples

__all__ = ["SHARP", "WIDE_GARBOARD", "LineOffFigures", "Place", "RunOut", "line_off_figures", "run_outs"]

SHARP = np.radians(12.0)  # a plank's point sharper than this is hard to fasten (common practice, no source)
WIDE_GARBOARD = 2.0  # times the strake above it (common practice, no source)


@dataclass(frozen=True)
class Place:
    """A figure of a strake and where it is found.

    Attributes
    ----------
    value : float
        mm.
    strake : int
    position : float
        Model coordinate along the ship, mm.
    """

    value: float
    strake: int
    position: float


@dataclass(frozen=True)
class RunOut:
    """A strake that runs out to a point on the rabbet.

    Attributes
    ----------
    strake, part : int
    end : 'bow' or 'stern'
        The end of the plank that is pointed.
    position : float
        Model coordinate along the ship of the point, mm.
    angle : float
        Between its upper seam and the rabbet, radians.
    """

    strake: int
    part: int
    end: str
    position: float
    angle: float


@dataclass(frozen=True)
class LineOffFigures:
    """Figures of a line-off.

    Attributes
    ----------
    least : Place or None
        Least breadth square to the middle line, the garboard and the points of strakes that
        run out left out; None where the garboard is the only strake.
    garboard : Place
        Greatest breadth of the garboard square to its middle line.
    garboard_ratio : float or None
        The same as a multiple of the greatest breadth of the strake above it.
    run_outs : tuple of RunOut
    """

    least: Optional[Place]
    garboard: Place
    garboard_ratio: Optional[float]
    run_outs: Tuple[RunOut, ...]

    def notes(self, narrowest=None):
        """What to look at, in sentences.

        Parameters
        ----------
        narrowest : float, optional
            Narrowest breadth that was given, mm.

        Returns
        -------
        tuple of str
        """
        said = []
        sharp = [r for r in self.run_outs if r.angle < SHARP]
        if sharp:
            worst = min(sharp, key=lambda r: r.angle)
            numbers = ", ".join(dict.fromkeys(str(r.strake) for r in sharp))
            said.append(
                f"{'Strakes' if ',' in numbers else 'Strake'} {numbers}: the end on the rabbet is sharper than "
                f"{np.degrees(SHARP):.0f} degrees (strake {worst.strake} at the {worst.end}: "
                f"{np.degrees(worst.angle):.1f}). "
                + (
                    "Give a lesser narrowest breadth, or another width of the parallel strakes, so that a nib can be cut."
                    if narrowest
                    else "Give a narrowest breadth, so that it is cut off in a nib."
                )
            )
        if self.garboard_ratio is not None and self.garboard_ratio > WIDE_GARBOARD:
            said.append(
                f"The garboard is {self.garboard.value:.0f} mm wide at its widest, {self.garboard_ratio:.1f} times the "
                "strake above it. Put parallel strakes below the lowest line, or let that line run lower."
            )
        return tuple(said)


def line_off_figures(lineoff, samples=None):
    """Least breadth, garboard and pointed ends of a line-off.

    Parameters
    ----------
    lineoff : LineOff
    samples : StrakeSamples, optional
        Where they are there already.

    Returns
    -------
    LineOffFigures
    """
    samples = strake_samples(lineoff, girths=False) if samples is None else samples
    widths = check_widths(samples)
    station = lineoff.hull.frame.to_model_station

    def place(along, row):
        k = int(along.index[row])
        return Place(float(along.worst[row]), int(samples.number[row]), float(station(samples.x[row, k])))

    last = samples.number == lineoff.strakes[-1].number
    others = np.flatnonzero(~last & np.isfinite(widths.narrow.worst))
    least = place(widths.narrow, others[np.argmin(widths.narrow.worst[others])]) if len(others) else None
    mine = np.flatnonzero(last)
    garboard = place(widths.wide, mine[np.argmax(widths.wide.worst[mine])])
    above = widths.wide.worst[samples.number == lineoff.strakes[-1].number - 1]
    ratio = garboard.value / float(np.max(above)) if len(above) else None
    return LineOffFigures(least, garboard, ratio, run_outs(lineoff))


def run_outs(lineoff):
    """Strakes that run out to a point on the rabbet, and the angles they make with it.

    Parameters
    ----------
    lineoff : LineOff

    Returns
    -------
    tuple of RunOut, from the sheer down
    """
    hull, found = lineoff.hull, []
    for strake in lineoff.strakes:
        for outline in strake.planks:
            seam = outline.upper
            for end, kind, s, at in (
                ("bow", outline.fore_kind, seam.s_fore, 0.0),
                ("stern", outline.aft_kind, seam.s_aft, seam.whole.length),
            ):
                if kind != "point":
                    continue
                c, rabbet = seam.whole.at([at]), hull.boundary.at([s])
                angle = float(np.arccos(np.clip(abs(c.t[0] @ rabbet.t[0]), 0.0, 1.0)))
                x = float(hull.frame.to_model_station(c.p[0, 0]))
                found.append(RunOut(strake.number, outline.part, end, x, angle))
    return tuple(found)
