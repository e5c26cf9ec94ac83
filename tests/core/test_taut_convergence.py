# SPDX-License-Identifier: LGPL-2.1-or-later
"""Observed order of convergence of the relaxed string.

Theory: elements of degree p with Gauss-Lobatto nodes on the surface give element ends and
length with order 2p where the surface is smooth inside every element (L. O. Jay, *SIAM J.
Numer. Anal.* 33 (1996); J. E. Marsden and M. West, *Acta Numerica* 10 (2001), section 2.2.6).
The order is the slope of a line fitted by least squares to log(error) over log(elements).
"""

import hulls
import numpy as np
import pytest
import surfaces
from test_taut_closed_forms import CASES, on_torus

from strakeplan.core.curve import SurfaceCurve
from strakeplan.core.lines.geodesic import geodesic_between
from strakeplan.core.lines.marks import Mark
from strakeplan.core.lines.mesh import remesh
from strakeplan.core.lines.relax import relax
from strakeplan.core.lines.taut import taut_between_ends, taut_line
from strakeplan.core.surface import SurfaceSettings, planked_surface

# mm; errors above are the discretisation's.  A length of 10 m is the sum of some hundred speeds.
ROUNDING = {"length": 1e-9, "element ends": 1e-10, "all nodes": 1e-10}


def beside(reference, points):
    """Greatest distance of points (n, 3) square to a reference line, mm; and where, (n,)."""
    s = np.linspace(0.0, reference.length, 4001)
    dense = reference.points(s)
    s = s[[np.argmin(np.einsum("ij,ij->i", dense - p, dense - p)) for p in points]]
    for _ in range(4):
        c = reference.at(s)
        s = s + np.einsum("ij,ij->i", points - c.p, c.t)
    d = points - c.p
    d = d - np.einsum("ij,ij->i", d, c.t)[:, None] * c.t
    return np.linalg.norm(d, axis=1).max()


def order(counts, errors, rounding):
    """Orders from the errors above rounding: least squares over all, and of the last refinement."""
    good = np.asarray(errors) > rounding
    x, y = np.log(np.asarray(counts)[good]), np.log(np.asarray(errors)[good])
    return -np.polyfit(x, y, 1)[0], (y[-2] - y[-1]) / (x[-1] - x[-2]), int(good.sum())


def table(label, counts, rows):
    print(label)
    print("  elements      " + "".join(f"{n:10d}" for n in counts))
    found = {}
    for name, errors in rows.items():
        found[name] = order(counts, errors, ROUNDING[name])
        print(f"  {name:14s}" + "".join(f"{e:10.1e}" for e in errors)
              + "   order {:.2f} by least squares, {:.2f} of the last refinement, {} errors".format(*found[name]))
    return found


def refine(patch, reference, breaks, degree, counts):
    """Strings of `degree` with every stretch of `breaks` cut into `counts` equal elements.

    Answers errors of length, of the elements' ends and of the nodes between, sideways, mm.
    """
    rows = {"length": [], "element ends": [], "all nodes": []}
    for n in counts:
        cut = np.concatenate([np.linspace(a, b, n + 1)[:-1] for a, b in zip(breaks, breaks[1:])] + [breaks[-1:]])
        start = remesh(reference, cut, degree)
        nodes, _ = relax(patch, start.nodes, np.diff(cut), done=1e-12)
        curve = SurfaceCurve(patch, nodes)
        uv = np.concatenate([nodes[:, 0], nodes[-1:, -1]])
        rows["length"].append(abs(curve.length - reference.length))
        rows["element ends"].append(beside(reference, patch.points(*uv.T)))
        rows["all nodes"].append(beside(reference, patch.points(*nodes.reshape(-1, 2).T)))
    return rows


def refinements(degree):
    """Elements of five strings; smaller steps for degree 4, or rounding is met too soon."""
    return [2, 3, 4, 6, 8] if degree == 4 else [2, 4, 8, 16, 32]


def meets_theory(found, degree):
    """Order 2p; the coarsest strings are not there yet, so all together may fall short by one."""
    for name in ("element ends", "length"):
        fitted, last, count = found[name]
        # lengths of degree 4 come down to rounding within two refinements
        assert count >= (4 if name == "element ends" else 2)
        assert fitted > 2 * degree - 1.0
        assert last > 2 * degree - 0.3


@pytest.mark.parametrize("degree", [2, 3, 4])
def test_order_on_a_torus_without_knots(degree):
    known = surfaces.torus(u_lo=-0.3, u_hi=0.9, v_lo=np.radians(-65.0), v_hi=np.radians(85.0), pieces=1)
    a, b = (0.0, np.radians(-50.0)), (np.radians(25.0), np.radians(70.0))
    length, s, p = on_torus(known, a, b)
    ends = [np.array([float(x) for x in known.uv(*e)]) for e in (a, b)]
    reference = geodesic_between(known.patch, *ends, elements=16)
    off = np.linalg.norm(reference.points(s) - p, axis=1).max()
    assert abs(reference.length - length) < 1e-9 and off < 1e-9      # closed form, see there
    counts = refinements(degree)
    found = table(f"torus, degree {degree} (reference off the closed form by {off:.0e} mm)", counts,
                  refine(known.patch, reference, np.array([0.0, reference.length]), degree, counts))
    meets_theory(found, degree)
    assert found["all nodes"][0] > degree + 0.6


@pytest.fixture(scope="module")
def hull_line():
    """The demonstration hull's taut line on many elements, and where it crosses knot lines."""
    hull = planked_surface(hulls.demo(), SurfaceSettings(half_siding=60.0, name="Marram"))
    line = taut_between_ends(hull, 800.0, 900.0).curve
    ends = line.nodes[0, 0], line.nodes[-1, -1]
    fine = geodesic_between(hull.patch, *ends, guess=line, elements=64)
    breaks = np.concatenate([[0.0], fine.knot_crossings()[0], [fine.length]])
    return hull.patch, fine, breaks


@pytest.mark.parametrize("degree", [2, 3, 4])
def test_order_on_the_demonstration_hull(hull_line, degree):
    patch, reference, breaks = hull_line
    counts = refinements(degree)
    found = table(f"demonstration hull, degree {degree}, {len(breaks) - 1} stretches between knot "
                  "lines, each cut into", counts, refine(patch, reference, breaks, degree, counts))
    meets_theory(found, degree)


def test_elements_across_knot_lines_lose_the_order(hull_line):
    """Control: the same elements not ended on the knot lines."""
    patch, reference, breaks = hull_line
    counts = [10, 20, 40, 80, 160]
    even = np.array([0.0, reference.length])
    loose = table("demonstration hull, degree 4, elements across knot lines", counts,
                  refine(patch, reference, even, 4, counts))
    assert loose["element ends"][0] < 6.0


@pytest.mark.parametrize("case", ["prolate spheroid", "torus", "sphere", "helicoid", "demonstration hull"])
def test_order_of_the_degree_used(case, hull_line):
    """Elements as they are used, degree 8, as few as the knots allow: the errors are soon rounding."""
    if case == "demonstration hull":
        patch, reference, breaks = hull_line
    else:
        known, _, a, b = CASES[case]
        patch = known.patch
        ends = [np.array([float(x) for x in known.uv(*e)]) for e in (a, b)]
        reference = geodesic_between(patch, *ends, elements=64)
        breaks = np.concatenate([[0.0], reference.knot_crossings()[0], [reference.length]])
        if case == "helicoid":     # 32 fitted spans cross it; they are smooth enough to be crossed
            breaks = reference.length * np.array([0.0, 0.5, 1.0])
    counts = [1, 2, 4, 8, 16]
    rows = refine(patch, reference, breaks, 8, counts)
    print(f"{case}, degree 8, {len(breaks) - 1} stretches")
    for name, errors in rows.items():
        floor = ROUNDING[name]
        # where the finer error is rounding already the drop is only a lower bound of the order
        drops = [np.log2(a / max(b, floor)) for a, b in zip(errors, errors[1:]) if a > 20.0 * floor]
        print(f"  {name:14s}" + "".join(f"{e:10.1e}" for e in errors)
              + "   orders at least " + " ".join(f"{r:.1f}" for r in drops))
        assert all(r > 3.6 for r in drops), (name, drops)
    assert max(e[-1] for e in rows.values()) < 1e-9


AWKWARD = {
    "coarse knots": (dict(m=6, k=5), (0.6, 0.6)),
    "double-ender with blunt ends": (dict(stern=0.0, entrance=0.5, rake=(60.0, 30.0)), (0.5, 0.55)),
    "double-ender, marks high and low": (dict(stern=0.0, entrance=0.5, rake=(60.0, 30.0)), (0.3, 0.8)),
}


@pytest.mark.parametrize("degree", [2, 3])
@pytest.mark.parametrize("case", AWKWARD)
def test_order_where_the_surface_bends_hard(case, degree):
    """Four doublings: 3.6 and more, fitted over all of them that are not rounding."""
    keywords, shares = AWKWARD[case]
    hull = planked_surface(hulls.lofted(**keywords), SurfaceSettings(half_siding=30.0))
    marks = [Mark(edge=edge, share=share) for edge, share in zip(("stem", "stern"), shares)]
    line = taut_line(hull, marks, look_for_others=False).curve
    ends = line.nodes[0, 0], line.nodes[-1, -1]
    reference = geodesic_between(hull.patch, *ends, guess=line, elements=128)
    breaks = np.concatenate([[0.0], reference.knot_crossings()[0], [reference.length]])
    counts = refinements(degree)
    found = table(f"{case}, degree {degree}, {len(breaks) - 1} stretches", counts,
                  refine(hull.patch, reference, breaks, degree, counts))
    for name in ("element ends", "length"):
        fitted, _, count = found[name]
        assert count >= 4 and fitted > 3.6
