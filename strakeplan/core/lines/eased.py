# SPDX-License-Identifier: LGPL-2.1-or-later
"""The eased line: a heavy string on the half model turned upside down.

Its weight pulls it towards the sheer, most amidships. Tension grows with the height above a
datum, T = w (h - h0) with h counted away from the sheer, so that the line is a geodesic of
the metric T^2 ds^2 and kappa_g T = dT/db across it. In a vertical plane it is a catenary;
with the datum far away it is the taut line.
"""

import numpy as np
from numpy.polynomial import legendre

from ..curve import SurfaceCurve
from ..errors import PlanError
from ..sections import plane_crossings
from ..spline.lobatto import lobatto
from .line import LEAVES, HullLine, lateral_distance, named, require_inside
from .marks import places
from .geodesic import geodesic_between
from .mesh import aligned_breaks, remesh, widths_of
from .relax import Tension, newton_with_gate

__all__ = ["eased_line"]

_ELEMENTS = 8, 16, 32, 64  # at least; more until the line is good
_GOOD = 1e-8  # of the hull's size: change from the last elements to the next that is good
_ROUNDS = 4
_STRIDE = 0.02  # of the line's length: how far the line is moved at a station in one go
_MOST_TRIALS = 100  # strings settled for one line
_NEARLY = 1e-3  # of the root of the slack: near enough for Newton's method on the length
_LEAST = 1e-3  # of a stride: shorter ones mean that the line cannot go on


def eased_line(hull, bow, stern, slack=None, through=None):
    """Eased line between two hood ends.

    Parameters
    ----------
    hull : PlankedSurface
    bow, stern : Mark
        On the stem and on the stern.
    slack : float, optional
        Length more than the taut line's, mm; positive is eased towards the sheer, negative
        the other way.
    through : Mark, optional
        At a station: the girth there that the line has to pass. Give this or `slack`.

    Returns
    -------
    HullLine

    Raises
    ------
    PlanError
        Ends that are not on stem and stern; an easing that cannot be reached on this hull.
    """
    ends = places(hull, [bow, stern])
    if ends[0].edge != "stem" or ends[1].edge != "stern":
        raise PlanError(
            f"{hull.name}: the eased line needs one mark on the stem and one on the stern", "",
            "give both ends as girths below the sheer on stem and stern",
        )  # fmt: skip
    if (slack is None) == (through is None):
        raise PlanError(
            f"{hull.name}: the eased line needs either its slack or a girth to pass", "",
            "give one of the two",
        )  # fmt: skip
    if slack is not None and not np.isfinite(slack):
        raise PlanError(f"{hull.name}: the slack is not a number", "", "give a length in mm")
    uv = [end.uv for end in ends]
    words = f"with {slack:.1f} mm slack" if through is None else f"through {through.girth or 0:.0f} mm"
    string = _String(hull, float(np.mean([end.p[2] for end in ends])), words)
    if through is None:
        gate, target = _Gate(hull, float(np.mean([end.p[0] for end in ends]))), None
    else:
        gate, place = _gate_of(hull, through)
        words, target = f"through {place.label}", float(place.uv[1])
        string.words = words
    with named(hull, f"the eased line {words}", f"between {ends[0].label} and {ends[1].label}"):
        taut = geodesic_between(hull.patch, *uv, elements=_ELEMENTS[1])
        runs, slope = _eased(string, gate, taut, slack, target)
    error = lateral_distance(runs[1], runs[0])

    def leaving(c, edge):
        return PlanError(
            f"{hull.name}: the eased line {words} {LEAVES[edge]}",
            f"at {hull.frame.station_label(c.p[0, 0])}",
            "ease it less, or " + ("lower its ends" if edge == "sheer" else "raise its ends"),
        )

    require_inside(hull, runs[1], leaving)
    floor = 1e-13 * hull.patch.size
    return HullLine(
        "Eased line", runs[1], ends[0].s, ends[1].s,
        max(error, floor),
        max(abs(runs[1].length - runs[0].length), floor),
        (_describe(runs[1].length - taut.length, slope, string.reference),),
    )  # fmt: skip


def _eased(string, gate, taut, slack, target):
    """The string eased on elements that are good enough: the last two runs, and its slope."""

    def again(state):
        """On elements laid anew, from a string that was eased as asked."""
        if target is not None:
            return string.follow(state, gate, target)
        if slack == 0.0:
            return _with_slack(string, gate, state, taut.length, slack)
        try:
            return string.settle(*state, _Length, taut.length + abs(slack))
        except PlanError:  # all but taut: its length hardly changes with its course
            return _with_slack(string, gate, state, taut.length, slack)

    state = (taut, 0.0) if slack is None else _with_slack(string, gate, (taut, 0.0), taut.length, slack)
    state, runs = again(state), []
    for elements in _ELEMENTS:
        # lay the elements on the knot lines that the eased line crosses, then ease it there
        for _ in range(_ROUNDS):
            curve, slope = state
            breaks = aligned_breaks(curve, curve.length / elements, 1e-5 * curve.length)
            state = again((remesh(curve, breaks), slope))
            if lateral_distance(state[0], curve) < 1e-9 * curve.length:
                break
        runs = [*runs[-1:], state[0]]
        if len(runs) == 2 and lateral_distance(runs[1], runs[0]) < _GOOD * string.hull.patch.size:
            break
    return runs, state[1]


def _describe(slack, slope, reference):
    if abs(slope) * abs(reference) < 1e-9 and abs(slack) < 1e-6:
        return "Not eased: this is the taut line."
    way = "towards the sheer" if slope > 0.0 else "away from the sheer"
    return (
        f"Eased {way}: {slack:.1f} mm longer than the taut line; the heavy string's datum lies at "
        f"z = {reference + 1.0 / slope:.0f} mm."
    )


class _Gate:
    """A station plane at which the line's parameter v is prescribed."""

    def __init__(self, hull, x):
        self.hull, self.x = hull, x

    def crossing(self, curve):
        """Piece and local parameter at which the line passes the plane."""
        k, piece, t = plane_crossings(curve, [self.x])
        if not len(k):
            raise PlanError(
                f"{self.hull.name}: the eased line does not pass the station of its mark",
                f"at {self.hull.frame.station_label(self.x)}",
                "choose a station between its ends",
            )
        return int(piece[0]), float(t[0])

    def value(self, curve):
        """v where the line passes the plane."""
        piece, t = self.crossing(curve)
        return float(curve.uv_local(np.array([piece]), np.array([t]))[0, 1])

    def gradient(self, curve):
        """v there and its derivative with respect to the nodes: (e, p + 1, 2)."""
        piece, t = self.crossing(curve)
        at = (np.array([piece]), np.array([t]))
        uv, slope = curve.uv_local(*at)[0], curve.uv_local(*at, 1)[0]
        jet = curve.patch.jets(uv[0], uv[1], 1)
        x_u, x_v = jet.su[0, 0], jet.sv[0, 0]
        # a node's move changes v at the plane directly, and by shifting the crossing
        along = slope[1] / (x_u * slope[0] + x_v * slope[1])
        row = lobatto(curve.degree).values(at[1])[0]
        out = np.zeros(curve.nodes.shape)
        out[piece, :, 0] = -along * x_u * row
        out[piece, :, 1] = (1.0 - along * x_v) * row
        return uv[1], out


class _Length:
    """The line's length, prescribed."""

    @staticmethod
    def gradient(curve):
        """Length and its derivative with respect to the nodes: (e, p + 1, 2)."""
        x, w = legendre.leggauss(curve.degree + 2)
        basis, slope = lobatto(curve.degree).values(x), lobatto(curve.degree).values(x, 1)
        piece, local = np.repeat(np.arange(curve.pieces), len(x)), np.tile(x, curve.pieces)
        uv, jet = curve._jets(piece, local, 2)
        d = curve.uv_local(piece, local, 1)
        du, dv = d[:, :1], d[:, 1:]
        t = jet.su * du + jet.sv * dv
        t /= np.linalg.norm(t, axis=1)[:, None]
        # c' = S_u u' + S_v v' changes with u' and v', and with u and v
        direct = np.stack([np.einsum("ij,ij->i", t, a) for a in (jet.su, jet.sv)], axis=1)
        bend = jet.suu * du + jet.suv * dv, jet.suv * du + jet.svv * dv
        moved = np.stack([np.einsum("ij,ij->i", t, a) for a in bend], axis=1)
        shape = curve.pieces, len(x), 2
        return curve.length, (
            np.einsum("g,gj,egc->ejc", w, slope, direct.reshape(shape))
            + np.einsum("g,gj,egc->ejc", w, basis, moved.reshape(shape))
        )


def _gate_of(hull, through):
    if through.station is None:
        raise PlanError(
            f"{hull.name}: the girth to pass must be at a station", "", "give a station and a girth"
        )
    return _Gate(hull, float(hull.frame.to_ship_station(through.station))), places(hull, [through])[0]


class _String:
    """Heavy strings on one hull between fixed ends."""

    def __init__(self, hull, reference, words):
        self.hull, self.reference, self.words = hull, reference, words
        self.trials = 0

    def settle(self, curve, slope, gate, target, iterations=30):
        """Newton on nodes and slope together until the string passes the gate at v = target.

        The slope is an unknown beside the nodes, so that strings are found too that no
        longer hang stably: past the point where more weight would let them slip up.
        """
        patch = self.hull.patch
        nodes = curve.nodes.copy()
        # fixed while the nodes move: they set how the nodes are spaced along the string
        widths = widths_of(curve, Tension(slope, self.reference))
        for _ in range(iterations):
            tension = Tension(slope, self.reference)
            if np.any(tension.at(curve.sample(50).p) <= 0.0):
                raise PlanError("the string would have no tension")
            value, row = gate.gradient(curve)
            nodes, change, size = newton_with_gate(
                patch, nodes, widths, tension, row, target - value
            )
            slope += change
            curve = SurfaceCurve(patch, nodes)
            if not np.isfinite(size) or size > 0.2 * curve.length:
                raise PlanError("the string jumps")
            if size < 1e-9 * curve.length:
                return curve, slope
        raise PlanError("the string does not settle")

    def follow(self, state, gate, target):
        """Go from a settled string to the one that passes the gate at v = target."""
        curve, slope = state
        v = gate.value(curve)
        stride = _STRIDE * curve.length / self._mm_per_v(curve, gate)
        least = _LEAST * stride
        while True:
            self.trials += 1
            left = target - v
            step = left if abs(left) <= stride else np.copysign(stride, left)
            try:
                curve, slope = self.settle(curve, slope, gate, v + step)
            except PlanError:
                stride *= 0.5
                if stride < least or self.trials > _MOST_TRIALS:
                    raise self._too_far(gate) from None
                continue
            if self.trials > _MOST_TRIALS:
                raise self._too_far(gate)
            v += step
            if v == target or abs(step) >= abs(left):
                return curve, slope

    def _too_far(self, gate):
        return PlanError(
            f"{self.hull.name}: the string cannot be eased so far, {self.words}",
            f"at {self.hull.frame.station_label(gate.x)}",
            "ease it less, or move its ends",
        )

    def _mm_per_v(self, curve, gate):
        piece, t = gate.crossing(curve)
        uv = curve.uv_local(np.array([piece]), np.array([t]))[0]
        return float(np.linalg.norm(curve.patch.jets(uv[0], uv[1], 1).sv))


def _with_slack(string, gate, state, taut_length, slack):
    """The string with a slack length, found by what it passes at the gate amidships."""
    curve, slope = state
    if slack == 0.0:
        return string.settle(curve, slope, gate, gate.value(curve))
    wanted = np.sqrt(abs(slack))
    way = -1.0 if slack > 0.0 else 1.0  # towards the sheer is towards lower v
    v0 = gate.value(curve)
    unit = 1.0 / string._mm_per_v(curve, gate)

    def root_of(curve):
        return np.sqrt(max(curve.length - taut_length, 0.0))

    at, f0 = v0, root_of(curve)
    # slack grows about as the square of the way moved at the gate: begin with a guess
    step = way * unit * (np.sqrt(abs(slack) * curve.length) * 0.3 if slope == 0.0 else 1e-3)
    for _ in range(40):
        nearer = string.follow((curve, slope), gate, at + step)
        curve, slope = nearer
        f1 = root_of(curve)
        at += step
        if abs(f1 - wanted) < _NEARLY * wanted or f1 == f0:
            break
        full = (wanted - f1) * step / (f1 - f0)
        f0, step = f1, float(np.clip(full, -5.0 * abs(step), 5.0 * abs(step)))
        if abs(step) < 1e-14:
            break
    return curve, slope
