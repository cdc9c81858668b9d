"""Lowest eigenvalues of K u = λ M u of a free bar, by block Lanczos iteration on the inverse.

B = K⁻¹M has eigenvalues 1/λ, the wanted ones first and far apart: a few steps suffice. The rigid
motions of a free bar are known exactly (`barmodel.solid.motions`); everything is kept M-orthogonal
to them, which makes the loads balance and K invertible. They never appear among the results, and
nothing is told apart by a threshold on frequency.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh

from barmodel.errors import NotConvergedError
from barmodel.solid.basis import Array
from barmodel.solid.factor import End, Factor
from barmodel.solid.mass import Mass

TOLERANCE = 1e-4
"""Largest accepted residual ‖Bu − u/λ‖·λ in the norm of M; λ is then good to its square, which
is 1e-5 cent."""
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


class Search:
    """One eigenproblem on its way, which goes on from where it stands when more is asked for.

    Parameters
    ----------
    mass : Mass
        What it makes of motions. [kg]
    end : End
        How the last seam is held.
    rigid : ndarray, shape (size, r)
        Rigid motions left, any basis.
    begin : ndarray, shape (size, block)
        Motions to begin with; as many are carried in each step.
    """

    def __init__(self, mass: Mass, end: End, rigid: Array, begin: Array) -> None:
        self.end, self._mass = end, mass
        once = _orthonormal(rigid, mass @ rigid)
        self._rigid, self._m_rigid = _orthonormal(*once)
        self._basis = self._m_basis = np.zeros((rigid.shape[0], 0))
        self._projected = np.zeros((0, 0))
        self._ahead, self._m_ahead = self._free(begin)

    @property
    def steps(self) -> int:
        """Steps taken so far."""
        return int(self._projected.shape[0] // self._ahead.shape[1])

    def pairs(self, count: int) -> Eigenpairs | None:
        """What is known of the `count` lowest modes; None while a residual is too large."""
        if self._projected.shape[0] < count:
            return None
        theta, ritz = eigh(self._projected)
        theta, ritz = theta[::-1][:count], ritz[:, ::-1][:, :count]
        tail = ritz[-self._ahead.shape[1] :]
        gram = self._ahead.T @ self._m_ahead
        residuals = np.sqrt(np.abs(np.einsum("im,ij,jm->m", tail, gram, tail))) / theta
        if residuals.max() >= TOLERANCE:
            return None
        return Eigenpairs(1.0 / theta, self._basis @ ritz, residuals)

    def loads(self) -> Array:
        """Take the block ahead into the basis; its inertia, shape (size, block)."""
        block, m_block = _orthonormal(self._ahead, self._m_ahead)
        self._basis = np.hstack([self._basis, block])
        self._m_basis = np.hstack([self._m_basis, m_block])
        return m_block

    def go_on(self, image: Array) -> None:
        """See from K⁻¹ of those loads where B leads from the basis."""
        image, m_image = self._free(image)
        overlap = np.zeros((self._basis.shape[1], image.shape[1]))
        for _ in range(2):  # once more, for rounding
            part = self._m_basis.T @ image
            image, m_image = image - self._basis @ part, m_image - self._m_basis @ part
            overlap += part
        self._projected = _bordered(self._projected, overlap)
        self._ahead, self._m_ahead = image, m_image

    def _free(self, motions: Array) -> tuple[Array, Array]:
        """Motions without what is rigid in them, and their product with M."""
        m_motions = self._mass @ motions
        part = self._m_rigid.T @ motions
        return motions - self._rigid @ part, m_motions - self._m_rigid @ part


def lowest(factor: Factor, searches: Sequence[Search], *, count: int) -> list[Eigenpairs]:
    """Find the `count` lowest flexible modes of problems that differ in how the bar is held.

    They step together: solutions for twelve loads cost hardly more than for two, for it is the
    reading of the factors that takes the time.

    Parameters
    ----------
    factor : Factor
        Of their common stiffness.
    searches : sequence of Search
        They know what they have found before.
    count : int
        Number of modes wanted of each.

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
    found: list[Eigenpairs | None] = [None] * len(searches)
    for _ in range(MOST_STEPS + 1):
        for k, search in enumerate(searches):
            found[k] = found[k] or search.pairs(count)
        waiting = [search for k, search in enumerate(searches) if found[k] is None]
        if not waiting:
            return [pairs for pairs in found if pairs is not None]
        images = factor.solve([(search.end, search.loads()) for search in waiting])
        for search, image in zip(waiting, images, strict=True):
            search.go_on(image)
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
