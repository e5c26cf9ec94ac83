# SPDX-License-Identifier: LGPL-2.1-or-later
"""The core's tables laid out for people: the same for the spreadsheet and for CSV."""

import math
from dataclasses import dataclass

from ..core.tables.units import feet_inches_sixteenths, metres

__all__ = ["Table", "marks_layout", "bevels_layout", "counts_layout", "lines_layout", "nibs_layout"]

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
    row_units : tuple of str or None
        The same per row, where a row has one kind of figure; empty otherwise.
    """

    header: tuple
    units: tuple
    rows: tuple
    row_units: tuple = ()


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


def nibs_layout(rows):
    """Nibs: a line for each, with what the tape reads at both corners of the cut.

    Parameters
    ----------
    rows : sequence of NibRow

    Returns
    -------
    Table
    """
    lengths = (
        ("Upper corner, along the ship", "position"), ("Girth there", "girth"), ("Depth of the nib", "depth"),
        ("Lower corner, along the ship", "lower_position"), ("Girth there", "lower_girth"),
    )  # fmt: skip
    header, units = ["Strake that ends", "Towards the", "Taken over by strake"], [None, None, None]
    for title, _ in lengths:
        header += [f"{title}, mm", f"{title}, ft in 1/16"]
        units += ["mm", None]
    lines = []
    for row in rows:
        line = [row.strake, row.end, row.strake - 1]
        for _, name in lengths:
            line += _both(getattr(row, name))
        lines.append((*line, row.lower_on))
    return Table((*header, "Lower corner on the"), (*units, None), tuple(lines))


def _both(mm):
    """A length in millimetres and in feet, inches and sixteenths."""
    if mm is None:
        return [None, None]
    return [round(mm, _MM), feet_inches_sixteenths(mm)]


def lines_layout(named):
    """Line reports: a column for each line, a row for each figure.

    Parameters
    ----------
    named : sequence of (str, LineReport)
        All with the same stations and plank length.

    Returns
    -------
    Table
        A figure that a line does not have is left empty.
    """
    first = named[0][1]
    rows = [
        ("Kind", None), ("Length, mm", "mm"), ("Position good to, mm", None),
        ("Girth at the stem, mm", "mm"), ("Girth at the stern, mm", "mm"),
        *((f"Girth at station {g.name}, mm", "mm") for g in first.girths),
        (f"Edge set in {metres(first.plank_length)} of plank, mm", "mm"), ("    at, mm", "mm"),
        ("Least radius edgewise, mm", "mm"), ("    at, mm", "mm"),
        ("Least radius across the flat, mm", "mm"), ("    at, mm", "mm"),
        ("Least radius hollow along it, mm", "mm"), ("    at, mm", "mm"),
        ("Greatest twist, degrees per metre", None), ("    at, mm", "mm"),
        ("Distance from", None), ("    least, mm", "mm"), ("    greatest, mm", "mm"),
        ("    change, mm per metre", None),
    ]  # fmt: skip
    columns = [_line_figures(report) for _, report in named]
    return Table(
        ("", *(name for name, _ in named)),
        (None,) * (len(named) + 1),
        tuple((title, *figures) for (title, _), figures in zip(rows, zip(*columns))),
        tuple(unit for _, unit in rows),
    )


def _line_figures(r):
    """A line's figures, in the order of the rows."""
    beside = [None] * 4
    if r.closeness:
        c = r.closeness[0]
        beside = [c.name, *(_rounded(v) for v in (c.least[0], c.greatest[0], c.per_metre))]
    bend, hollow = r.flatwise_most, r.flatwise_least
    return (
        r.kind, _rounded(r.length), f"{r.error_position:.0e}", _rounded(r.bow_girth), _rounded(r.stern_girth),
        *(_rounded(g.girth) for g in r.girths),
        _rounded(r.edge_set.value), _place(r.edge_set.station),
        *_radius(abs(r.edgewise_most.value), r.edgewise_most.station), *_radius(bend.value, bend.station),
        *_radius(-hollow.value, hollow.station),
        _rounded(r.twist_most.value), _place(r.twist_most.station), *beside,
    )  # fmt: skip


#: 1/mm; a radius of more than 10 km is that of a straight plank
_STRAIGHT = 1e-7


def _radius(curvature, station):
    """Radius and its place; nothing where the line is straight, or turns the other way."""
    if not curvature > _STRAIGHT:
        return None, None
    return float(f"{1.0 / curvature:.3g}"), _place(station)  # a gentle bend is sure to no more than that


def _place(mm):
    """Where something is, to the millimetre."""
    return None if mm != mm else round(mm)


def _rounded(mm):
    return None if mm is None or mm != mm else round(mm, _MM)


def counts_layout(found, plank_length):
    """Numbers of strakes side by side: a column for each number, a row for each figure.

    Parameters
    ----------
    found : sequence of CountFigures
    plank_length : float
        mm.

    Returns
    -------
    Table
        A number that cannot be lined off has only the reason in its column; figures that no
        number has take no row.
    """
    rows = [
        ("Strakes in all", None),
        ("Their width along the stem, mm", "mm"), ("Their greatest width, mm", "mm"), ("    strake", None),
        ("    at, mm", "mm"), ("Their width along the stern, mm", "mm"),
        ("Narrowest strake, mm", "mm"), ("    strake", None), ("    at, mm", "mm"),
        ("Strakes narrower than allowed, without nibs", None),
        (f"Greatest edge set in {metres(plank_length)} of plank, mm", "mm"), ("    strake", None),
        ("    at, mm", "mm"),
        ("Width of the parallel strakes, mm", "mm"), ("Greatest width of the garboard, mm", "mm"),
        ("Sharpest end on the rabbet, degrees", None), ("    strake", None), ("    at, mm", "mm"),
        ("Cannot be", None),
    ]  # fmt: skip
    lines = zip(rows, zip(*(_count_figures(one) for one in found)))
    # what was not asked for, or is not there under any number, takes no row
    told = [(title, unit, figures) for (title, unit), figures in lines if any(v is not None for v in figures)]
    return Table(
        ("Equal strakes", *(str(one.count) for one in found)),
        (None,) * (len(found) + 1),
        tuple((title, *figures) for title, _, figures in told),
        tuple(unit for _, unit, _ in told),
    )


def _count_figures(one):
    """Figures of a number of strakes, in the order of the rows."""
    if one.fault:
        return (*[None] * 18, one.fault)

    def placed(p):
        return (None, None, None) if p is None else (_rounded(p.value), p.strake, _rounded(p.position))

    sharp = (None, None, None)
    if one.sharpest is not None:
        sharp = (round(math.degrees(one.sharpest.angle), 1), one.sharpest.strake, _rounded(one.sharpest.position))
    return (
        one.strakes, _rounded(one.stem[0]), *placed(one.greatest), _rounded(one.stern[0]), *placed(one.least), one.too_narrow,
        *placed(one.edge_set), _rounded(one.parallel_width), _rounded(one.garboard.value), *sharp, None,
    )  # fmt: skip
