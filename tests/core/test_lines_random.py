# SPDX-License-Identifier: LGPL-2.1-or-later
"""500 random requests on 20 random hulls: every one ends in a line that meets its conditions or
in an error that names the place and the remedy.

What is asked for is in `random_lines`, what a line has to meet in `line_conditions`; the time
that each takes is measured by `tests/benchmarks/bench_lines.py`.
"""

from collections import Counter

import line_conditions
import pytest
import random_lines

from strakeplan.core.errors import PlanError


#: of the requests of one hull that have to end in a line: fewer would mean that lines are refused that are there
LEAST_LINES = 10


@pytest.mark.parametrize("number", range(random_lines.HULLS))
def test_every_request_ends_in_a_line_or_in_words(number):
    shape, hull = random_lines.hull(number)
    asked, lines, worst, failed = Counter(), Counter(), {}, []
    for q, request in enumerate(random_lines.requests(number)):
        asked[request.kind] += 1
        try:
            try:
                line = request.work()
            except PlanError as error:
                line_conditions.refusal(error)
                continue
            figures = request.check(line)
        except AssertionError as error:
            failed.append(f"request {q}, {request.kind}, {request.words}: {error}")
            continue
        lines[request.kind] += 1
        for name, share in figures.items():
            worst[name] = max(worst.get(name, (0.0, "")), (share, request.kind))
    print(f"hull {number}, {shape}, {hull.patch.size:.0f} mm: {sum(asked.values())} requests, "
          f"{sum(lines.values())} lines; greatest shares of the limits:")
    for name, (share, kind) in worst.items():
        print(f"  {name:24s}{share:9.1e}  {kind}")
    assert not failed, "\n".join(failed)
    assert sum(asked.values()) == random_lines.PER_HULL
    assert sum(lines.values()) >= LEAST_LINES


def test_there_are_five_hundred_of_every_kind_and_shape():
    total = Counter(
        random_lines.KINDS[k % len(random_lines.KINDS)] for k in range(random_lines.HULLS * random_lines.PER_HULL)
    )
    shapes = Counter(random_lines.hull(number)[0] for number in range(random_lines.HULLS))
    print(dict(total), dict(shapes))
    assert sum(total.values()) == 500 and min(total.values()) >= 35
    assert len(shapes) == 6 and min(shapes.values()) >= 3
