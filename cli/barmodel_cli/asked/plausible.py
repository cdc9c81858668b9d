"""Values that no bar has, and the slip that is likely behind each: units, weights, readings.

The ranges and the rules are this project's own judgement; `--unusual` takes a value all the same.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, NamedTuple, TypeAlias

import typer

from barmodel_cli.asked.options import BadValue, read_positive

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.pitch import Target

FAR_CENTS = 600.0
"""A reading further than this from what the bar foretells is taken for a slip. Pitch goes with the
root of stiffness over density: 600 cents is wood of half or double what the file says. [cent]"""
NEAR_CENTS = 300.0
"""How well a corrected reading must fit before the correction is offered. [cent]"""


class Range(NamedTuple):
    """What an option usually holds, and the units it is often given in by mistake."""

    low: float
    high: float
    unit: str
    slips: tuple[tuple[float, str], ...]


LENGTHS = ((10.0, "{0:g} cm"), (25.4, "{0:g}in"), (1000.0, "{0:g} m"), (0.1, "one digit less"))
SIZES = {
    "--length": Range(60.0, 1200.0, "mm", LENGTHS),
    "--width": Range(15.0, 150.0, "mm", LENGTHS),
    "--thickness": Range(4.0, 60.0, "mm", LENGTHS),
}
"""From the top bars of a glockenspiel to the bottom ones of a contrabass (own judgement)."""
DENSITY_SLIPS = ((1000.0, "{0:g} g/cm³"), (16.018463, "{0:g} lb/ft³"))
WOOD_DENSITY = Range(250.0, 1500.0, "kg/m³", DENSITY_SLIPS)
METAL_DENSITY = Range(1500.0, 9000.0, "kg/m³", DENSITY_SLIPS)
ANY_DENSITY = Range(250.0, 9000.0, "kg/m³", DENSITY_SLIPS)
MASS_SLIPS = ((1000.0, "{0:g}kg"), (28.349523, "{0:g}oz"), (453.59237, "{0:g}lb"), (0.001, "mg"))
STIFFNESS = Range(2.0, 250.0, "GPa", ((1e-3, "{0:g} MPa"), (1e-9, "{0:g} Pa")))
SECOND = ((2.6, 3.2), (3.8, 4.08))
"""Mode 2 over mode 1 where two are tuned: from the 2.76 of an uncut bar to a wide twelfth, and
about the double octave (own judgement). [1]"""
THIRD = (5.0, 12.0)
"""Mode 3 over mode 1 where three are tuned (own judgement). [1]"""
COLDEST_C, WARMEST_C = -10.0, 45.0
"""Temperatures of bars on a bench (own judgement). [°C]"""
OTHERS_RISE = 50.0
"""So far below its target a higher mode of a blank may be before a word is due: cuts at places
where it does not bend raise it a little (own judgement). [cent]"""
MOST_BY_WEIGHT = 0.35
"""Share by which a plank's density may differ from its species' before a word is due."""

Unusual: TypeAlias = Annotated[
    bool,
    typer.Option(
        "--unusual", help="Take values that bars do not usually have; checked, and meant so."
    ),
]

_QUANTITY = re.compile(r"^\s*(?P<number>[-+]?[\d.,]+(?:e[-+]?\d+)?)\s*(?P<unit>[a-z/³3]*)\s*$")
_MASS_UNITS = {"": 1.0, "g": 1.0, "kg": 1000.0, "oz": 28.349523125, "lb": 453.59237}
_DENSITY_UNITS = {"": 1.0, "kg/m3": 1.0, "kg/m³": 1.0, "g/cm3": 1000.0, "g/cm³": 1000.0}


def check_temperature(celsius: float | None, *, unusual: bool) -> None:
    """Refuse a temperature that no bench has; most are in degrees Fahrenheit.

    Raises
    ------
    BadValue
        With the temperature in °C that is likely meant.
    """
    if celsius is None or unusual or COLDEST_C <= celsius <= WARMEST_C:
        return
    meant = (celsius - 32.0) / 1.8
    slip = f"if that is °F, write {meant:.0f}; " if COLDEST_C <= meant <= WARMEST_C else ""
    raise BadValue(
        f"--temperature {celsius:g}: in °C no bar on a bench has it ({COLDEST_C:g} to "
        f"{WARMEST_C:g}, own judgement); {slip}if it is right, add --unusual"
    )


def read_mass_g(text: str | float) -> float:
    """Read a weight: grams, or another unit where written. [g]"""
    return _with_unit(text, _MASS_UNITS, "a weight; write 320g, 0.32kg or 11.3oz")


def read_density(text: str | float) -> float:
    """Read a density: kg/m³, or g/cm³ where written. [kg/m³]"""
    return _with_unit(text, _DENSITY_UNITS, "a density; write 745 (kg/m³) or 0.745g/cm3")


def _with_unit(text: str | float, units: dict[str, float], wanted: str) -> float:
    if isinstance(text, int | float):
        return float(text)
    match = _QUANTITY.match(text.casefold())
    if match is None:
        return read_positive(text)  # says what is wrong with it
    if match["unit"] not in units:
        raise BadValue(f"{text!r} is not {wanted}")
    value = round(read_positive(match["number"]) * units[match["unit"]], 9)
    if not (math.isfinite(value) and value > 0.0):
        raise BadValue(f"{text!r} cannot be; check its digits and its unit")
    return value


def check_blank(
    sizes_mm: dict[str, float],
    *,
    density: float | None,
    mass_g: float | None,
    e_long: float | None,
    metal: bool | None,
    ratios: Sequence[float] | None = None,
) -> None:
    """Refuse sizes, weights and stiffness that no bar has.

    Parameters
    ----------
    sizes_mm : dict
        Length, width and thickness by their options. [mm]
    density, mass_g, e_long : float, optional
        As given. [kg/m³], [g], [GPa]
    metal : bool, optional
        Whether the species is one of the metals; None if no species is told.
    ratios : sequence of float, optional
        Modes tuned, over the first. [1]

    Raises
    ------
    BadValue
        Naming each value, what is usual, and the likely slip.
    """
    found = [outside(name, value, SIZES[name]) for name, value in sizes_mm.items()]
    usual = usual_density(metal)
    if density is not None:
        found.append(outside("--density", density, usual))
    if mass_g is not None and not any(found):
        found.append(odd_weight("--mass", mass_g, math.prod(sizes_mm.values()) * 1e-9, usual))
    if e_long is not None:
        found.append(outside("--e-long", e_long, STIFFNESS))
    length, width, thickness = sizes_mm.values()
    if not any(found) and not length > width > thickness:
        found.append(
            f"length {length:g}, width {width:g}, thickness {thickness:g} mm: a bar is longer than "
            "wide and wider than thick; were two of them exchanged?"
        )
    if ratios is not None:
        found.append(odd_ratios("--ratios", ratios, write="{}"))
    told = [text for text in found if text]
    if told:
        raise BadValue(
            "; ".join(told) + " (ranges by own judgement). If it is really so, add --unusual"
        )


def is_metal(wood: str | None) -> bool | None:
    """Whether a species of the table is a metal; None for one that is not in it."""
    from barmodel.errors import InputError
    from barmodel.wood import species

    try:
        return None if wood is None else species(wood).metal
    except InputError:
        return None


def usual_density(metal: bool | None) -> Range:
    """Densities of bars; `metal` is None where it is not known what they are made of."""
    return {None: ANY_DENSITY, True: METAL_DENSITY, False: WOOD_DENSITY}[metal]


def odd_ratios(name: str, ratios: Sequence[float], *, write: str) -> str | None:
    """Say what is odd about the modes tuned: the point of 1:4.10, a one left out.

    Parameters
    ----------
    name : str
        Of the option or field.
    ratios : sequence of float
        As given. [1]
    write : str
        How a list is written there, `{}` standing for the list; with braces alone as 1:4:10.
    """

    def shown(values: Sequence[float]) -> str:
        joint = ":" if write == "{}" else ", "
        return write.format(joint.join(f"{value:g}" for value in values))

    if len(ratios) > 1 and _usual_second(ratios[0]):
        if all(low < high for low, high in pairwise(ratios)):
            return f"{name} is {shown(ratios)}; did you mean {shown([1, *ratios])}?"
        return None  # told by the reading
    if len(ratios) != 2 or _usual_second(ratios[1]):
        return None
    meant = ""
    second, _, third = f"{ratios[1]:g}".partition(".")
    for tried in (third, f"{third}0"):  # a zero at the end of a number is lost in reading
        values = [1.0, float(second), float(tried or "0")]
        if _usual_second(values[1]) and THIRD[0] <= values[2] <= THIRD[1]:
            meant = f"; did you mean {shown(values)}?"
            break
    return (
        f"{name} is {shown(ratios)}, mode 2 at {ratios[1]:g} times mode 1, where bars have 3 or 4"
        f"{meant}"
    )


def _usual_second(ratio: float) -> bool:
    return any(low <= ratio <= high for low, high in SECOND)


def outside(name: str, value: float, usual: Range) -> str | None:
    """Say that a value is not a usual one, and what may be meant; None for one that is."""
    if usual.low <= value <= usual.high:
        return None
    guesses = [
        f"{value * factor:.4g} {usual.unit} ({words.format(value)})"
        for factor, words in usual.slips
        if usual.low <= value * factor <= usual.high
    ]
    meant = f"; did you mean {' or '.join(guesses)}?" if guesses else ""
    return (
        f"{name} is {value:g} {usual.unit}, outside the {usual.low:g} to {usual.high:g} "
        f"{usual.unit} of bars{meant}"
    )


def odd_weight(name: str, mass_g: float, volume: float, usual: Range) -> str | None:
    """Say what is wrong with a weight, by the density it would mean. [g], [m³]"""
    density = mass_g * 1e-3 / volume
    if usual.low <= density <= usual.high:
        return None
    guesses = [
        f"{mass_g * factor:.4g} g ({words.format(mass_g)})"
        for factor, words in MASS_SLIPS
        if usual.low <= density * factor <= usual.high
    ]
    meant = f"did you mean {' or '.join(guesses)}?" if guesses else "check weight and sizes"
    return (
        f"{name} is {mass_g:g} g, which makes {density:.3g} kg/m³ of this blank, outside the "
        f"{usual.low:g} to {usual.high:g} kg/m³ of bars; {meant}"
    )


def expected_hz(bar: Bar, count: int) -> list[float]:
    """Bending modes that the file foretells for the bar. [Hz]"""
    from barmodel.modes import solve

    found = solve(bar, count=max(count, 3), families=("bending",), order="quick")
    return [float(hz) for hz in found.bending_hz]


def out_of_reach(
    target: Target, rings: Sequence[float], tapped: Sequence[float | None] = ()
) -> str | None:
    """Say that a blank rings below a mode it is to be tuned to: an undercut only lowers it.

    Parameters
    ----------
    target : Target
    rings : sequence of float
        Bending modes of the blank as foretold. [Hz]
    tapped : sequence of float or None
        The same as tapped, which count before. [Hz]
    """
    known = dict(enumerate(rings)) | {k: hz for k, hz in enumerate(tapped) if hz is not None}
    for mode, wanted in enumerate(target.hz.tolist()):
        hz = known.get(mode, math.inf)
        if 1200.0 * math.log2(hz / wanted) < -(OTHERS_RISE if mode else 0.0):
            fewer = f", or --ratios without mode {mode + 1}" if mode else ""
            about = "" if mode < len(tapped) and tapped[mode] is not None else "about "
            return (
                f"mode {mode + 1} of the blank rings at {about}{hz:.0f} Hz, and mode {mode + 1} of "
                f"{target.note} is to be {wanted:.0f} Hz: the undercut only lowers it, so this "
                f"needs a thicker or shorter blank, or another note{fewer}"
            )
    return None


def doubts(heard: Sequence[float | None], expected: Sequence[float]) -> list[str]:
    """Say what of a reading cannot be of this bar, and the likely slip behind it.

    Parameters
    ----------
    heard : sequence of float or None
        Bending modes 1, 2, … as read. [Hz]
    expected : sequence of float
        As the bar foretells them. [Hz]

    Returns
    -------
    list of str
        Empty if every mode lies within `FAR_CENTS`.
    """
    away = {
        k: 1200.0 * math.log2(hz / expected[k])
        for k, hz in enumerate(heard[: len(expected)])
        if hz is not None
    }
    far = [k for k, cents in away.items() if abs(cents) > FAR_CENTS]
    if not far:
        return []
    told = [
        f"mode {k + 1} at {heard[k]:g} Hz lies {abs(away[k]):.0f} cents "
        f"{'above' if away[k] > 0 else 'below'} the {expected[k]:.0f} Hz foretold"
        for k in far
    ]
    return [*told, _slip(heard, expected, far)]


def _slip(heard: Sequence[float | None], expected: Sequence[float], far: list[int]) -> str:
    for repair in (_moved_points, _renumbered):
        better = repair(heard, expected, far)
        if better is not None and _fits(better, expected):
            shown = ",".join("-" if hz is None else f"{hz:g}" for hz in better)
            return f"did you mean {shown}?"
    known = zip(heard, expected, strict=False)
    if all(hz is None or hz < want for hz, want in known):
        return (
            "was wood cut that is not recorded? Then record the cut first (barmodel cut); else "
            "check the numbers, and the sizes and the wood in the file."
        )
    return "check the numbers, and the sizes and the wood in the file."


def _fits(heard: Sequence[float | None], expected: Sequence[float]) -> bool:
    return all(
        hz is None or abs(1200.0 * math.log2(hz / want)) < NEAR_CENTS
        for hz, want in zip(heard, expected, strict=False)
    )


def _moved_points(
    heard: Sequence[float | None], expected: Sequence[float], far: list[int]
) -> list[float | None]:
    """Set the decimal point of each doubtful mode where it fits best."""
    out = list(heard)
    for k in far:
        hz = heard[k]
        assert hz is not None
        out[k] = float(f"{hz * 10.0 ** round(math.log10(expected[k] / hz)):.10g}")
    return out


def _renumbered(
    heard: Sequence[float | None], expected: Sequence[float], far: list[int]
) -> list[float | None] | None:
    """Put each frequency at the mode it lies nearest to: one was not heard and not marked so."""
    out: list[float | None] = [None] * len(expected)
    for hz in heard:
        if hz is None:
            continue
        nearest = min(range(len(expected)), key=lambda k: abs(math.log(hz / expected[k])))
        if out[nearest] is not None:
            return None
        out[nearest] = hz
    return out[: max((k + 1 for k, hz in enumerate(out) if hz is not None), default=0)]


def check_reading(heard: Sequence[float | None], expected: Sequence[float]) -> None:
    """Refuse a reading that cannot be of this bar.

    Raises
    ------
    BadValue
        With the likely slip.
    """
    found = doubts(heard, expected)
    if found:
        *told, slip = found
        raise BadValue(
            f"this cannot be a reading of this bar: {'; '.join(told)} (more than "
            f"{FAR_CENTS:.0f} cents, own judgement); {slip} Nothing was written; "
            "if the reading is right, add --unusual"
        )
