# SPDX-License-Identifier: LGPL-2.1-or-later
"""Kinds of wood: printed figures with their sources, and what they come to for a plank.

Printed figures are for clear, straight-grained wood. USDA Forest Products Laboratory, *Wood
Handbook*: FPL-GTR-190 (2010) and FPL-GTR-282 (2021); strength in Tables 5-3 to 5-5, elastic
ratios in Table 5-1. A figure is marked "from memory" where the book was not at hand.
"""

from dataclasses import dataclass, replace
from typing import Mapping, Optional

import numpy as np

from ..errors import PlanError

__all__ = ["KINDS", "STATES", "Species", "Wood", "species_from_rows", "species_named"]

PSI = 6.894757e-3  # N/mm^2, exact definition of pound-force and inch to seven digits
STATES = ("12 %", "green")
_SHEAR_FREE = 1.10  # Wood Handbook, footnote to the strength tables, from memory; see Wood.along
_RATIO = 1.0 / 16.0  # G/E along the grain where none is printed: common practice, no source


@dataclass(frozen=True)
class Species:
    """One kind of wood, all figures in N/mm^2 but for ratios.

    Attributes
    ----------
    name : str
    strength : mapping of str -> float
        Modulus of rupture in bending for a state ("12 %", "green").
    stiffness : mapping of str -> float
        Modulus of elasticity in bending as printed: beams of span to depth 14, so that some
        shear is in it.
    shear : mapping of str -> float
        Shear strength along the grain.
    gravity : float or None
        Specific gravity.
    ratio_tangential, ratio_radial : float or None
        G_LT / E_L and G_LR / E_L; None where none is printed.
    sources : mapping of str -> str
        Name of the figure -> where it comes from.
    """

    name: str
    strength: Mapping[str, float]
    stiffness: Mapping[str, float]
    shear: Mapping[str, float]
    gravity: Optional[float] = None
    ratio_tangential: Optional[float] = None
    ratio_radial: Optional[float] = None
    sources: Mapping[str, str] = None

    def __post_init__(self):
        for what in ("strength", "stiffness", "shear"):
            for state, value in getattr(self, what).items():
                if state not in STATES or not (np.isfinite(value) and value > 0.0):
                    raise PlanError(
                        f"{self.name}: a {what} of {value} N/mm2 ({state}) cannot be", "",
                        f"give figures above 0 for the states {' and '.join(STATES)}",
                    )  # fmt: skip


@dataclass(frozen=True)
class Wood:
    """A kind of wood in a state and a grade, as the checks use it.

    Parameters
    ----------
    species : Species
    state : "12 %" or "green"
    grade : float
        Share of the clear wood's strength that the boards have; 1 is clear.
    """

    species: Species
    state: str = "12 %"
    grade: float = 1.0

    def __post_init__(self):
        if self.state not in STATES:
            raise PlanError(f"wood cannot be {self.state!r}", "", f"choose {' or '.join(STATES)}")
        if not 0.0 < self.grade <= 1.0:
            raise PlanError(f"a grade factor of {self.grade} cannot be", "", "give a share above 0, at most 1")
        for what in ("strength", "stiffness"):
            if self.state not in getattr(self.species, what):
                raise PlanError(
                    f"no {what} is known for {self.species.name}, {self.state}", "",
                    "choose the other state, or give the figure",
                )  # fmt: skip

    @property
    def name(self):
        """'Western larch, 12 %', and the grade where it is not clear."""
        grade = "" if self.grade == 1.0 else f", grade factor {self.grade:g}"
        return f"{self.species.name}, {self.state}{grade}"

    @property
    def printed(self):
        """Printed modulus of elasticity in bending, N/mm^2."""
        return float(self.species.stiffness[self.state])

    @property
    def along(self):
        """Modulus along the grain without shear, N/mm^2: a tenth above the printed one.

        Long planks bend by it; forces come from it. (Wood Handbook, from memory.)
        """
        return _SHEAR_FREE * self.printed

    @property
    def shear_modulus(self):
        """Mean of both shear moduli along the grain, N/mm^2.

        Where no ratio is printed a sixteenth of the modulus (common practice, no source).
        """
        ratios = [r for r in (self.species.ratio_tangential, self.species.ratio_radial) if r is not None]
        return (float(np.mean(ratios)) if ratios else _RATIO) * self.along

    @property
    def breaking_strain(self):
        """Modulus of rupture by printed modulus of elasticity, times the grade factor.

        The strain of the outermost fibre in the beam formula when the clear specimen breaks.
        """
        return self.grade * self.species.strength[self.state] / self.printed

    @property
    def breaking_shear(self):
        """Shear strain at which the wood shears along the grain; None where no strength is known."""
        value = self.species.shear.get(self.state)
        return None if value is None else self.grade * value / self.shear_modulus


_BOOK = "Wood Handbook FPL-GTR-190 (2010), FPL-GTR-282 (2021), Table 5-3"
_IMPORTED = "Wood Handbook FPL-GTR-190 (2010), FPL-GTR-282 (2021), Table 5-5"
_RATIOS = "Wood Handbook, Table 5-1"
_MEMORY = " (from memory)"


def _kind(name, dry, green, shear, gravity, ratios, *, book=_BOOK, dry_memory=False, ratio_memory=True, metric=False):
    """A row of the table: strength in psi and stiffness in 10^6 psi unless metric (kPa, MPa)."""
    rupture, modulus = (1e-3, 1.0) if metric else (PSI, 1e6 * PSI)
    memory = _MEMORY if dry_memory else ""
    sources = {
        "strength 12 %": book + memory,
        "stiffness 12 %": book + memory,
        "strength green": book + _MEMORY,
        "stiffness green": book + _MEMORY,
        "shear": book + _MEMORY,
        "gravity": book + memory,
    }
    if any(r is not None for r in ratios):
        sources["ratios"] = _RATIOS + (_MEMORY if ratio_memory else "")
    return Species(
        name,
        {"12 %": dry[0] * rupture, "green": green[0] * PSI},
        {"12 %": dry[1] * modulus, "green": green[1] * 1e6 * PSI},
        {"12 %": shear[0] * PSI, "green": shear[1] * PSI},
        gravity, ratios[0], ratios[1], sources,
    )  # fmt: skip


#: the table that comes with the program
KINDS = (
    _kind("Douglas-fir, coast", (12400, 1.95), (7700, 1.56), (1130, 900), 0.48, (0.078, 0.064), ratio_memory=False),
    _kind("Western larch", (13000, 1.87), (7700, 1.46), (1360, 870), 0.52, (0.069, 0.063)),
    _kind("Teak", (14600, 1.55), (11600, 1.37), (1890, 1290), 0.55, (None, None), book=_IMPORTED),
    _kind("Mahogany, Swietenia", (11500, 1.50), (9000, 1.34), (1230, 1240), None, (0.086, 0.066), book=_IMPORTED),
    _kind("Northern white-cedar", (45000, 5500), (4200, 0.64), (850, 620), 0.31, (0.187, 0.210),
          metric=True, ratio_memory=False),
    _kind("Western white pine", (9700, 1.46), (4700, 1.19), (1040, 680), 0.38, (0.048, 0.052)),
    _kind("White oak", (15200, 1.78), (8300, 1.25), (2000, 1250), 0.68, (None, 0.086), dry_memory=True),
    _kind("Western redcedar", (7500, 1.11), (5200, 0.94), (990, 770), 0.32, (0.086, 0.087), dry_memory=True),
    _kind("Atlantic white-cedar", (6800, 0.93), (4700, 0.75), (800, 690), 0.32, (None, None), dry_memory=True),
    _kind("Longleaf pine", (14500, 1.98), (8500, 1.59), (1510, 1040), 0.59, (0.060, 0.071), dry_memory=True),
    _kind("Eastern white pine", (8600, 1.24), (4900, 0.99), (900, 680), 0.35, (None, None), dry_memory=True),
)  # fmt: skip


def species_named(name, kinds=KINDS):
    """A kind of wood by its name; case does not matter.

    Raises
    ------
    PlanError
    """
    for kind in kinds:
        if kind.name.lower() == str(name).strip().lower():
            return kind
    raise PlanError(
        f"no wood is called {name!r}", "", "choose one of: " + "; ".join(kind.name for kind in kinds)
    )


#: columns of a user's table
_COLUMNS = ("name", "state", "strength", "stiffness", "shear", "gravity", "ratio_tangential", "ratio_radial", "source")


def species_from_rows(rows, kinds=KINDS):
    """A user's own figures beside or in place of the table's.

    Parameters
    ----------
    rows : sequence of mappings
        name, state ("12 %" or "green"), strength and stiffness in N/mm^2; shear, gravity,
        ratio_tangential, ratio_radial and source may be left out or empty. A name that the table
        has takes the place of its figures for that state.
    kinds : sequence of Species

    Returns
    -------
    tuple of Species

    Raises
    ------
    PlanError
        Naming the row.
    """
    out = {kind.name.lower(): kind for kind in kinds}
    for number, row in enumerate(rows, 1):
        where = f"in row {number} of the wood table"
        unknown = set(row) - set(_COLUMNS)
        if unknown:
            raise PlanError(f"there is no column {sorted(unknown)[0]!r}", where, "columns are " + ", ".join(_COLUMNS))
        name, state = str(row.get("name") or "").strip(), str(row.get("state") or "12 %").strip()
        if not name:
            raise PlanError("a wood has no name", where, "give its name")
        old = out.get(name.lower(), Species(name, {}, {}, {}, sources={}))
        values = {c: _figure(row.get(c), c, where) for c in _COLUMNS[2:8]}
        if values["strength"] is None or values["stiffness"] is None:
            raise PlanError(f"{name} has no strength or no stiffness", where, "give both, in N/mm2")
        changes = {"sources": {**(old.sources or {}), f"own {state}": str(row.get("source") or "user's own")}}
        for what in ("strength", "stiffness", "shear"):
            if values[what] is not None:
                changes[what] = {**getattr(old, what), state: values[what]}
        for what in ("gravity", "ratio_tangential", "ratio_radial"):
            if values[what] is not None:
                changes[what] = values[what]
        out[name.lower()] = replace(old, **changes)
    return tuple(out.values())


def _figure(value, column, where):
    if value is None or str(value).strip() == "":
        return None
    try:
        number = float(value)
    except (TypeError, ValueError):
        raise PlanError(f"{value!r} is no figure for the {column}", where, "give a number") from None
    if not (np.isfinite(number) and number > 0.0):
        raise PlanError(f"a {column} of {value} cannot be", where, "give a number above 0")
    return number
