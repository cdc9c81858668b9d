"""Uniform free bar without shear: frequencies, nodes, identities, places of no effect."""

from __future__ import annotations

from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

from barmodel.beam import BeamModes, derivative, thickness_sensitivity
from barmodel.modes import from_beam
from validation.check import Check
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
STOUT = 50.0
"""Length over thickness of the bar whose width is changed: on a very slender one the stiffness
against shear, some 10⁷ times that in bending, leaves its rounding in the sum."""


def checks() -> list[Check]:
    return _checks(slenderness=4000.0)


def negative_control() -> list[Check]:
    """A bar thick enough to shear must not pass for one that does not."""
    return _checks(slenderness=12.0)


def _checks(slenderness: float) -> list[Check]:
    length, g = 1.0, 27e9
    wood = beam_material(e=70e9, g=g, density=2700.0)
    bar = uniform_bar(wood, length=length, width=0.02, thickness=length / slenderness)
    modes = plain_beam(bar, count=5, elements=80)
    return [*_frequencies(modes), *_nodes(modes), *_identities(modes), *_no_effect(modes)]


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


def _nodes(modes: BeamModes) -> list[Check]:
    found = from_beam(plain_beam(modes.bar, count=4, elements=12)).nodes
    return [
        as_printed(
            f"node {n} of mode {k}, x/L",
            printed,
            found[k - 1][n - 1] / modes.bar.blank.length,
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
    per = 1200 / np.log(2)
    thicker = per * blank.thickness * derivative(modes, "stock")
    longer = per * blank.length * derivative(modes, "length")
    stout = uniform_bar(blank.wood, length=1.0, width=0.02, thickness=1.0 / STOUT)
    wider = per * blank.width * derivative(plain_beam(stout, count=5, elements=80), "width")
    rows = (
        ("cents per relative thickness", "1731.234", thicker, 0.02),
        ("cents per relative length", "-3462.5", longer, 0.06),
        ("cents per relative width", "0", wider, 1e-5),
    )
    reason = (
        "1e-5 relative for the shear left, on top of the printed digits; width: rounding only, of "
        f"a bar of {STOUT:g} thicknesses"
    )
    return [
        as_printed(
            f"{name}, mode {k}",
            printed,
            value[k - 1],
            unit="cent",
            source=DERIVED,
            tag="recomputed independently",
            tolerance=tolerance,
            reason=reason,
        )
        for name, printed, value, tolerance in rows
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
