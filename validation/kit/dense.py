"""Textbook beams from the package's own element matrices, held and assembled in the open.

The package only knows free bars with a flat top. Textbook problems have supports, sections about a
middle plane and widths that vary; none of that belongs in the package. So the element matrices come
from `barmodel.beam`, everything around them is written out here and solved
with a dense `eigh`: slow, and easy to check by eye.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh

from barmodel.beam.assembly import PLAIN, element_matrices
from barmodel.beam.element import reference
from barmodel.beam.mesh import Mesh

Array = NDArray[np.float64]
ALONG, ACROSS, TURN = 0, 1, 2
"""The three unknowns of a node: displacement along, deflection, rotation."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A section symmetric about its middle plane, as functions of the position along the beam.

    Attributes
    ----------
    stretch : callable
        EA. [N]
    bend : callable
        EI. [N m²]
    shear : callable
        κGA. [N]
    mass : callable
        ρA. [kg/m]
    inertia : callable
        ρI. [kg m]
    """

    stretch: Callable[[Array], Array]
    bend: Callable[[Array], Array]
    shear: Callable[[Array], Array]
    mass: Callable[[Array], Array]
    inertia: Callable[[Array], Array]


def solve_section(
    section: Section,
    edges: Sequence[float] | Array,
    *,
    held: Sequence[tuple[int, int]] = (),
    order: int = 4,
    fields: Sequence[int] = (ACROSS, TURN),
) -> Array:
    """Natural frequencies of a beam, rigid motions included as (nearly) zero, ascending. [Hz]

    Parameters
    ----------
    section : Section
    edges : array_like, shape (n + 1,)
        Element edges. [m]
    held : sequence of (node, unknown)
        Unknowns fixed at zero; node 0 is the left end, −1 the right one.
    order : int
        Polynomial order of the elements.
    fields : sequence of int
        Unknowns that take part; the others are held everywhere.
    """
    mesh = Mesh(np.asarray(edges, dtype=float), np.zeros(len(edges) - 1, int), reference(order))
    x = np.asarray(mesh.points, dtype=float)
    bending = {(0, 0): section.stretch, (1, 1): section.bend, (2, 2): section.shear}
    inertia = {(0, 0): section.mass, (1, 1): section.mass, (2, 2): section.inertia}
    stiffness, mass = (
        np.stack([terms[couple](x) if couple in terms else 0.0 * x for couple in couples])
        for terms, couples in ((bending, PLAIN.stiffness), (inertia, PLAIN.mass))
    )
    K, M = (assemble_dense(part, order) for part in element_matrices(mesh, stiffness, mass))
    free = _free_unknowns(K.shape[0], held, fields)
    K, M = K[np.ix_(free, free)], M[np.ix_(free, free)]
    # turned round, M φ = K φ/ω², so that sections without rotary inertia (M singular) are welcome
    shift = float(section.bend(x).mean() / section.mass(x).mean() / (edges[-1] - edges[0]) ** 4)
    inverse = eigh(M, K + shift * M, eigvals_only=True)[::-1]
    inverse = inverse[inverse > 0.0]
    return np.sqrt(np.maximum(1.0 / inverse - shift, 0.0)) / (2 * np.pi)


def assemble_dense(elements: Array, order: int) -> Array:
    """Add element matrices up into one full matrix; neighbours share a node of three unknowns."""
    count, size, _ = elements.shape
    total = np.zeros((count * order * 3 + 3,) * 2)
    for number, element in enumerate(elements):
        first = number * order * 3
        total[first : first + size, first : first + size] += element
    return total


def _free_unknowns(
    size: int, held: Sequence[tuple[int, int]], fields: Sequence[int]
) -> NDArray[np.intp]:
    free = np.zeros((size // 3, 3), dtype=bool)
    free[:, list(fields)] = True
    for node, unknown in held:
        free[node, unknown] = False
    return np.flatnonzero(free.reshape(-1))
