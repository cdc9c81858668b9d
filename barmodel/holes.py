"""Holes across a bar for its cord: where they go through, and whether there is wood for them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.errors import GeometryError
from barmodel.units import MM

WIDEST = 20.0 * MM
"""Cord holes are up to so wide (own judgement). [m]"""
ACROSS = np.linspace(-1.0, 1.0, 7)
"""Slices of the width in which a hole out of square is looked at."""


@dataclass(frozen=True, slots=True)
class CordHole:
    """A hole across the bar.

    Attributes
    ----------
    x : float
        Where its axis crosses the middle line of the bar, from the left end. [m]
    diameter : float
        [m]
    height : float
        Axis under the flat top. [m]
    angle_degrees : float
        Turn out of square, positive when the rear end lies further right.
    """

    x: float
    diameter: float = 6.4 * MM
    height: float = 11 * MM
    angle_degrees: float = 0.0

    def ends(self, width: float) -> tuple[float, float]:
        """Where it comes out at the front and at the rear edge, from the left end. [m]"""
        shift = width / 2 * math.tan(math.radians(self.angle_degrees))
        return self.x - shift, self.x + shift


def check_hole(bar: Bar, hole: CordHole) -> None:
    """Refuse a hole that leaves the bar or breaks out of it.

    Raises
    ------
    GeometryError
        Naming the place and what would do.
    """
    blank = bar.blank
    if not abs(hole.angle_degrees) < 60.0:
        raise GeometryError(
            f"hole at {hole.x / MM:.1f} mm: turned by {hole.angle_degrees:g} degrees; cord holes "
            "are 0 to 15 degrees out of square"
        )
    front, rear = hole.ends(blank.width)
    radius = hole.diameter / 2
    low, high = min(front, rear) - radius, max(front, rear) + radius
    if not (hole.diameter > 0.0 and low > 0.0 and high < blank.length):
        raise GeometryError(
            f"hole at {hole.x / MM:.1f} mm, {hole.diameter / MM:g} mm wide, leaves the bar of "
            f"{blank.length / MM:g} mm; place it on the bar or turn it less"
        )
    wood = float(bar.profile.thickness(np.linspace(low, high, 81)).real.min())
    if hole.height - radius <= 0.0 or hole.height + radius >= wood:
        raise GeometryError(
            f"hole at {hole.x / MM:.1f} mm, axis {hole.height / MM:g} mm under the top, breaks "
            f"out of wood that is {wood / MM:.1f} mm thick there; set another height or place"
        )


def half_way(bar: Bar, x: float, diameter: float, angle_degrees: float = 0.0) -> float:
    """Height of the axis of a hole half way through the least wood along it. [m]

    Parameters
    ----------
    bar : Bar
    x : float
        Where its axis crosses the middle line. [m]
    diameter : float
        [m]
    angle_degrees : float
        Out of square.

    Returns
    -------
    float
        To a tenth of a millimetre below, as it is set at the drill. [m]
    """
    turned = bar.blank.width / 2 * abs(math.tan(math.radians(angle_degrees)))
    reach = diameter / 2 + turned
    along = np.clip(np.linspace(x - reach, x + reach, 65), 0.0, bar.blank.length)
    left = float(bar.profile.thickness(along).real.min())
    return math.floor(left / 2 / MM * 10.0 + 1e-6) * MM / 10.0


def bored(
    bar: Bar, places: Sequence[float], diameter: float, angles_degrees: Sequence[float]
) -> tuple[CordHole, ...]:
    """Return holes at one height, half way through the wood where least is left along any of them.

    Parameters
    ----------
    bar : Bar
    places : sequence of float, length n
        Where each axis crosses the middle line. [m]
    diameter : float
        [m]
    angles_degrees : sequence of float, length n
        Out of square, as in `CordHole`.

    Returns
    -------
    tuple of CordHole, length n
        Not checked: see `check_hole`.
    """
    ways = list(zip(places, angles_degrees, strict=True))
    axis = min((half_way(bar, x, diameter, turn) for x, turn in ways), default=0.0)
    return tuple(CordHole(x, diameter, axis, turn) for x, turn in ways)
