"""Lowest eigenvalues of K u = λ M u of a free bar, by block Lanczos iteration on the inverse.

B = K⁻¹M has eigenvalues 1/λ, the wanted ones first and far apart: a few steps suffice. The rigid
motions of a free bar are known exactly (`barmodel.solid.rigid`); everything is kept M-orthogonal
to them, which makes the loads balance and K invertible. They never appear among the results, and
nothing is told apart by a threshold on frequency.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import sparse
from scipy.linalg import eigh

from barmodel.errors import NotConvergedError
from barmodel.solid.basis import Array

TOLERANCE = 1e-4
"""Largest accepted residual ‖Bu − u/λ‖·λ in the norm of M; λ is then good to its square, which
is 1e-5 cent."""
BLOCK = 6
"""Vectors per step: a solution for six costs hardly more than for two, and saves steps."""
MOST_STEPS = 40


@dataclass(frozen=True, slots=True, eq=False)
class Eigenpairs:
    """Result of `lowest`.

    Attributes
    ----------
    values : ndarray, shape (m,)
        λ, ascending. [rad²/s²]
    vectors : ndarray, shape (size, m)
        uᵀMu = 1. [kg^−½]
    residuals : ndarray, shape (m,)
        ‖Bu − u/λ‖·λ in the norm of M. [1]
    """

    values: Array
    vectors: Array
    residuals: Array


def lowest(
    solve: Callable[[Array], Array], mass: sparse.csr_array, rigid: Array, *, count: int
) -> Eigenpairs:
    """Find the `count` lowest flexible modes.

    Parameters
    ----------
    solve : callable
        Displacements under loads in balance, shape (size, m), up to a rigid motion.
    mass : csr_array, shape (size, size)
        Mass. [kg]
    rigid : ndarray, shape (size, r)
        Rigid motions, any basis.
    count : int
        Number of modes wanted.

    Raises
    ------
    NotConvergedError
        If `MOST_STEPS` steps do not reach `TOLERANCE`.

    References
    ----------
    R. G. Grimes, J. G. Lewis and H. D. Simon, "A shifted block Lanczos algorithm for solving
    sparse symmetric generalized eigenproblems", SIAM Journal on Matrix Analysis and
    Applications 15 (1994) 228–272 (from memory); here with full reorthogonalisation.
    """
    m_rigid = mass @ rigid
    rigid, m_rigid = _orthonormal(rigid, m_rigid)
    rigid, m_rigid = _orthonormal(rigid, m_rigid)

    def step(loads: Array) -> tuple[Array, Array]:
        """One application of B, free of rigid motion, and its product with M."""
        image = solve(loads)
        m_image = mass @ image
        part = m_rigid.T @ image
        return image - rigid @ part, m_image - m_rigid @ part

    width = max(BLOCK, count)
    noise = np.random.default_rng(1).standard_normal((rigid.shape[0], width))
    basis, m_basis = _orthonormal(*step(mass @ (noise - rigid @ (m_rigid.T @ noise))))
    projected = np.zeros((0, 0))
    for _ in range(MOST_STEPS):
        image, m_image = step(m_basis[:, -width:])
        overlap = np.zeros((basis.shape[1], width))
        for _ in range(2):  # once more, for rounding
            part = m_basis.T @ image
            image, m_image = image - basis @ part, m_image - m_basis @ part
            overlap += part
        projected = _bordered(projected, overlap)
        gram = image.T @ m_image
        theta, ritz = eigh(projected)
        theta, ritz = theta[::-1][:count], ritz[:, ::-1][:, :count]
        tail = ritz[-width:]
        residuals = np.sqrt(np.abs(np.einsum("im,ij,jm->m", tail, gram, tail))) / theta
        if theta.size == count and residuals.max() < TOLERANCE:
            return Eigenpairs(1.0 / theta, basis @ ritz, residuals)
        image, m_image = _orthonormal(image, m_image)
        basis, m_basis = np.hstack([basis, image]), np.hstack([m_basis, m_image])
    raise NotConvergedError(
        f"solid: {count} modes did not converge in {MOST_STEPS} steps; ask for fewer modes"
    )


def _bordered(projected: Array, overlap: Array) -> Array:
    """Grow the projection of B by its newest block column."""
    n, m = projected.shape[0], overlap.shape[1]
    out = np.zeros((n + m, n + m))
    out[:n, :n] = projected
    out[:, n:] = overlap
    out[n:, :n] = overlap[:n].T
    out[n:, n:] = (overlap[n:] + overlap[n:].T) / 2
    return out


def _orthonormal(vectors: Array, m_vectors: Array) -> tuple[Array, Array]:
    """M-orthonormal basis of the span, and its product with M."""
    gram = vectors.T @ m_vectors
    scale = 1.0 / np.sqrt(np.diag(gram))
    values, turn = np.linalg.eigh((gram + gram.T) / 2 * scale * scale[:, None])
    turn = scale[:, None] * turn / np.sqrt(np.maximum(values, 1e-14 * values[-1]))
    return vectors @ turn, m_vectors @ turn
