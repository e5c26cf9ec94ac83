# SPDX-License-Identifier: LGPL-2.1-or-later
"""Strength and stiffness of wood: what is printed, and what a plank of it bears.

A `Species` holds figures as printed, each with its source; `Species.wood` turns them into a
`Wood` in MPa for a state of moisture and a grade. Users add species of their own with
`species_from_rows` (rows of a CSV or TOML file) or by making a `Species`.

Which modulus of elasticity: the printed MOE comes from bending at a span of 14 depths and so
includes shear; the true modulus along the grain is about 10 % higher (footnote of the tables,
from memory). *Forces* take the true one, `Wood.along`: planks are long for their depth, and
clamps do not feel the shear. The *breaking strain* is MOR / MOE as printed, both from the same
test; with the true modulus it would be 9 % lower, but wood yields in compression before it
breaks and the strain then is higher still: it is a reference to divide by, not a promise.
"""

from dataclasses import dataclass, field
from typing import Mapping, NamedTuple, Optional, Tuple

from ..errors import PlanError

__all__ = ["DRY", "Figure", "GREEN", "Species", "TRUE_MODULUS", "Wood", "species_from_rows"]

GREEN, DRY = "green", "12 %"  # states of moisture the tables are printed for

TRUE_MODULUS = 1.10  # true modulus along the grain over the printed MOE, see above

_MPA = {"psi": 0.006894757293168361, "10^6 psi": 6894.757293168361, "kPa": 1e-3, "MPa": 1.0, "GPa": 1e3}
_USUAL_RATIO = 1.0 / 16.0  # G over E along the grain where none is printed; timber design, from memory


class Figure(NamedTuple):
    """A printed figure: its value, the unit it is printed in, and where.

    ``from_memory`` marks figures written down from memory: look them up before relying on them.
    """

    value: float
    unit: str
    source: str
    from_memory: bool = False

    @property
    def si(self):
        """The value in MPa, or as it is where it has no unit."""
        return self.value * _MPA[self.unit] if self.unit else self.value


@dataclass(frozen=True)
class Wood:
    """Wood of one species in one state: what forces and shares are worked out with.

    Attributes
    ----------
    name, moisture : str
    grade : float
        Factor on the strengths, 1 for clear, straight-grained wood.
    modulus : float
        MOE as printed, MPa.
    along : float
        True modulus along the grain E_L, MPa, 10 % above the printed one. For forces. Not
        lowered by the grade: a clamp must be strong enough for the stiffest plank.
    shear_modulus : float
        G of the wide face and the grain, MPa.
    rupture : float
        Modulus of rupture times the grade, MPa.
    shear_strength : float or None
        Along the grain, times the grade, MPa.
    notes : tuple of str
        What had to be assumed.
    """

    name: str
    moisture: str
    grade: float
    modulus: float
    along: float
    shear_modulus: float
    rupture: float
    shear_strength: Optional[float]
    notes: Tuple[str, ...] = ()

    @property
    def breaking_strain(self):
        """MOR / MOE, both as printed, times the grade."""
        return self.rupture / self.modulus

    @property
    def breaking_shear(self):
        """Shear strength along the grain over the shear modulus; nan where none is known."""
        return float("nan") if self.shear_strength is None else self.shear_strength / self.shear_modulus

    def in_words(self):
        """One line: what the wood is and how far it may be strained."""
        grade = "clear wood" if self.grade == 1.0 else f"grade factor {self.grade:g} on strength"
        return (
            f"{self.name}, {self.moisture}, {grade}: modulus of rupture {self.rupture:.1f} MPa, modulus of "
            f"elasticity {self.modulus:.0f} MPa, breaking strain {100.0 * self.breaking_strain:.2f} %"
        )


@dataclass(frozen=True)
class Species:
    """A kind of wood, with figures as printed.

    Attributes
    ----------
    name : str
    botanical : str
    figures : mapping of (property, moisture) to Figure
        Properties: "mor" (modulus of rupture), "moe" (modulus of elasticity), "shear" (along
        the grain) and "gravity" (specific gravity), for GREEN and DRY; "g_lt" and "g_lr"
        (G / E_L of the tangential and of the radial face) for "".
    """

    name: str
    botanical: str = ""
    figures: Mapping[Tuple[str, str], Figure] = field(default_factory=dict)

    def figure(self, what, moisture=""):
        """A printed figure, or None."""
        return self.figures.get((what, moisture))

    def wood(self, moisture=DRY, grade=1.0, sawn="flat"):
        """This wood in one state.

        Parameters
        ----------
        moisture : str
            GREEN or DRY. Steamed wood is neither: its figures are not printed.
        grade : float
            Factor on the strengths for knots and slope of grain, above 0 and up to 1. Clear
            wood has 1; the reader's grading rules give theirs.
        sawn : "flat" or "quarter"
            Flat-sawn planks twist by G_LT, quarter-sawn ones by G_LR.

        Returns
        -------
        Wood

        Raises
        ------
        PlanError
            For a state that the species has no figures for.
        """
        place = f"species {self.name}"
        if moisture not in (GREEN, DRY):
            raise PlanError(f"moisture '{moisture}' is not in the tables", place, f"choose '{GREEN}' or '{DRY}'")
        if sawn not in ("flat", "quarter"):
            raise PlanError(f"a plank sawn '{sawn}' is not known", place, "choose 'flat' or 'quarter'")
        if not 0.0 < grade <= 1.0:
            raise PlanError(
                f"a grade factor of {grade:g} makes no wood", place,
                "give 1 for clear wood and a smaller figure above 0 for a lower grade",
            )  # fmt: skip
        mor, moe, shear = (self.figure(what, moisture) for what in ("mor", "moe", "shear"))
        missing = [n for n, f in (("modulus of rupture", mor), ("modulus of elasticity", moe)) if f is None]
        if missing:
            raise PlanError(
                f"the table has no {' and no '.join(missing)} at moisture '{moisture}'", place,
                "add it to the species, or choose the other state of moisture",
            )  # fmt: skip
        notes = []
        ratio = self._shear_ratio(sawn, notes)
        along = TRUE_MODULUS * moe.si
        if shear is None:
            notes.append(f"{self.name}: no shear strength at moisture '{moisture}', so no share of it")
        return Wood(
            self.name, moisture, grade, moe.si, along, ratio * along, grade * mor.si,
            None if shear is None else grade * shear.si, tuple(notes),
        )  # fmt: skip

    def _shear_ratio(self, sawn, notes):
        wanted, other = ("g_lt", "g_lr") if sawn == "flat" else ("g_lr", "g_lt")
        if self.figure(wanted):
            return self.figure(wanted).value
        if self.figure(other):
            notes.append(f"{self.name}: G/E of the other face taken, {self.figure(other).value:g}")
            return self.figure(other).value
        notes.append(f"{self.name}: no G/E in the table, 1/16 taken as in timber design (from memory)")
        return _USUAL_RATIO


_COLUMNS = {
    "mor_green": ("mor", GREEN), "mor": ("mor", DRY), "moe_green": ("moe", GREEN), "moe": ("moe", DRY),
    "shear_green": ("shear", GREEN), "shear": ("shear", DRY), "gravity_green": ("gravity", GREEN),
    "gravity": ("gravity", DRY), "g_lt": ("g_lt", ""), "g_lr": ("g_lr", ""),
}  # fmt: skip
_TEXTS = ("name", "botanical", "source", "unit")


def species_from_rows(rows, base=()):
    """Species from rows of a table, such as `csv.DictReader` or a list of TOML tables gives.

    Parameters
    ----------
    rows : iterable of mappings
        ``name`` and ``source`` (where the figures are from), any of ``botanical``, ``unit`` (psi,
        kPa, MPa or GPa, of every stress in the row; MPa unless said), ``mor``, ``moe``, ``shear``,
        ``gravity`` at 12 % moisture, the same with ``_green``, and the ratios ``g_lt``, ``g_lr``.
        Empty cells are left out.
    base : iterable of Species
        A row of the same name changes only the figures it gives.

    Returns
    -------
    dict of name to Species, those of `base` first

    Raises
    ------
    PlanError
        Naming the row and the column.
    """
    out = {species.name: species for species in base}
    for k, row in enumerate(rows, 1):
        # a row longer than its heading comes with the key None
        cells = {str(c).strip(): v for c, v in row.items() if v is not None and str(v).strip()}
        name = str(cells.get("name", "")).strip()
        place = f"row {k} of the species" + (f", {name}" if name else "")
        if not name:
            raise PlanError("a species has no name", place, "fill in the column 'name'")
        if not cells.get("source"):
            raise PlanError("figures without a source", place, "say in the column 'source' where they are from")
        unknown = sorted(set(cells) - set(_COLUMNS) - set(_TEXTS))
        if unknown:
            raise PlanError(
                f"the column '{unknown[0]}' is not known", place, "columns are " + ", ".join(_TEXTS + tuple(_COLUMNS))
            )
        unit = str(cells.get("unit", "MPa")).strip()
        if unit not in _MPA:
            raise PlanError(f"the unit '{unit}' is not known", place, "use psi, kPa, MPa or GPa")
        old = out.get(name, Species(name))
        figures = dict(old.figures)
        for column, key in _COLUMNS.items():
            if column in cells:
                stress = key[0] in ("mor", "moe", "shear")
                value = _positive(cells[column], column, place)
                figures[key] = Figure(value, unit if stress else "", str(cells["source"]).strip())
        species = Species(name, str(cells.get("botanical", old.botanical)).strip(), figures)
        _plausible(species, place)
        out[name] = species
    return out


def _positive(cell, column, place):
    try:
        value = float(cell)
    except (TypeError, ValueError):
        value = float("nan")
    if not 0.0 < value < float("inf"):
        raise PlanError(f"'{cell}' in the column '{column}' is no figure above 0", place, "write a plain number")
    return value


def _plausible(species, place):
    """Units mixed up show in the ratio of strength to stiffness, which is alike for all woods."""
    for moisture in (GREEN, DRY):
        mor, moe = species.figure("mor", moisture), species.figure("moe", moisture)
        if mor and moe and not 0.001 < mor.si / moe.si < 0.05:
            raise PlanError(
                f"a modulus of rupture of {mor.si:g} MPa does not go with a modulus of elasticity of {moe.si:g} MPa",
                place, "give both in the unit that the row names (the Wood Handbook prints psi beside 10^6 psi)",
            )  # fmt: skip
