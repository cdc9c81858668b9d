"""Lowest modes of a free beam: shift-invert Lanczos on band matrices.

The three rigid motions of a free beam are known exactly. They are put into the Krylov basis
first, so that every further vector is M-orthogonal to them and only elastic modes come out: no
threshold decides what is rigid.

References
----------
B. N. Parlett, "The Symmetric Eigenvalue Problem", SIAM 1998, ch. 13 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh_tridiagonal
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dpbtrf, dpbtrs

from barmodel.errors import NotConvergedError
from barmodel.undercut.piece import Array

TOLERANCE = 1e-12
"""Relative change of an eigenvalue estimate that counts as converged."""
SHIFT = 1e-4
"""The shift −σ that makes a free beam's stiffness invertible, over the scale given. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class EigenPairs:
    """Elastic eigenpairs, lowest first, M-orthonormal.

    Attributes
    ----------
    values : ndarray, shape (k,)
        ω². [1/s²]
    vectors : ndarray, shape (N, k)
    residual : ndarray, shape (k,)
        ‖Kφ − ω²Mφ‖ / ‖Kφ‖. [1]
    orthonormality : float
        Largest entry of |φᵀMφ − 1|, the rigid motions included.
    """

    values: Array
    vectors: Array
    residual: Array
    orthonormality: float


def band_times(band: Array, vectors: Array) -> Array:
    """Product of a symmetric upper-band matrix with vectors, shape (N, k)."""
    k = band.shape[0] - 1
    return np.stack([dsbmv(k, 1.0, band, column) for column in vectors.T], axis=1)


def lowest_elastic(
    stiffness: Array, mass: Array, rigid: Array, *, count: int, scale: float
) -> EigenPairs:
    """Solve K φ = ω² M φ for the lowest elastic modes.

    Parameters
    ----------
    stiffness, mass : ndarray, shape (band + 1, N)
        Upper bands of K (singular, its null space spanned by `rigid`) and M.
    rigid : ndarray, shape (N, r)
        Rigid motions.
    count : int
        Number of modes wanted.
    scale : float
        Rough ω² of the first mode; sets the shift, nothing else. [1/s²]

    Raises
    ------
    NotConvergedError
        If the matrices are not positive or the iteration does not settle.
    """
    shift = SHIFT * scale
    factor, info = dpbtrf(stiffness + shift * mass)
    if info != 0:
        raise NotConvergedError("the beam's stiffness matrix is not positive; check the wood")
    basis = _orthonormal_rigid(mass, rigid)
    inverse, vectors = _lanczos(factor, mass, basis, count)
    values = 1.0 / inverse - shift
    order = np.argsort(values)[:count]
    values, vectors = values[order], vectors[:, order]
    force, inertia = band_times(stiffness, vectors), band_times(mass, vectors)
    residual = np.linalg.norm(force - values * inertia, axis=0) / np.linalg.norm(force, axis=0)
    everything = np.concatenate([basis, vectors], axis=1)
    gram = np.concatenate([basis, vectors], axis=1).T @ band_times(mass, everything)
    return EigenPairs(values, vectors, residual, float(np.abs(gram - np.eye(len(gram))).max()))


def _orthonormal_rigid(mass: Array, rigid: Array) -> Array:
    gram = rigid.T @ band_times(mass, rigid)
    return np.linalg.solve(np.linalg.cholesky(gram), rigid.T).T


def _lanczos(factor: Array, mass: Array, rigid: Array, count: int) -> tuple[Array, Array]:
    """Largest eigenvalues of (K + σM)⁻¹M off the rigid motions, fully reorthogonalised."""
    size, fixed = rigid.shape
    limit = min(size - fixed, 8 * count + 40)
    band = mass.shape[0] - 1
    basis = np.empty((size, fixed + limit + 1), order="F")  # V
    image = np.empty_like(basis)  # M V
    basis[:, :fixed] = rigid
    image[:, :fixed] = band_times(mass, rigid)
    alpha, beta = np.zeros(limit), np.zeros(limit + 1)
    vector = np.random.default_rng(0).standard_normal(size)
    previous = np.zeros(count)
    for step in range(limit):
        at = fixed + step
        for _ in range(2):  # twice is enough (Kahan; Parlett ch. 6)
            vector = vector - basis[:, :at] @ (image[:, :at].T @ vector)
        inertia = dsbmv(band, 1.0, mass, vector)
        beta[step] = np.sqrt(vector @ inertia)
        basis[:, at], image[:, at] = vector / beta[step], inertia / beta[step]
        vector = dpbtrs(factor, image[:, at])[0]
        alpha[step] = vector @ image[:, at]
        if step + 1 >= 2 * count + 4 and step % 3 == 0:
            found, weights = eigh_tridiagonal(
                alpha[: step + 1],
                beta[1 : step + 1],
                select="i",
                select_range=(step + 1 - count, step),
            )
            if np.all(np.abs(found - previous) <= TOLERANCE * found):
                return found, basis[:, fixed : at + 1] @ weights
            previous = found
    raise NotConvergedError(
        f"the lowest {count} modes of the beam did not settle in {limit} steps; "
        "check for extremely thin or extremely short stretches of the bar"
    )
