"""How a bar longer than the paper is shared out over several sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from barmodel.errors import InputError

OVERLAP = 20.0
"""Length printed on both of two neighbouring sheets. [mm of paper]"""
LEAST_OVERLAP = 10.0
EDGE = 4.0
"""White kept beyond the ends of the bar. [mm of paper]"""


@dataclass(frozen=True, slots=True)
class Tile:
    """The stretch of the bar that one sheet shows.

    Attributes
    ----------
    start, end : float
        Stretch printed, in millimetres of the bar.
    joins : tuple of float
        Where it meets its neighbours, left then right as far as there are any. [mm of the bar]
    number, count : int
        Which sheet of how many.
    """

    start: float
    end: float
    joins: tuple[float, ...]
    number: int
    count: int

    def holds(self, x: float) -> bool:
        """Whether a place on the bar is printed on this sheet."""
        return self.start <= x <= self.end


def share_out(
    length: float,
    room: float,
    *,
    scale: float = 1.0,
    avoid: Sequence[tuple[float, float]] = (),
) -> tuple[Tile, ...]:
    """Cut the bar into equal stretches that overlap.

    Parameters
    ----------
    length : float
        Length of the bar. [mm]
    room : float
        Length of paper for it on one sheet. [mm]
    scale : float
        Millimetres of paper to a millimetre of bar. [1]
    avoid : sequence of (float, float)
        Stretches of the bar where no join should lie, because words stand there. [mm]

    Examples
    --------
    >>> [(tile.start, tile.end) for tile in share_out(460.0, 260.0)]
    [(-4.0, 240.0), (220.0, 464.0)]
    """
    if room <= 2 * OVERLAP:
        raise InputError(f"paper leaves {room:g} mm for the bar; use a larger size or turn it")
    whole = length + 2 * EDGE / scale
    if whole <= room / scale:
        return (Tile(-EDGE / scale, length + EDGE / scale, (), 1, 1),)
    # first the full overlap; if no quiet place for the joins is within reach, a little less of it
    plans = [_plan(whole, room / scale, overlap / scale, EDGE / scale, avoid)
             for overlap in (OVERLAP, 0.8 * OVERLAP, LEAST_OVERLAP)]  # fmt: skip
    unrest = [sum(_unrest(join, avoid) for join in joins) for joins, _ in plans]
    joins, overlap = plans[unrest.index(min(unrest))]
    starts = [-EDGE / scale, *(join - overlap / 2 for join in joins)]
    ends = [*(join + overlap / 2 for join in joins), length + EDGE / scale]
    return tuple(
        Tile(start, end, tuple(joins[max(index - 1, 0) : index + 1]), index + 1, len(starts))
        for index, (start, end) in enumerate(zip(starts, ends, strict=True))
    )


def _plan(
    whole: float, window: float, overlap: float, edge: float, avoid: Sequence[tuple[float, float]]
) -> tuple[list[float], float]:
    """Joins of the fewest sheets that do, each moved to the quietest place within reach."""
    count = math.ceil((whole - overlap) / (window - overlap) - 1e-9)
    step = (whole - overlap) / count
    slack = (window - overlap - step) / 2
    places = (-edge + overlap / 2 + index * step for index in range(1, count))
    return [_quiet_place(place, slack, avoid) for place in places], overlap


def _quiet_place(wanted: float, slack: float, avoid: Sequence[tuple[float, float]]) -> float:
    steps = int(slack / 0.25)
    places = [wanted + 0.25 * k for k in range(-steps, steps + 1)]
    return min(places, key=lambda place: (_unrest(place, avoid), abs(place - wanted)))


def _unrest(place: float, avoid: Sequence[tuple[float, float]]) -> int:
    return sum(low < place < high for low, high in avoid)
