"""What a cross-section of the bar does: stiffness and mass per unit length.

Deformation of a section is measured on the flat top, z = 0, where the bar is straight however
its underside is cut: stretch u′, curvature θ′ and shear γ = w′ − θ. The bent line of centroids
then needs no treatment of its own; it sits in the first moment of the section.

Stiffness is kept as the coefficients of its energy, one row for each couple of strains that has
one (`PLAIN_COUPLES`, and `AWARE_COUPLES` in `aware`); mass likewise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.undercut.piece import Values

Couples = tuple[tuple[int, int], ...]
"""Pairs (r, s), r ≤ s, of strains or motions that share a coefficient of the energy."""

PLAIN_COUPLES: Couples = ((0, 0), (0, 1), (1, 1), (2, 2))
PLAIN_MASS_COUPLES: Couples = ((0, 0), (1, 1), (0, 2), (2, 2))


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
    e_width, g_long_width : float
        Young's modulus across, shear modulus of the long–width plane. [Pa]
    nu_long_width : float
        Contraction across for a pull along. [1]
    """

    e: complex
    g: complex
    kappa: complex
    density: complex
    width: complex
    e_width: complex
    g_long_width: complex
    nu_long_width: complex

    @classmethod
    def of(cls, bar: Bar) -> Constants:
        """Read the constants of a bar."""
        wood = bar.blank.wood
        return cls(
            e=wood.e_long,
            g=wood.g_long_thick,
            kappa=wood.shear_factor,
            density=wood.density,
            width=bar.blank.width,
            e_width=wood.e_width,
            g_long_width=wood.g_long_width,
            nu_long_width=wood.nu_long_width,
        )


def plain_stiffness(h: Values, constants: Constants) -> Values:
    """Stiffness of plane sections that stay plane, shape (4, *h.shape), by `PLAIN_COUPLES`.

    Strains: stretch u′ of the top [1], curvature θ′ [1/m], shear w′ − θ [1].
    """
    c = constants
    stretch = c.e * c.width * h
    return np.stack([stretch, stretch * h / 2, stretch * h**2 / 3, c.kappa * c.g * c.width * h])


def plain_mass(h: Values, constants: Constants) -> Values:
    """Mass for the motion (u, w, θ) of the top, shape (4, *h.shape), by `PLAIN_MASS_COUPLES`."""
    line = constants.density * constants.width * h
    return np.stack([line, line, line * h / 2, line * h**2 / 3])
