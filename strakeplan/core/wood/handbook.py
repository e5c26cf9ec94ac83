# SPDX-License-Identifier: LGPL-2.1-or-later
"""Species with figures of the Wood Handbook, to the printed digit.

USDA Forest Products Laboratory, *Wood Handbook: Wood as an Engineering Material*, FPL-GTR-190
(2010), the same in FPL-GTR-282 (2021): Table 5-3 strength of woods grown in the United States
(a metric, b inch-pound), Table 5-5 of imported woods, Table 5-1 elastic ratios. Numbers of the
tables are from memory; which figures are from memory is marked figure by figure.
"""

from ..errors import PlanError
from .species import DRY, GREEN, Figure, Species

__all__ = ["HANDBOOK", "species_named"]

_HOME, _ABROAD, _RATIOS = (
    f"Wood Handbook, FPL-GTR-190 (2010) and FPL-GTR-282 (2021), Table {table}" for table in ("5-3b", "5-5b", "5-1")
)
_METRIC = _HOME.replace("5-3b", "5-3a")

# At 12 %: MOR psi, MOE 10^6 psi, specific gravity, from memory or not; then all from memory:
# shear along the grain psi; green MOR, MOE, gravity, shear.
_INCH_POUND = {
    "Douglas-fir, coast": ("Pseudotsuga menziesii", _HOME, 12400, 1.95, 0.48, False, 1130, 7700, 1.56, 0.45, 900),
    "western larch": ("Larix occidentalis", _HOME, 13000, 1.87, 0.52, False, 1360, 7700, 1.46, 0.48, 870),
    "western white pine": ("Pinus monticola", _HOME, 9700, 1.46, 0.38, False, 1040, 4700, 1.19, 0.35, 680),
    "white oak": ("Quercus alba", _HOME, 15200, 1.78, 0.68, True, 2000, 8300, 1.25, 0.60, 1250),
    "western redcedar": ("Thuja plicata", _HOME, 7500, 1.11, 0.32, True, 990, 5200, 0.94, 0.31, 770),
    "Atlantic white-cedar": ("Chamaecyparis thyoides", _HOME, 6800, 0.93, 0.32, True, 800, 4700, 0.75, 0.31, 690),
    "longleaf pine": ("Pinus palustris", _HOME, 14500, 1.98, 0.59, True, 1510, 8500, 1.59, 0.55, 1040),
    "eastern white pine": ("Pinus strobus", _HOME, 8600, 1.24, 0.35, True, 900, 4900, 0.99, 0.34, 680),
    "mahogany": ("Swietenia macrophylla", _ABROAD, 11500, 1.50, None, False, 1230, 9000, 1.34, 0.45, 1240),
    "teak": ("Tectona grandis", _ABROAD, 14600, 1.55, None, False, 1890, 11600, 1.37, 0.55, 1290),
}
# Table 5-1, G_LT/E_L and G_LR/E_L at about 12 % moisture, and whether from memory
_ELASTIC = {
    "Douglas-fir, coast": (0.078, 0.064, False),
    "northern white-cedar": (0.187, 0.210, False),
    "mahogany": (0.086, 0.066, True),
    "western redcedar": (0.086, 0.087, True),
    "longleaf pine": (0.060, 0.071, True),
    "western larch": (0.069, 0.063, True),
    "western white pine": (0.048, 0.052, True),
    "white oak": (None, 0.086, True),
}


def _figures():
    out = {}
    for name, row in _INCH_POUND.items():
        botanical, table, mor, moe, gravity, memory, shear, *green = row
        printed = {
            ("mor", DRY): Figure(mor, "psi", table, memory),
            ("moe", DRY): Figure(moe, "10^6 psi", table, memory),
            ("shear", DRY): Figure(shear, "psi", table, True),
            ("mor", GREEN): Figure(green[0], "psi", table, True),
            ("moe", GREEN): Figure(green[1], "10^6 psi", table, True),
            ("shear", GREEN): Figure(green[3], "psi", table, True),
            # of green figures only the gravity of teak is not from memory
            ("gravity", GREEN): Figure(green[2], "", table, name != "teak"),
        }
        if gravity is not None:
            printed["gravity", DRY] = Figure(gravity, "", table, memory)
        out[name] = (botanical, printed)
    # from the metric table, whose kPa are rounded for themselves
    out["northern white-cedar"] = (
        "Thuja occidentalis",
        {
            ("mor", DRY): Figure(45000, "kPa", _METRIC),
            ("moe", DRY): Figure(5500, "MPa", _METRIC),
            ("gravity", DRY): Figure(0.31, "", _METRIC),
            ("shear", DRY): Figure(850, "psi", _HOME, True),
            ("mor", GREEN): Figure(29000, "kPa", _METRIC, True),
            ("moe", GREEN): Figure(4400, "MPa", _METRIC, True),
            ("gravity", GREEN): Figure(0.29, "", _METRIC, True),
            ("shear", GREEN): Figure(620, "psi", _HOME, True),
        },
    )
    for name, (g_lt, g_lr, memory) in _ELASTIC.items():
        for key, value in (("g_lt", g_lt), ("g_lr", g_lr)):
            if value is not None:
                out[name][1][key, ""] = Figure(value, "", _RATIOS, memory)
    return {name: Species(name, *out[name]) for name in sorted(out, key=str.lower)}


HANDBOOK = _figures()


def species_named(name, table=HANDBOOK):
    """A species by its name, small or capital letters alike.

    Parameters
    ----------
    name : str
    table : dict of name to Species

    Returns
    -------
    Species

    Raises
    ------
    PlanError
        Listing the names there are.
    """
    for known, species in table.items():
        if known.lower() == str(name).strip().lower():
            return species
    raise PlanError(
        f"the wood '{name}' is not in the table", "", "choose one of " + ", ".join(table) + ", or add it to the table"
    )
