"""Bars with cord holes: what is compared, in this wood."""

from __future__ import annotations

from dataclasses import dataclass

from barmodel.bar import Bar, Blank
from barmodel.holes import CordHole
from barmodel.undercut import Arch
from barmodel.units import MM
from validation.kit.woods import HARDWOOD

WOOD = HARDWOOD
"""What all of them are made of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilled:
    """A bar with a hole at each node of mode 1.

    Attributes
    ----------
    length, thickness, width : float
        [m]
    node : float
        Distance of the holes from the ends over the length. [1]
    arch : tuple of float or None
        Begin and depth of a parabolic arch. [m]
    diameter : float
        [m]
    height : float
        Axis of the hole under the flat top over the thickness. [1]
    """

    length: float
    thickness: float
    node: float
    arch: tuple[float, float] | None
    width: float = 50 * MM
    diameter: float = 6.4 * MM
    height: float = 0.5

    @property
    def bar(self) -> Bar:
        """The bar without its holes."""
        blank = Blank(length=self.length, width=self.width, thickness=self.thickness, wood=WOOD)
        if self.arch is None:
            return Bar(blank=blank)
        begin, depth = self.arch
        shape = Arch(start=begin, end=self.length - begin, depth=depth, fullness=2.0)
        return Bar(blank=blank, undercut=(shape,))

    @property
    def places(self) -> tuple[float, float]:
        """Both holes from the left end. [m]"""
        return self.node * self.length, (1.0 - self.node) * self.length

    @property
    def holes(self) -> tuple[CordHole, ...]:
        """Both holes."""
        axis = self.height * self.thickness
        return tuple(CordHole(x, self.diameter, axis) for x in self.places)


def _mm(length: float, thickness: float, node: float, arch: tuple[float, float] | None = None,
        **other: float) -> Drilled:  # fmt: skip
    given = None if arch is None else (arch[0] * MM, arch[1] * MM)
    return Drilled(length=length * MM, thickness=thickness * MM, node=node, arch=given, **other)


DRILLED = {
    "460 mm, not cut": _mm(460, 23.5, 0.2242),
    "460 mm, arched": _mm(460, 23.5, 0.177, (101.6, 16.8)),
    "360 mm, arched": _mm(360, 22, 0.200, (93, 13.8)),
    "240 mm, arched": _mm(240, 22, 0.217, (85, 11.5)),
    "160 mm, arched": _mm(160, 22, 0.220, (55, 6)),
    "135 mm, not cut": _mm(135, 22, 0.2242),
    "160 mm, arched, hole 4.8 mm": _mm(160, 22, 0.220, (55, 6), diameter=4.8 * MM),
    "160 mm, arched, hole higher": _mm(160, 22, 0.220, (55, 6), height=0.38),
}
"""Holes of 6.4 mm at mid thickness unless it says otherwise."""
SOLID = ("360 mm, arched", "160 mm, arched")
"""Those that are solved in three dimensions as well."""
