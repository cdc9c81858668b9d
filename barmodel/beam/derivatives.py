"""Exact derivatives of the frequencies with respect to anything that describes the bar.

For M-normalised φ the derivative of an eigenvalue λ = ω² is that of its Rayleigh quotient with
φ held: dλ/dp = φᵀ(∂K/∂p − λ ∂M/∂p)φ. So the frozen motion is put on a bar whose parameter has an
imaginary step, and the imaginary part of its energies is read off: geometry, wood and mesh
(walls carry their elements with them) all pass through the same few lines.

References
----------
R. L. Fox and M. P. Kapoor, "Rates of change of eigenvalues and eigenvectors", AIAA J. 6 (1968)
2426–2429 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from barmodel.beam.assembly import energies
from barmodel.beam.limit import carried_along
from barmodel.beam.mesh import Mesh, moved_mesh
from barmodel.beam.modes import BeamModes
from barmodel.beam.section import Constants
from barmodel.beam.spread import Spread
from barmodel.beam.theory import coefficients
from barmodel.undercut import Profile, perturbed_profile
from barmodel.undercut.piece import COMPLEX_STEP, Array, Values

Parameter: TypeAlias = tuple[int, str] | str
"""(cut, its parameter) · "length" · "stock" · a field of `Constants`: "e", "g", "density"…"""


@dataclass(frozen=True, slots=True, eq=False)
class ThicknessSensitivity:
    """How the frequencies answer to thickness along the bar.

    Attributes
    ----------
    x : ndarray, shape (m,)
        Positions, increasing. [m]
    weight : ndarray, shape (m,)
        Quadrature weights along x: ∫ f dx ≈ Σ weight·f. [m]
    density : ndarray, shape (m, k)
        d ln f / dh per length of bar: adding δh(x) changes ln f by ∫ density·δh dx. [1/m²]
    """

    x: Array
    weight: Array
    density: Array


def derivative(modes: BeamModes, parameter: Parameter) -> Array:
    """Compute d ln f / dp of every mode, shape (k,).

    Parameters
    ----------
    modes : BeamModes
    parameter : (int, str) or str
        A parameter of a cut, "length" or "stock" of the blank, or a constant ("e", "g",
        "kappa", "density", "width").

    Returns
    -------
    ndarray
        Per unit of the parameter (SI); times 1200/ln 2 for cents.

    Examples
    --------
    Twice the density halves ω²: d ln f / d ln ρ = −1/2.

    >>> from barmodel.bar import Bar, Blank
    >>> from barmodel.beam.modes import solve_beam
    >>> from barmodel.wood import Wood
    >>> metal = Wood.from_isotropic(e=70e9, nu=0.3, density=2700.0)
    >>> modes = solve_beam(Bar(blank=Blank(length=0.3, width=0.05, thickness=0.01, wood=metal)))
    >>> [round(float(d), 9) for d in 2700.0 * derivative(modes, "density")[:2]]
    [-0.5, -0.5]
    """
    constants = Constants.of(modes.bar)
    profile = modes.bar.profile
    if isinstance(parameter, str) and hasattr(constants, parameter):
        step = getattr(constants, parameter) + 1j * COMPLEX_STEP
        constants = replace(constants, **{parameter: step})
    else:
        blank = modes.bar.blank
        profile = perturbed_profile(blank.length, blank.thickness, modes.bar.undercut, parameter)
    spread = _moved(modes, profile, constants)
    mesh = moved_mesh(modes.mesh, modes.spread, spread)
    shares = _log_slopes(modes, mesh, spread, mesh.thickness(profile), constants)
    return np.asarray(shares.sum(axis=(0, 1)))


def thickness_sensitivity(modes: BeamModes) -> ThicknessSensitivity:
    """Compute d ln f / dh everywhere along the bar.

    In the aware theory this is the effect of a change so wide and gentle that it adds no slope.
    Wood above a line of the carrying thickness (`spread`) bears no stress: there only its mass
    counts; what moves the lines themselves is left out. `derivative` knows all of it.
    """
    mesh = modes.mesh
    h = mesh.thickness(modes.bar.profile) + 1j * COMPLEX_STEP
    slopes = _log_slopes(modes, mesh, modes.spread, h, Constants.of(modes.bar))
    weight = (mesh.half[:, None] * mesh.reference.weights).real
    count = slopes.shape[-1]
    return ThicknessSensitivity(
        x=mesh.points.real.reshape(-1),
        weight=weight.reshape(-1),
        density=(slopes / weight[..., None]).reshape(-1, count),
    )


def _moved(modes: BeamModes, profile: Profile, constants: Constants) -> Spread:
    """The carrying thickness, moved with what is perturbed."""
    if modes.section == "plain":
        return replace(modes.spread, edges=profile.moving_edges)
    return carried_along(modes.spread, profile, constants)


def _log_slopes(
    modes: BeamModes, mesh: Mesh, spread: Spread, h: Values, constants: Constants
) -> Array:
    """Each quadrature point's share of d ln f / dp, shape (n, q, k)."""
    parts = coefficients(modes.section, mesh, spread, h, constants)
    strain, kinetic = energies(mesh, parts.stiffness, parts.mass, modes.vectors, parts.layout)
    squared = (2 * np.pi * modes.hz) ** 2
    change = (strain - squared * kinetic).imag / COMPLEX_STEP
    return np.asarray(change / (2 * squared))
