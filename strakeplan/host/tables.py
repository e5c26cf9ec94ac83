# SPDX-License-Identifier: LGPL-2.1-or-later
"""The core's tables laid out for people: the same for the spreadsheet and for CSV."""

from dataclasses import dataclass

from ..core.tables.units import feet_inches_sixteenths

__all__ = ["Table", "marks_layout", "bevels_layout"]

#: mm; a tape is read to half a millimetre, figures are given a little finer
_MM = 2
#: degrees
_DEGREES = 2


@dataclass(frozen=True)
class Table:
    """A table as it is written.

    Attributes
    ----------
    header : tuple of str
    units : tuple of str or None
        Per column, the unit of its numbers.
    rows : tuple of tuples of str, int, float or None
    """

    header: tuple
    units: tuple
    rows: tuple


def marks_layout(table):
    """Tape readings: a line for each seam, two columns for each place of the tape.

    Parameters
    ----------
    table : MarksTable

    Returns
    -------
    Table
        The first lines say where the station stands, where its tape begins, and whether
        the equal strakes are equally divided there.
    """
    header, units = ["Tape from the sheer down"], [None]
    for row in table.rows:
        name = row.name if row.position is None else f"Station {row.name}"
        header += [f"{name}, mm", f"{name}, ft in 1/16"]
        units += ["mm", None]
    position, begins, divided = ["Along the ship"], ["Tape begins at"], ["Equally divided"]
    for row in table.rows:
        position += [None, None] if row.position is None else _both(row.position)
        begins += [None, row.begins]
        divided += [None, "yes" if row.divided else "no"]
    lines = [tuple(position), tuple(begins), tuple(divided)]
    for column, seam in enumerate(table.seams):
        line = [seam]
        for row in table.rows:
            line += _both(row.readings[column])
        lines.append(tuple(line))
    line = ["Rabbet"]
    for row in table.rows:
        line += _both(row.rabbet)
    lines.append(tuple(line))
    return Table(tuple(header), tuple(units), tuple(lines))


def bevels_layout(rows, stations):
    """Bevels: a line for each edge of each plank, a column for each station.

    Parameters
    ----------
    rows : sequence of BevelRow
    stations : sequence of Station

    Returns
    -------
    Table
        The last line says what the sign means.
    """
    header = ["Strake", "Part", "Edge", *(f"Station {s.name}, deg" for s in stations)]
    units = [None, None, None, *("deg" for _ in stations)]
    lines = [
        (
            row.strake,
            row.part or None,
            row.edge,
            *(None if b is None else round(b, _DEGREES) for b in row.bevels),
        )
        for row in rows
    ]
    note = "+ standing bevel (inner face and edge obtuse), - under bevel; no caulking bevel"
    lines.append((note, *(None for _ in header[1:])))
    return Table(tuple(header), tuple(units), tuple(lines))


def _both(mm):
    """A length in millimetres and in feet, inches and sixteenths."""
    if mm is None:
        return [None, None]
    return [round(mm, _MM), feet_inches_sixteenths(mm)]
