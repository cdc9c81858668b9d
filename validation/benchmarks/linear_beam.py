"""The beam most programs use: two-node Timoshenko elements, linear fields, shear at one point.

The same theory as the package's plain beam (motion of the flat top, so that stretch and bending
couple), written the ordinary way: sparse matrices and shift-invert Lanczos from SciPy.
"""

from __future__ import annotations

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import eigsh

from barmodel.bar import Bar
from validation.kit.dense import Array

FIELDS = 3  # u, w, θ


def solve_linear(bar: Bar, *, elements: int, count: int) -> Array:
    """Lowest bending frequencies. [Hz]

    Parameters
    ----------
    bar : Bar
    elements : int
        Least number of elements; walls and kinks are element edges.
    count : int
    """
    x, middle, lengths = _mesh(bar, elements)
    wood, width = bar.blank.wood, bar.blank.width
    stiffness, mass = _elements(
        middle,
        lengths,
        e=wood.e_long * width,
        g=wood.shear_factor * wood.g_long_thick * width,
        rho=wood.density * width,
    )
    K, M = (_assemble(part, x.size) for part in (stiffness, mass))
    shift = -((2 * np.pi * 5.0) ** 2)
    start = np.ones(K.shape[0])
    values, vectors = eigsh(K, k=count + 5, M=M, sigma=shift, v0=start)
    order = np.argsort(values)[3:]  # three rigid motions
    fields = vectors[:, order].reshape(x.size, FIELDS, -1)
    along = (fields[:, 0] ** 2).sum(axis=0) > (fields[:, 1] ** 2).sum(axis=0)
    return np.asarray(np.sqrt(values[order][~along][:count]) / (2 * np.pi))


def _mesh(bar: Bar, elements: int) -> tuple[Array, Array, Array]:
    """Nodes, thickness in the middle of every element, lengths."""
    profile = bar.profile
    edges, longest = profile.edges, bar.blank.length / elements
    counts = np.ceil(np.diff(edges) / longest - 1e-9).astype(int)
    pieces = [
        np.linspace(a, b, n + 1)[1:] for a, b, n in zip(edges, edges[1:], counts, strict=False)
    ]
    x = np.concatenate([[0.0], *pieces])
    segment = np.repeat(np.arange(counts.size), counts)
    return x, profile.thickness((x[:-1] + x[1:]) / 2, segment), np.diff(x)


def _elements(h: Array, length: Array, *, e: float, g: float, rho: float) -> tuple[Array, Array]:
    """Element matrices, shape (n, 6, 6), the section taken from the middle of each element."""
    n = h.size
    stiffness, mass = np.zeros((n, 6, 6)), np.zeros((n, 6, 6))
    strain = np.zeros((n, 3, 6))  # u′, θ′, w′ − θ at the middle
    strain[:, 0, 0], strain[:, 0, 3] = -1 / length, 1 / length
    strain[:, 1, 2], strain[:, 1, 5] = -1 / length, 1 / length
    strain[:, 2, 1], strain[:, 2, 4] = -1 / length, 1 / length
    strain[:, 2, 2] = strain[:, 2, 5] = -0.5
    section = np.zeros((n, 3, 3))
    section[:, 0, 0], section[:, 1, 1], section[:, 2, 2] = e * h, e * h**3 / 3, g * h
    section[:, 0, 1] = section[:, 1, 0] = e * h**2 / 2
    stiffness = strain.transpose(0, 2, 1) @ (length[:, None, None] * section) @ strain
    inertia = np.zeros((n, 3, 3))
    inertia[:, 0, 0] = inertia[:, 1, 1] = rho * h
    inertia[:, 0, 2] = inertia[:, 2, 0] = rho * h**2 / 2
    inertia[:, 2, 2] = rho * h**3 / 3
    both = np.array([[2.0, 1.0], [1.0, 2.0]]) / 6
    mass = np.einsum("ab,n,nij->naibj", both, length, inertia).reshape(n, 6, 6)
    return stiffness, mass


def _assemble(elements: Array, nodes: int) -> sparse.csc_array:
    first = FIELDS * np.arange(elements.shape[0])[:, None] + np.arange(2 * FIELDS)
    rows = np.repeat(first, 2 * FIELDS, axis=1).ravel()
    columns = np.tile(first, (1, 2 * FIELDS)).ravel()
    size = FIELDS * nodes
    return sparse.coo_array((elements.ravel(), (rows, columns)), shape=(size, size)).tocsc()
