# SPDX-License-Identifier: LGPL-2.1-or-later
"""Geodesics between two fixed points, by relaxing a string of high-order elements.

The string is a chain of polynomial elements in space whose Gauss-Lobatto nodes lie on
the surface. Its energy, half the integral of the squared speed, is a quadratic form in
the nodes with constant coefficients; the nodes slide on the surface until the energy is
stationary. Only points and first and second derivatives of the surface at the nodes are
needed. With elements of degree p whose ends lie on the knot lines crossed the positions
at the elements' ends converge with order 2p and the length too.

References
----------
J. E. Marsden and M. West, "Discrete mechanics and variational integrators", *Acta
Numerica* 10 (2001), section 2.2.6 (Galerkin variational integrators; constrained case
section 3.5.2).
L. O. Jay, "Symplectic partitioned Runge-Kutta methods for constrained Hamiltonian
systems", *SIAM J. Numer. Anal.* 33 (1996): order 2p of Lobatto nodes under constraints.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.linalg import LinAlgError, solve_banded

from ..errors import PlanError
from ..spline.lobatto import lobatto

__all__ = ["DEGREE", "STEP_DONE", "Tension", "end_pull", "newton_with_gate", "relax"]

DEGREE = 8  # of the elements; 6 to 10 cost the same for equal accuracy on hulls
STEP_DONE = 1e-9  # of the string's length: a Newton step that changes nothing


@lru_cache(maxsize=64)
def _layout(pieces, degree):
    """Index arrays that scatter element blocks into a banded matrix without its ends."""
    glob = np.arange(pieces)[:, None] * degree + np.arange(degree + 1)  # (e, i) node
    dof = 2 * glob[..., None] + np.arange(2) - 2  # first node is fixed: -2, -1
    count = 2 * (pieces * degree - 1)
    dof = np.where((dof < 0) | (dof >= count), -1, dof)
    row = np.broadcast_to(dof[:, :, :, None, None], (*dof.shape, degree + 1, 2))
    col = np.broadcast_to(dof[:, None, None, :, :], row.shape)
    keep = ((row >= 0) & (col >= 0)).ravel()
    width = 2 * degree + 1
    flat = ((width + row - col) * count + col).ravel()[keep]
    return glob, dof, count, width, keep, flat


@dataclass(frozen=True)
class Tension:
    """Tension of a heavy string, in units of its tension at a reference height.

    T = 1 - slope (z - reference), z the ship's height: a string that hangs upwards, as on
    a half model turned upside down, has a positive slope.

    Attributes
    ----------
    slope : float
        1/mm.
    reference : float
        mm.
    """

    slope: float
    reference: float

    def at(self, p):
        """Tension (...,) at points (..., 3)."""
        return 1.0 - self.slope * (p[..., 2] - self.reference)


def _forces(p, h, degree, tension):
    """Energy, force on every node (e, m, 3) and the Hessian's blocks in space.

    Blocks: (e, m, m) where they are multiples of the unit matrix, else (e, m, 3, m, 3).
    """
    element = lobatto(degree)
    scale = 2.0 / h
    local = p - p[:, :1]  # rows of the matrices sum to nothing: keeps digits
    if tension is None:
        force = np.einsum("ij,ejk->eik", element.stiffness, local) * scale[:, None, None]
        energy = 0.5 * float(np.einsum("eik,eik->", force, local))
        return energy, force, element.stiffness * scale[:, None, None]
    d, w = element.derivative, element.weights
    t = tension.at(p)  # (e, q)
    v = np.einsum("qj,ejk->eqk", d, local)
    square = np.einsum("eqk,eqk->eq", v, v)
    wf = w * t * t
    energy = 0.5 * float(np.einsum("e,eq,eq->", scale, wf, square))
    force = np.einsum("eq,qi,eqk->eik", wf, d, v)
    pull = -2.0 * tension.slope * t  # dF/dz, F = T^2
    force[..., 2] += 0.5 * w * square * pull
    m = degree + 1
    block = np.zeros((len(p), m, 3, m, 3))
    plain = np.einsum("eq,qi,qj->eij", wf, d, d)
    for axis in range(3):
        block[:, :, axis, :, axis] += plain
    cross = np.einsum("i,ei,ij,eil->eijl", w, pull, d, v)  # row i along z, column j along l
    block[:, :, 2] += cross
    block[:, :, :, :, 2] += np.transpose(cross, (0, 2, 3, 1))
    index = np.arange(m)
    block[:, index, 2, index, 2] += w * square * tension.slope**2
    return energy, force * scale[:, None, None], block * scale[:, None, None, None, None]


def _assemble(patch, nodes, h, tension=None):
    """Energy, gradient and the exact and Gauss-Newton Hessians.

    nodes (e, p + 1, 2), h (e,) element widths. Returns energy, gradient (count,),
    two banded matrices and the surface tangents for measuring steps in mm.
    """
    e, m, _ = nodes.shape
    glob, dof, count, width, keep, flat = _layout(e, m - 1)
    unique = np.concatenate([nodes[:, :-1].reshape(-1, 2), nodes[-1:, -1]])
    jet = patch.jets(unique[:, 0], unique[:, 1])
    energy, force_e, blocks = _forces(jet.p[glob], h, m - 1, tension)
    force = np.zeros_like(jet.p)
    np.add.at(force, glob.ravel(), force_e.reshape(-1, 3))
    tangents = np.stack([jet.su, jet.sv], axis=1)  # (node, 2, 3)
    gradient = np.einsum("nck,nk->nc", tangents, force)[1:-1].ravel()
    j = tangents[glob]  # (e, i, 2, 3)
    if tension is None:
        flat_j = j.reshape(e, 2 * m, 3)
        gram = np.matmul(flat_j, np.swapaxes(flat_j, 1, 2)).reshape(e, m, 2, m, 2)
        blocks = gram * blocks[:, :, None, :, None]
    else:
        blocks = np.einsum("eiak,eikjl,ejbl->eiajb", j, blocks, j, optimize=True)
    ab = np.bincount(flat, blocks.ravel()[keep], (2 * width + 1) * count)
    gauss = ab.reshape(2 * width + 1, count)
    exact = gauss.copy()
    inner = force[1:-1]
    uu = np.einsum("nk,nk->n", inner, jet.suu[1:-1])
    uv = np.einsum("nk,nk->n", inner, jet.suv[1:-1])
    vv = np.einsum("nk,nk->n", inner, jet.svv[1:-1])
    exact[width, 0::2] += uu
    exact[width, 1::2] += vv
    exact[width - 1, 1::2] += uv
    exact[width + 1, 0::2] += uv
    return energy, gradient, exact, gauss, width, tangents


def relax(patch, nodes, widths, iterations=60, done=STEP_DONE, tension=None):
    """Newton's method on the energy, with backtracking far from the solution.

    Parameters
    ----------
    patch : SplinePatch
    nodes : (e, p + 1, 2) first guess; the two end nodes stay where they are
    widths : (e,) parameter widths of the elements; proportional to their lengths
    iterations : int
    done : float
        Largest step, as a share of the string's length, that ends the iteration.
    tension : Tension, optional
        Of a heavy string; a weightless one without. Widths are then best proportional to
        length times tension.

    Returns
    -------
    nodes : (e, p + 1, 2)
    step : float
        Last largest Newton step, mm.

    Raises
    ------
    PlanError
        If the string does not settle.
    """
    nodes = np.array(nodes, float)
    e, m, _ = nodes.shape
    glob = _layout(e, m - 1)[0]
    total = float(np.sum(widths))
    flat = np.concatenate([nodes[:, :-1].reshape(-1, 2), nodes[-1:, -1]])
    state = _assemble(patch, flat[glob], widths, tension)
    size = np.inf
    for _ in range(iterations):
        energy, gradient, exact, gauss, width, tangents = state
        step = None
        for matrix in (exact, gauss):
            try:
                trial = -solve_banded((width, width), matrix, gradient, check_finite=False)
            except (LinAlgError, ValueError):
                continue
            if np.isfinite(trial).all() and trial @ gradient <= 0.0:
                step = trial.reshape(-1, 2)
                break
        if step is None:
            break
        moved = np.einsum("nc,nck->nk", step, tangents[1:-1])
        size = float(np.sqrt(np.max(np.einsum("nk,nk->n", moved, moved))))
        factor = min(1.0, 0.25 * total / size) if size > 0.0 else 1.0
        slope = float(step.ravel() @ gradient)
        for _ in range(25):
            new = flat.copy()
            new[1:-1] += factor * step
            state = _assemble(patch, new[glob], widths, tension)
            if state[0] <= energy + 1e-4 * factor * slope or factor * size < 1e-4 * total:
                break
            factor *= 0.5
        flat = new
        if size < done * total and factor == 1.0:
            return flat[glob], size
    raise PlanError(
        "the string does not settle on the surface",
        f"the last step was {size:.3g} mm",
        "move the marks nearer together, or look for a fold in the hull's surface",
    )


def newton_with_gate(patch, nodes, widths, tension, row, gap):
    """One Newton step on nodes and tension slope under one linear condition.

    Parameters
    ----------
    patch : SplinePatch
    nodes : (e, p + 1, 2)
    widths : (e,)
    tension : Tension
    row : (e, p + 1, 2)
        The condition: sum of row times the nodes' changes equals `gap`.
    gap : float

    Returns
    -------
    nodes : (e, p + 1, 2)
    change : float
        Of the slope, 1/mm.
    size : float
        Largest move of a node, mm.
    """
    e, m, _ = nodes.shape
    glob, dof, count, _, _, _ = _layout(e, m - 1)
    flat = np.concatenate([nodes[:, :-1].reshape(-1, 2), nodes[-1:, -1]])
    _, gradient, exact, _, width, tangents = _assemble(patch, flat[glob], widths, tension)
    # the gradient is a quadratic of the slope: central differences are exact
    d = 1e-3 / patch.size
    sides = [
        _assemble(patch, flat[glob], widths, Tension(tension.slope + k, tension.reference))[1]
        for k in (d, -d)
    ]
    by_slope = (sides[0] - sides[1]) / (2.0 * d)
    both = solve_banded(
        (width, width), exact, np.stack([gradient, by_slope], axis=1), check_finite=False
    )
    condition = np.zeros(count)
    keep = dof >= 0
    np.add.at(condition, dof[keep], row[keep])
    change = (-gap - condition @ both[:, 0]) / (condition @ both[:, 1])
    step = (-both[:, 0] - change * both[:, 1]).reshape(-1, 2)
    flat = flat.copy()
    flat[1:-1] += step
    moved = np.einsum("nc,nck->nk", step, tangents[1:-1])
    return flat[glob], float(change), float(np.sqrt(np.max(np.einsum("nk,nk->n", moved, moved))))


def end_pull(curve, end):
    """Unit pull of the string at one of its ends, along the curve's own direction.

    The pull is the derivative of the discrete energy with respect to the end node: it
    gives the tangent with the order of the element ends, where differentiating the
    polynomial would lose half of it.

    Parameters
    ----------
    curve : SurfaceCurve
        Relaxed.
    end : 0 or -1

    Returns
    -------
    (3,) unit vector, tangent to the surface
    """
    k = lobatto(curve.degree).stiffness
    uv = curve.nodes[end]
    jet = curve.patch.jets(uv[:, 0], uv[:, 1], 1)
    row = k[end] @ (jet.p - jet.p[end])
    n = np.cross(jet.su[end], jet.sv[end])
    n /= np.linalg.norm(n)
    row = row - (row @ n) * n
    row = row / np.linalg.norm(row)
    return -row if end == 0 else row
