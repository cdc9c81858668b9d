"""A second opinion in three dimensions: scikit-fem's 27-node hexahedra on the true underside.

Nothing of the package's solid is used: own mesh, general-purpose elements, general-purpose sparse
eigenvalue solver. Half the width is meshed, with the plane y = 0 held so that bending and axial
modes (or torsional and lateral ones) remain. The thickness is meshed in *layers* t: 0 ≤ t ≤ 1 is
the wood above the floor next to a wall (or all of it, where there is no wall), 1 ≤ t ≤ 2 what
stands below that floor; columns under a pocket lack the second part.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, Protocol, TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import LinearOperator, eigsh, splu
from skfem import Basis, BilinearForm, ElementHex2, ElementVector, MeshHex, MeshHex2
from skfem.helpers import dot, grad

from barmodel.wood import Wood

Array = NDArray[np.float64]
Family: TypeAlias = Literal["bending", "torsion"]
"""Even about the middle of the width (bending, axial) or odd (torsion, lateral)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Where the hexahedra lie.

    Attributes
    ----------
    x, y, t : ndarray
        Edges along the bar, from the middle to the side, and through the layers. [m], [m], [1]
    upper, whole : callable
        Thickness down to t = 1 and to t = 2, as functions of x. [m]
    has_lower : callable
        Whether a column with middle x stands below t = 1.
    """

    x: Array
    y: Array
    t: Array
    upper: Callable[[Array], Array]
    whole: Callable[[Array], Array] | None = None
    has_lower: Callable[[Array], NDArray[np.bool_]] | None = None

    def mesh(self) -> MeshHex2:
        """Hexahedra of second order, their nodes on the true underside."""
        mesh = MeshHex.init_tensor(self.x, self.y, self.t)
        if self.has_lower is not None:
            centre = mesh.p[:, mesh.t].mean(axis=1)
            mesh = mesh.remove_elements(
                np.flatnonzero((centre[2] > 1.0) & ~self.has_lower(centre[0]))
            )
        curved = MeshHex2.from_mesh(mesh)
        x, y, t = curved.doflocs
        upper = self.upper(x)
        depth = np.minimum(t, 1.0) * upper
        if self.whole is not None:
            depth = depth + np.maximum(t - 1.0, 0.0) * (self.whole(x) - upper)
        return MeshHex2(np.vstack([x, y, -depth]), curved.t)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Elastic modes of one family.

    Attributes
    ----------
    hz : ndarray, shape (k,)
        Frequencies. [Hz]
    share : ndarray, shape (k, 3)
        Share of the kinetic energy along x, y and z.
    rigid_hz : float
        Largest frequency of the three rigid motions, which ought to be zero. [Hz]
    unknowns : int
    """

    hz: Array
    share: Array
    rigid_hz: float
    unknowns: int


class Meshed(Protocol):
    """Anything that has a mesh of half the width, from y = 0."""

    def mesh(self) -> MeshHex2:
        """Hexahedra of second order."""


def solve(grid: Meshed, wood: Wood, family: Family, *, count: int) -> Answer:
    """Lowest free-free modes of one family.

    Parameters
    ----------
    grid : Meshed
        Such as a `Grid`.
    wood : Wood
    family : {"bending", "torsion"}
    count : int
        Elastic modes wanted.
    """
    basis = Basis(grid.mesh(), ElementVector(ElementHex2()), intorder=4)
    stiffness, mass = _stiffness(wood).assemble(basis), _mass(wood).assemble(basis)
    plane = basis.get_dofs(lambda x: np.abs(x[1]) < 1e-9)
    held = plane.all(["u^2"]) if family == "bending" else plane.all(["u^1", "u^3"])
    free = np.setdiff1d(np.arange(basis.N), held)
    K, M = (part[free][:, free].tocsc() for part in (stiffness, mass))
    shift = -((2 * np.pi * 30.0) ** 2)
    factor = splu(
        (K - shift * M).tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    inverse = LinearOperator(K.shape, factor.solve, dtype=float)
    values, vectors = eigsh(K, k=count + 3, M=M, sigma=shift, OPinv=inverse, v0=np.ones(free.size))
    order = np.argsort(values)
    hz = np.sqrt(np.abs(values[order])) / (2 * np.pi)
    full = np.zeros((basis.N, count))
    full[free] = vectors[:, order[3:]]
    energy = full * (mass @ full)
    share = np.array([energy[_unknowns(basis, axis)].sum(axis=0) for axis in range(3)]).T
    return Answer(hz=hz[3:], share=share, rigid_hz=float(hz[:3].max()), unknowns=int(free.size))


def _unknowns(basis: Basis, axis: int) -> NDArray[np.intp]:
    name = f"u^{axis + 1}"
    return basis.get_dofs(elements=np.arange(basis.mesh.nelements)).all([name])


def _stiffness(wood: Wood) -> BilinearForm:
    c = wood.stiffness()

    @BilinearForm
    def form(u, v, _):
        du, dv = grad(u), grad(v)
        normal = sum(
            c[i, j] * du[j, j] * dv[i, i] for i in range(3) for j in range(3) if c[i, j] != 0.0
        )
        shear = sum(
            c[k, k] * (du[i, j] + du[j, i]) * (dv[i, j] + dv[j, i])
            for k, i, j in ((3, 1, 2), (4, 0, 2), (5, 0, 1))
        )
        return normal + shear

    return form


def _mass(wood: Wood) -> BilinearForm:
    return BilinearForm(lambda u, v, _: wood.density * dot(u, v))
