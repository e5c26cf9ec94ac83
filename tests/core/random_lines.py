# SPDX-License-Identifier: LGPL-2.1-or-later
"""Random requests for lines of every kind on hulls of many shapes.

Every hull has its own seed, so that one request can be looked at alone. What a line has to
meet is measured in `line_conditions`.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Callable

import hulls
import line_conditions as meets
import numpy as np

from strakeplan.core.lines.batten import batten_line
from strakeplan.core.lines.bridging import bridging_line
from strakeplan.core.lines.drawn import DrawnPiece, drawn_line
from strakeplan.core.lines.eased import eased_line
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.parallel import parallel_line
from strakeplan.core.lines.taut import taut_line
from strakeplan.core.surface import SurfaceSettings, planked_surface

__all__ = ["HULLS", "KINDS", "PER_HULL", "Request", "base", "hull", "requests"]

HULLS, PER_HULL = 20, 25
KINDS = (
    "taut between ends", "taut through aim marks", "taut through end and aim mark", "taut from a heading",
    "bridging", "eased by slack", "eased through a girth", "batten through marks", "batten within a tolerance",
    "batten with held ends", "parallel below", "parallel above", "drawn along the normal", "drawn in profile",
)  # fmt: skip
SHAPES = {
    "double-ender": dict(stern=0.0),
    "transom": dict(stern=(0.4, 0.8)),
    "full bow": dict(stern=(0.2, 0.7), entrance=(0.5, 0.6), section=(3.0, 4.5)),
    "hollow forefoot and waist": dict(
        stern=(0.2, 0.6), forefoot=(0.2, 0.5), hollow=(0.0, 0.3), waist=(0.05, 0.25), waist_at=(0.5, 0.8)
    ),
    "raked ends": dict(stern=(0.0, 0.5), stem_rake=(900.0, 1600.0), stern_rake=(500.0, 1000.0)),
    "lean": dict(stern=(0.0, 0.4), entrance=(0.8, 1.0), section=(1.6, 2.2), beam=(600.0, 1000.0)),
}


def _keywords(number):
    """Name of the shape and keywords of `hulls.lofted`."""
    rng = np.random.default_rng(7000 + number)
    shape = list(SHAPES)[number % len(SHAPES)]
    given = {
        "length": (5000.0, 16000.0), "beam": (900.0, 2200.0), "stem_rake": (50.0, 900.0),
        "stern_rake": (20.0, 500.0), **SHAPES[shape],
    }  # fmt: skip
    drawn = {k: float(v) if np.isscalar(v) else float(rng.uniform(*v)) for k, v in given.items()}
    rake = drawn.pop("stem_rake"), drawn.pop("stern_rake")
    return shape, dict(drawn, rake=rake), float(rng.uniform(15.0, 50.0))


@lru_cache(maxsize=2)
def hull(number):
    """(name of the shape, PlankedSurface) of hull 0 to HULLS - 1."""
    shape, keywords, siding = _keywords(number)
    patch = hulls.lofted(**keywords)
    return shape, planked_surface(patch, SurfaceSettings(half_siding=siding, name="hull"))


@dataclass(frozen=True)
class Request:
    """One request: what it asks for, the work, and the conditions its line has to meet."""

    kind: str
    words: str
    work: Callable
    check: Callable


def requests(number):
    """The PER_HULL requests on one hull."""
    _, h = hull(number)
    rng = np.random.default_rng(9000 + number)
    for q in range(PER_HULL):
        kind = KINDS[(PER_HULL * number + q) % len(KINDS)]
        yield _MAKE[kind](h, rng, kind)


# --- marks -------------------------------------------------------------------------------------
def _end(rng, edge, low=0.0, high=1.0):
    return Mark(edge=edge, share=float(rng.uniform(low, high)))


def _aim(h, rng, low=-0.01, high=1.01, shares=(0.0, 1.0)):
    x0, x1 = h.x_range
    x = h.frame.to_model_station(x0 + rng.uniform(low, high) * (x1 - x0))
    return Mark(station=float(x), share=float(rng.uniform(*shares)))


def _aims(h, rng):
    """Two aim marks: more often than not where somebody might set them, else anywhere."""
    if rng.random() < 0.4:
        return [_aim(h, rng), _aim(h, rng)]
    share = float(rng.uniform(0.35, 0.65))
    return [
        _aim(h, rng, low, low + 0.2, (share - 0.05, share + 0.05)) for low in (0.15, 0.65)
    ]  # fmt: skip


def _both_ends(rng, low=0.0, high=1.0):
    return [_end(rng, "stem", low, high), _end(rng, "stern", low, high)]


# --- requests of each kind ---------------------------------------------------------------------
def _taut(h, rng, kind):
    heading = None
    if kind == "taut between ends":
        marks = _both_ends(rng)
    elif kind == "taut through aim marks":
        marks = _aims(h, rng)
    elif kind == "taut from a heading":
        shares = (0.3, 0.7) if rng.random() < 0.6 else (0.0, 1.0)
        marks, heading = [_aim(h, rng, 0.1, 0.9, shares)], float(rng.normal(0.0, 0.08))
    else:
        marks = [_end(rng, str(rng.choice(["stem", "stern"]))), _aim(h, rng)]
    return Request(
        kind, f"{marks} {heading or ''}", lambda: taut_line(h, marks, heading),
        lambda line: meets.taut(h, line, marks, heading),
    )  # fmt: skip


def _bridging(h, rng, kind):
    marks = _both_ends(rng, 0.4, 0.95)
    return Request(kind, f"{marks}", lambda: bridging_line(h, marks), lambda line: meets.bridging(h, line, marks))


def _eased(h, rng, kind):
    ends = _both_ends(rng, 0.2, 0.9)
    if kind == "eased by slack":
        wanted = dict(slack=float(rng.uniform(-0.006, 0.006) * h.patch.size))
    else:
        wanted = dict(through=_aim(h, rng, 0.1, 0.9, (0.2, 0.9)))
    return Request(
        kind, f"{ends} {wanted}", lambda: eased_line(h, *ends, **wanted),
        lambda line: meets.eased(h, line, ends, **wanted),
    )  # fmt: skip


def _batten(h, rng, kind):
    count = int(rng.integers(2, 8))
    # a fair course with marks up to a twentieth of the girth off it, some of them far off
    at = np.sort(rng.uniform(0.05, 0.95, count)) if count > 2 else np.array([0.2, 0.8])
    course = rng.uniform(0.25, 0.75) + rng.uniform(-0.1, 0.1) * at
    off = rng.choice([0.003, 0.02, 0.05])
    shares = np.clip(course + rng.uniform(-off, off, count), 0.0, 1.0)
    x0, x1 = h.x_range
    stations = h.frame.to_model_station(x0 + at * (x1 - x0))
    marks = [Mark(station=float(x), share=float(s)) for x, s in zip(stations, shares)]
    if rng.random() < 0.5:
        marks = [_end(rng, "stem", 0.3, 0.7), *marks, _end(rng, "stern", 0.3, 0.7)]
    options = {}
    if kind == "batten within a tolerance":
        each = [float(x) for x in rng.choice([0.0, 2.0, 10.0, 60.0], len(marks))]
        options["tolerance"] = each if rng.random() < 0.6 else 60.0
    elif kind == "batten with held ends":
        angles = rng.uniform(-0.08, 0.08, 2)
        for name, angle, held in zip(("hold_bow", "hold_stern"), angles, rng.random(2) < 0.7):
            if held:
                options[name] = float(angle)
    return Request(
        kind, f"{marks} {options}", lambda: batten_line(h, marks, **options),
        lambda line: meets.batten(h, line, marks, **options),
    )  # fmt: skip


def _parallel(h, rng, kind):
    line = base(h)
    side = 1.0 if kind == "parallel below" else -1.0
    distance = side * float(rng.uniform(0.005, 0.1)) * h.patch.size
    return Request(
        kind, f"{distance:.1f} mm", lambda: parallel_line(h, line, distance),
        lambda found: meets.parallel(h, found, line, distance),
    )  # fmt: skip


@lru_cache(maxsize=2)
def base(h):
    """A taut line at about half the girth to run parallel to."""
    return taut_line(h, [Mark(edge="stem", share=0.5), Mark(edge="stern", share=0.5)], look_for_others=False)


def _drawn(h, rng, kind):
    x0, x1 = h.x_range
    way = "normal" if kind == "drawn along the normal" else "profile"
    x = np.linspace(x0 - 0.02 * (x1 - x0), x1 + 0.02 * (x1 - x0), 7)
    low, high = (f(base(h).curve.sample(60).p[:, 2]) for f in (np.min, np.max))
    z = rng.uniform(low - 200.0, high + 200.0) + rng.uniform(-150.0, 150.0, 3) @ np.stack(
        [np.ones(7), np.linspace(-1.0, 1.0, 7), np.linspace(-1.0, 1.0, 7) ** 2]
    )
    y = np.interp(x, *_breadth(h)) if way == "normal" else np.zeros(7)
    points = h.frame.points_to_model(np.stack([x, y, z], axis=1))
    piece = DrawnPiece.through(points)
    return Request(
        kind, f"z {z.round(0).tolist()}", lambda: drawn_line(h, [piece], way),
        lambda line: meets.drawn(h, line, piece, way),
    )  # fmt: skip


def _breadth(h):
    p = base(h).curve.sample(60).p
    return p[:, 0], p[:, 1]


_MAKE = {
    "bridging": _bridging, "eased by slack": _eased, "eased through a girth": _eased,
    **{k: _taut for k in KINDS if k.startswith("taut")},
    **{k: _batten for k in KINDS if k.startswith("batten")},
    **{k: _parallel for k in KINDS if k.startswith("parallel")},
    **{k: _drawn for k in KINDS if k.startswith("drawn")},
}  # fmt: skip
