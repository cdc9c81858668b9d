"""Stiffness and mass of the whole beam, and the energies of a given motion.

A motion is three or four fields on the nodes: displacement u along the bar of the flat top,
deflection w up, rotation θ and, where the section may curl, φ. An element sees them as one
vector, node by node.

The matrix of an element is linear in the coefficients of its energy at the quadrature points, so
all elements come out of one product with a table made once. Matrices of the bar are kept as the
upper band LAPACK uses, since an element only couples with itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from barmodel.beam.aware import AWARE_COUPLES, AWARE_MASS_COUPLES
from barmodel.beam.element import Reference
from barmodel.beam.mesh import Mesh
from barmodel.beam.section import PLAIN_COUPLES, PLAIN_MASS_COUPLES, Couples
from barmodel.undercut.piece import Array, Values

ALONG, UP, TURN, CURL = range(4)
"""u, w, θ, φ."""

_VALUE, _SLOPE = 0, 1

_STRAINS = (
    ((ALONG, _SLOPE, 1.0),),
    ((TURN, _SLOPE, 1.0),),
    ((UP, _SLOPE, 1.0), (TURN, _VALUE, -1.0)),
    ((CURL, _VALUE, 1.0),),
    ((CURL, _SLOPE, 1.0),),
)
"""u′, θ′, w′ − θ, φ, φ′ as sums of (field, value or slope, factor)."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Which fields a node has and which strains and motions share an energy.

    Attributes
    ----------
    fields : int
        Fields per node.
    strains : int
        How many of u′, θ′, w′ − θ, φ, φ′.
    stiffness, mass : tuple of (int, int)
        Couples of strains, and of motions, in the order of the coefficients.
    """

    fields: int
    strains: int
    stiffness: Couples
    mass: Couples


PLAIN = Layout(3, 3, PLAIN_COUPLES, PLAIN_MASS_COUPLES)
AWARE = Layout(4, 5, AWARE_COUPLES, AWARE_MASS_COUPLES)


def strain_operators(layout: Layout, reference: Reference) -> tuple[Array, Array]:
    """Strains at the points from nodal values: the part over half length, and the rest.

    Each of shape (q, strains, fields (p + 1)).
    """
    q, nodes = reference.value.shape
    parts = np.zeros((2, q, layout.strains, nodes, layout.fields))
    basis = (reference.value, reference.derivative)
    for row, terms in enumerate(_STRAINS[: layout.strains]):
        for field, kind, factor in terms:
            parts[kind, :, row, :, field] = factor * basis[kind]
    flat = parts.reshape(2, q, layout.strains, nodes * layout.fields)
    return flat[_SLOPE], flat[_VALUE]


def motion_operator(layout: Layout, reference: Reference) -> Array:
    """Motion at the points from nodal values, shape (q, fields, fields (p + 1))."""
    q, nodes = reference.value.shape
    operator = np.zeros((q, layout.fields, nodes, layout.fields))
    for field in range(layout.fields):
        operator[:, field, :, field] = reference.value
    return operator.reshape(q, layout.fields, nodes * layout.fields)


@dataclass(frozen=True, slots=True, eq=False)
class _Tables:
    """Constant tables of one layout: see `element_matrices`."""

    stiffness: Array  # (terms q, T)
    term: tuple[tuple[int, int], ...]  # (couple, power of the half length)
    mass: Array  # (couples q, T)
    unpack: np.ndarray  # full matrix from its upper triangle


@lru_cache(maxsize=8)
def _tables(layout: Layout, reference: Reference) -> _Tables:
    slopes, values = strain_operators(layout, reference)
    motion = motion_operator(layout, reference)
    size = motion.shape[-1]
    upper = np.triu_indices(size)
    unpack = np.zeros((size, size), dtype=int)
    unpack[upper] = unpack[upper[1], upper[0]] = np.arange(upper[0].size)

    def product(left: Array, right: Array, weight: float) -> Array:
        outer = np.einsum("qa,qb,q->qab", left, right, reference.weights)
        both = outer + outer.transpose(0, 2, 1)
        return np.asarray(both[:, upper[0], upper[1]] * weight)

    blocks, terms = [], []
    for number, (r, s) in enumerate(layout.stiffness):
        half = 0.5 if r == s else 1.0
        mixed = product(slopes[:, r], values[:, s], half) + product(
            values[:, r], slopes[:, s], half
        )
        for power, block in (
            (-1, product(slopes[:, r], slopes[:, s], half)),
            (0, mixed),
            (1, product(values[:, r], values[:, s], half)),
        ):
            if block.any():
                blocks.append(block)
                terms.append((number, power))
    mass = [product(motion[:, r], motion[:, s], 0.5 if r == s else 1.0) for r, s in layout.mass]
    return _Tables(np.concatenate(blocks), tuple(terms), np.concatenate(mass), unpack.reshape(-1))


def element_matrices(
    mesh: Mesh, stiffness: Values, mass: Values, layout: Layout = PLAIN
) -> tuple[Array, Array]:
    """Stiffness and mass of every element, each of shape (n, fields (p + 1), fields (p + 1)).

    Parameters
    ----------
    mesh : Mesh
    stiffness, mass : ndarray, shape (couples, n, q)
        Coefficients of the section at the quadrature points, by the layout's couples.
    layout : Layout
    """
    tables = _tables(layout, mesh.reference)
    half, n = mesh.half, mesh.half.size
    power = {-1: 1.0 / half, 0: np.ones(n), 1: half}
    weighted = np.stack([stiffness[c] * power[p][:, None] for c, p in tables.term], axis=1)
    size = mesh.reference.nodes.size * layout.fields
    mass = (mass * half[:, None]).transpose(1, 0, 2)
    k = weighted.reshape(n, -1) @ tables.stiffness
    m = mass.reshape(n, -1) @ tables.mass
    return (
        k[:, tables.unpack].reshape(n, size, size),
        m[:, tables.unpack].reshape(n, size, size),
    )


@lru_cache(maxsize=64)
def _band_places(count: int, size: int, step: int) -> tuple[np.ndarray, np.ndarray]:
    """Where an element's upper triangle stands in it, and in the band of the whole beam."""
    row, column = np.triu_indices(size)
    first = np.arange(count)[:, None] * step
    place = (first + column) * size + (size - 1 + row - column)
    return row * size + column, place.reshape(-1)


def assemble_band(elements: Array, step: int) -> Array:
    """Add element matrices up, in LAPACK's upper band form, shape (band + 1, N).

    Entry (i, j), i ≤ j, of the matrix stands at [band + i − j, j]; neighbouring elements start
    `step` unknowns apart.
    """
    count, size, _ = elements.shape
    inside, place = _band_places(count, size, step)
    total = (count - 1) * step + size
    values = elements.reshape(count, -1)[:, inside].reshape(-1)
    band = np.bincount(place, weights=values, minlength=total * size)
    return np.asarray(band, dtype=float).reshape(total, size).T


def gather(vectors: Array, mesh: Mesh, fields: int) -> Array:
    """Nodal values of each element from vectors of all unknowns, shape (n, fields (p + 1), k)."""
    nodes = mesh.reference.nodes.size
    index = np.arange(mesh.half.size)[:, None] * (nodes - 1) * fields + np.arange(nodes * fields)
    return np.asarray(vectors[index])


def energies(
    mesh: Mesh, stiffness: Values, mass: Values, vectors: Array, layout: Layout
) -> tuple[Values, Values]:
    """Twice the strain energy and the kinetic energy over ω², per point and mode.

    Parameters
    ----------
    mesh : Mesh
    stiffness, mass : ndarray, shape (couples, n, q)
    vectors : ndarray, shape (N, k)
        Motions.
    layout : Layout

    Returns
    -------
    strain, kinetic : ndarray, shape (n, q, k)
        Weighted so that their sums are φᵀKφ and φᵀMφ. [J], [kg m²]
    """
    local = gather(vectors, mesh, layout.fields)[:, None]
    weight = (mesh.half[:, None] * mesh.reference.weights)[..., None]
    slopes, values = strain_operators(layout, mesh.reference)
    strain = (slopes @ local) / mesh.half[:, None, None, None] + values @ local
    motion = motion_operator(layout, mesh.reference) @ local
    return (
        weight * _quadratic(strain, stiffness, layout.stiffness),
        weight * _quadratic(motion, mass, layout.mass),
    )


def _quadratic(parts: Values, coefficients: Values, couples: Couples) -> Values:
    """Σ coefficient · part r · part s, couples of unlike parts counted twice, shape (n, q, k)."""
    total = np.zeros((*parts.shape[:2], parts.shape[3]), dtype=np.result_type(parts, coefficients))
    for coefficient, (r, s) in zip(coefficients, couples, strict=True):
        twice = 1.0 if r == s else 2.0
        total = total + twice * coefficient[..., None] * parts[:, :, r] * parts[:, :, s]
    return total
