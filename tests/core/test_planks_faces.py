# SPDX-License-Identifier: LGPL-2.1-or-later
"""The faces of planks: on the hull and its offset, edges along the normal, shared, closed."""

import demoplan
import numpy as np
import pytest

from strakeplan.core.planks.shape import mirrored

LAYERS = {"outside": 32.0, "inside": -32.0}


def cells(shape):
    """Faces by cell: lists that begin at each outer face."""
    out = []
    for face in shape.faces:
        if face.role == "outer":
            out.append([])
        out[-1].append(face)
    return out


def by_role(cell):
    return {face.role: face.patch for face in cell}


def moulded(cell, layer):
    """The broad face that lies on the moulded surface, and the one on its offset."""
    roles = by_role(cell)
    return (roles["inner"], roles["outer"]) if layer == "outside" else (roles["outer"], roles["inner"])


def foot(hull, p):
    """Feet (u, v) of points (n, 3) on the hull, by Gauss-Newton from the nearest of a grid."""
    patch = hull.patch
    u, v = (a.ravel() for a in np.meshgrid(np.linspace(*patch.u_range, 120), np.linspace(*patch.v_range, 120)))
    grid = patch.points(u, v)
    k = np.array([np.argmin(np.sum((grid - q) ** 2, axis=1)) for q in p])
    uv = np.stack([u[k], v[k]], axis=1)
    for _ in range(30):
        jet = patch.jets(*uv.T, 1)
        a = np.stack([jet.su, jet.sv], axis=2)
        gram = np.einsum("nki,nkj->nij", a, a)
        step = np.linalg.solve(gram, np.einsum("nki,nk->ni", a, p - jet.p)[..., None])[..., 0]
        uv = uv + step
    return uv


@pytest.mark.parametrize("layer", LAYERS)
def test_broad_faces_lie_on_the_hull_and_its_offset(layer):
    """Square distances of places between the interpolation points, by their own feet on the hull."""
    hull, offset = demoplan.demo_hull(), LAYERS[layer]
    rng = np.random.default_rng(11)
    worst, told = 0.0, 0.0
    for shape in demoplan.demo_shapes(32.0, layer)[::3]:
        told = max(told, shape.deviation)
        for cell in cells(shape):
            for patch, want in zip(moulded(cell, layer), (0.0, offset)):
                p = patch.points(rng.uniform(0, 1, 12), rng.uniform(0, 1, 12))
                g = hull.patch.geometry(*foot(hull, p).T)
                away = np.einsum("ij,ij->i", p - g.p, g.n)
                worst = max(worst, np.abs(away - want).max())
    print(f"{layer}: faces off by {worst:.4f} mm at random places; the shapes tell {told:.4f}")
    assert worst < 0.01 and worst < 1.2 * told


@pytest.mark.parametrize("layer", LAYERS)
def test_edge_faces_lie_along_the_normal(layer):
    """The true bevel: lines across an edge face are the hull's normals at the seam."""
    hull, t = demoplan.demo_hull(), abs(LAYERS[layer])
    tau = np.linspace(0.0, 1.0, 23)
    tilt, thick, count = 0.0, 0.0, 0
    for shape in demoplan.demo_shapes(t, layer):
        for cell in cells(shape):
            for role, patch in by_role(cell).items():
                if "edge" not in role and "end" not in role:
                    continue
                a, b = patch.points(tau, 0.0 * tau), patch.points(tau, 0.0 * tau + 1.0)
                near = a if (role in ("upper edge", "aft end")) == (layer == "outside") else b
                far = b if near is a else a
                keep = np.linalg.norm(far - near, axis=1) > 1.0
                line = (far - near)[keep] * (1.0 if layer == "outside" else -1.0)
                n = hull.patch.geometry(*foot(hull, near[keep]).T).n
                length = np.linalg.norm(line, axis=1)
                tilt = max(tilt, np.linalg.norm(np.cross(line / length[:, None], n), axis=1).max())
                thick = max(thick, np.abs(length - t).max())
                count += len(line)
    print(f"{layer}: {count} places; edge faces tilt {np.degrees(tilt):.1e} degrees from the normal, "
          f"thickness off by {thick:.1e} mm")  # fmt: skip
    assert np.degrees(tilt) < 0.01 and thick < 0.01


@pytest.mark.parametrize("layer", LAYERS)
def test_neighbours_share_their_edge(layer):
    """Upper edge of each strake against the lower edge of the one above: pole by pole.

    Where strakes are split into cells the same curve is compared at equal places instead.
    """
    shapes = demoplan.demo_shapes(32.0, layer)
    worst, same = 0.0, 0
    for above, below in zip(shapes, shapes[1:]):
        lower = [by_role(c)["lower edge"] for c in cells(above)]
        upper = [by_role(c)["upper edge"] for c in cells(below)]
        for row in (0, 1):  # inner and outer line of the edge face
            a = _line(lower, 1 - row)
            b = _line(upper, row)
            # the part of the lower edge that is a seam is the whole upper edge of the next plank
            d = _apart(a, b)
            worst = max(worst, d)
            same += 1
    print(f"{layer}: {same} shared lines, apart by {worst:.1e} mm at most")
    assert worst < 1e-6


def _line(patches, row, n=400):
    """Dense points along one long side of edge faces that follow one another."""
    t = np.linspace(0.0, 1.0, n)
    return [(patch, row) for patch in patches], t


def _apart(a, b):
    """Greatest distance of points of the plank below's upper edge from that of the plank above."""
    (lower, t), (upper, _) = a, b
    worst = 0.0
    for patch, row in upper:
        p = patch.points(t[3:-3:7], np.full(len(t[3:-3:7]), float(row)))
        best = np.full(len(p), np.inf)
        for other, side in lower:
            q = other.points(t, np.full(len(t), float(side)))
            k = np.array([np.argmin(np.sum((q - one) ** 2, axis=1)) for one in p])
            at = t[k]
            for _ in range(30):
                jet = other.jets(at, np.full(len(at), float(side)), 1)
                gap = p - jet.p
                step = np.einsum("ij,ij->i", gap, jet.su) / np.einsum("ij,ij->i", jet.su, jet.su)
                at = np.clip(at + step, 0.0, 1.0)
            best = np.minimum(best, np.linalg.norm(p - other.points(at, np.full(len(at), float(side))), axis=1))
        worst = max(worst, best.max())
    return worst


@pytest.mark.parametrize("case", ["demonstration", "mirrored", "two bellies"])
def test_faces_close_and_look_outward(case):
    """Every edge of every face is the edge of one other, run the other way.

    Compared as sampled points: for a closed, consistently turned shell each directed edge has
    its opposite; edges that shrink to a point are left out.
    """
    shapes = demoplan.demo_shapes()
    if case == "mirrored":
        shapes = [mirrored(demoplan.demo_hull(), s) for s in shapes]
    if case == "two bellies":
        shapes = demoplan.cut_shapes()
    open_edges, gap = 0, 0.0
    t = np.linspace(0.0, 1.0, 9)
    zero, one = 0.0 * t, 0.0 * t + 1.0
    for shape in shapes:
        edges = []
        for face in shape.faces:
            p = face.patch
            # round the face with its inside on the left of su x sv
            for u, v in ((t, zero), (one, t), (t[::-1], one), (zero, t[::-1])):
                line = p.points(u, v)
                if np.ptp(line, axis=0).max() > 1e-6:
                    edges.append(line)
        edges = np.array(edges)
        back = edges[:, ::-1]
        for k, line in enumerate(edges):
            d = np.abs(back - line).max(axis=(1, 2))
            d[k] = np.inf
            if d.min() > 1e-6:
                open_edges += 1
            gap = max(gap, min(d.min(), 1.0))
        assert shape.volume > 0.0
    print(f"{case}: {len(shapes)} planks; edges without a fellow: {open_edges}; widest gap {gap:.1e} mm")
    assert open_edges == 0 and gap < 1e-9


def test_planks_are_named_by_side_and_strake():
    hull = demoplan.demo_hull()
    shapes = demoplan.demo_shapes()
    names = [s.name for s in shapes] + [mirrored(hull, s).name for s in shapes]
    print(names[0], "...", names[-1])
    assert len(set(names)) == len(names) == 2 * len(shapes)
    assert [s.strake for s in shapes] == list(range(1, len(shapes) + 1))
    y = np.array([np.mean([f.patch.poles[..., 1].mean() for f in s.faces]) for s in shapes])
    other = np.array([np.mean([f.patch.poles[..., 1].mean() for f in mirrored(hull, s).faces]) for s in shapes])
    assert names[0] == "Starboard strake 01" and np.all(y > 0.0) and np.abs(y + other).max() < 1e-9
