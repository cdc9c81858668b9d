"""Stiffness and mass of the whole beam, and the energies of a given motion.

A motion is three fields on the nodes: displacement u along the bar of the flat top, deflection w
up, rotation θ; an element sees them as one vector, node by node. Matrices are kept as the upper
band LAPACK uses, since an element only couples with itself.
"""

from __future__ import annotations

import numpy as np

from barmodel.beam.element import Reference
from barmodel.beam.mesh import Mesh
from barmodel.undercut.piece import Array, Values

FIELDS = 3
"""u, w, θ."""


def strain_operator(reference: Reference, half: Values) -> Values:
    """Deformation (u′, θ′, w′ − θ) from nodal values, shape (n, q, 3, 3(p + 1))."""
    value, derivative = reference.value, reference.derivative
    q, nodes = value.shape
    stretch = 1.0 / half[:, None, None]
    operator = np.zeros((half.size, q, 3, nodes, FIELDS), dtype=half.dtype)
    operator[:, :, 0, :, 0] = derivative * stretch
    operator[:, :, 1, :, 2] = derivative * stretch
    operator[:, :, 2, :, 1] = derivative * stretch
    operator[:, :, 2, :, 2] = -value
    return operator.reshape(half.size, q, 3, nodes * FIELDS)


def motion_operator(reference: Reference) -> Array:
    """Motion (u, w, θ) at the points from nodal values, shape (q, 3, 3(p + 1))."""
    q, nodes = reference.value.shape
    operator = np.zeros((q, FIELDS, nodes, FIELDS))
    for field in range(FIELDS):
        operator[:, field, :, field] = reference.value
    return operator.reshape(q, FIELDS, nodes * FIELDS)


def element_matrices(mesh: Mesh, stiffness: Values, mass: Values) -> tuple[Array, Array]:
    """Stiffness and mass of every element, each of shape (n, 3(p + 1), 3(p + 1)).

    Parameters
    ----------
    mesh : Mesh
    stiffness, mass : ndarray, shape (n, q, 3, 3)
        Of the section at the quadrature points (see `section`).
    """
    weight = mesh.half[:, None] * mesh.reference.weights
    strain = strain_operator(mesh.reference, mesh.half)
    motion = motion_operator(mesh.reference)
    return (
        _congruence(strain, weight[..., None, None] * stiffness),
        _congruence(np.broadcast_to(motion, strain.shape), weight[..., None, None] * mass),
    )


def _congruence(operator: Values, core: Values) -> Values:
    """Σ over points of Bᵀ C B for every element."""
    n, q, rows, columns = operator.shape
    left = operator.reshape(n, q * rows, columns)
    right = (core @ operator).reshape(n, q * rows, columns)
    return left.transpose(0, 2, 1) @ right


def assemble_band(elements: Array, order: int) -> Array:
    """Add element matrices up, in LAPACK's upper band form, shape (band + 1, N).

    Entry (i, j), i ≤ j, of the matrix stands at [band + i − j, j].
    """
    count, size, _ = elements.shape
    step, band = order * FIELDS, size - 1
    total = np.zeros((band + 1, count * step + FIELDS))
    row, column = np.triu_indices(size)
    flat = total.reshape(-1)
    place = (band + row - column) * total.shape[1] + column
    for number in range(count):  # neighbours share their common node, so one at a time
        flat[place + number * step] += elements[number, row, column]
    return total


def gather(vectors: Array, mesh: Mesh) -> Array:
    """Nodal values of each element from vectors of all unknowns, (N, k) → (n, 3(p + 1), k)."""
    step = (mesh.reference.nodes.size - 1) * FIELDS
    size = mesh.reference.nodes.size * FIELDS
    index = np.arange(mesh.segment.size)[:, None] * step + np.arange(size)
    return vectors[index]


def energies(mesh: Mesh, stiffness: Values, mass: Values, vectors: Array) -> tuple[Values, Values]:
    """Twice the strain energy and the kinetic energy over ω², per point and mode.

    Parameters
    ----------
    mesh : Mesh
    stiffness, mass : ndarray, shape (n, q, 3, 3)
    vectors : ndarray, shape (N, k)
        Motions.

    Returns
    -------
    strain, kinetic : ndarray, shape (n, q, k)
        Weighted so that their sums are φᵀKφ and φᵀMφ. [J], [kg m²]
    """
    local = gather(vectors, mesh)[:, None]
    weight = (mesh.half[:, None] * mesh.reference.weights)[..., None]
    strain = strain_operator(mesh.reference, mesh.half) @ local
    motion = motion_operator(mesh.reference) @ local
    return (
        weight * (strain * (stiffness @ strain)).sum(axis=2),
        weight * (motion * (mass @ motion)).sum(axis=2),
    )
