"""Bars the tests of the solid share."""

from __future__ import annotations

from barmodel.bar import Bar, Blank
from barmodel.undercut import Shape
from barmodel.wood import Wood

ALUMINIUM = Wood.from_isotropic(e=69e9, nu=0.33, density=2700.0)


def bar(length: float, width: float, thickness: float, wood: Wood, *cuts: Shape) -> Bar:
    """A bar from sizes in millimetres."""
    blank = Blank(length=length * 1e-3, width=width * 1e-3, thickness=thickness * 1e-3, wood=wood)
    return Bar(blank=blank, undercut=cuts)
