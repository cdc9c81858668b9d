"""Filling up elastic constants that nobody measured, by the ratios of a species.

Ratios belong to the tree (along the grain, radial, tangential), constants to the bar. Which
growth direction lies across the width of the bar depends on how the board was sawn.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from barmodel.errors import InputError
from barmodel.wood.elastic import MODULI, POISSON, Sawn, Wood, positive_constant

"""`flat`: rings lie flat, radial is through the thickness; `quarter`: rings stand upright."""


@dataclass(frozen=True, slots=True)
class GrainRatios:
    """Elastic ratios of a species in growth directions: L along the grain, R radial, T tangential.

    Parameters
    ----------
    e_t, e_r, g_lr, g_lt, g_rt : float
        Moduli divided by E_L. [-]
    nu_lr, nu_lt, nu_rt : float
        Poisson ratios; nu_ab is the contraction along b for a pull along a. [-]
    """

    e_t: float
    e_r: float
    g_lr: float
    g_lt: float
    g_rt: float
    nu_lr: float
    nu_lt: float
    nu_rt: float

    def __post_init__(self) -> None:
        from_ratios = self.constants(1.0, sawn="flat")
        _build(1.0, from_ratios)  # refuses ratios no material can have

    def constants(self, e_long: float, *, sawn: Sawn = "flat") -> dict[str, float]:
        """Nine constants in bar axes.

        Parameters
        ----------
        e_long : float
            Young's modulus along the grain. [Pa]
        sawn : {'flat', 'quarter'}
            Whether radial lies through the thickness or across the width of the bar.

        Returns
        -------
        dict
            Values by the field names of `Wood`.
        """
        if sawn not in ("flat", "quarter"):
            raise InputError(f"sawn = {sawn!r} is not known; say 'flat' or 'quarter'")
        flat = sawn == "flat"
        lr, lt = (self.e_r, self.g_lr, self.nu_lr), (self.e_t, self.g_lt, self.nu_lt)
        width, thick = (lt, lr) if flat else (lr, lt)
        # the contraction across the rings changes with its direction of pull: nu_TR/E_T = nu_RT/E_R
        nu_width_thick = self.nu_rt * self.e_t / self.e_r if flat else self.nu_rt
        scaled = (1.0, width[0], thick[0], width[1], thick[1], self.g_rt)
        values = dict(zip(MODULI, (e_long * ratio for ratio in scaled), strict=True))
        values |= dict(zip(POISSON, (width[2], thick[2], nu_width_thick), strict=True))
        return values


def _build(
    density: float,
    values: Mapping[str, Any],
    species: str | None = None,
    assumed: frozenset[str] = frozenset(),
    sawn: Sawn = "flat",
) -> Wood:
    """Make a wood from constants kept by name."""
    return Wood(density=density, species=species, assumed=assumed, sawn=sawn, **values)


GENERIC_HARDWOOD = GrainRatios(
    e_t=0.0668, e_r=0.124, g_lr=0.099, g_lt=0.0755, g_rt=0.022, nu_lr=0.40, nu_lt=0.49, nu_rt=0.69
)
"""Mean over six hardwoods of the USDA Wood Handbook, tables 5-1 and 5-2 (from memory)."""


def from_partial(
    *,
    density: float,
    e_long: float,
    known: Mapping[str, float] | None = None,
    ratios: GrainRatios = GENERIC_HARDWOOD,
    sawn: Sawn = "flat",
    species: str | None = None,
) -> Wood:
    """Fill up the constants that are not known by the ratios of a species.

    Parameters
    ----------
    density : float
        Density. [kg/m³]
    e_long : float
        Young's modulus along the bar. [Pa]
    known : mapping, optional
        Other known constants by the field names of `Wood`, for example ``g_long_thick``.
        When a shear modulus is known, the missing ones keep their ratio to it. [Pa or -]
    ratios : GrainRatios
        Ratios to fill with.
    sawn : {'flat', 'quarter'}
        How the board was sawn.
    species : str, optional
        Name of the wood.

    Returns
    -------
    Wood
        With `assumed` naming every constant that was filled in.

    Raises
    ------
    InputError
        If a name is not a constant, or the filled set cannot exist.

    Examples
    --------
    >>> wood = from_partial(density=800.0, e_long=12e9, known={"g_long_thick": 0.9e9})
    >>> "g_long_width" in wood.assumed, "g_long_thick" in wood.assumed
    (True, False)
    """
    given = dict(known or {})
    if unknown := sorted(set(given) - {*MODULI, *POISSON} | set(given) & {"e_long"}):
        raise InputError(
            f"{', '.join(unknown)} cannot be set here; "
            f"known constants are {', '.join((*MODULI[1:], *POISSON))}"
        )
    filled = ratios.constants(positive_constant("e_long", e_long), sawn=sawn)
    shears = [name for name in MODULI if name.startswith("g") and name in given]
    if shears:
        # one measured shear modulus tells more about the others than E does
        logs = [math.log(positive_constant(name, given[name]) / filled[name]) for name in shears]
        factor = math.exp(sum(logs) / len(logs))
        filled |= {name: filled[name] * factor for name in MODULI if name.startswith("g")}
    assumed = frozenset(filled) - set(given) - {"e_long"}
    return _build(density, filled | given, species, assumed, sawn)
