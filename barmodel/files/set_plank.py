"""A plank of a set file: its wood from its taps, and what is to be said of it."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.errors import InputError, NotConvergedError
from barmodel.files.bars import wood_of
from barmodel.files.document import BlankPart, WoodPart
from barmodel.files.set_document import PlankPart
from barmodel.fit import Taps, WoodFit, fit_wood
from barmodel.instrument import Plank
from barmodel.modes import solve
from barmodel.units import MM
from barmodel.wood import Wood, spread_of

TAP_CENTS = 10.0
"""What a tap of a whole plank errs by, its unevenness included (own judgement). [cent]"""
UNEVEN_CENTS = 25.0
"""Taps that fit one stiffness no better than this are told of (own judgement). [cent]"""
STRANGE = 2.5
"""A stiffness so many times its species', or less by as much, is a slip (own judgement). [1]"""
WITHIN = {"e_long": 0.05, "g_long_thick": 0.10}
"""How far a bar's wood is from the mean of its plank, as a share of each constant: wood changes
along and across a board (own judgement). [1]"""
HEAVIEST, LIGHTEST = 1500.0, 150.0
"""Densities of wood between which a plank is believed (own judgement). [kg/m³]"""


def plank_of(part: PlankPart, stock: WoodPart) -> tuple[Plank | None, str]:
    """Take a plank's own constants, those of the stock for the rest, its taps before all.

    Parameters
    ----------
    part : PlankPart
    stock : WoodPart
        Of the whole set.

    Returns
    -------
    plank : Plank or None
        None if its taps fit no such wood: it is left out, and the set goes on without it.
    remark : str
        Why, or what makes its taps doubtful; empty if nothing does.

    Raises
    ------
    InputError
        If what the file says of it cannot be.
    """
    own = part.wood.model_dump(exclude_unset=True)
    size = BlankPart(
        length_mm=part.length_mm,
        width_mm=part.width_mm,
        thickness_mm=part.thickness_mm,
        mass_g=part.mass_g,
    )
    wood = wood_of(WoodPart(**{**stock.model_dump(exclude_unset=True), **own}), size)
    if not wood.isotropic and not LIGHTEST < wood.density < HEAVIEST:
        raise InputError(
            f"weighs {wood.density:.3g} kg/m³ by its mass and sizes, and no wood does; "
            "mass_g is in grams, sizes are in millimetres"
        )
    remark = ""
    if part.tap_hz:
        if "e_long_gpa" in own:
            raise InputError("has both tap_hz and wood.e_long_gpa; keep one of them")
        if any(above <= below for below, above in pairwise(part.tap_hz)):
            raise InputError(
                f"tap_hz {', '.join(f'{hz:g}' for hz in part.tap_hz)} must rise from mode to mode; "
                "write decimals with a point"
            )
        fitted, remark = _fitted(part, wood)
        if fitted is None:
            return None, remark
        wood = fitted
    return Plank(
        name=part.name,
        length=part.length_mm * MM,
        width=part.width_mm * MM,
        thickness=part.thickness_mm * MM,
        wood=wood,
        quality_factor=part.quality_factor,
    ), remark


def _fitted(part: PlankPart, wood: Wood) -> tuple[Wood | None, str]:
    """Wood by the taps; shear leans on the species, as a slender plank hardly tells it."""
    blank = Blank(
        length=part.length_mm * MM,
        width=part.width_mm * MM,
        thickness=part.thickness_mm * MM,
        wood=wood,
    )
    errors = (TAP_CENTS,) * len(part.tap_hz)
    taps = Taps(bending_hz=part.tap_hz, bending_error_cents=errors)
    try:
        found = fit_wood(Bar(blank=blank), taps, lean=True)
    except (InputError, NotConvergedError):
        return None, f"left out: {_other_than_expected(blank, part)}"
    factor = found.wood.e_long / wood.e_long
    if not 1.0 / STRANGE < factor < STRANGE:
        return None, f"left out: {_other_than_expected(blank, part)}"
    fitted = replace(found.wood, spread=_spread(wood, found))
    worst = int(np.argmax(np.abs(found.residual_cents)))
    if abs(found.residual_cents[worst]) > UNEVEN_CENTS:
        return fitted, (
            f"its taps do not fit one stiffness: mode {worst + 1} at {part.tap_hz[worst]:g} Hz "
            f"lies {found.residual_cents[worst]:+.0f} cents from what the others ask for; the "
            "plank is uneven, or that is a slip: tap it again"
        )
    return fitted, ""


def _spread(wood: Wood, found: WoodFit) -> tuple[tuple[str, float], ...]:
    """How far a bar's constants may be from the fitted ones, where that is less than before."""
    believed, spread = spread_of(wood), dict(wood.spread)
    for name, error in zip(found.names, found.standard_error.tolist(), strict=True):
        of_a_bar = error if wood.isotropic else math.hypot(error, WITHIN[name])
        if of_a_bar < believed[name]:
            spread[name] = of_a_bar
    return tuple(sorted(spread.items()))


def _other_than_expected(blank: Blank, part: PlankPart) -> str:
    """Beside what the species would ring at: that shows which mode or digit is wrong."""
    usual = solve(Bar(blank=blank), model="beam", count=len(part.tap_hz)).bending_hz
    told = ", ".join(f"{hz:g}" for hz in part.tap_hz)
    return (
        f"tapped at {told} Hz, where one of its size, weight and species rings near "
        f"{', '.join(f'{hz:.0f}' for hz in usual)} Hz; is a mode missing, an octave or a digit "
        "wrong?"
    )
