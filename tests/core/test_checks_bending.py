# SPDX-License-Identifier: LGPL-2.1-or-later
"""Bend, twist, hollow: closed forms on cylinder, cone and torus; the demonstration hull by differences."""

import demoplan
import made_samples
import numpy as np
from made_wood import FIR
from scipy.interpolate import CubicSpline

from strakeplan.core.checks.bending import check_bending
from strakeplan.core.checks.hollow import check_hollow
from strakeplan.core.checks.springing import check_springing
from strakeplan.core.strakes.samples import strake_samples

T, PLANK, FRAMES = 30.0, 4900.0, 300.0


def test_helices_of_a_cylinder():
    """R / cos^2 a along, sin a cos a / R twist, sin^2 a / R across; all by hand."""
    radius, a, w, length = 2500.0, np.radians([0.0, 25.0, 45.0, 70.0]), 100.0, 8000.0
    strakes = made_samples.cylinder_helices(radius, a, length, w)
    found = check_bending(strakes, FIR, T, PLANK, FRAMES)
    c, s = np.cos(a), np.sin(a)
    twist = s * c / radius
    print("R/t", found.over_thickness.worst, "twist in degrees a metre", np.degrees(found.rate.worst) * 1000.0,
          "over 4.9 m", np.degrees(found.in_all.worst), "in all", np.degrees(found.whole))  # fmt: skip
    assert np.allclose(found.over_thickness.worst, radius / c**2 / T) and np.allclose(found.radius.worst, radius / c**2)
    assert np.allclose(found.rate.worst, twist) and np.allclose(found.in_all.worst, twist * PLANK)
    assert np.allclose(found.whole, twist * length) and np.allclose(found.metre.worst, twist)
    hollow = check_hollow(strakes, T)
    depth = w**2 * s**2 / radius / 8.0
    # the exact depth of a chord on the ellipse's osculating circle differs by w^4: 0.02 % here
    sagitta = np.array([0.0 if k == 0 else 1.0 / k - np.sqrt(1.0 / k**2 - 0.25 * w**2) for k in s**2 / radius])
    print("hollow", hollow.hollow.worst, "sagittas", sagitta, "stock", hollow.stock)
    assert np.allclose(hollow.hollow.worst, depth) and np.allclose(depth, sagitta, rtol=1e-3)
    assert np.allclose(hollow.stock, T + depth)


def test_twist_over_a_metre():
    """Torsion c cos(pi s / S) about the middle of a strake S long: over the metre at its crest c sin(q) / q
    with q = pi 500 / S; of a strake of 0.8 m the mean over all of it, c 2 / pi (own arithmetic)."""
    c, length = 6e-4, np.array([3000.0, 800.0])
    share = np.linspace(-0.5, 0.5, 121)
    found = check_bending(made_samples.made(length, width=100.0, twist=-c * np.cos(np.pi * share)), FIR, T, PLANK, FRAMES)
    q = np.pi * 500.0 / length[0]
    exact = -c * np.array([np.sin(q) / q, 2.0 / np.pi])
    print("over a metre", np.degrees(found.metre.worst) * 1e3, "exact", np.degrees(exact) * 1e3, "at the crest", np.degrees(c) * 1e3)
    assert np.allclose(found.metre.worst, exact, rtol=1e-6) and np.allclose(found.rate.worst, -c)
    assert found.metre.index[0] == 60


def test_forces_that_bend_and_twist_a_helix_home():
    """3 E I D / a^3 with D = kappa a^2 / 2; G J tau / w with J = .281 w t^3 at 4:1 (Timoshenko's table)."""
    radius, a, w, t = 4000.0, np.radians(40.0), 120.0, 30.0
    found = check_bending(made_samples.cylinder_helices(radius, [a], 8000.0, w), FIR, t, PLANK, FRAMES)
    tip = np.cos(a) ** 2 / radius * FRAMES**2 / 2.0
    bend = 3.0 * 14000.0 * (w * t**3 / 12.0) * tip / FRAMES**3
    twist = 1000.0 * 0.281 * w * t**3 * np.sin(a) * np.cos(a) / radius / w
    print(
        f"bend {found.bend_force.worst[0]:.1f} N ({bend:.1f}), twist {found.twist_force.worst[0]:.1f} N ({twist:.1f})"
    )
    assert np.isclose(found.bend_force.worst[0], bend) and np.isclose(found.twist_force.worst[0], twist, rtol=2e-3)
    assert np.isclose(found.frame_force.worst[0], found.bend_force.worst[0] + found.twist_force.worst[0])


def test_a_cone_bends_most_near_its_apex():
    """Normal curvature 1 / (r tan a) round it."""
    r, half = np.array([3000.0, 6000.0]), np.radians(35.0)
    found = check_bending(made_samples.cone_rounds(half, r, 8000.0, 100.0), FIR, T, PLANK, FRAMES)
    assert np.allclose(found.over_thickness.worst, r * np.tan(half) / T) and np.all(found.rate.worst == 0.0)


def test_a_straight_plank_has_no_radius():
    found = check_bending(made_samples.made([8000.0], width=100.0), FIR, T, PLANK, FRAMES)
    assert found.over_thickness.worst[0] == np.inf and found.frame_force.worst[0] == 0.0


def test_a_torus_inside_out():
    """Outside K > 0 and the inner face is hollowed; inside of the hole the bend along is hollow."""
    big, small, w = 4000.0, 1200.0, 110.0
    strakes = made_samples.torus_parallels(big, small, [0.0, np.pi], 8000.0, w)
    bend = check_bending(strakes, FIR, T, PLANK, FRAMES)
    hollow = check_hollow(strakes, T)
    print("radius along", bend.radius.worst, "hollow", hollow.hollow.worst)
    assert np.allclose(bend.radius.worst, [big + small, -(big - small)])
    assert np.allclose(hollow.hollow.worst, w**2 / small / 8.0)
    # rounded inner faces: the same stock
    inside = made_samples.made([8000.0], width=w, across=-1.0 / small)
    found = check_hollow(inside, T)
    assert np.isclose(found.hollow.worst[0], -(w**2) / small / 8.0) and np.isclose(
        found.stock[0], T + w**2 / small / 8.0
    )


def differences(patch, curve, share, b):
    """Curvatures at a place of a curve (u, v)(share), from points and normals alone.

    Central differences over b mm along and square to it.
    """

    def normal(uv):
        e = 1e-5
        p = lambda du, dv: patch.points(np.array([uv[0] + du]), np.array([uv[1] + dv]))[0]  # noqa: E731
        n = np.cross(p(e, 0) - p(-e, 0), p(0, e) - p(0, -e))
        return n / np.linalg.norm(n)

    def at(x):
        uv = curve(x)
        return uv, patch.points(uv[:1], uv[1:])[0]

    speed = np.linalg.norm(at(share + 1e-4)[1] - at(share - 1e-4)[1]) / 2e-4
    h = b / speed
    (ua, pa), (u, p), (uc, pc) = at(share - h), at(share), at(share + h)
    t = pc - pa
    step = 0.5 * np.linalg.norm(t)
    t = t / np.linalg.norm(t)
    n = normal(u)
    side = np.cross(n, t)
    second = (pa - 2.0 * p + pc) / step**2
    turned = (normal(uc) - normal(ua)) / (2.0 * step)
    # square to it: parameters that move b mm along `side`
    e = 1e-5
    su, sv = (
        (patch.points(*(np.array([u + s * d]).T))[0] - p) / e
        for s, d in ((e, np.array([1.0, 0.0])), (e, np.array([0.0, 1.0])))
    )
    move = np.linalg.lstsq(np.stack([su, sv], axis=1), side, rcond=None)[0] * b
    over = (normal(u + move) - normal(u - move)) / np.linalg.norm(
        patch.points(*(np.array([u + move]).T))[0] - patch.points(*(np.array([u - move]).T))[0]
    )
    gauss = (turned @ t) * (over @ side) - (turned @ side) * (over @ t)
    return dict(edgewise=second @ side, bend=-(second @ n), twist=-(turned @ side), across=over @ side, gauss=gauss)


def test_demonstration_hull_by_differences():
    """Curvatures from points and normals of the patch, then the strains and depths by hand from them."""
    plan = demoplan.demo_plan()
    strakes = strake_samples(plan)
    bending = check_bending(strakes, FIR, T, PLANK, FRAMES)
    springing = check_springing(strakes, FIR, T, PLANK, FRAMES)
    hollow = check_hollow(strakes, T)
    # between its places the middle line runs as eight times as many say
    dense = strake_samples(plan, 8 * (strakes.s.shape[1] - 1) + 1, girths=False)
    share, fine = np.linspace(0.0, 1.0, strakes.s.shape[1]), np.linspace(0.0, 1.0, dense.s.shape[1])
    worst = 0.0
    for row in (1, 8, 15, 19, 25):
        curve = CubicSpline(fine, dense.uv[row])
        for k in (20, 55, 90):
            got = differences(plan.hull.patch, curve, share[k], 20.0)
            w = strakes.width[row, k]
            pairs = {
                "R/t": (T * bending.over_thickness.value[row, k], 1.0 / abs(got["bend"])),
                "twist": (bending.rate.value[row, k], got["twist"]),
                "edgewise strain": (springing.edgewise.value[row, k], 0.5 * w * abs(got["edgewise"])),
                "flatwise strain": (springing.flatwise.value[row, k], 0.5 * T * abs(got["bend"])),
                "compound strain": (springing.compound.value[row, k], -got["gauss"] * w**2 / 12.0),
                "hollow": (hollow.hollow.value[row, k], w**2 * got["across"] / 8.0),
            }
            sizes = {
                "R/t": abs(pairs["R/t"][1]), "twist": 2e-5, "edgewise strain": 1e-3, "flatwise strain": 1e-3,
                "compound strain": 1e-4, "hollow": 1.0,
            }  # fmt: skip
            off = {name: abs(a - b) / max(abs(b), sizes[name]) for name, (a, b) in pairs.items()}
            name = max(off, key=off.get)
            worst = max(worst, off[name])
            print(f"strake {row + 1}, place {k}: " + ", ".join(f"{q} {a:.4g} ({b:.4g})" for q, (a, b) in pairs.items()))
    print(f"worst departure {worst:.1e} of the figure")
    assert worst < 1e-3


def test_hollow_of_the_demonstration_hull_by_a_straightedge():
    """A straightedge across the strake: how far the hull stands proud of the chord between the edges."""
    plan = demoplan.demo_plan()
    strakes = strake_samples(plan)
    hollow = check_hollow(strakes, T).hollow.value
    patch = plan.hull.patch
    for row in (3, 12, 18):
        strake = plan.strakes[row]
        edges = [c.parts[0].curve for c in (strake.upper, strake.lower)]
        dense = [e.points(np.linspace(0.0, e.length, 60001)) for e in edges]
        for k in (35, 60, 85):
            p = strakes.point[row, k]
            t = strakes.point[row, k + 1] - strakes.point[row, k - 1]
            t = t / np.linalg.norm(t)
            a, b = (d[np.argmin(np.abs((d - p) @ t))] for d in dense)
            n = patch.geometry(*strakes.uv[row, k][:, None]).n[0]
            # the greatest height over the chord along the cut, near the middle
            chord = (b - a) / np.linalg.norm(b - a)
            off = (p - a) - ((p - a) @ chord) * chord
            print(f"strake {row + 1}, place {k}: hollow {hollow[row, k]:.3f} mm, over the chord {off @ n:.3f}")
            assert abs(off @ n - hollow[row, k]) < 0.02 + 0.03 * abs(hollow[row, k])
