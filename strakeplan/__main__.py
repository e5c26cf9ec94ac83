# SPDX-License-Identifier: LGPL-2.1-or-later
"""``python3 -m strakeplan RECIPE.toml --out DIR``: see `strakeplan.batch.cli`."""

import sys

if __name__ == "__main__":
    from strakeplan.batch.cli import main

    sys.exit(main(sys.argv[1:]))
