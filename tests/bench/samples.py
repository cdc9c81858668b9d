"""A made-up bar for the bench: padauk, near its note, and what is heard on it."""

from __future__ import annotations

from functools import lru_cache

from barmodel.bar import Bar, Blank
from barmodel.modes import solve
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
