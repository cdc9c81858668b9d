"""Planks: the wood of each, what fits into it, and which bars it is best for."""

from __future__ import annotations

import math
from dataclasses import dataclass

from barmodel.errors import InputError
from barmodel.units import MM
from barmodel.wood import Wood


@dataclass(frozen=True, slots=True, kw_only=True)
class Plank:
    """One planed plank.

    Attributes
    ----------
    name : str
    length, width, thickness : float
        [m]
    wood : Wood
        Fitted from its taps, or of its species.
    quality_factor : float, optional
        Resonance quality heard in its ring. [1]
    """

    name: str
    length: float
    width: float
    thickness: float
    wood: Wood
    quality_factor: float | None = None

    def __post_init__(self) -> None:
        for name in ("length", "width", "thickness"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0.0):
                raise InputError(
                    f"plank {self.name}: {name} is {value / MM:g} mm; it must be above zero"
                )
        if self.quality_factor is not None and not self.quality_factor > 0.0:
            raise InputError(f"plank {self.name}: quality factor must be above zero")

    @property
    def speed(self) -> float:
        """Speed of sound along the grain, √(E/ρ). [m/s]"""
        return math.sqrt(self.wood.e_long / self.wood.density)
