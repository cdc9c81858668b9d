"""Saint-Venant's torsion of a rectangle, by its series."""

from __future__ import annotations

import numpy as np

from barmodel.wood import Wood


def rectangle_constant(ratio: float) -> float:
    """J/(b t³) of an isotropic rectangle b × t, ratio b/t ≥ 1, by Saint-Venant's series. [1]"""
    n = np.arange(1, 80, 2)
    series = np.sum(np.tanh(n * np.pi * ratio / 2) / n**5.0)
    return float((1 - 192 / (np.pi**5 * ratio) * series) / 3)


def torsional_rigidity(wood: Wood, *, width: float, thickness: float) -> float:
    """Rigidity D of an orthotropic rectangle, G_xy √(G_xy/G_xz) J(b √(G_xz/G_xy), t). [N m²]

    x along, y across, z through; stretching the width turns the section into an isotropic one.
    """
    g_xy, g_xz = wood.g_long_width, wood.g_long_thick
    wide = width * np.sqrt(g_xz / g_xy)
    long, short = max(wide, thickness), min(wide, thickness)
    j = rectangle_constant(long / short) * long * short**3
    return float(g_xy * np.sqrt(g_xy / g_xz) * j)


def twist_hz(
    rigidity: float, *, density: float, length: float, width: float, thickness: float
) -> float:
    """First torsional frequency of a free bar without warping stresses, √(D/ρI_p)/(2L). [Hz]"""
    polar = width * thickness * (width**2 + thickness**2) / 12
    return float(np.sqrt(rigidity / (density * polar)) / (2 * length))
