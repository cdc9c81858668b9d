"""Elimination of the chain of columns, one small dense matrix at a time.

Elimination is *frontal* (Irons 1970): a column's dense stiffness is completed by what the columns
before it left on their common seam, its unknowns are eliminated by Cholesky, and the Schur
complement of its right seam goes on. For n columns that is n dense factorisations in LAPACK.
Kept are the Cholesky factor L of each column's completed stiffness and L⁻¹B, with B the coupling
to the right seam. The inverse would make a solution a quarter faster; the search takes some ten
solutions, and to make the inverses costs more than all of them.

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

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import blas, lapack

from barmodel.errors import NotConvergedError
from barmodel.solid.basis import Array
from barmodel.solid.system import System


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Stiffness in factors, column by column.

    Attributes
    ----------
    pivots : tuple of ndarray
        L of each column's own unknowns, left seam and inside; lower triangles. [(N/m)^½]
    couplings : tuple of ndarray
        L⁻¹B, shape (own, right seam). [(N/m)^½]
    starts : tuple of int
        First unknown of each column, then of the last seam.
    last : ndarray
        Schur complement left on the last seam. [N/m]
    """

    pivots: tuple[Array, ...]
    couplings: tuple[Array, ...]
    starts: tuple[int, ...]
    last: Array

    def held(self, kept: NDArray[np.bool_], rigid: Array) -> End:
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
        return End(index, pivot)

    def solve(self, problems: Sequence[tuple[End, Array]]) -> list[Array]:
        """Displacements under loads in balance, up to a rigid motion.

        Parameters
        ----------
        problems : sequence of (End, ndarray of shape (size, m))
            How the last seam is held, and loads. [N]

        Returns
        -------
        list of ndarray, shape (size, m) each
            [m]
        """
        x = np.hstack([loads for _, loads in problems])
        chain = list(zip(self.pivots, self.couplings, self.starts, strict=False))
        for pivot, coupling, first in chain:
            inner, outer = first + coupling.shape[0], first + sum(coupling.shape)
            x[first:inner], _ = lapack.dtrtrs(pivot, x[first:inner], lower=1)
            x[inner:outer] -= coupling.T @ x[first:inner]
        bounds = np.cumsum([loads.shape[1] for _, loads in problems])
        out = np.split(x, bounds[:-1], axis=1)
        for (end, _), part in zip(problems, out, strict=True):
            end.settle(part[self.starts[-1] :])
        for pivot, coupling, first in reversed(chain):
            inner, outer = first + coupling.shape[0], first + sum(coupling.shape)
            rest = x[first:inner] - coupling @ x[inner:outer]
            x[first:inner], _ = lapack.dtrtrs(pivot, rest, lower=1, trans=1)
        return out


@dataclass(frozen=True, slots=True, eq=False)
class End:
    """How the last seam is held.

    Attributes
    ----------
    kept : ndarray of int
        Unknowns of the seam that may move.
    pivot : ndarray
        Cholesky factor of what is left on them. [(N/m)^½]
    """

    kept: NDArray[np.intp]
    pivot: Array

    def settle(self, loads: Array) -> None:
        """Turn loads on the seam into its displacements, in place."""
        solved, _ = lapack.dpotrs(self.pivot, loads[self.kept], lower=1)
        loads[:] = 0.0
        loads[self.kept] = solved


def factorise(system: System) -> Factor:
    """Eliminate all columns of the stiffness from left to right, up to the last seam."""
    pivots, couplings = [], []
    carried = np.zeros((0, 0))
    for k, matrix in enumerate(system.stiffness):
        n, own = carried.shape[0], system.starts[k + 1] - system.starts[k]
        front = np.array(matrix[:own, :own], order="C").T  # symmetric: LAPACK's order, no turning
        front[:n, :n] += carried
        pivot, info = lapack.dpotrf(front, lower=1, clean=0, overwrite_a=1)
        _require_definite(info)
        coupling = blas.dtrsm(1.0, pivot, matrix[own:, :own].T, lower=1)
        carried = matrix[own:, own:] - coupling.T @ coupling
        pivots.append(pivot)
        couplings.append(coupling)
    return Factor(tuple(pivots), tuple(couplings), system.starts, carried)


def _require_definite(info: int) -> None:
    if info:
        raise NotConvergedError(
            "solid: the stiffness of this bar is not positive definite to working accuracy; "
            "walls or kinks may be too close together, or too little wood left; simplify the "
            "undercut there"
        )
