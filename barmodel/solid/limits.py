"""Where the column model stops being good."""

from __future__ import annotations

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
STEEPEST = 2.0
"""Steepest slope, other than a vertical wall, that columns follow well: straight ramps of slope
1 to 3 come out 2 to 4 cents sharp in mode 3 of a 430 mm bar, against staircases of walls. [1]"""


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
    steep = _steepest(bar)
    if steep is not None:
        out.append(
            f"the underside is very steep at x = {steep / MM:.1f} mm without being a vertical "
            "wall; frequencies may be up to ten cents sharp"
        )
    out += [
        f"{mode.label} at {mode.hz:.0f} Hz mixes several kinds of motion; its name means little"
        for mode in modes
        if mode.share < MIXED
    ]
    return tuple(out)


def _steepest(bar: Bar) -> float | None:
    """Where the underside is steeper than the model likes, if anywhere. [m]"""
    underside = underside_of(bar.profile)
    edges = underside.edges
    s = np.linspace(0.0, 1.0, 9)
    x = edges[:-1, None] + np.diff(edges)[:, None] * s
    h = underside.thickness(x, np.broadcast_to(np.arange(edges.size - 1)[:, None], x.shape))
    rise, run = np.abs(np.diff(h, axis=1)), np.diff(x, axis=1)
    bad = (rise > STEEPEST * run) & (rise > 0.02 * bar.blank.thickness)
    return float(x[:, :-1][bad][0]) if bad.any() else None
