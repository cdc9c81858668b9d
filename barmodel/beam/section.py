"""What a cross-section of the bar does: stiffness and mass per unit length.

Deformation of a section is measured on the flat top, z = 0, where the bar is straight however
its underside is cut: stretch u′, curvature θ′ and shear w′ − θ. The bent line of centroids
then needs no treatment of its own; it sits in the first moment of the section.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.undercut.piece import Values


@dataclass(frozen=True, slots=True)
class Constants:
    """The few constants a beam needs, complex while a derivative is being taken.

    Attributes
    ----------
    e : float
        Young's modulus along the bar, E. [Pa]
    g : float
        Shear modulus of the long–thickness plane, G. [Pa]
    kappa : float
        Shear factor κ; only κG shows in bending. [1]
    density : float
        Density ρ. [kg/m³]
    width : float
        Width b. [m]
    """

    e: complex
    g: complex
    kappa: complex
    density: complex
    width: complex

    @classmethod
    def of(cls, bar: Bar) -> Constants:
        """Read the constants of a bar."""
        wood = bar.blank.wood
        return cls(wood.e_long, wood.g_long_thick, wood.shear_factor, wood.density, bar.blank.width)


def moments(h: Values) -> tuple[Values, Values, Values]:
    """∫ (1, −z, z²) dz over −h ≤ z ≤ 0. [m], [m²], [m³]"""
    return h, h**2 / 2, h**3 / 3


def plain_stiffness(h: Values, constants: Constants) -> Values:
    """Stiffness of plane sections that stay plane, shape h.shape + (3, 3).

    Rows and columns: stretch u′ of the top [1], curvature θ′ [1/m], shear w′ − θ [1];
    forces N [N], M [N m], V [N].
    """
    m0, m1, m2 = moments(h)
    c = constants
    stiffness = np.zeros((*h.shape, 3, 3), dtype=np.result_type(h, c.e, c.g, c.kappa, c.width))
    stiffness[..., 0, 0] = c.e * m0
    stiffness[..., 0, 1] = stiffness[..., 1, 0] = c.e * m1
    stiffness[..., 1, 1] = c.e * m2
    stiffness[..., 2, 2] = c.kappa * c.g * m0
    return c.width * stiffness


def mass(h: Values, constants: Constants) -> Values:
    """Mass per length for the motion (u, w, θ) of the top, shape h.shape + (3, 3). [kg/m, …]"""
    m0, m1, m2 = moments(h)
    c = constants
    matrix = np.zeros((*h.shape, 3, 3), dtype=np.result_type(h, c.density, c.width))
    matrix[..., 0, 0] = matrix[..., 1, 1] = m0
    matrix[..., 0, 2] = matrix[..., 2, 0] = m1
    matrix[..., 2, 2] = m2
    return c.density * c.width * matrix
