"""Elastic constants and density of a bar: nine constants for wood, metal as the equal-way case.

Axes belong to the bar, not to the tree: long (x), width (y), thick (z).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, fields, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import InputError
from barmodel.units import GPA

MODULI = ("e_long", "e_width", "e_thick", "g_long_width", "g_long_thick", "g_width_thick")
POISSON = ("nu_long_width", "nu_long_thick", "nu_width_thick")
Sawn: TypeAlias = Literal["flat", "quarter"]
SOFTEST = 1 / 3000
"""Least modulus over that along the grain. The softest woods stand near 1/300, in rolling shear
(from memory); far below, crosswise modes crowd out the bending modes. [1]"""
_METAL_TOLERANCE = 0.05


@dataclass(frozen=True, slots=True)
class Wood:
    """Density and the nine elastic constants of an orthotropic bar; metal is the equal-way case.

    Parameters
    ----------
    density : float
        Density as the bar is. [kg/m³]
    e_long, e_width, e_thick : float
        Young's moduli along the bar, across the width, through the thickness. [Pa]
    g_long_width, g_long_thick, g_width_thick : float
        Shear moduli. Bending feels `g_long_thick`, torsion `g_long_width` most. [Pa]
    nu_long_width, nu_long_thick, nu_width_thick : float
        Poisson ratios; nu_a_b is the contraction along b for a pull along a. [-]
    species : str, optional
        Name of the wood or alloy.
    assumed : frozenset of str
        Names of the constants that were filled in by ratios, not known.
    sawn : {'flat', 'quarter'}
        How the rings lie in the bar: flat in it, or upright; no matter for metal.
    spread : tuple of (str, float)
        Relative standard errors of constants that were measured on the wood itself, by name; the
        others are as uncertain as in their species. [1]

    Raises
    ------
    InputError
        If a constant is not positive and finite, one is far too small beside e_long, or the set
        is not positive definite.

    Examples
    --------
    >>> metal = Wood.from_isotropic(e=68.9e9, nu=0.33, density=2700.0)
    >>> round(metal.shear_factor, 4), metal.isotropic
    (0.8509, True)
    """

    density: float
    e_long: float
    e_width: float
    e_thick: float
    g_long_width: float
    g_long_thick: float
    g_width_thick: float
    nu_long_width: float
    nu_long_thick: float
    nu_width_thick: float
    species: str | None = None
    assumed: frozenset[str] = field(default_factory=frozenset)
    sawn: Sawn = "flat"
    spread: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "assumed", frozenset(self.assumed))
        _check_values(self)
        _check_definite(self)

    @classmethod
    def from_isotropic(
        cls, *, e: float, nu: float, density: float, species: str | None = None
    ) -> Wood:
        """Material alike in all directions, such as an aluminium alloy; G = E/(2(1+nu)).

        Parameters
        ----------
        e : float
            Young's modulus. [Pa]
        nu : float
            Poisson's ratio, 0 to 0.5. [-]
        density : float
            Density. [kg/m³]
        species : str, optional
            Name of the material.
        """
        if not 0 <= nu < 0.5:
            raise InputError(
                f"Poisson's ratio {nu} of a metal must be at least 0 and below 0.5; "
                "aluminium has 0.33, steel 0.29"
            )
        g = e / (2 * (1 + nu))
        return cls(density, e, e, e, g, g, g, nu, nu, nu, species)

    @property
    def isotropic(self) -> bool:
        """Whether the material is alike in all directions, to within 5 %.

        The width of the limit lets a metal stay a metal when its E and G were fitted apart from
        taps, or moved a little to take a difference; no wood comes near it.
        """
        nu = self.nu_long_thick
        g = self.e_long / (2 * (1 + nu))
        alike = [(self.e_long, self.e_width), (self.e_long, self.e_thick)]
        alike += [(g, self.g_long_width), (g, self.g_long_thick), (g, self.g_width_thick)]
        return all(math.isclose(a, b, rel_tol=_METAL_TOLERANCE) for a, b in alike)

    @property
    def shear_factor(self) -> float:
        """Timoshenko's shear factor of a rectangular section, kappa. [-]

        Metal takes Cowper's 10(1+nu)/(12+11nu). Wood takes 5/6: only the product kappa·G can be
        observed from bending, and shear moduli of wood are by custom fitted with 5/6.

        References
        ----------
        Cowper, G. R. (1966), "The shear coefficient in Timoshenko's beam theory", J. Appl. Mech.
        33, 335-340.
        """
        if not self.isotropic:
            return 5 / 6
        nu = self.nu_long_thick
        return 10 * (1 + nu) / (12 + 11 * nu)

    def stiffness(self) -> NDArray[np.float64]:
        """Elastic stiffness in bar axes, the inverse of the compliance.

        Returns
        -------
        ndarray, shape (6, 6)
            Voigt order xx, yy, zz, yz, xz, xy with engineering shear strains; read-only. [Pa]
        """
        compliance = np.diag([1 / self.e_long, 1 / self.e_width, 1 / self.e_thick])
        compliance[0, 1] = compliance[1, 0] = -self.nu_long_width / self.e_long
        compliance[0, 2] = compliance[2, 0] = -self.nu_long_thick / self.e_long
        compliance[1, 2] = compliance[2, 1] = -self.nu_width_thick / self.e_width
        stiffness = np.zeros((6, 6))
        normal = np.linalg.inv(compliance)
        stiffness[:3, :3] = (normal + normal.T) / 2
        stiffness[[3, 4, 5], [3, 4, 5]] = self.g_width_thick, self.g_long_thick, self.g_long_width
        stiffness.setflags(write=False)
        return stiffness

    def scaled(
        self, *, e_factor: float = 1.0, g_factor: float = 1.0, density_factor: float = 1.0
    ) -> Wood:
        """Return the same wood with every E, every G and the density multiplied.

        Keeps the ratios between directions, as when one plank is stiffer than the book.
        """
        moduli = {
            name: getattr(self, name) * (e_factor if name.startswith("e") else g_factor)
            for name in MODULI
        }
        return replace(self, density=self.density * density_factor, **moduli)


def positive_constant(name: str, value: float) -> float:
    """Return a modulus or density, or raise `InputError` when it is not positive and finite."""
    if not (math.isfinite(value) and value > 0):
        shown = f"{value} kg/m³" if name == "density" else f"{value / GPA:g} GPa"
        raise InputError(f"{name} = {shown} must be a positive number; check the wood's constants")
    return value


def _check_values(wood: Wood) -> None:
    """Check each constant by itself."""
    for name in ("density", *MODULI):
        positive_constant(name, getattr(wood, name))
    for name in MODULI:
        if (value := getattr(wood, name)) < SOFTEST * wood.e_long:
            raise InputError(
                f"{name} = {value / GPA:.3g} GPa is less than a {1 / SOFTEST:.0f}th of e_long = "
                f"{wood.e_long / GPA:.3g} GPa; no wood is so soft across its grain, check the units"
            )
    for name in POISSON:
        value = getattr(wood, name)
        if not (math.isfinite(value) and value >= 0):
            raise InputError(f"{name} = {value} must be a number from 0 up, usually 0.2 to 0.7")
    known = {item.name for item in fields(wood)}
    if stray := wood.assumed - known:
        raise InputError(f"assumed constants {sorted(stray)} are not fields of Wood")
    for name, error in wood.spread:
        if name not in MODULI or not 0.0 < error < 1.0:
            raise InputError(
                f"spread of {name} = {error}: give the modulus it belongs to and a share above 0 "
                "and below 1"
            )


def _check_definite(wood: Wood) -> None:
    """Check that every deformation costs energy: the compliance is positive definite."""
    pairs = {
        "nu_long_width": (wood.nu_long_width, wood.e_long / wood.e_width),
        "nu_long_thick": (wood.nu_long_thick, wood.e_long / wood.e_thick),
        "nu_width_thick": (wood.nu_width_thick, wood.e_width / wood.e_thick),
    }
    for name, (nu, ratio) in pairs.items():
        if nu * nu >= ratio:
            raise InputError(
                f"{name} = {nu:g} must stay below {math.sqrt(ratio):.3g}, the root of the ratio of "
                f"its two moduli, or a pull would give back energy; "
                f"lower {name} or check the moduli"
            )
    p, q, r = (nu / math.sqrt(ratio) for nu, ratio in pairs.values())
    if 1 - p * p - q * q - r * r - 2 * p * q * r <= 0:
        raise InputError(
            f"the Poisson ratios {wood.nu_long_width:g}, {wood.nu_long_thick:g} and "
            f"{wood.nu_width_thick:g} together would let a squeeze give back energy; "
            "lower nu_width_thick or check e_width and e_thick"
        )
