"""Uniform free bar without shear: frequencies, nodes, identities, places of no effect."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

from barmodel.bar import Bar
from barmodel.beam import BeamModes, derivative, solve_beam, thickness_sensitivity
from barmodel.beam.theory import Section
from barmodel.modes import from_beam
from barmodel.undercut import Groove
from barmodel.undercut.piece import Array
from barmodel.units import CENTS
from validation.check import Check, Controls
from validation.kit.bars import beam_material, plain_beam, uniform_bar
from validation.kit.compare import as_printed

TITLE = "Uniform free bar without shear"
ABOUT = """\
The classical free-free bar (no shear, no rotary inertia). The package always has both, so the
bar is made very slender, thickness 1/4000 of the length, where they change f by 4 in 10⁶ at
most."""

BLEVINS = "R. D. Blevins, Formulas for Natural Frequency and Mode Shape (1979), Table 8-1"
FLETCHER = "N. H. Fletcher & T. D. Rossing, The Physics of Musical Instruments, secs. 2.15-2.16"
DERIVED = "follows from f = z² h √(E/12ρ)/(2πL²), Blevins Table 8-1"
LOCAL = (
    "own: zeros of 3 (φ″)² − z⁴ φ² with Blevins's mode shapes, the change of f by thinning one spot"
)

Z = ("4.7300407449", "7.8532046241", "10.9956078380", "14.1371654913", "17.2787596574")
RATIOS = ("1", "2.7565385", "5.4039176", "8.9329504", "13.3442867")
NODES = (
    ("0.2241575",),
    ("0.1321080", "0.5"),
    ("0.0944428", "0.3558035"),
    ("0.0734528", "0.2767800", "0.5"),
)
NO_EFFECT = (("0.14720",), ("0.08786",), ("0.06278", "0.35750", "0.36185"))
SLENDER, STOUT = 4000.0, 50.0
"""Length over thickness: of the bar, and of the one whose width is changed. On a very slender one
the stiffness against shear, some 10⁷ times that in bending, leaves its rounding in the sum."""


def checks() -> list[Check]:
    return [*_checks(_bar(SLENDER)), *_wider(section="plain")]


def negative_controls() -> Controls:
    hollow = Groove(at=0.3, width=0.1, depth=0.02 / SLENDER, section="dished")
    return {
        "a bar thick enough to shear, 12 times as long as thick": _checks(_bar(12.0)),
        "a hollow of a fiftieth of the thickness at 0.3 L": _nodes(_bar(SLENDER, hollow)),
        "a section that bends across the width as well": _wider(section="aware"),
    }


def _bar(slenderness: float, *cuts: Groove) -> Bar:
    wood = beam_material(e=70e9, g=27e9, density=2700.0)
    bar = uniform_bar(wood, length=1.0, width=0.02, thickness=1.0 / slenderness)
    return bar.with_cuts(*cuts)


def _checks(bar: Bar) -> list[Check]:
    modes = plain_beam(bar, count=5, elements=80)
    return [*_frequencies(modes), *_nodes(bar), *_identities(modes), *_no_effect(modes)]


def _frequencies(modes: BeamModes) -> list[Check]:
    blank = modes.bar.blank
    speed = np.sqrt(blank.wood.e_long * blank.thickness**2 / 12 / blank.wood.density)
    z = np.sqrt(2 * np.pi * modes.hz * blank.length**2 / speed)
    reason = "3e-6 relative: shear and rotary inertia left at this slenderness, 0.01 cent in f"
    common: dict[str, Any] = {"unit": "", "source": BLEVINS, "tag": "published", "reason": reason}
    found = [
        as_printed(f"z{k}", printed, z[k - 1], tolerance=3e-6 * float(printed), **common)
        for k, printed in enumerate(Z, start=1)
    ]
    ratios = modes.hz / modes.hz[0]
    return found + [
        as_printed(f"f{k}/f1", printed, ratios[k - 1], tolerance=5e-6 * float(printed), **common)
        for k, printed in enumerate(RATIOS[1:], start=2)
    ]


def _nodes(bar: Bar) -> list[Check]:
    found = from_beam(plain_beam(bar, count=4, elements=12)).nodes
    return [
        as_printed(
            f"node {n} of mode {k}, x/L",
            printed,
            found[k - 1][n - 1] / bar.blank.length,
            unit="",
            source=FLETCHER,
            tag="published",
            tolerance=2e-5,
            reason="still points are read between 401 samples by straight lines; 0.01 mm on 430 mm",
        )
        for k, row in enumerate(NODES, start=1)
        for n, printed in enumerate(row, start=1)
    ]


def _identities(modes: BeamModes) -> list[Check]:
    blank = modes.bar.blank
    thicker = blank.thickness * derivative(modes, "stock")
    longer = blank.length * derivative(modes, "length")
    reason = "1e-5 relative for the shear left, on top of the printed digits"
    return [
        *_identity("cents per relative thickness", "1731.234", thicker, 0.02, reason),
        *_identity("cents per relative length", "-3462.5", longer, 0.06, reason),
    ]


def _wider(*, section: Section) -> list[Check]:
    modes = solve_beam(_bar(STOUT), count=5, elements=80, section=section)
    wider = modes.bar.blank.width * derivative(modes, "width")
    reason = f"rounding only, of a bar of {STOUT:g} thicknesses"
    return _identity("cents per relative width", "0", wider, 1e-5, reason)


def _identity(name: str, printed: str, change: Array, tolerance: float, reason: str) -> list[Check]:
    return [
        as_printed(
            f"{name}, mode {k}",
            printed,
            CENTS * change[k - 1],
            unit="cent",
            source=DERIVED,
            tag="recomputed independently",
            tolerance=tolerance,
            reason=reason,
        )
        for k in (1, 3)
    ]


def _no_effect(modes: BeamModes) -> list[Check]:
    answer = thickness_sensitivity(modes)
    found = []
    for k, row in enumerate(NO_EFFECT, start=1):
        zeros = CubicSpline(answer.x, answer.density[:, k - 1]).roots(extrapolate=False)
        found += [
            as_printed(
                f"cutting has no effect on mode {k}, x/L, place {n}",
                printed,
                zeros[np.abs(zeros - float(printed)).argmin()] / modes.bar.blank.length,
                unit="",
                source=LOCAL,
                tag="recomputed independently",
                tolerance=2e-5,
                reason="a few units of the fifth digit: read from the quadrature points by spline",
            )
            for n, printed in enumerate(row, start=1)
        ]
    return found
