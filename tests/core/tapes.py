# SPDX-License-Identifier: LGPL-2.1-or-later
"""Plans reduced to their marks, and builders who hang a tape on them."""

import numpy as np

from strakeplan.core.asbuilt.drawn import DrawnMarks
from strakeplan.core.asbuilt.readings import Reading
from strakeplan.core.asbuilt.tape import read_tape
from strakeplan.core.tables.marks import MarkRow, MarksTable

__all__ = ["forward", "plan", "read", "smooth"]


def plan(stations=11, equal=6, parallel=3, width=90.0, spacing=1000.0):
    """Marks of a made-up hull of `stations` stations between its ends.

    `equal` strakes down to the line, then `parallel` ones of `width` mm and a garboard that takes the
    rest. The girths are smooth along the ship; near the ends the lowest seams run out on the rabbet.
    """
    length = (stations + 1) * spacing
    seams = tuple("Taut line" if j == equal else f"Seam {j:02d}" for j in range(1, equal + parallel + 1))
    rows = []

    def row(name, x, position):
        t = x / length
        line = 700.0 + 900.0 * np.sin(np.pi * t) ** 1.2
        whole = line + 60.0 + (parallel + 0.7) * width * np.sin(np.pi * t)
        marks = [line * j / equal for j in range(1, equal + 1)]
        marks += [line + width * j for j in range(1, parallel + 1)]
        marks = tuple(float(m) if m < whole - 5.0 else None for m in marks)
        return MarkRow(name, position, marks, float(whole), True)

    rows.append(row("Stem", 0.0, None))
    rows += [row(str(k), k * spacing, k * spacing) for k in range(1, stations + 1)]
    rows.append(row("Stern", length, None))
    keeps = (False,) * equal + (True,) * (parallel + 1)
    return DrawnMarks(MarksTable(seams, tuple(rows)), keeps, ((0.0, length),) * (equal + parallel + 1))


def forward(drawn):
    """The same plan in a model whose coordinate grows forward."""
    rows = tuple(
        MarkRow(r.name, None if r.position is None else -r.position, r.readings, r.rabbet, r.divided, r.begins)
        for r in drawn.table.rows
    )
    ends = tuple((-a, -b) for a, b in drawn.ends)
    return DrawnMarks(MarksTable(drawn.table.seams, rows), drawn.keeps_width, ends)


def smooth(rng, x, length, size):
    """A smooth random departure: three half waves of falling size, mm at x (n,)."""
    waves = np.arange(1, 4)
    a = rng.normal(size=3) * size / waves
    phase = rng.uniform(0.0, np.pi, 3)
    return np.sin(np.pi * waves[:, None] * np.asarray(x)[None, :] / length + phase[:, None]).T @ a


def read(drawn, mark, values, unit="mm"):
    """Readings (text or mm) of one mark, by the names of the stations."""
    return tuple(
        Reading(station, drawn.names[drawn.column_of(mark)], read_tape(value, unit), row)
        for row, (station, value) in enumerate(values.items(), 2)
    )
