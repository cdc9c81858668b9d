"""Uniform bars against the exact frequency equation of the free-free Timoshenko beam."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from validation.check import Check, Controls
from validation.kit.bars import beam_material, plain_beam, uniform_bar
from validation.kit.compare import as_printed, in_cents

TITLE = "Timoshenko's beam, exact frequency equation"
ABOUT = """\
The free-free frequency equation is solved here by bracketing, without finite elements, for five
bars; E/G = 16 is beyond any wood in use. The expected numbers are made while the case runs; for
the wood-like bar the λ = L²ω√(ρA/EI) noted before this code existed are compared as well."""

EQUATION = (
    "T. C. Huang, J. Appl. Mech. 28 (1961) 579; S. M. Han, H. Benaroya & T. Wei, "
    "J. Sound Vib. 225 (1999) 935: free-free frequency equation (equation from memory)"
)
KAPPA = 5 / 6
E, DENSITY, LENGTH, WIDTH = 16e9, 800.0, 0.4, 0.05
BARS = (  # (h/L, E/G)
    (0.02, 2.6),
    (0.05, 9.0),
    (0.06, 16.0),
    (0.10, 16.0),
    (0.10, 5.0),
)
WOOD_LIKE = ("4.6347086", "7.3633948", "9.7600712", "11.8279006")  # √λ, h/L 0.06, E/G 16


def frequency_function(beta: float, r2: float, s2: float) -> float:
    """Left side of the equation, zero at a natural frequency.

    Parameters
    ----------
    beta : float
        ω L² √(ρA/EI). [1]
    r2, s2 : float
        I/(AL²) and EI/(κGAL²). [1]
    """
    root = np.sqrt((r2 - s2) ** 2 + 4 / beta**2)
    a, c = np.sqrt((-(r2 + s2) + root) / 2), np.sqrt(((r2 + s2) + root) / 2)
    last = beta**2 * r2 * (r2 - s2) ** 2 + 3 * r2 - s2
    # divided by cosh, which grows without bound
    return float(
        2 / np.cosh(beta * a)
        - 2 * np.cos(beta * c)
        + beta / np.sqrt(1 - beta**2 * r2 * s2) * last * np.tanh(beta * a) * np.sin(beta * c)
    )


def exact_betas(r2: float, s2: float, count: int) -> list[float]:
    """Lowest roots of the equation, by scanning for changes of sign."""
    top = min(0.999 / np.sqrt(r2 * s2), 400.0)
    scan = np.linspace(1.0, top, 4000)
    values = np.array([frequency_function(b, r2, s2) for b in scan])
    turns = np.flatnonzero(values[:-1] * values[1:] < 0)[:count]
    return [
        float(brentq(frequency_function, scan[i], scan[i + 1], args=(r2, s2), xtol=1e-13))
        for i in turns
    ]


def checks() -> list[Check]:
    return _checks()


def negative_controls() -> Controls:
    return {
        "G a thousandth high": _checks(stiffer_in_shear=1.001),
        "wood a ten-thousandth heavier": _checks(heavier=1.0001),
    }


def _checks(*, stiffer_in_shear: float = 1.0, heavier: float = 1.0) -> list[Check]:
    found = []
    for slender, ratio in BARS:
        thickness = slender * LENGTH
        wood = beam_material(e=E, g=stiffer_in_shear * E / ratio, density=heavier * DENSITY)
        bar = uniform_bar(wood, length=LENGTH, width=WIDTH, thickness=thickness)
        hz = plain_beam(bar, count=4, elements=12).hz
        r2 = slender**2 / 12
        scale = 2 * np.pi * LENGTH**2 * np.sqrt(12 * DENSITY / E) / thickness
        name = f"h/L {slender:g}, E/G {ratio:g}"
        betas = exact_betas(r2, r2 * ratio / KAPPA, 4)
        found += [
            in_cents(
                f"{name}, mode {k}",
                beta / scale,
                hz[k - 1],
                cents=0.01,
                source=EQUATION,
                tag="recomputed independently",
                reason="what the project asks of the default mesh; the equation is exact to 1e-12",
            )
            for k, beta in enumerate(betas, start=1)
        ]
        if (slender, ratio) == (0.06, 16.0):
            found += _wood_like(np.sqrt(scale * hz))
    return found


def _wood_like(roots: np.ndarray) -> list[Check]:
    return [
        as_printed(
            f"wood-like bar, √λ{k}",
            printed,
            roots[k - 1],
            unit="",
            source="own, from the exact equation: " + EQUATION,
            tag="recomputed independently",
            tolerance=float(printed) * 2.9e-6,
            reason="0.01 cent in f is 2.9e-6 relative in √λ",
        )
        for k, printed in enumerate(WOOD_LIKE, start=1)
    ]
