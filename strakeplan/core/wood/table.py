# SPDX-License-Identifier: LGPL-2.1-or-later
"""The table of species as rows: to be read, and to be changed and read in again."""

from .handbook import HANDBOOK
from .species import DRY, GREEN

__all__ = ["FIGURE_COLUMNS", "SPECIES_COLUMNS", "figure_rows", "species_rows"]

#: columns of `species_rows`, as `species_from_rows` takes them
SPECIES_COLUMNS = (
    "name", "botanical", "unit", "mor", "moe", "shear", "gravity", "mor_green", "moe_green", "shear_green",
    "gravity_green", "g_lt", "g_lr", "source",
)  # fmt: skip

#: columns of `figure_rows`
FIGURE_COLUMNS = ("species", "botanical", "figure", "moisture", "value", "unit", "source", "from memory")

_TITLES = {
    "mor": "modulus of rupture", "moe": "modulus of elasticity", "shear": "shear along the grain",
    "gravity": "specific gravity", "g_lt": "G_LT / E_L", "g_lr": "G_LR / E_L",
}  # fmt: skip


def species_rows(table=HANDBOOK):
    """A row for each species, in the columns that users fill in.

    Parameters
    ----------
    table : dict of name to Species

    Returns
    -------
    list of tuples
        Stresses in psi where every one of the row is printed in psi, in MPa otherwise. The
        source says which figures are from memory. Empty cells are None.
    """
    return [_species_row(species) for species in table.values()]


def _species_row(species):
    stresses = [f for (what, _), f in species.figures.items() if what in ("mor", "moe", "shear")]
    psi = bool(stresses) and all(f.unit.endswith("psi") for f in stresses)

    def cell(column):
        figure = _figure(species, column)
        if figure is None:
            return None
        if not figure.unit:
            return figure.value
        if psi:
            return round(figure.value * (1e6 if figure.unit == "10^6 psi" else 1.0), 6)
        return round(figure.si, 6)

    figures = SPECIES_COLUMNS[3:-1]
    sources = sorted({f.source for f in species.figures.values()})
    memory = [c for c in figures if _figure(species, c) is not None and _figure(species, c).from_memory]
    source = "; ".join(sources) + (f"; from memory: {', '.join(memory)}" if memory else "")
    return (species.name, species.botanical, "psi" if psi else "MPa", *(cell(c) for c in figures), source)


def _figure(species, column):
    """The figure of a column, or None."""
    if column.startswith("g_"):
        return species.figure(column)
    what = column.removesuffix("_green")
    return species.figure(what, DRY if what == column else GREEN)


def figure_rows(table=HANDBOOK):
    """A row for each figure, as printed, with its own source.

    Returns
    -------
    list of tuples
    """
    return [
        (species.name, species.botanical, _TITLES[what], moisture, f.value, f.unit, f.source,
         "yes" if f.from_memory else "no")
        for species in table.values()
        for (what, moisture), f in species.figures.items()
    ]  # fmt: skip
