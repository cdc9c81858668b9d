"""Where the column model stops being good."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from barmodel.bar import Bar
from barmodel.solid.record import SolidMode
from barmodel.solid.underside import underside_of
from barmodel.units import MM

SHORTEST_BAR = 6.0
"""Below this many thicknesses modes 2 and 3 are hardly bending modes any more. [1]"""
MIXED = 0.5
"""A mode with a smaller share of its energy in its own kind of motion has no clear name. [1]"""
STEEP = 2.9
"""Slope, times √(E/G), that columns follow well: 45 degrees in most woods. [1]"""
STEEPER = 6.0
"""Slope, times √(E/G), beyond which they follow badly. [1]"""
SHARPER = {STEEP: 3, STEEPER: 7}
"""Cents by which mode 3 may be sharp at ramps so steep and steeper, standard mesh: 0.7 to 2.7 and
4 to 6 for straight ramps in bars of 430 and 190 mm, against meshes of degree 6 and 7. Round
corners are better. [cent]"""


def warnings_for(bar: Bar, modes: Sequence[SolidMode]) -> tuple[str, ...]:
    """Words for a maker on what makes this answer less sure than usual.

    Parameters
    ----------
    bar : Bar
    modes : sequence of SolidMode
    """
    out = []
    blank = bar.blank
    slenderness = blank.length / blank.thickness
    if slenderness < SHORTEST_BAR:
        out.append(
            f"the bar is only {slenderness:.1f} thicknesses long; modes above the first may be "
            "off by several cents: check them by tapping"
        )
    slope, place = steepest(bar)
    if slope > STEEP:
        cents = SHARPER[STEEPER if slope > STEEPER else STEEP]
        out.append(
            f"the underside is very steep at x = {place / MM:.1f} mm without being a vertical "
            f"wall; frequencies, of mode 3 above all, may be up to {cents} cents sharp"
        )
    out += [
        f"{mode.label} at {mode.hz:.0f} Hz mixes several kinds of motion; its name means little"
        for mode in modes
        if mode.share < MIXED
    ]
    return tuple(out)


def steepest(bar: Bar) -> tuple[float, float]:
    """Steepest slope that is not a wall, times √(E/G), and where it is. [1], [m]

    Slopes over less than a fiftieth of the thickness do not count.
    """
    underside, wood = underside_of(bar.profile), bar.blank.wood
    edges = underside.edges
    s = np.linspace(0.0, 1.0, 9)
    x = edges[:-1, None] + np.diff(edges)[:, None] * s
    h = underside.thickness(x, np.broadcast_to(np.arange(edges.size - 1)[:, None], x.shape))
    rise, run = np.abs(np.diff(h, axis=1)), np.diff(x, axis=1)
    slope = np.where(rise > 0.02 * bar.blank.thickness, rise / run, 0.0)
    at = np.unravel_index(int(slope.argmax()), slope.shape)
    return math.sqrt(wood.e_long / wood.g_long_thick) * float(slope[at]), float(x[:, :-1][at])
