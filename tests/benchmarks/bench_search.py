# SPDX-License-Identifier: LGPL-2.1-or-later
"""The search for a line-off beside a plain grid of 500 tries, on three hulls, in one run.

    python3 tests/benchmarks/bench_search.py
"""

import os
import sys

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
HERE = os.path.dirname(os.path.abspath(__file__))
for folder in ("../core", "../../examples", "../.."):
    sys.path.insert(0, os.path.normpath(os.path.join(HERE, folder)))

from test_search import test_the_search_beats_a_plain_grid  # noqa: E402

if __name__ == "__main__":
    for name in ("demonstration", "double-ender", "transom stern"):
        test_the_search_beats_a_plain_grid(name)
