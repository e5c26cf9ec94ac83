# SPDX-License-Identifier: LGPL-2.1-or-later
"""``python3 -m strakeplan RECIPE.toml --out DIR``: see `strakeplan.batch.cli`."""

import importlib.util
import sys

OLDEST = (3, 11)


def _lacking():
    """What keeps the runner from starting at all, in one sentence; empty when nothing does."""
    if sys.version_info < OLDEST:
        return f"Python {OLDEST[0]}.{OLDEST[1]} or newer is needed, this is {sys.version.split()[0]}."
    missing = [name for name in ("numpy", "scipy") if importlib.util.find_spec(name) is None]
    if missing:
        packages = " ".join(f"python3-{name}" for name in missing)
        return (
            f"{sys.executable} has no {' and no '.join(missing)}. "
            f"Install it (on Debian: apt-get install {packages}) and run with Debian's /usr/bin/python3."
        )
    return ""


if __name__ == "__main__":
    lacking = _lacking()
    if lacking:
        print(f"strakeplan: {lacking}", file=sys.stderr)
        sys.exit(2)
    from strakeplan.batch.cli import main

    sys.exit(main(sys.argv[1:]))
