"""Bars for textbook cases: one Young's modulus, one shear modulus, plain Timoshenko theory."""

from __future__ import annotations

from dataclasses import replace

from barmodel.bar import Bar, Blank
from barmodel.beam import BeamModes, solve_beam
from barmodel.wood import Wood


def beam_material(*, e: float, g: float, density: float) -> Wood:
    """Material of which a plain beam only feels E, G and density, with the shear factor 5/6.

    The package gives Cowper's factor to metal and 5/6 to wood. Across the bar this material is ten
    times softer, which no plain beam can feel and which makes it a wood.
    """
    return Wood(density, e, e / 10, e / 10, g, g, g / 10, 0.3, 0.3, 0.3)


def uniform_bar(wood: Wood, *, length: float, width: float, thickness: float) -> Bar:
    """Return an uncut bar. [m]"""
    return Bar(blank=Blank(length=length, width=width, thickness=thickness, wood=wood))


def plain_beam(bar: Bar, *, count: int, elements: int = 24) -> BeamModes:
    """Solve by plain Timoshenko theory, on twice the default number of elements."""
    return solve_beam(bar, count=count, elements=elements, section="plain")


def scaled(bar: Bar, **factors: float) -> Bar:
    """Return the bar in wood whose constants are multiplied, as `Wood.scaled` takes them."""
    return replace(bar, blank=replace(bar.blank, wood=bar.blank.wood.scaled(**factors)))
