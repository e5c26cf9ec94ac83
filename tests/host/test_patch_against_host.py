# SPDX-License-Identifier: LGPL-2.1-or-later
"""SplinePatch against the host's own evaluation of the same surface."""

import FreeCAD
import numpy as np
import Part
import pytest
import surfaces
from demo_hull import demo_patch_data
from test_patch import ALL_DEGREES, against_extended, random_patch, relative, some_points

from strakeplan.core.spline.patch import SplinePatch

FIELDS = {"p": (0, 0), "su": (1, 0), "sv": (0, 1), "suu": (2, 0), "suv": (1, 1), "svv": (0, 2)}


def host_surface(patch):
    """The patch as the host's own B-spline surface."""
    surface = Part.BSplineSurface()
    poles = [[FreeCAD.Vector(*p) for p in row] for row in patch.poles.tolist()]
    weights = [] if patch.weights is None else [patch.weights.tolist()]
    surface.buildFromPolesMultsKnots(
        poles, patch.mult_u.tolist(), patch.mult_v.tolist(), patch.breaks_u.tolist(),
        patch.breaks_v.tolist(), False, False, patch.degree_u, patch.degree_v, *weights)
    return surface


def host_jets(surface, u, v):
    """Host's point and derivatives by field, each (n, 3)."""
    out = {"p": [surface.getD0(a, b) for a, b in zip(u, v)]}
    for field, (i, j) in FIELDS.items():
        if i + j:
            out[field] = [surface.getDN(a, b, i, j) for a, b in zip(u, v)]
    return {field: np.array([tuple(x) for x in values]) for field, values in out.items()}


def compare(patch, u, v, label):
    """Departure of every derivative, point by point, as a share of its own magnitude."""
    jet, host = patch.jets(u, v), host_jets(host_surface(patch), u, v)
    shares = {}
    for field in FIELDS:
        mine, other = getattr(jet, field), host[field]
        # the magnitude this derivative has on the patch: where it passes through nothing at a
        # single point, no evaluation keeps digits relative to that nothing
        size = np.linalg.norm(other, axis=1).max()
        gap = np.linalg.norm(mine - other, axis=1).max()
        if size < 1e-9 * patch.size:      # vanishes identically (second derivative of degree 1)
            shares[field] = gap / patch.size
        else:
            shares[field] = gap / size
    print(label, " ".join(f"{f} {s:.1e}" for f, s in shares.items()))
    return max(shares.values())


@pytest.mark.parametrize("p, q, rational", ALL_DEGREES)
def test_random_patches_agree(p, q, rational):
    patch = random_patch(1000 + 100 * p + 10 * q + rational, p, q, rational)
    u, v = some_points(patch, per_span=3)
    assert compare(patch, u, v, f"degrees {p}, {q} rational {rational}:") < 1e-11


@pytest.mark.parametrize("known", [
    surfaces.cylinder(), surfaces.cone(), surfaces.sphere(), surfaces.torus(),
    surfaces.spheroid(),
], ids=lambda k: k.name)
def test_known_surfaces_agree(known):
    u, v = known.uv(*known.grid(31, 29))
    # off the knots: on one of full multiplicity the two sides differ and either may be answered
    keep = (np.abs(u[:, None] - known.patch.breaks_u[1:-1]) > 1e-9).all(1)
    keep &= (np.abs(v[:, None] - known.patch.breaks_v[1:-1]) > 1e-9).all(1)
    assert keep.sum() > 500
    assert compare(known.patch, u[keep], v[keep], known.name) < 1e-11


@pytest.mark.parametrize("known, field", [
    (surfaces.helicoid(), "svv"), (surfaces.pseudosphere(), "suu"),
], ids=["helicoid", "pseudosphere"])
def test_short_spans_agree_to_the_hosts_own_rounding(known, field):
    """Across short spans the host itself rounds by more than 1e-11; its own error is measured."""
    patch = known.patch
    p, q = known.grid(31, 5)
    u, v = known.uv(p, q)
    keep = (np.abs(u[:, None] - patch.breaks_u[1:-1]) > 1e-9).all(1)
    keep &= (np.abs(v[:, None] - patch.breaks_v[1:-1]) > 1e-9).all(1)
    u, v = u[keep], v[keep]
    mine, host = getattr(patch.jets(u, v), field), host_jets(host_surface(patch), u, v)[field]
    own, others = (against_extended(patch, u, v, field, x) for x in (mine, host))
    apart = relative(mine, host)
    print(f"{known.name} {field}: apart {apart:.1e}; from extended precision: "
          f"core {float(own):.1e}, host {float(others):.1e}")
    assert own < 1e-11
    assert apart < 1e-11 + others


def test_demonstration_hull_agrees():
    patch = SplinePatch(*demo_patch_data())
    u, v = np.meshgrid(np.linspace(0, 1, 41), np.linspace(0, 1, 23))
    assert compare(patch, u.ravel(), v.ravel(), "demonstration hull") < 1e-11


def test_curvatures_agree():
    """Gauss and mean curvature against the host's, whose normal is su x sv too."""
    patch = SplinePatch(*demo_patch_data())
    u, v = np.meshgrid(np.linspace(0.02, 0.98, 17), np.linspace(0.02, 0.98, 13))
    u, v = u.ravel(), v.ravel()
    surface, g = host_surface(patch), patch.geometry(u, v)
    gauss = np.array([surface.curvature(a, b, "Gauss") for a, b in zip(u, v)])
    mean = np.array([surface.curvature(a, b, "Mean") for a, b in zip(u, v)])
    normal = np.array([tuple(surface.normal(a, b)) for a, b in zip(u, v)])
    error_k = np.abs(g.K - gauss).max() / np.abs(gauss).max()
    error_h = np.abs(g.H - mean).max() / np.abs(mean).max()
    error_n = np.abs(g.n - normal).max()
    print(f"K {error_k:.1e}, H {error_h:.1e}, normal {error_n:.1e}")
    assert max(error_k, error_h, error_n) < 1e-11
