"""Free-free bending modes of a bar by Timoshenko beam finite elements.

References
----------
S. P. Timoshenko, Phil. Mag. 41 (1921) 744; T. C. Huang, J. Appl. Mech. 28 (1961) 579
(both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.beam.assembly import FIELDS, assemble_band, element_matrices
from barmodel.beam.eigen import EigenPairs, lowest_elastic
from barmodel.beam.mesh import ELEMENTS, Mesh, build_mesh
from barmodel.beam.section import Constants, mass, plain_stiffness
from barmodel.errors import InputError
from barmodel.undercut.piece import Array, Values

SPARE = 2
"""Modes solved beyond those asked for, since axial modes stand among them."""


@dataclass(frozen=True, slots=True, eq=False)
class BeamModes:
    """Bending modes of one bar, lowest first.

    Attributes
    ----------
    hz : ndarray, shape (k,)
        Frequencies. [Hz]
    x : ndarray, shape (N,)
        Node positions. [m]
    deflection, rotation, axial : ndarray, shape (k, N)
        w, θ and displacement u of the flat top, normalised to unit modal mass. [m], [1], [m]
    axial_hz : ndarray
        Longitudinal modes met on the way. [Hz]
    residual : ndarray, shape (k,)
        ‖Kφ − ω²Mφ‖ / ‖Kφ‖. [1]
    orthonormality : float
        Largest deviation of φᵀMφ from the unit matrix.
    bar : Bar
    mesh : Mesh
    vectors : ndarray, shape (3 N, k)
        The same modes as the solver's unknowns; for derivatives.
    elements : int
        Least number of elements the mesh was asked for.
    """

    hz: Array
    x: Array
    deflection: Array
    rotation: Array
    axial: Array
    axial_hz: Array
    residual: Array
    orthonormality: float
    bar: Bar
    mesh: Mesh
    vectors: Array
    elements: int


def solve_beam(bar: Bar, *, count: int = 4, elements: int = ELEMENTS) -> BeamModes:
    """Compute the lowest free-free bending modes of a bar.

    Parameters
    ----------
    bar : Bar
    count : int
        Number of bending modes.
    elements : int
        Least number of elements along the bar.

    Raises
    ------
    InputError
        If `count` is not at least 1 or the undercut goes through the bar.
    NotConvergedError
        If the eigenvalue iteration does not settle.

    Notes
    -----
    Plane sections, so sharp by 20–80 cents on deep arches and more on pockets: for numbers to
    cut by use `barmodel.modes`.

    Examples
    --------
    A uniform bar that hardly shears has the ratio 2.7565 (Blevins 1979, Table 8-1).

    >>> from barmodel.bar import Bar, Blank
    >>> from barmodel.wood import Wood
    >>> metal = Wood.from_isotropic(e=70e9, nu=0.3, density=2700.0)
    >>> bar = Bar(blank=Blank(length=1.0, width=0.02, thickness=0.002, wood=metal))
    >>> hz = solve_beam(bar).hz
    >>> round(float(hz[1] / hz[0]), 4)
    2.7565
    """
    if count < 1:
        raise InputError(f"count is {count}; ask for at least one mode")
    profile = bar.profile
    if profile.least_thickness()[0] <= 0.0:
        bar.checked()
    mesh = build_mesh(profile, elements=elements)
    constants = Constants.of(bar)
    h = mesh.thickness(profile)
    stiffness, inertia = plain_stiffness(h, constants), mass(h, constants)
    pairs = _solve(bar, mesh, stiffness, inertia, count + SPARE)
    is_axial = axial_share(mesh, h, pairs.vectors) > 0.5
    bending = np.flatnonzero(~is_axial)[:count]
    fields = pairs.vectors[:, bending].T.reshape(bending.size, -1, FIELDS)
    return BeamModes(
        hz=np.sqrt(pairs.values[bending]) / (2 * np.pi),
        x=mesh.nodes,
        deflection=fields[:, :, 1],
        rotation=fields[:, :, 2],
        axial=fields[:, :, 0],
        axial_hz=np.sqrt(pairs.values[is_axial]) / (2 * np.pi),
        residual=pairs.residual[bending],
        orthonormality=pairs.orthonormality,
        bar=bar,
        mesh=mesh,
        vectors=pairs.vectors[:, bending],
        elements=elements,
    )


def _solve(bar: Bar, mesh: Mesh, stiffness: Values, inertia: Values, count: int) -> EigenPairs:
    order = mesh.reference.nodes.size - 1
    k_elements, m_elements = element_matrices(mesh, stiffness, inertia)
    return lowest_elastic(
        assemble_band(k_elements, order),
        assemble_band(m_elements, order),
        rigid_motions(mesh.nodes),
        count=count,
        scale=_first_mode_scale(bar),
    )


def rigid_motions(x: Array) -> Array:
    """Shift along, shift up and rotation, as unknowns of the solver, shape (3 N, 3)."""
    motions = np.zeros((x.size, FIELDS, 3))
    motions[:, 0, 0] = 1.0
    motions[:, 1, 1] = 1.0
    motions[:, 1, 2] = x - x.mean()
    motions[:, 2, 2] = 1.0
    return motions.reshape(-1, 3)


def _first_mode_scale(bar: Bar) -> float:
    """ω² of the uncut blank's first mode without shear: 4.730⁴ E h²/(12 ρ L⁴). [1/s²]"""
    blank = bar.blank
    speed = blank.wood.e_long / blank.wood.density
    return float(4.730**4 * speed * blank.thickness**2 / (12 * blank.length**4))


def axial_share(mesh: Mesh, h: Array, vectors: Array) -> Array:
    """Share of the centroids' motion that is along the bar, per mode, shape (k,). [1]"""
    n, _points = h.shape
    nodes = mesh.reference.nodes.size
    step = (nodes - 1) * FIELDS
    index = np.arange(n)[:, None] * step + np.arange(nodes * FIELDS)
    local = vectors[index].reshape(n, nodes, FIELDS, -1)
    at = np.einsum("qa,eafk->eqfk", mesh.reference.value, local)
    along = at[:, :, 0] + (h / 2)[..., None] * at[:, :, 2]
    weight = (mesh.half[:, None] * mesh.reference.weights * h)[..., None]
    axial = (weight * along**2).sum(axis=(0, 1))
    return np.asarray(axial / (axial + (weight * at[:, :, 1] ** 2).sum(axis=(0, 1))))
