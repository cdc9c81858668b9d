"""Uniform bars against a published table of free-free Timoshenko beams."""

from __future__ import annotations

import numpy as np

from validation.check import Check, Controls
from validation.kit.bars import beam_material, plain_beam, uniform_bar
from validation.kit.compare import as_printed

TITLE = "Timoshenko's beam, a published table"
ABOUT = """\
√λ, λ = ωL²√(ρA/EI), of thick free bars with ν = 0.3 and κ = 5/6, first five modes. The package
would give an isotropic material Cowper's factor, so the bar is made of a material that has the
table's E, G and 5/6 along the bar and is soft across, which a plain beam cannot feel."""

SOURCE = "J. Lee & W. W. Schultz, J. Sound Vib. 269 (2004) 609-621, free-free table, ν 0.3, κ 5/6"
NU = 0.3
TABLE = {
    0.1: ("4.64849", "7.49719", "10.12549", "12.50764", "14.66821"),
    0.2: ("4.44958", "6.80257", "8.77287", "10.40939", "11.79416"),
}


def checks() -> list[Check]:
    return _checks(poisson=NU)


def negative_controls() -> Controls:
    return {"Poisson's ratio 0.31 for 0.30, hence another G": _checks(poisson=0.31)}


def _checks(poisson: float) -> list[Check]:
    e, density, length = 200e9, 7850.0, 1.0
    found = []
    for slender, row in TABLE.items():
        wood = beam_material(e=e, g=e / (2 * (1 + poisson)), density=density)
        bar = uniform_bar(wood, length=length, width=0.1, thickness=slender * length)
        hz = plain_beam(bar, count=5).hz
        lambdas = 2 * np.pi * hz * length**2 * np.sqrt(12 * density / e) / bar.blank.thickness
        found += [
            as_printed(
                f"h/L {slender:g}, √λ{k}",
                printed,
                np.sqrt(lambdas[k - 1]),
                unit="",
                source=SOURCE,
                tag="from memory",
                tolerance=1e-5,
                reason="one unit of the last printed digit",
            )
            for k, printed in enumerate(row, start=1)
        ]
    return found
