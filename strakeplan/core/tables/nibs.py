# SPDX-License-Identifier: LGPL-2.1-or-later
"""Nibs as they are carried to the boat: where their corners lie, and how deep they are cut."""

from dataclasses import dataclass

import numpy as np

from ..sections import sections_at

__all__ = ["NibRow", "nib_table"]


@dataclass(frozen=True)
class NibRow:
    """One nib.

    Attributes
    ----------
    strake : int
        The strake that ends; the one above it takes over its breadth.
    end : 'bow' or 'stern'
        Towards which end of the hull it ends.
    position : float
        Model coordinate along the ship of the upper corner, mm.
    girth : float
        Tape reading at the upper corner, along the section there from the sheer down, mm.
    lower_position, lower_girth : float
        The same of the lower corner.
    lower_on : str
        "Seam 08" or "rabbet": what the lower corner lies on.
    depth : float
        Length of the cut, mm.
    """

    strake: int
    end: str
    position: float
    girth: float
    lower_position: float
    lower_girth: float
    lower_on: str
    depth: float

    @property
    def words(self):
        """The nib in a sentence."""
        return (
            f"Strake {self.strake} ends in a nib towards the {self.end} at {self.position:.0f} mm, "
            f"{self.depth:.1f} mm deep; strake {self.strake - 1} takes over its breadth"
        )


def nib_table(lineoff):
    """All nibs of a line-off.

    Parameters
    ----------
    lineoff : LineOff

    Returns
    -------
    tuple of NibRow, from the sheer down, at each strake the bow first
    """
    cuts = [
        (seam.number + 1, end, cut, lineoff.seams[seam.number + 1].name if cut.onto is not None else "rabbet")
        for seam in lineoff.seams
        for part in seam.parts
        for end, cut in (("bow", part.fore), ("stern", part.aft))
        if cut is not None
    ]
    if not cuts:
        return ()
    corners = np.array([cut.across.at([0.0, cut.across.length]).uv for _, _, cut, _ in cuts])  # (k, 2, 2)
    points = np.array([cut.across.points([0.0, cut.across.length]) for _, _, cut, _ in cuts])
    station = lineoff.hull.frame.to_model_station(points[..., 0])
    sections = sections_at(lineoff.hull, points[..., 0].ravel())
    girth = sections.girth_at_v(np.arange(2 * len(cuts)), corners[..., 1].ravel()).reshape(-1, 2)
    rows = [
        NibRow(
            number, end, float(station[k, 0]), float(girth[k, 0]), float(station[k, 1]), float(girth[k, 1]), on,
            float(cut.across.length),
        )
        for k, (number, end, cut, on) in enumerate(cuts)
    ]  # fmt: skip
    return tuple(rows)
