"""Bars on which speed is measured: 430 × 64 × 23 mm of a dense wood, four undersides."""

from __future__ import annotations

from barmodel.bar import Bar, Blank
from barmodel.undercut import Arch, Groove, Pocket
from barmodel.units import MM
from validation.solid_independent.bars import DENSE_WOOD

BLANK = Blank(length=430 * MM, width=64 * MM, thickness=23 * MM, wood=DENSE_WOOD)


def bars(nudge: float = 0.0) -> dict[str, Bar]:
    """Return the four bars, every depth moved by `nudge` [m] so that nothing is remembered."""
    arch = Arch(start=80 * MM, end=350 * MM, depth=16.1 * MM + nudge, fullness=3.0)
    pocket = Pocket(start=95 * MM, end=335 * MM, depth=7 * MM + nudge)
    inner = Pocket(start=160 * MM, end=270 * MM, depth=5 * MM + nudge)
    hollows = tuple(
        Groove(at=at * MM, width=60 * MM, depth=depth * MM + nudge, section="dished")
        for at, depth in ((215, 6.0), (130, 5.0), (300, 5.0))
    )
    shallow = Pocket(start=100 * MM, end=330 * MM, depth=4 * MM + nudge, corner_radius=4 * MM)
    return {
        "uniform": Bar(blank=BLANK),
        "arch to 0.3 of the thickness": Bar(blank=BLANK, undercut=(arch,)),
        "two pockets": Bar(blank=BLANK, undercut=(pocket, inner)),
        "three hollows": Bar(blank=BLANK, undercut=(shallow, *hollows)),
    }
