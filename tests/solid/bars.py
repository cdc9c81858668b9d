"""Bars the tests of the solid share."""

from __future__ import annotations

from barmodel.bar import Bar, Blank
from barmodel.undercut import Shape
from barmodel.wood import Wood

HARDWOOD = Wood(
    density=850.0,
    e_long=17e9,
    e_width=1.2e9,
    e_thick=2.0e9,
    g_long_width=1.4e9,
    g_long_thick=1.9e9,
    g_width_thick=0.45e9,
    nu_long_width=0.45,
    nu_long_thick=0.35,
    nu_width_thick=0.36,
)
ALUMINIUM = Wood.from_isotropic(e=69e9, nu=0.33, density=2700.0)


def bar(length: float, width: float, thickness: float, wood: Wood, *cuts: Shape) -> Bar:
    """A bar from sizes in millimetres."""
    blank = Blank(length=length * 1e-3, width=width * 1e-3, thickness=thickness * 1e-3, wood=wood)
    return Bar(blank=blank, undercut=cuts)
