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
from barmodel.beam.assembly import ALONG, TURN, UP, assemble_band, element_matrices, gather
from barmodel.beam.eigen import EigenPairs, lowest_elastic
from barmodel.beam.mesh import ELEMENTS, Mesh, build_mesh
from barmodel.beam.section import Constants
from barmodel.beam.spread import Spread
from barmodel.beam.theory import Coefficients, Section, coefficients, spread_of
from barmodel.errors import InputError
from barmodel.undercut.piece import Array

SPARE = 1
"""Modes solved beyond those asked for, since an axial mode may stand among them."""
_RICH = 9  # degree of the polynomials the solver starts from


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
    section : {"aware", "plain"}
        Theory of the section.
    mesh : Mesh
    spread : Spread
        Thickness that carries stress.
    vectors : ndarray, shape (fields N, k)
        The same modes as the solver's unknowns; for derivatives.
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
    section: Section
    mesh: Mesh
    spread: Spread
    vectors: Array


def solve_beam(
    bar: Bar, *, section: Section = "aware", count: int = 4, elements: int = ELEMENTS
) -> BeamModes:
    """Compute the lowest free-free bending modes of a bar.

    Parameters
    ----------
    bar : Bar
    section : {"aware", "plain"}
        "plain" is Timoshenko's beam; "aware" adds what its section learns from its neighbours
        (`aware`, `spread`).
    count : int
        Number of bending modes.
    elements : int
        Least number of elements along the bar.

    Raises
    ------
    InputError
        If `count` is not at least 1, or `section` is unknown.
    GeometryError
        If the undercut goes through the bar.
    NotConvergedError
        If the eigenvalue iteration does not settle.

    Notes
    -----
    Measured against the solid on eight undercuts each of 430 and 300 mm bars, wood and aluminium
    (E/G 2.7 to 10): the aware section is within 11 cents in modes 1–3 on arches, walled pockets
    and dished hollows, mostly within 5. It stays up to 33 cents sharp where a drum's round meets
    the underside steeply, and up to 48 cents off on bars of 190 mm: there the solid must speak.
    The plain section is up to 195 cents sharp on the long bars, 260 on the short ones.

    Examples
    --------
    A uniform bar that hardly shears has the ratio 2.7565 (Blevins 1979, Table 8-1).

    >>> from barmodel.bar import Bar, Blank
    >>> from barmodel.wood import Wood
    >>> metal = Wood.from_isotropic(e=70e9, nu=0.3, density=2700.0)
    >>> bar = Bar(blank=Blank(length=1.0, width=0.02, thickness=0.002, wood=metal))
    >>> hz = solve_beam(bar, section="plain").hz
    >>> round(float(hz[1] / hz[0]), 4)
    2.7565
    """
    if count < 1:
        raise InputError(f"count is {count}; ask for at least one mode")
    if section not in ("aware", "plain"):
        raise InputError(f"section {section!r} is unknown; use aware or plain")
    profile = bar.profile
    constants = Constants.of(bar)
    spread = spread_of(section, profile, constants)
    mesh = build_mesh(spread, elements=elements)
    h = mesh.thickness(profile)
    if h.min() <= 0.0:
        bar.checked()
    parts = coefficients(section, mesh, spread, h, constants)
    pairs = _solve(bar, mesh, parts, count + SPARE)
    is_axial = axial_share(mesh, h, pairs.vectors, parts.layout.fields) > 0.5
    if is_axial.sum() > SPARE:  # as many axial modes as there can be among so few
        pairs = _solve(bar, mesh, parts, 2 * count + SPARE)
        is_axial = axial_share(mesh, h, pairs.vectors, parts.layout.fields) > 0.5
    bending = np.flatnonzero(~is_axial)[:count]
    fields = pairs.vectors[:, bending].T.reshape(bending.size, -1, parts.layout.fields)
    return BeamModes(
        hz=np.sqrt(pairs.values[bending]) / (2 * np.pi),
        x=mesh.nodes,
        deflection=fields[:, :, UP],
        rotation=fields[:, :, TURN],
        axial=fields[:, :, ALONG],
        axial_hz=np.sqrt(pairs.values[is_axial]) / (2 * np.pi),
        residual=pairs.residual[bending],
        orthonormality=pairs.orthonormality,
        bar=bar,
        section=section,
        mesh=mesh,
        spread=spread,
        vectors=pairs.vectors[:, bending],
    )


def _solve(bar: Bar, mesh: Mesh, parts: Coefficients, count: int) -> EigenPairs:
    layout = parts.layout
    step = (mesh.reference.nodes.size - 1) * layout.fields
    stiffness, mass = element_matrices(mesh, parts.stiffness, parts.mass, layout)
    return lowest_elastic(
        assemble_band(stiffness, step),
        assemble_band(mass, step),
        rigid_motions(mesh.nodes, layout.fields),
        rich_motion(mesh.nodes, layout.fields),
        count=count,
        scale=_first_mode_scale(bar),
    )


def rigid_motions(x: Array, fields: int) -> Array:
    """Shift along, shift up and rotation, as unknowns of the solver, shape (fields N, 3)."""
    motions = np.zeros((x.size, fields, 3))
    motions[:, ALONG, 0] = 1.0
    motions[:, UP, 1] = 1.0
    motions[:, UP, 2] = x - x.mean()
    motions[:, TURN, 2] = 1.0
    return motions.reshape(-1, 3)


def rich_motion(x: Array, fields: int) -> Array:
    """A sum of Legendre polynomials along the bar, a share of every low mode, shape (fields N,).

    Both parities are in it, up and along: the modes of a symmetric bar never come out of a
    start of the other parity.
    """
    polynomials = np.polynomial.legendre.legvander(2 * x / x[-1] - 1, _RICH)
    motion = np.zeros((x.size, fields))
    motion[:, UP] = polynomials[:, 2:].sum(axis=1)
    motion[:, ALONG] = 0.2 * polynomials[:, 1:4].sum(axis=1)
    motion[:, TURN] = np.gradient(motion[:, UP], x)
    return motion.reshape(-1)


def _first_mode_scale(bar: Bar) -> float:
    """ω² of the uncut blank's first mode without shear: 4.730⁴ E h²/(12 ρ L⁴). [1/s²]"""
    blank = bar.blank
    speed = blank.wood.e_long / blank.wood.density
    return float(4.730**4 * speed * blank.thickness**2 / (12 * blank.length**4))


def axial_share(mesh: Mesh, h: Array, vectors: Array, fields: int) -> Array:
    """Share of the centroids' motion that is along the bar, per mode, shape (k,). [1]"""
    local = gather(vectors, mesh, fields)
    local = local.reshape(h.shape[0], -1, fields, vectors.shape[1])
    value = mesh.reference.value
    along, up, turn = (np.tensordot(local[:, :, f], value, (1, 1)) for f in (ALONG, UP, TURN))
    weight = (mesh.half[:, None] * mesh.reference.weights * h)[:, None]
    axial = (weight * (along + (h / 2)[:, None] * turn) ** 2).sum(axis=(0, 2))
    return np.asarray(axial / (axial + (weight * up**2).sum(axis=(0, 2))))
