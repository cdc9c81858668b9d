"""Lowest modes of a free beam: a Krylov method with shift and invert on band matrices.

The three rigid motions of a free beam are known exactly. Every vector is kept M-orthogonal to
them, so that only elastic modes come out: no threshold decides what is rigid. The vectors grow
from one start, multiplied again and again by (K + σM)⁻¹M, until the modes in the space so spanned
settle (Rayleigh–Ritz). A start rich in all low modes keeps any of them from staying hidden.

References
----------
B. N. Parlett, "The Symmetric Eigenvalue Problem", SIAM 1998, ch. 11 and 13 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dpbtrf, dpbtrs

from barmodel.errors import NotConvergedError
from barmodel.undercut.piece import Array

TOLERANCE = 1e-7
"""M-norm of (K + σM)⁻¹Mφ − φ/(λ + σ), over 1/(λ + σ), that counts as settled; λ errs by its
square."""
SHIFT = 1e-4
"""The shift −σ that makes a free beam's stiffness invertible, over the scale given. [1]"""
_MOST_VECTORS = 20  # times the modes wanted


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
    start : ndarray, shape (N,)
        A motion in which every low mode has a share.
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
    """M-orthonormal basis of some motions, and its image under M."""
    turn = np.linalg.inv(np.linalg.cholesky(vectors.T @ image)).T
    return vectors @ turn, image @ turn


def _krylov(
    factor: Array, mass: Array, fixed: Array, fixed_image: Array, start: Array, count: int
) -> tuple[Array, Array]:
    """Largest eigenvalues of (K + σM)⁻¹M off the rigid motions, largest first, and vectors."""
    size, rigid = fixed.shape
    band, limit = mass.shape[0] - 1, min(size - rigid, _MOST_VECTORS * count)
    basis, image = (np.empty((size, rigid + limit), order="F") for _ in range(2))
    basis[:, :rigid], image[:, :rigid] = fixed, fixed_image
    operator = np.zeros((limit, limit))
    vector = start - fixed @ (fixed_image.T @ start)
    for step in range(limit):
        at = rigid + step
        inertia = dsbmv(band, 1.0, mass, vector)
        length = math.sqrt(vector @ inertia)
        basis[:, at], image[:, at] = vector / length, inertia / length
        known, known_image = basis[:, : at + 1], image[:, : at + 1]
        vector = dpbtrs(factor, image[:, at])[0]
        share = known_image.T @ vector
        operator[: step + 1, step] = share[rigid:]
        vector -= known @ share
        vector -= known @ (known_image.T @ vector)  # twice is enough (Kahan; Parlett ch. 6)
        if step + 1 < 3 * count or step % 3:
            continue
        values, weights = np.linalg.eigh(operator[: step + 1, : step + 1], UPLO="U")
        values, weights = values[: -count - 1 : -1], weights[:, : -count - 1 : -1]
        beyond = math.sqrt(vector @ dsbmv(band, 1.0, mass, vector)) * np.abs(weights[-1])
        if np.all(beyond <= TOLERANCE * values):
            return values, known[:, rigid:] @ weights
    raise NotConvergedError(
        f"the lowest {count} modes of the beam did not settle; "
        "check for extremely thin or extremely short stretches of the bar"
    )
