"""Bars that the tests of the cut map share."""

from __future__ import annotations

import pytest

from barmodel.bar import Bar, Blank
from barmodel.undercut import Arch
from tests.woods import HARDWOOD


@pytest.fixture(scope="session")
def arched() -> Bar:
    """430 × 64 × 23 mm, a parabola to 10.4 mm between 100 and 330 mm."""
    blank = Blank(length=0.43, width=0.064, thickness=0.023, wood=HARDWOOD)
    return Bar(blank=blank, undercut=(Arch(start=0.1, end=0.33, depth=0.0126),))
