"""Torsion constants of the rectangle: the handbook's, and what the solid makes of long bars."""

from __future__ import annotations

from dataclasses import replace

from barmodel.bar import Bar, Blank
from barmodel.solid import solve
from barmodel.units import GPA
from barmodel.wood import Wood
from validation.check import Check, Controls
from validation.kit.compare import as_printed
from validation.kit.torsion import rectangle_constant, torsional_rigidity
from validation.kit.woods import HARDWOOD as WOOD

TITLE = "Torsion constants of the rectangle, isotropic and orthotropic"
ABOUT = """\
The series is compared with the printed constants. Then the solid twists bars a hundred times as
long as wide: their first torsional frequency gives the rigidity back, D = ρ I_p (2Lf)², with no
theory of torsion in between. Polynomials (5 through, 9 across) are never softer than the true
section, so the differences are positive, 0.2 to 2.6 parts in 10⁴, the more the flatter the section:
its warping turns round within one thickness of the edge. For wood the two shear moduli differ and
the section acts as one stretched by √(G_xz/G_xy)."""

HANDBOOK = (
    "W. C. Young & R. G. Budynas, Roark's Formulas for Stress and Strain, torsion of a rectangle; "
    "S. P. Timoshenko & J. N. Goodier, Theory of Elasticity, sec. 109 (constants read, recomputed)"
)
LEKHNITSKII = (
    "S. G. Lekhnitskii, Theory of Elasticity of an Anisotropic Body, torsion of an orthotropic "
    "rectangle (derived again: stretching the width)"
)
CONSTANTS = (
    (1.0, "0.140577"),
    (1.5, "0.195761"),
    (2.0, "0.228682"),
    (2.5, "0.249365"),
    (3.0, "0.263317"),
    (4.0, "0.280813"),
    (5.0, "0.291317"),
    (10.0, "0.312325"),
)
SLENDER = 100.0
METAL = Wood.from_isotropic(e=70 * GPA, nu=0.33, density=2700.0)


def checks() -> list[Check]:
    return [*_constants(), *_rigidities()]


def negative_controls() -> Controls:
    return {
        "sections a ten-thousandth wider": _constants(wider=1.0001),
        "the shear modulus across the width 1 % high": _rigidities(harder=1.01),
    }


def _constants(*, wider: float = 1.0) -> list[Check]:
    return [
        as_printed(
            f"J/(b t³), b/t {ratio:g}",
            printed,
            rectangle_constant(wider * ratio),
            unit="",
            source=HANDBOOK,
            tag="published",
            tolerance=6e-7,
            reason="half a unit of the last digit, rounded up",
        )
        for ratio, printed in CONSTANTS
    ]


def _rigidities(*, harder: float = 1.0) -> list[Check]:
    return [
        _twisted(f"{name}, b/t {ratio:g}", material, ratio, harder, source)
        for name, material, source in (("metal", METAL, HANDBOOK), ("wood", WOOD, LEKHNITSKII))
        for ratio in (1.0, 2.0, 3.0, 5.0)
    ]


def _twisted(name: str, wood: Wood, ratio: float, harder: float, source: str) -> Check:
    thickness = 0.010
    width = ratio * thickness
    length = SLENDER * width
    expected = torsional_rigidity(wood, width=width, thickness=thickness)
    computed_of = replace(wood, g_long_width=harder * wood.g_long_width)
    bar = Bar(blank=Blank(length=length, width=width, thickness=thickness, wood=computed_of))
    hz = solve(bar, count=1, families=["torsion"], order="fine")["T1"].hz
    polar = width * thickness * (width**2 + thickness**2) / 12
    rigidity = wood.density * polar * (2 * length * hz) ** 2
    return Check(
        key=f"rigidity by the solid, {name}",
        expected=expected,
        computed=rigidity,
        tolerance=4e-4 * expected,
        unit="N m²",
        source=source,
        tag="recomputed independently",
        reason="4e-4, a third of a cent in f: polynomials of degree 5 by 9 for the warping",
    )
