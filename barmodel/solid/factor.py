"""Elimination of the chain of columns, one small dense matrix at a time.

Elimination is *frontal* (Irons 1970): a column's dense stiffness is completed by what the columns
before it left on their common seam, its unknowns are eliminated by Cholesky, and the Schur
complement of its right seam goes on. For n columns that is n dense factorisations in LAPACK.
Kept are the inverse A⁻¹ of each column's completed stiffness and its product A⁻¹B with the
coupling to the right seam: a solution then costs one reading of each matrix, half the memory
traffic of two triangular solves, and that traffic is what a solution costs.

A free bar has a singular stiffness, yet every matrix met on the way is definite: as long as the
last seam is not eliminated it holds the bar. Only the small matrix S left on the last seam is
singular, on the rigid motions R. It is made definite by springs on exactly those motions,
S + κ R Rᵀ; loads that are in balance, and no others are ever applied, leave them without force.

References
----------
B. M. Irons, "A frontal solution program for finite element analysis", International Journal for
Numerical Methods in Engineering 2 (1970) 5–32 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import blas, lapack

from barmodel.errors import NotConvergedError
from barmodel.solid.basis import Array
from barmodel.solid.system import System


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Inverse of the stiffness, column by column.

    Attributes
    ----------
    inverses : tuple of ndarray
        A⁻¹ of each column's own unknowns, left seam and inside. [m/N]
    followers : tuple of ndarray
        A⁻¹B: how a column's own unknowns follow those of its right seam, but for the sign. [1]
    starts : tuple of int
        First unknown of each column, then of the last seam.
    last : ndarray
        Schur complement left on the last seam. [N/m]
    """

    inverses: tuple[Array, ...]
    followers: tuple[Array, ...]
    starts: tuple[int, ...]
    last: Array

    def closed(self, kept: NDArray[np.bool_], rigid: Array) -> Solver:
        """Settle the last seam.

        Parameters
        ----------
        kept : ndarray of bool
            Unknowns of the last seam that may move; the others are held at zero. Even and odd
            modes of a half bar differ only there: one factorisation serves both.
        rigid : ndarray, shape (size, r)
            Rigid motions left to the bar.
        """
        index = np.flatnonzero(kept)
        motions, _ = np.linalg.qr(rigid[self.starts[-1] :][index])
        schur = self.last[np.ix_(index, index)]
        spring = np.trace(schur) / index.size
        pivot, info = lapack.dpotrf(schur + spring * motions @ motions.T, lower=1, clean=1)
        _require_definite(info)
        return Solver(self, index, pivot)


@dataclass(frozen=True, slots=True, eq=False)
class Solver:
    """Inverse of the stiffness on loads in balance; see `Factor`."""

    factor: Factor
    kept: NDArray[np.intp]
    last_pivot: Array

    def __call__(self, loads: Array) -> Array:
        """Displacements under several loads, shape (size, m), up to a rigid motion."""
        factor = self.factor
        x = np.array(loads, order="C")
        chain = list(zip(factor.inverses, factor.followers, factor.starts, strict=False))
        for _, follower, first in chain:
            inner, outer = first + follower.shape[0], first + sum(follower.shape)
            x[inner:outer] -= follower.T @ x[first:inner]
        end = x[factor.starts[-1] :]
        solved, _ = lapack.dpotrs(self.last_pivot, end[self.kept], lower=1)
        end[:] = 0.0
        end[self.kept] = solved
        for inverse, follower, first in reversed(chain):
            inner, outer = first + follower.shape[0], first + sum(follower.shape)
            x[first:inner] = inverse @ x[first:inner] - follower @ x[inner:outer]
        return x


def factorise(system: System) -> Factor:
    """Eliminate all columns of the stiffness from left to right, up to the last seam."""
    inverses, followers = [], []
    carried = np.zeros((0, 0))
    for k, matrix in enumerate(system.stiffness):
        n, own = carried.shape[0], system.starts[k + 1] - system.starts[k]
        front = np.array(matrix[:own, :own], order="F")
        front[:n, :n] += carried
        pivot, info = lapack.dpotrf(front, lower=1, clean=1, overwrite_a=1)
        _require_definite(info)
        coupling = blas.dtrsm(1.0, pivot, matrix[:own, own:], lower=1)
        carried = matrix[own:, own:] - coupling.T @ coupling
        followers.append(blas.dtrsm(1.0, pivot, coupling, lower=1, trans_a=1))
        inverses.append(_inverse(pivot))
    return Factor(tuple(inverses), tuple(followers), system.starts, carried)


def _inverse(pivot: Array) -> Array:
    """Inverse of a matrix from its Cholesky factor, both triangles. The factor is lost."""
    lower, _ = lapack.dpotri(pivot, lower=1, overwrite_c=1)
    full = lower + lower.T
    np.einsum("ii->i", full)[:] /= 2
    return np.asarray(full)


def _require_definite(info: int) -> None:
    if info:
        raise NotConvergedError(
            "solid: the stiffness of this bar is not positive definite to working accuracy; "
            "walls or kinks may be too close together, or too little wood left; simplify the "
            "undercut there"
        )
