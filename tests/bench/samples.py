"""A made-up bar for the bench: padauk, near its note, and what is heard on it."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.bench import Goal
from barmodel.bench.model import solid_log_hz
from barmodel.modes import solve
from barmodel.pitch import Target
from barmodel.undercut import Arch
from barmodel.undercut.piece import Array
from barmodel.units import MM
from barmodel.wood import species

BLANK = Blank(
    length=400 * MM, width=60 * MM, thickness=22 * MM, wood=species("honduran rosewood").wood()
)
BAR = Bar(
    blank=BLANK,
    undercut=(Arch(start=75 * MM, end=325 * MM, depth=13.5 * MM, fullness=3.0),),
)


@lru_cache(maxsize=64)
def computed(bar: Bar) -> Array:
    """First three bending modes by the solid. [Hz]"""
    return solve(bar, count=3, families=["bending"], order="quick").bending_hz[:3]


def target_of(bar: Bar) -> Target:
    """A target that the bar meets, whatever the note."""
    hz = np.exp(solid_log_hz(bar, 3))
    offset = 1200 * np.log2(hz[0] / Target("A3").hz[0])
    return Target("A3", ratios=(1.0, *(hz[1:] / hz[0]).tolist()), offset_cents=float(offset))


TARGET = target_of(BAR)
GOAL = Goal(target=TARGET)
"""What the bar is tuned to: itself."""
