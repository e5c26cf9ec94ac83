# SPDX-License-Identifier: LGPL-2.1-or-later
"""Re-division of one station's marks between those that are fixed."""

import numpy as np

from ..errors import PlanError

__all__ = ["redivided"]


def redivided(drawn, keeps_width, fixed, place=""):
    """Marks of one station when some of them are fixed.

    Between two fixed marks (the sheer is one, the rabbet another) strakes keep their shares
    of the girth. Above the rabbet strakes that keep their width do so from above down, and
    the lowest of them that comes to the station takes what is left.

    Parameters
    ----------
    drawn : (m + 1,) drawn girths below the sheer, the rabbet last, mm; nan: no such mark here
    keeps_width : (m + 1,) bool, of the strake above each mark
    fixed : dict of int -> float
        Column -> girth, mm; must hold the rabbet's.
    place : str
        For messages.

    Returns
    -------
    girths : (m + 1,) mm; nan where drawn is nan, and where the mark has come below the rabbet
    lost : tuple of int
        Columns of marks that have come below the rabbet.

    Raises
    ------
    PlanError
        Fixed marks that cross.
    """
    drawn = np.asarray(drawn, float)
    out = np.full(len(drawn), np.nan)
    there = np.flatnonzero(np.isfinite(drawn))
    rabbet = len(drawn) - 1
    lost = []
    start_drawn = start = 0.0
    segment = []
    for c in there:
        segment.append(c)
        if c not in fixed:
            continue
        target = fixed[c] - start
        if not target > 0.0:
            raise PlanError(
                f"the marks cross: {fixed[c]:.1f} mm below the sheer follows {start:.1f} mm", place,
                "check the readings there, and set aside the one that is wrong",
            )  # fmt: skip
        widths = np.diff(drawn[segment], prepend=start_drawn)
        # at the rabbet stands whichever strake follows the lowest seam that comes here
        lowest = segment[-2] + 1 if len(segment) > 1 else 0
        if c == rabbet and keeps_width[lowest]:
            widths[-1] += target - widths.sum()
            while widths[-1] <= 0.0 and len(segment) > 1:
                lost.append(segment.pop(-2))
                widths = np.concatenate([widths[:-2], [widths[-2] + widths[-1]]])
        else:
            widths = widths * (target / widths.sum())
        out[segment] = start + np.cumsum(widths)
        out[c] = fixed[c]
        start_drawn, start, segment = drawn[c], fixed[c], []
    return out, tuple(lost)
