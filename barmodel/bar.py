"""The blank and the bar: a piece of wood or metal, and what has been cut out of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from barmodel.errors import GeometryError
from barmodel.undercut import Profile, Shape, build_profile
from barmodel.units import MM
from barmodel.wood import Wood

LEAST_THICKNESS = 2.0 * MM
"""What must remain anywhere unless the maker says otherwise (common practice, no source). [m]"""
_BLOWS_WOOD, _BLOWS_METAL = 6.0 * MM, 4.0 * MM


def bears_blows(wood: Wood) -> float:
    """Thickness from which a bar bears hard blows (from memory; one builder kept 1/4 in). [m]"""
    return _BLOWS_METAL if wood.isotropic else _BLOWS_WOOD


@dataclass(frozen=True, slots=True, kw_only=True)
class Blank:
    """A planed, rectangular piece before the undercut.

    Attributes
    ----------
    length, width, thickness : float
        Along the grain, across it, and from the flat top to the underside. [m]
    wood : Wood
        Elastic constants and density.
    """

    length: float
    width: float
    thickness: float
    wood: Wood

    def __post_init__(self) -> None:
        for name in ("length", "width", "thickness"):
            value = getattr(self, name)
            if not (math.isfinite(value) and value > 0.0):
                raise GeometryError(
                    f"blank: {name} is {value / MM:g} mm; it must be a positive length"
                )
        if self.length < 2.0 * self.thickness:
            raise GeometryError(
                f"blank: length {self.length / MM:g} mm is under twice the thickness "
                f"{self.thickness / MM:g} mm; no bar theory holds there; check the sizes"
            )
        if self.length < self.width:
            raise GeometryError(
                f"blank: length {self.length / MM:g} mm is less than the width "
                f"{self.width / MM:g} mm; length runs along the grain; exchange them"
            )

    @property
    def mass(self) -> float:
        """Mass by size and density. [kg]"""
        return self.length * self.width * self.thickness * self.wood.density


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A blank with cuts in its underside, applied in order.

    Attributes
    ----------
    blank : Blank
        What it is cut from.
    undercut : tuple of Shape
        Cuts, positions from the left end of the bar.
    """

    blank: Blank
    undercut: tuple[Shape, ...] = ()

    @property
    def profile(self) -> Profile:
        """Thickness along the bar."""
        return build_profile(self.blank.length, self.blank.thickness, self.undercut)

    @property
    def volume(self) -> float:
        """Volume of what remains. [m³]"""
        return self.blank.width * self.profile.integral()

    @property
    def mass(self) -> float:
        """Mass of what remains. [kg]"""
        return self.volume * self.blank.wood.density

    def with_cuts(self, *cuts: Shape) -> Bar:
        """Return the bar after further cuts."""
        return replace(self, undercut=(*self.undercut, *cuts))

    def trimmed(self, *, left: float = 0.0, right: float = 0.0) -> Bar:
        """Return the bar shortened at its ends; positions count from the new left end.

        Parameters
        ----------
        left, right : float
            Length taken off each end. [m]
        """
        if min(left, right) < 0.0:
            raise GeometryError("trim: lengths taken off the ends cannot be negative")
        middle = self.blank.length / 2
        kept = self.undercut
        if left != right:  # the middle of the bar moves: mirrored cuts must remember theirs
            kept = tuple(
                replace(cut, axis=middle) if cut.mirror and cut.axis is None else cut
                for cut in kept
            )
        blank = replace(self.blank, length=self.blank.length - left - right)
        return Bar(blank=blank, undercut=tuple(cut.shifted(-left) for cut in kept))
