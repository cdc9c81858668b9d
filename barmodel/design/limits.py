"""What the maker's cutters, ends and nerve allow."""

from __future__ import annotations

import math
from dataclasses import dataclass

from barmodel.bar import LEAST_THICKNESS
from barmodel.errors import InputError
from barmodel.units import MM

CLEAR_SHARE = 0.04
"""Share of the length left uncut at each end unless the maker says otherwise (own choice)."""
STEEPEST = 2.0
"""Steepest slope a drum or belt is led along, 63° (own choice). [1]"""
SMALLEST_ROUND = 8.0 * MM
"""Radius of the round hollows when no drum is named: the smallest a hollow is drawn with. [m]"""
LEAST_LEFT = "the least thickness"
"""What a search is said to be stopped by that leans on it."""
MARGIN = 1e-3
"""Relative room kept to a curved limit, so that the last Newton step does not cross it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """Bounds every design keeps.

    Attributes
    ----------
    keep : float
        Thickness that must remain everywhere. [m]
    clear_ends : float, optional
        Length left uncut at each end; 4 % of the bar by default. [m]
    drum_radius : float, optional
        Radius of the drum that must be able to roll along the underside. [m]
    bit_diameter : float, optional
        Diameter of the router bit: no floor is narrower, pockets get vertical walls. [m]
    steepest : float
        Largest slope of a smooth underside. [1]
    """

    keep: float = LEAST_THICKNESS
    clear_ends: float | None = None
    drum_radius: float | None = None
    bit_diameter: float | None = None
    steepest: float = STEEPEST

    def __post_init__(self) -> None:
        _require("least thickness", self.keep, positive=True)
        _require("steepest slope", self.steepest, positive=True)
        for name in ("clear_ends", "drum_radius", "bit_diameter"):
            value = getattr(self, name)
            if value is not None:
                _require(name.replace("_", " "), value, positive=name != "clear_ends")

    def clear(self, length: float) -> float:
        """Length left uncut at each end of a bar of this length. [m]"""
        return CLEAR_SHARE * length if self.clear_ends is None else self.clear_ends


def _require(name: str, value: float, *, positive: bool) -> None:
    if not math.isfinite(value) or value < 0.0 or (positive and value == 0.0):
        raise InputError(
            f"{name} is {value:g}; it must be {'above zero' if positive else 'zero or more'}"
        )
