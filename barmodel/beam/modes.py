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
from barmodel.beam.assembly import (
    ALONG,
    AWARE,
    CURL,
    TURN,
    UP,
    assemble_band,
    element_matrices,
    gather,
)
from barmodel.beam.eigen import EigenPairs, lowest_elastic
from barmodel.beam.mesh import ELEMENTS, Mesh, build_mesh
from barmodel.beam.section import Constants
from barmodel.beam.spread import Spread
from barmodel.beam.theory import Coefficients, Section, coefficients, spread_of
from barmodel.errors import InputError, NotConvergedError
from barmodel.undercut.piece import Array

SPARE = 1
"""Modes solved beyond those asked for, since an axial mode may stand among them."""
NEARLY_THROUGH = 0.1
"""Thinner than this share of the thickest place at the mesh's points, a bar may be cut through."""
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
    deflection, axial : ndarray, shape (k, N)
        w, and displacement u of the flat top, normalised to unit modal mass. [m]
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
        If the eigenvalue iteration does not settle, or too few bending modes stand out.

    Notes
    -----
    The aware section, measured against the solid on 60 bars of 430, 300 and 190 mm, of wood
    (E/G 9 and 15) and aluminium; cents in modes 1, 2, 3, root mean square (worst):

    - 430 and 300 mm, arches, a roof, one unsymmetric: 2.4, 3.0, 3.8 (9); plain 28, 36, 31;
    - pockets with walls, E/G up to 9: 0.6, 1.7, 1.5 (3); E/G = 15: flat by up to 2, 7, 17;
      plain 38, 102, 118 over both;
    - rounded pockets and dished hollows: 3.3, 4.8, 6.2 (13); plain 100, 105, 107;
    - 190 mm bars of all shapes: 5, 7, 14 (28); plain 81, 105, 108.

    Of a smooth arch in aluminium (430 mm) the plain section is nearer, 3 cents for 5.

    Shifts by flat grooves of 0.5 to 2 mm are off by 3 % of the largest shift (median; worst 13 %),
    by round or dished ones 10 to 20 mm wide by 9 %, always too large (worst 25 %, E/G = 15), and
    within a thickness of the steep end of an arch by up to a third, too large as well. For numbers
    to cut by use `barmodel.modes`, which asks the solid.

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
    if h.min() < NEARLY_THROUGH * h.max():  # looked through only where it can be
        profile.require_wood()
    parts = coefficients(section, mesh, spread, h, constants)
    pairs = _solve(bar, mesh, parts, count + SPARE)
    kind = motion_kinds(mesh, h, parts, pairs.vectors)
    if (kind == UP).sum() < count:  # more axial and crosswise modes among them than expected
        pairs = _solve(bar, mesh, parts, 2 * count + 4)
        kind = motion_kinds(mesh, h, parts, pairs.vectors)
    bending = np.flatnonzero(kind == UP)[:count]
    if bending.size < count:
        raise NotConvergedError(
            f"only {bending.size} of {count} bending modes were found: others lie between them; "
            "check the constants of the wood and the size of the bar"
        )
    fields = pairs.vectors[:, bending].T.reshape(bending.size, -1, parts.layout.fields)
    return BeamModes(
        hz=np.sqrt(pairs.values[bending]) / (2 * np.pi),
        x=mesh.nodes,
        deflection=fields[:, :, UP],
        axial=fields[:, :, ALONG],
        axial_hz=np.sqrt(pairs.values[kind == ALONG]) / (2 * np.pi),
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


def motion_kinds(mesh: Mesh, h: Array, parts: Coefficients, vectors: Array) -> np.ndarray:
    """What most of the mass does in each mode, shape (k,): ALONG (of centroids), UP or CURL.

    A section that may curl brings modes of its own, bending across the width.
    """
    local = gather(vectors, mesh, parts.layout.fields)
    local = local.reshape(h.shape[0], -1, parts.layout.fields, vectors.shape[1])
    value = mesh.reference.value
    at = [np.tensordot(local[:, :, f], value, (1, 1)) for f in range(parts.layout.fields)]
    line, *_rest, last = parts.mass
    motions = [(line, at[ALONG] + (h / 2)[:, None] * at[TURN]), (line, at[UP])]
    motions += [(last, at[CURL])] if parts.layout is AWARE else []
    weight = mesh.half[:, None] * mesh.reference.weights
    energy = [((weight * m)[:, None] * motion**2).sum(axis=(0, 2)) for m, motion in motions]
    return np.asarray(np.array([ALONG, UP, CURL])[np.argmax(energy, axis=0)])
