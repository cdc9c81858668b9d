"""The mass of the bar, never written out: what it makes of motions, column by column.

In a column the mass is a product X ⊗ T ⊗ Y of one-dimensional ones, and Y, across the width, is
diagonal because Legendre polynomials are orthogonal. To apply the three small matrices one after
the other takes less time than to read the entries of their product, let alone to make them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from barmodel.solid.basis import Across, Array, gauss_rule, lagrange, thickness_moments
from barmodel.solid.column import Column


@dataclass(frozen=True, slots=True, eq=False)
class Mass:
    """Mass of a chain of columns; `mass @ motions` is all that can be done with it.

    Attributes
    ----------
    to_nodes : csr_array, shape (nodal values, size)
        Values at the nodes of all columns, one after the other, from the unknowns.
    from_nodes : csr_array
        Its transpose.
    across : ndarray, shape (nodal values,)
        ∫ Y² dy of each nodal value. [m]
    sections : tuple of (ndarray, ndarray)
        For each column ρ ∫ h X Xᵀ dx [kg/m] and ∫ ψ ψᵀ dt [1].
    lines : int
        Functions across the width, of all components.
    """

    to_nodes: sparse.csr_array
    from_nodes: sparse.csr_array
    across: Array
    sections: tuple[tuple[Array, Array], ...]
    lines: int

    @property
    def shape(self) -> tuple[int, int]:
        """Unknowns, twice."""
        size = int(self.to_nodes.shape[1])
        return size, size

    def __matmul__(self, motions: Array) -> Array:
        """Inertia of motions, shape (size,) or (size, m). [kg]"""
        many = motions.reshape(motions.shape[0], -1)
        values = (self.to_nodes @ many) * self.across[:, None]
        first = 0
        for along, through in self.sections:
            nodes, layers = along.shape[0], through.shape[0]
            rows = slice(first, first + nodes * layers * self.lines)
            part = along @ values[rows].reshape(nodes, -1)
            part = through @ part.reshape(nodes * self.lines, layers, -1)
            values[rows] = part.reshape(-1, many.shape[1])
            first = rows.stop
        return np.asarray(self.from_nodes @ values).reshape(motions.shape)


def mass_of(
    columns: Sequence[Column],
    to_nodes: sparse.csr_array,
    across: Across,
    *,
    width: float,
    density: float,
) -> Mass:
    """Build the mass of a chain of columns.

    Parameters
    ----------
    columns : sequence of Column
    to_nodes : csr_array
        As in `Mass`.
    across : Across
        Functions across the width.
    width : float
        [m]
    density : float
        [kg/m³]
    """
    products = across.products(width)
    squares = np.concatenate([np.diag(products[c, 0, c, 0]) for c in range(3)])
    sections = tuple((_along(c, density), thickness_moments(c.layering)["vv"]) for c in columns)
    weights = [np.tile(np.repeat(squares, c.layering.size), c.order + 1) for c in columns]
    return Mass(to_nodes, to_nodes.T.tocsr(), np.concatenate(weights), sections, squares.size)


def _along(column: Column, density: float) -> Array:
    """ρ ∫ h X Xᵀ dx, shape (order + 1, order + 1). [kg/m]"""
    s, weights = gauss_rule(column.order + 3)
    values, _ = lagrange(column.order, s)
    per_length = density * column.length * weights * (values @ column.thickness)
    return np.asarray(values.T @ (per_length[:, None] * values))
