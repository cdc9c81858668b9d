"""The bar as a chain of columns joined at seams: unknowns, stiffness and mass.

Unknowns are numbered from the left end: seam 0, inside of column 0, seam 1, inside of column 1, …
so that each column owns one contiguous stretch of the vector and shares only its two seams. The
stiffness is kept as one dense matrix per column, which is what the elimination in
`barmodel.solid.factor` eats; the mass, only ever applied, as its factors (`barmodel.solid.mass`).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy import sparse

from barmodel.solid.basis import Across, Array, Layering
from barmodel.solid.column import Column, section_integrals, stiffness_matrices
from barmodel.solid.mass import Mass, mass_of
from barmodel.solid.mesh import Mesh
from barmodel.solid.seam import Seam

Field = tuple[Array, Array, Array]
"""u_x, u_y, u_z of one column at its nodes; each (order + 1, layers, functions across, m)."""


@dataclass(frozen=True, slots=True, eq=False)
class System:
    """Stiffness and mass of a chain of columns.

    Attributes
    ----------
    mesh : Mesh
        Columns and seams.
    across : Across
        Functions across the width.
    stiffness : tuple of ndarray
        One dense matrix per column: left seam, inside, right seam. [N/m]
    mass : Mass
        What it makes of motions. [kg]
    starts : tuple of int
        First unknown of each column, then of the last seam.
    """

    mesh: Mesh
    across: Across
    stiffness: tuple[Array, ...]
    mass: Mass
    starts: tuple[int, ...]

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return int(self.mass.shape[0])

    def nodal(self, vectors: Array) -> list[Field]:
        """Displacements in the nodes of every column of fields given by their unknowns.

        Parameters
        ----------
        vectors : ndarray, shape (size, m)
            Unknowns of m fields.
        """
        values = self.mass.to_nodes @ vectors
        out, first = [], 0
        for column in self.mesh.columns:
            layers, parts = column.layering.size, []
            line = layers * sum(self.across.counts)
            local = values[first : first + line * (column.order + 1)]
            local = local.reshape(column.order + 1, line, -1)
            at = 0
            for count in self.across.counts:
                part = local[:, at : at + layers * count]
                part = part.reshape(column.order + 1, count, layers, -1)
                parts.append(part.transpose(0, 2, 1, 3))
                at += layers * count
            out.append((parts[0], parts[1], parts[2]))
            first += line * (column.order + 1)
        return out


def seam_size(seam: Seam, across: Across) -> int:
    """Number of unknowns on a seam."""
    return seam.layering.size * sum(across.counts)


def assemble(
    mesh: Mesh, across: Across, *, width: float, stiffness: Array, density: float
) -> System:
    """Build stiffness and mass of a whole mesh.

    Parameters
    ----------
    mesh : Mesh
        Columns and seams.
    across : Across
        Functions across the width.
    width : float
        Width of the bar. [m]
    stiffness : ndarray, shape (6, 6)
        Elastic stiffness, order xx, yy, zz, yz, xz, xy. [Pa]
    density : float
        Mass density. [kg/m³]
    """
    lines = sum(across.counts)
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    nodes, starts = [0], [0]
    for k, column in enumerate(mesh.columns):
        groups[column.order, column.layering].append(k)
        inner = (column.order - 1) * column.layering.size * lines
        nodes.append(nodes[-1] + inner + 2 * column.layering.size * lines)
        starts.append(starts[-1] + seam_size(mesh.seams[k], across) + inner)
    size = starts[-1] + seam_size(mesh.seams[-1], across)
    to_nodes = _to_nodes(mesh, across, nodes, starts, size)
    mass = mass_of(mesh.columns, to_nodes, across, width=width, density=density)
    stiff: list[Array] = [np.empty(0)] * len(mesh.columns)
    for members in groups.values():
        columns = [mesh.columns[k] for k in members]
        K_all = stiffness_matrices(columns, section_integrals(columns), across, width, stiffness)
        for k, K in zip(members, K_all, strict=True):
            stiff[k] = _on_seams(mesh, across, k, K)
    return System(mesh, across, tuple(stiff), mass, tuple(starts))


def _matches(seam: Seam, column: Column, side: int) -> bool:
    """Whether a column's face has the seam's own functions."""
    return seam.layering == column.layering and seam.height == column.thickness[-side]


def _read(seam: Seam, column: Column, side: int) -> Array:
    """Values at a column's face from the unknowns of the seam it meets, shape (layers, layers).

    The same for every function across the width.
    """
    share = float(column.thickness[-side]) / seam.height
    return _face_values(seam.layering, column.layering, share)


@lru_cache(maxsize=512)
def _face_values(seam: Layering, column: Layering, share: float) -> Array:
    """Seam functions at the nodes of a column covering a share of its height."""
    values = seam.values(np.minimum(column.nodes * share, 1.0))
    values.setflags(write=False)
    return values


def _to_nodes(
    mesh: Mesh, across: Across, nodes: Sequence[int], starts: Sequence[int], size: int
) -> sparse.csr_array:
    """Sparse map from the unknowns to the values at the nodes of all columns."""
    rows, cols, values = [], [], []

    def identity(row: int, col: int, count: int) -> None:
        rows.append(np.arange(row, row + count))
        cols.append(np.arange(col, col + count))
        values.append(np.ones(count))

    for k, column in enumerate(mesh.columns):
        line = column.layering.size * sum(across.counts)
        inner = starts[k] + seam_size(mesh.seams[k], across)
        identity(nodes[k] + line, inner, (column.order - 1) * line)
        for side, row, col in ((0, nodes[k], starts[k]), (1, nodes[k + 1] - line, starts[k + 1])):
            seam = mesh.seams[k + side]
            if _matches(seam, column, side):
                identity(row, col, line)
            else:
                read = _read(seam, column, side)
                i, j = np.nonzero(read)
                lines = np.arange(sum(across.counts))[:, None]
                rows.append((row + lines * read.shape[0] + i).ravel())
                cols.append((col + lines * read.shape[1] + j).ravel())
                values.append(np.tile(read[i, j], lines.size))
    where = (np.concatenate(rows), np.concatenate(cols))
    return sparse.csr_array((np.concatenate(values), where), shape=(nodes[-1], size))


def _on_seams(mesh: Mesh, across: Across, k: int, matrix: Array) -> Array:
    """Replace the face unknowns of column k by those of the seams it meets."""
    column = mesh.columns[k]
    line = column.layering.size * sum(across.counts)
    for side in (0, 1):
        seam = mesh.seams[k + side]
        if _matches(seam, column, side):
            continue
        read = _read(seam, column, side)
        n, m = matrix.shape[0], read.shape[1] * sum(across.counts)
        face = slice(0, line) if side == 0 else slice(n - line, n)
        rest = slice(line, n) if side == 0 else slice(0, n - line)
        new_face = slice(0, m) if side == 0 else slice(n - line, n - line + m)
        new_rest = slice(m, n - line + m) if side == 0 else rest
        out = np.empty((n - line + m, n - line + m))
        coupling = _carried(read, matrix[face, rest])
        out[new_face, new_face] = _carried(read, _carried(read, matrix[face, face]).T)
        out[new_face, new_rest] = coupling
        out[new_rest, new_face] = coupling.T
        out[new_rest, new_rest] = matrix[rest, rest]
        matrix = out
    return matrix


def _carried(read: Array, forces: Array) -> Array:
    """Forces on a column's face, carried to the seam function across by function across."""
    many = forces.reshape(-1, read.shape[0], forces.shape[1])
    return np.asarray((read.T @ many).reshape(-1, forces.shape[1]))
