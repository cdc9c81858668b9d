"""The reference element: Lagrange polynomials on Gauss–Lobatto nodes, Gauss quadrature.

References
----------
P. Solin, K. Segeth and I. Dolezel, "Higher-Order Finite Element Methods", CRC Press 2003,
ch. 1 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from barmodel.undercut.piece import Array


@dataclass(frozen=True, slots=True, eq=False)
class Reference:
    """Basis of one order on [−1, 1], tabulated at the quadrature points.

    Attributes
    ----------
    nodes : ndarray, shape (p + 1,)
        Gauss–Lobatto nodes. [1]
    points, weights : ndarray, shape (q,)
        Gauss rule. [1]
    value, derivative : ndarray, shape (q, p + 1)
        Basis functions and their derivatives at the points. [1]
    difference : ndarray, shape (q, q)
        Derivative at the points of the polynomial given by its values at the points. [1]
    """

    nodes: Array
    points: Array
    weights: Array
    value: Array
    derivative: Array
    difference: Array


def lobatto_nodes(order: int) -> Array:
    """Ends of [−1, 1] and the roots of P′ₚ between them, shape (order + 1,). [1]

    Examples
    --------
    >>> [round(x, 6) for x in lobatto_nodes(4).tolist()]  # ±√(3/7), 0
    [-1.0, -0.654654, 0.0, 0.654654, 1.0]
    """
    legendre = np.polynomial.legendre.Legendre.basis(order)
    inner = np.sort(np.asarray(legendre.deriv().roots()).real)
    inner = (inner - inner[::-1]) / 2
    return np.concatenate([[-1.0], inner, [1.0]])


def lagrange(nodes: Array, points: Array) -> tuple[Array, Array]:
    """Values and derivatives of the Lagrange basis of `nodes` at `points`, shape (q, p + 1)."""
    order = nodes.size - 1
    vandermonde = np.polynomial.legendre.legvander(nodes, order)
    value = np.linalg.solve(vandermonde.T, np.polynomial.legendre.legvander(points, order).T).T
    slopes = np.stack(
        [np.polynomial.legendre.Legendre.basis(k).deriv()(points) for k in range(order + 1)],
        axis=1,
    )
    derivative = np.linalg.solve(vandermonde.T, slopes.T).T
    return np.asarray(value, dtype=float), np.asarray(derivative, dtype=float)


@lru_cache(maxsize=8)
def reference(order: int) -> Reference:
    """Tabulate the element of the given order with a rule exact for h³ of a quadratic h."""
    nodes = lobatto_nodes(order)
    points, weights = np.polynomial.legendre.leggauss(order + 3)
    value, derivative = lagrange(nodes, points)
    _one, difference = lagrange(points, points)
    arrays = (nodes, points, weights, value, derivative, difference)
    for array in arrays:
        array.flags.writeable = False
    return Reference(*arrays)
