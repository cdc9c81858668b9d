"""Lowest modes of a free beam: a block Krylov method with shift and invert on band matrices.

The three rigid motions of a free beam are known exactly. Every vector is kept M-orthogonal to
them, so that only elastic modes come out: no threshold decides what is rigid. The block starts
from waves of a uniform bar, which are near the modes already, and is multiplied by
(K + σM)⁻¹M until the modes in the space so spanned settle (Rayleigh–Ritz).

References
----------
B. N. Parlett, "The Symmetric Eigenvalue Problem", SIAM 1998, ch. 11 and 13 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dpbtrf, dpbtrs

from barmodel.errors import NotConvergedError
from barmodel.undercut.piece import Array

TOLERANCE = 1e-8
"""M-norm of (K + σM)⁻¹Mφ − φ/(λ + σ), over 1/(λ + σ), that counts as settled; λ errs by its
square."""
SHIFT = 1e-4
"""The shift −σ that makes a free beam's stiffness invertible, over the scale given. [1]"""
_MOST_VECTORS = 20  # times the modes wanted
_SAME = 1e-14


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
    product = np.empty(vectors.shape, order="F")
    for column in range(vectors.shape[1]):
        product[:, column] = dsbmv(k, 1.0, band, vectors[:, column])
    return product


def lowest_elastic(
    stiffness: Array, mass: Array, rigid: Array, start: Array, *, count: int, scale: float
) -> EigenPairs:
    """Solve K φ = ω² M φ for the lowest elastic modes.

    Parameters
    ----------
    stiffness, mass : ndarray, shape (band + 1, N)
        Upper bands of K (singular, its null space spanned by `rigid`) and M.
    rigid : ndarray, shape (N, r)
        Rigid motions.
    start : ndarray, shape (N, b)
        Guessed motions, at least `count` of them.
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
    fixed, fixed_image = _orthonormal(rigid, band_times(mass, rigid))
    inverse, vectors = _krylov(factor, mass, fixed, fixed_image, start, count)
    values = 1.0 / inverse - shift
    force, inertia = band_times(stiffness, vectors), band_times(mass, vectors)
    residual = np.linalg.norm(force - values * inertia, axis=0) / np.linalg.norm(force, axis=0)
    everything = np.concatenate([fixed, vectors], axis=1)
    gram = everything.T @ np.concatenate([fixed_image, inertia], axis=1)
    return EigenPairs(values, vectors, residual, float(np.abs(gram - np.eye(len(gram))).max()))


def _orthonormal(vectors: Array, image: Array) -> tuple[Array, Array]:
    """M-orthonormal basis of a block, and its image under M; directions of no length go."""
    gram = vectors.T @ image
    length = np.sqrt(np.maximum(np.diag(gram), np.finfo(float).tiny))
    values, turn = np.linalg.eigh(gram / length / length[:, None])
    kept = values > _SAME
    turn = turn[:, kept] / (length[:, None] * np.sqrt(values[kept]))
    return vectors @ turn, image @ turn


def _krylov(
    factor: Array, mass: Array, fixed: Array, fixed_image: Array, start: Array, count: int
) -> tuple[Array, Array]:
    """Largest eigenvalues of (K + σM)⁻¹M off the rigid motions, largest first, and vectors."""
    limit = _MOST_VECTORS * count
    rigid, room = fixed.shape[1], fixed.shape[1] + limit + start.shape[1]
    basis, image = (np.empty((fixed.shape[0], room), order="F") for _ in range(2))
    basis[:, :rigid], image[:, :rigid] = fixed, fixed_image
    operator = np.zeros((room, room))
    block, size = start - fixed @ (fixed_image.T @ start), rigid
    while size < rigid + limit:
        block, block_image = _orthonormal(block, band_times(mass, block))
        last, size = size, size + block.shape[1]
        basis[:, last:size], image[:, last:size] = block, block_image
        block = dpbtrs(factor, block_image)[0]
        operator[:size, last:size] = image[:, :size].T @ block
        block -= basis[:, :size] @ operator[:size, last:size]
        block -= basis[:, :size] @ (image[:, :size].T @ block)  # twice is enough (Parlett ch. 6)
        if size - rigid < 3 * count:
            continue
        values, weights = np.linalg.eigh(operator[rigid:size, rigid:size], UPLO="U")
        values, weights = values[: -count - 1 : -1], weights[:, : -count - 1 : -1]
        beyond = block @ weights[last - rigid :]
        strain = (beyond * band_times(mass, beyond)).sum(axis=0)
        if np.all(strain <= (TOLERANCE * values) ** 2):
            return values, basis[:, rigid:size] @ weights
    raise NotConvergedError(
        f"the lowest {count} modes of the beam did not settle; "
        "check for extremely thin or extremely short stretches of the bar"
    )
