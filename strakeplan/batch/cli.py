# SPDX-License-Identifier: LGPL-2.1-or-later
"""``python3 -m strakeplan RECIPE.toml --out DIR``."""

import argparse
import csv
import sys
import time

from .. import __version__
from ..core.errors import PlanError
from ..host.locate import use_host
from .keys import as_markdown
from .recipe import read_recipe

__all__ = ["main"]


def main(arguments):
    """Run a recipe.

    Parameters
    ----------
    arguments : list of str

    Returns
    -------
    int
        Exit status: 0, 2 where the recipe, the hull or the plan is not in order, or 130 where it
        was interrupted.
    """
    parser = argparse.ArgumentParser(
        prog="python3 -m strakeplan",
        description="Plan the planking of a modelled hull by a recipe.",
    )
    parser.add_argument("recipe", nargs="?", help="the recipe, a TOML file")
    parser.add_argument("--out", metavar="DIR", help="folder for the files; made when missing")
    parser.add_argument("--keys", action="store_true", help="print the keys of a recipe and stop")
    parser.add_argument("--wood", action="store_true", help="print the table of species as CSV and stop")
    parser.add_argument("--version", action="version", version=f"strakeplan {__version__}")
    given = parser.parse_args(arguments)
    if given.keys:
        print(as_markdown(), end="")
        return 0
    if given.wood:
        use_host()
        from ..host.woods import species_layout

        table = species_layout()
        csv.writer(sys.stdout, lineterminator="\n").writerows([table.header, *table.rows])
        return 0
    if given.recipe is None or given.out is None:
        parser.error("a recipe and --out DIR are needed")
    start = time.perf_counter()
    try:
        recipe = read_recipe(given.recipe)
        use_host()
        from .report import summary  # these need the host
        from .run import FILES, run

        print(f"strakeplan {__version__}: {given.recipe}")
        plan = run(recipe, given.out)
    except PlanError as fault:
        print(f"strakeplan: {fault}", file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        print("strakeplan: interrupted; nothing was written", file=sys.stderr)
        return 130
    print(f"  {'altogether':<24}{time.perf_counter() - start:7.2f} s\n")
    print(summary(plan))
    print(f"\nIn {given.out}: {', '.join(plan.files(FILES))}")
    return 0
