# SPDX-License-Identifier: LGPL-2.1-or-later
"""What to try where a limit is passed, or where the least margin is: in numbers where there are any.

First estimates by how a figure grows: widths with the number of strakes, edge set with the
square of a plank's length, hollow and compound strain with the square of the width, the force
at mid-length with its cube. The checks after the change tell the truth.
"""

import numpy as np

from ..tables.units import metres
from .spring_or_spile import NEITHER, SPILE

__all__ = ["what_to_try"]

_MOST = 6  # sentences


def what_to_try(checks):
    """Sentences, the most pressing first.

    Parameters
    ----------
    checks : Checks

    Returns
    -------
    tuple of str
    """
    found = []
    told = []
    for rank, key, rows, of_seams in sorted(_pressing(checks), key=lambda one: one[0]):
        way = _beside if of_seams else _WAYS[key]
        once = (way, key) if of_seams else way
        if once not in told:
            told.append(once)
            found.append((rank, _beside(checks, key, rows) if of_seams else way(checks, rows)))
    spiled = np.flatnonzero((checks.classes.method == SPILE) & ~_never_sprung(checks))
    if len(spiled):
        found.append((0.0, f"Spile {_by_reason(checks, spiled)}: boards up to "
                           f"{_up(float(np.max(checks.boards.plank[spiled])), 5.0):.0f} mm wide serve for planks of "
                           f"{metres(checks.job.plank_length)}."))  # fmt: skip
    found.sort(key=lambda pair: pair[0])
    return tuple(dict.fromkeys(text for _, text in found))[:_MOST]


def _by_reason(checks, rows):
    """Strakes with what springing would ask too much of, those with the same reason together."""
    least, item = checks.strake_margins.worst(("spring",))
    texts = []
    for k in dict.fromkeys(item[rows].tolist()):
        own = rows[item[rows] == k]
        row = own[np.argmin(least[own])]
        texts.append(f"{names(checks, own)} ({'up to ' if len(own) > 1 else ''}{why_spiled(checks, row)})")
    return ", ".join(texts)


def why_spiled(checks, row):
    """What springing would ask too much of on one strake: 'edge set 142 mm where 80 mm is allowed'."""
    table = checks.strake_margins
    least, k = (a[row] for a in table.worst(("spring",)))
    if least >= 0.0:
        return "never sprung"
    item = table.items[k]
    return f"{item.title} {item.read(table.value[k, row])} where {item.read(table.limit[k, row])} is allowed"


def _never_sprung(checks):
    return np.isin(np.asarray(checks.strakes.rule, str), list(checks.limits.always_spiled))


def names(checks, rows):
    """'strake 5', 'strakes 1 to 4, 7 and 9'."""
    numbers = sorted({int(n) for n in checks.strakes.number[np.asarray(rows, int)]})
    runs = []
    for n in numbers:
        if runs and n == runs[-1][1] + 1:
            runs[-1][1] = n
        else:
            runs.append([n, n])
    texts = [text for a, b in runs for text in ((f"{a}", f"{b}")[: b - a + 1] if b < a + 2 else (f"{a} to {b}",))]
    listed = texts[0] if len(texts) == 1 else ", ".join(texts[:-1]) + " and " + texts[-1]
    return ("strake " if len(numbers) == 1 else "strakes ") + listed


def _pressing(checks):
    """(margin, key, rows, of seams) of every limit that is passed; where none is, the least one."""
    out = []
    groups = {"any"} | ({"spring", "spile"} if np.any(checks.classes.method == NEITHER) else set())
    for table, of_seams in ((checks.strake_margins, False), (checks.seam_margins, True)):
        for k, item in enumerate(table.items):
            if item.group in groups:
                rows = np.flatnonzero(table.margin[k] < 0.0)
                if item.group != "any":
                    rows = rows[checks.classes.method[rows] == NEITHER]
                if len(rows):
                    out.append((float(np.min(table.margin[k, rows])), item.key, rows, of_seams))
    # what springing asks too much of, told even where spiling mends it
    for key in ("edge_set", "force"):
        k = checks.strake_margins.row(key)
        rows = np.flatnonzero(checks.strake_margins.margin[k] < 0.0)
        rows = rows[(checks.classes.method[rows] == SPILE) & ~_never_sprung(checks)[rows]]
        if len(rows):
            out.append((1.0 + float(np.min(checks.strake_margins.margin[k, rows])), key, rows, False))
    if not out:
        b = checks.binds
        if b is not None:
            out.append((b.margin, b.item.key, np.array([b.row]), b.seam))
    return out


def _figures(checks, key, rows):
    table = checks.strake_margins
    k = table.row(key)
    row = rows[np.argmin(table.margin[k, rows])]
    return int(row), float(table.value[k, row]), float(table.limit[k, row]), int(table.index[k, row])


def _place(checks, row, index):
    return checks.strakes.frame.station_label(checks.strakes.x[row, index])


def _count(checks, rows):
    """Strakes under the rule of the first of some strakes, and the rule."""
    rule = checks.strakes.rule[rows[0]]
    same = np.asarray(checks.strakes.rule, str) == rule
    return len(set(checks.strakes.number[same].tolist())), rule


def _up(value, step):
    return np.ceil(value / step - 1e-9) * step


def _hood(end):
    def way(checks, rows):
        row, value, limit, _ = _figures(checks, f"hood_{end}", rows)
        n, rule = _count(checks, [row])
        fewer = int(np.floor(n * value / limit))
        text = (
            f"Hood ends at the {'stem' if end == 'bow' else 'stern'} are {value:.0f} mm where {limit:.0f} are wanted: "
        )
        if n > 2 and 0 < fewer < n:
            text += f"line off with {fewer} {rule} strakes instead of {n}, or ease the line there, "
        else:
            text += "ease the line there, "
        return text + f"so that ends get wider and the middle narrower; or let a nib end {names(checks, [row])}."

    return way


def _widest(checks, rows):
    row, value, limit, index = _figures(checks, "widest", rows)
    n, rule = _count(checks, [row])
    more = int(np.ceil(n * value / limit))
    return (
        f"{value:.0f} mm at {_place(checks, row, index)} is too wide: {max(more, n + 1)} {rule} strakes instead of "
        f"{n}, "
        "or ease the line so that the middle gets narrower."
    )


def _narrowest(checks, rows):
    row, value, limit, index = _figures(checks, "narrowest", rows)
    n, rule = _count(checks, [row])
    text = f"{names(checks, rows).capitalize()}: {value:.0f} mm at {_place(checks, row, index)} is below {limit:.0f}; "
    fewer = int(np.floor(n * value / limit))
    if 2 * len(rows) > n and 0 < fewer < n:
        return (
            text + f"line off with {fewer} {rule} strakes instead of {n}, or end every other one in a nib before there."
        )
    return text + "end it in a nib before there and let its neighbour take over the breadth."


def _shorter(checks, rows):
    row, value, limit, _ = _figures(checks, "edge_set", rows)
    length = checks.springing.plank[row] * np.sqrt(limit / value)
    return (
        f"Planks of {np.floor(length / 100.0) / 10.0:.1f} m keep the edge set of {names(checks, rows)} within "
        f"{limit:.0f} mm; or bring the line nearer to the taut line there."
    )


def _narrower(key, power):
    def way(checks, rows):
        row, value, limit, index = _figures(checks, key, rows)
        n, rule = _count(checks, [row])
        more = int(np.ceil(n * (value / limit) ** (1.0 / power)))
        item = checks.strake_margins.items[checks.strake_margins.row(key)]
        text = f"{item.title[:1].upper() + item.title[1:]} is {item.read(value)} where {item.read(limit)} is allowed"
        text += f" ({names(checks, rows)}, worst at {_place(checks, row, index)}): narrower planks ask less of it"
        return text + (f"; about {more} {rule} strakes instead of {n}." if n < more <= 2 * n else ".")

    return way


def _strain(checks, rows):
    key = "share" if np.all(checks.classes.method[rows] != SPILE) else "share_spiled"
    key = "share" if checks.strake_margins.margin[checks.strake_margins.row(key), rows].min() >= 0.0 else key
    row, value, limit, index = _figures(checks, key, rows)
    s = checks.springing
    parts = (s.edgewise.value[row, index], s.flatwise.value[row, index], abs(s.compound.value[row, index]))
    most = int(np.argmax(parts))
    text = f"{names(checks, rows).capitalize()}: {100.0 * value:.0f} % of the breaking strain "
    text += f"at {_place(checks, row, index)}, "
    text += (
        f"{100.0 * limit:.0f} % allowed, most of it from "
        + ("edgewise bending", "bend on the flat", "double curvature")[most]
    )
    n, rule = _count(checks, [row])
    over = value * checks.job.wood.breaking_strain - limit * checks.job.wood.breaking_strain
    if most == 1:
        return text + ": steam there, or thinner planks."
    left = parts[most] - over
    more = int(np.ceil(n * (parts[most] / left) ** (1.0 if most == 0 else 0.5))) if left > 0.0 else 0
    ways = ": narrower planks" + (f" (about {more} {rule} strakes instead of {n})" if n < more <= 2 * n else "")
    return text + ways + (", a line nearer to the taut line, or spile." if most == 0 else ".")


def _roll(checks, rows):
    up = int(np.sum(checks.springing.upper_off[rows]))
    edge = "upper" if 2 * up >= len(rows) else "lower"
    force = float(np.max(checks.springing.hold_down.worst[rows]))
    return (
        f"Hold {names(checks, rows)} down before springing: the {edge} edge wants to stand off, and takes up to "
        f"{_up(force, 50.0):.0f} N at a frame; fasten from one end as it goes on, or spile."
    )


def _bend(checks, rows):
    row, value, limit, index = _figures(checks, "bend", rows)
    where = f"{names(checks, rows)} (R/t {value:.0f} at {_place(checks, row, index)})"
    if not checks.steamed[row] and (checks.limits.bend_steamed is None or value >= checks.limits.bend_steamed):
        return f"Steam {where}; cold, R/t of {limit:.0f} is wanted."
    return f"Plank {where} in two layers, or {np.floor(checks.job.thickness * value / limit):.0f} mm thick."


def _home(checks, rows):
    row, value, limit, index = _figures(checks, "frame_force", rows)
    return (
        f"Up to {_up(value, 50.0):.0f} N at a frame bend {names(checks, rows)} home cold, "
        f"at {_place(checks, row, index)}: "
        "steam there."
    )


def _twist(checks, rows):
    k = (
        "twist"
        if np.any(checks.strake_margins.margin[checks.strake_margins.row("twist"), rows] < 0.0)
        else "twist_in_all"
    )
    row, _, _, index = _figures(checks, k, rows)
    who, place = names(checks, rows), _place(checks, row, index)
    if checks.steamed[rows].all():
        ways = "narrower planks, or butts so that a short one takes it"
        return f"The twist of {who} about {place} is too much even for steam: {ways}."
    return f"Steam {who} for the twist about {place}, or butt them so that a short plank takes it."


def _board(checks, rows):
    row, value, limit, _ = _figures(checks, "board", rows)
    length = checks.springing.plank[row] * np.sqrt(limit / value)
    return (
        f"A board {_up(value, 5.0):.0f} mm wide is wanted for {names(checks, rows)}: shorter planks (about "
        f"{np.floor(length / 100.0) / 10.0:.1f} m), or a line with less edgewise bending."
    )


def _stock(checks, rows):
    _, value, _, _ = _figures(checks, "stock", rows)
    return f"Stock {np.ceil(value):.0f} mm thick is wanted for {names(checks, rows)}; narrower planks hollow less."


def _taper(checks, rows):
    row, value, _, index = _figures(checks, "taper", rows)
    return (
        f"The width of {names(checks, rows)} changes by {value:.0f} mm a metre at {_place(checks, row, index)}: "
        "share the change among more strakes, or end one in a nib."
    )


def _beside(checks, key, rows):
    table = checks.seam_margins
    k = table.row(key)
    row = rows[np.argmin(table.margin[k, rows])]
    value, limit, index = table.value[k, row], table.limit[k, row], table.index[k, row]
    name, place = checks.seams.name[row], checks.seams.frame.station_label(checks.seams.x[row, index])
    if key == "fairness":
        ways = "choose another stand-off, or move the mark near it"
        return f"{name} has a jump of bending at {place} that an eye sees: {ways}."
    if key == "tuck_angle":
        return (
            f"{name} crosses the tuck at {np.degrees(value):.0f} degrees at {place}: move the line's after end so that "
            "strakes run along the tuck."
        )
    line = key.replace("clear of ", "from ")
    return f"{name} passes {value:.0f} mm {line} at {place}: move it {limit - value:.0f} mm off, or on to it."


_WAYS = {
    "hood_bow": _hood("bow"), "hood_stern": _hood("stern"), "widest": _widest, "narrowest": _narrowest,
    "taper": _taper, "edge_set": _shorter, "force": _narrower("force", 3.0), "stand_off": _roll, "hold_down": _roll,
    "buckling": _roll, "share": _strain, "share_spiled": _strain,
    "board": _board, "bend": _bend, "frame_force": _home, "twist": _twist, "twist_in_all": _twist,
    "shear": _twist, "hollow": _narrower("hollow", 2.0), "stock": _stock, "compound": _narrower("compound", 2.0),
}  # fmt: skip
