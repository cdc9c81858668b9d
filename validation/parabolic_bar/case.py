"""A free bar that thins to nothing at both ends by a parabola: a closed form."""

from __future__ import annotations

import numpy as np

from validation.check import Check, Controls
from validation.kit.compare import as_printed
from validation.kit.dense import solve_section
from validation.kit.taper import rectangle

TITLE = "Free bar with parabolic thickness, closed form"
ABOUT = """\
h = h0 (1 − (x/a)²), free ends, no shear: the mode shapes are polynomials of degree 2, 3, 4, 5
and (ωa²)²·ρA0/(EI0) = 60, 252, 672, 1440. The ends are sharp, which a bar of the package may
not be, so the package's elements are used with a symmetric section (test code). The quartic
element holds the first three shapes exactly, so four elements are as good as thirty; the fourth
shape is of degree five and needs a few."""

SOURCE = (
    "D. I. Caruntu, J. Sound Vib. 306 (2007) 467 (citation from memory; derived again: "
    "(h³w″)″ = λhw has polynomial solutions)"
)
SQUARES = ("60", "252", "672", "1440")


def checks() -> list[Check]:
    return _checks(tip=0.0)


def negative_controls() -> Controls:
    return {"ends left a hundredth thick": _checks(tip=0.01)}


def _checks(tip: float) -> list[Check]:
    section = rectangle(
        np.ones_like,
        lambda x: 1.0 - (1.0 - tip) * x**2,
        e=12.0,
        density=1.0,
        shear_modulus=None,
        ends=(-1.0, 1.0),
    )
    hz = solve_section(section, np.linspace(-1.0, 1.0, 17))[2:]
    return [
        as_printed(
            f"(ωa²)² ρA0/EI0, mode {k + 1}",
            printed,
            (2 * np.pi * hz[k]) ** 2,
            unit="",
            source=SOURCE,
            tag="recomputed independently",
            tolerance=1e-5 * float(printed),
            reason="1e-5 relative, 0.01 cent in f: the shear rigidity that stands for no shear",
        )
        for k, printed in enumerate(SQUARES)
    ]
