"""Bars that the tests of the cut map share."""

from __future__ import annotations

import pytest

from barmodel.bar import Bar, Blank
from barmodel.undercut import Arch
from barmodel.wood import Wood

WOOD = Wood(
    density=850.0,
    e_long=17e9,
    e_width=1.2e9,
    e_thick=2e9,
    g_long_width=1.4e9,
    g_long_thick=1.9e9,
    g_width_thick=0.45e9,
    nu_long_width=0.45,
    nu_long_thick=0.35,
    nu_width_thick=0.36,
)


@pytest.fixture(scope="session")
def arched() -> Bar:
    """430 × 64 × 23 mm, a parabola to 10.4 mm between 100 and 330 mm."""
    blank = Blank(length=0.43, width=0.064, thickness=0.023, wood=WOOD)
    return Bar(blank=blank, undercut=(Arch(start=0.1, end=0.33, depth=0.0126),))
