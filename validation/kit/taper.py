"""Beams of varying rectangular section about a straight middle plane, for `dense`."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from validation.kit.dense import Array, Section

STIFF = 2e7
"""Shear rigidity over EI/L², E times a full width and thickness, when shear is to be left out.

Much larger and rounding shows, much smaller and shear does; either is some 1e-6 here.
"""


def rectangle(
    width: Callable[[Array], Array],
    thickness: Callable[[Array], Array],
    *,
    e: float,
    density: float,
    shear_modulus: float | None,
    ends: tuple[float, float],
) -> Section:
    """Section functions of a rectangle.

    Parameters
    ----------
    width, thickness : callable
        Of the position along the beam. [m]
    e, density : float
        [Pa], [kg/m³]
    shear_modulus : float or None
        κG; None leaves out shear and rotary inertia, as classical theory does. [Pa]
    ends : (float, float)
        Where the beam begins and ends. [m]
    """
    classical = shear_modulus is None
    along = np.linspace(*ends, 101)
    stiffest = float(np.max(e * width(along) * thickness(along) ** 3 / 12))
    rigid = STIFF * stiffest / (ends[1] - ends[0]) ** 2
    return Section(
        stretch=lambda x: e * width(x) * thickness(x),
        bend=lambda x: e * width(x) * thickness(x) ** 3 / 12,
        shear=lambda x: (
            np.full_like(x, rigid)
            if shear_modulus is None
            else shear_modulus * width(x) * thickness(x)
        ),
        mass=lambda x: density * width(x) * thickness(x),
        inertia=lambda x: (0.0 if classical else density) * width(x) * thickness(x) ** 3 / 12,
    )
