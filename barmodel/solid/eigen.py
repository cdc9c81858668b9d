"""Lowest eigenvalues of K u = λ M u of a free bar, by block Lanczos iteration on the inverse.

B = K⁻¹M has eigenvalues 1/λ, the wanted ones first and far apart: a few steps suffice. The rigid
motions of a free bar are known exactly (`barmodel.solid.motions`); everything is kept M-orthogonal
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
MOST_STEPS = 40


@dataclass(frozen=True, slots=True, eq=False)
class Eigenpairs:
    """Result of `Lanczos.lowest`.

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


class Lanczos:
    """A search that goes on from where it stands when more modes are asked for.

    Parameters
    ----------
    solve : callable
        Displacements under loads in balance, shape (size, m), up to a rigid motion.
    mass : csr_array, shape (size, size)
        Mass. [kg]
    rigid : ndarray, shape (size, r)
        Rigid motions, any basis.
    begin : ndarray, shape (size, block)
        Motions to begin with; as many are carried in each step. A solution for six costs hardly
        more than for two, and saves steps.

    References
    ----------
    R. G. Grimes, J. G. Lewis and H. D. Simon, "A shifted block Lanczos algorithm for solving
    sparse symmetric generalized eigenproblems", SIAM Journal on Matrix Analysis and
    Applications 15 (1994) 228–272 (from memory); here with full reorthogonalisation.
    """

    def __init__(
        self, solve: Callable[[Array], Array], mass: sparse.csr_array, rigid: Array, begin: Array
    ) -> None:
        self._solve, self._mass = solve, mass
        once = _orthonormal(rigid, mass @ rigid)
        self._rigid, self._m_rigid = _orthonormal(*once)
        self._basis = self._m_basis = np.zeros((rigid.shape[0], 0))
        self._projected = np.zeros((0, 0))
        free = begin - self._rigid @ (self._m_rigid.T @ begin)
        self._ahead, self._m_ahead = self._apply(mass @ free)

    def lowest(self, count: int) -> Eigenpairs:
        """Find the `count` lowest flexible modes.

        Raises
        ------
        NotConvergedError
            If `MOST_STEPS` steps do not reach `TOLERANCE`.
        """
        for _ in range(MOST_STEPS):
            if self._projected.shape[0] >= count:
                pairs = self._pairs(count)
                if pairs is not None:
                    return pairs
            self._step()
        raise NotConvergedError(
            f"solid: {count} modes did not converge in {MOST_STEPS} steps; ask for fewer modes"
        )

    def _apply(self, loads: Array) -> tuple[Array, Array]:
        """One application of B, free of rigid motion, and its product with M."""
        image = self._solve(loads)
        m_image = self._mass @ image
        part = self._m_rigid.T @ image
        return image - self._rigid @ part, m_image - self._m_rigid @ part

    def _step(self) -> None:
        """Take the block ahead into the basis, and see where B leads from there."""
        block, m_block = _orthonormal(self._ahead, self._m_ahead)
        self._basis = np.hstack([self._basis, block])
        self._m_basis = np.hstack([self._m_basis, m_block])
        image, m_image = self._apply(m_block)
        overlap = np.zeros((self._basis.shape[1], block.shape[1]))
        for _ in range(2):  # once more, for rounding
            part = self._m_basis.T @ image
            image, m_image = image - self._basis @ part, m_image - self._m_basis @ part
            overlap += part
        self._projected = _bordered(self._projected, overlap)
        self._ahead, self._m_ahead = image, m_image

    def _pairs(self, count: int) -> Eigenpairs | None:
        """What the basis holds of the lowest modes; None while a residual is too large."""
        theta, ritz = eigh(self._projected)
        theta, ritz = theta[::-1][:count], ritz[:, ::-1][:, :count]
        tail = ritz[-self._ahead.shape[1] :]
        gram = self._ahead.T @ self._m_ahead
        residuals = np.sqrt(np.abs(np.einsum("im,ij,jm->m", tail, gram, tail))) / theta
        if residuals.max() >= TOLERANCE:
            return None
        return Eigenpairs(1.0 / theta, self._basis @ ritz, residuals)


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
