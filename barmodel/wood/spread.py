"""How far the constants of a wood may be from what is written of them."""

from __future__ import annotations

from barmodel.wood.elastic import Wood

SPECIES = {"e_long": 0.22, "g_long_thick": 0.30, "g_long_width": 0.30}
"""Relative spread about a species' value: E from the USDA Wood Handbook, about 22 % (from memory);
shear moduli our own guess (common practice, no source). [1]"""
METAL = {"e_long": 0.03, "g_long_thick": 0.03, "g_long_width": 0.03}
"""The same of an alloy about its handbook's value (common practice, no source). [1]"""


def spread_of(wood: Wood) -> dict[str, float]:
    """Return the relative standard errors of the constants that bars are felt by.

    Parameters
    ----------
    wood : Wood
        Its own spread, where constants were measured, comes before what is usual.

    Returns
    -------
    dict of str to float
        By the names of `SPECIES`. [1]

    Examples
    --------
    >>> spread_of(Wood.from_isotropic(e=69e9, nu=0.33, density=2700.0))["e_long"]
    0.03
    """
    return (METAL if wood.isotropic else SPECIES) | dict(wood.spread)
