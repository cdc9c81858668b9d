"""How a bar longer than the paper is shared out over several sheets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from barmodel.errors import InputError

OVERLAPS = (16.0, 30.0)
"""Least length printed on both of two neighbouring sheets; the second holds any label whole, the
first is taken where that does as well. [mm of paper]"""
REACH = 8.0
"""Length kept on both sides of a join for its marks. [mm of paper]"""
CLEARANCES = (4.5, 2.5, 0.3)
"""Distances from words wished for, and needed, at a join: its crosses reach 4 mm. [mm]"""
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

    def shows(self, left: float, right: float) -> bool:
        """Whether a stretch of the bar is whole on this sheet."""
        return self.start <= left and right <= self.end


def share_out(
    length: float,
    room: float,
    *,
    scale: float = 1.0,
    words: Sequence[tuple[float, float]] = (),
) -> tuple[Tile, ...]:
    """Cut the bar into the fewest stretches, each as long as the paper allows.

    What the paper holds beyond the need is printed on both of two neighbours; they are joined
    somewhere in it, where nothing is written.

    Parameters
    ----------
    length : float
        Length of the bar. [mm]
    room : float
        Length of paper for it on one sheet. [mm]
    scale : float
        Millimetres of paper to a millimetre of bar. [1]
    words : sequence of (float, float)
        Stretches of the bar that words take; no join shall cross them. [mm]

    Examples
    --------
    >>> [(tile.start, tile.end, tile.joins) for tile in share_out(460.0, 260.0)]
    [(-4.0, 256.0, (230.0,)), (204.0, 464.0, (230.0,))]
    """
    if room <= 2 * OVERLAPS[-1]:
        raise InputError(f"paper leaves {room:g} mm for the bar; use a larger size or turn it")
    window, edge = room / scale, EDGE / scale
    # a word beside a mark near the right end may reach beyond the bar
    whole = max(length + edge, *(right for _, right in words), 0.0) + edge
    if whole <= window:
        return (Tile(-edge, whole - edge, (), 1, 1),)
    plans = [_plan(whole, window, edge, least / scale, scale, words) for least in OVERLAPS]
    return plans[0] if _quiet(plans[0], words) else plans[1]


def _plan(
    whole: float, window: float, edge: float, least: float, scale: float,
    words: Sequence[tuple[float, float]],
) -> tuple[Tile, ...]:  # fmt: skip
    count = math.ceil((whole - least) / (window - least) - 1e-9)
    overlap = (count * window - whole) / (count - 1)
    starts = [index * (window - overlap) - edge for index in range(count)]
    slack = overlap / 2 - REACH / scale
    joins = [_quiet_place(start + overlap / 2, slack, words) for start in starts[1:]]
    return tuple(
        Tile(start, start + window, tuple(joins[max(index - 1, 0) : index + 1]), index + 1, count)
        for index, start in enumerate(starts)
    )


def _quiet(tiles: Sequence[Tile], words: Sequence[tuple[float, float]]) -> bool:
    """Whether all words are whole on some sheet, and none is crossed by a join."""
    whole = all(any(tile.shows(*stretch) for tile in tiles) for stretch in words)
    return whole and not any(
        _crossed(join, words, CLEARANCES[-1]) for tile in tiles for join in tile.joins
    )


def _quiet_place(wanted: float, slack: float, words: Sequence[tuple[float, float]]) -> float:
    """Place that crosses no words, then stands well clear of them, then is nearest."""
    steps = int(slack / 0.25)
    places = [wanted + 0.25 * k for k in range(-steps, steps + 1)]
    return min(
        places,
        key=lambda place: (*(_crossed(place, words, clear) for clear in reversed(CLEARANCES)),
                           abs(place - wanted)),
    )  # fmt: skip


def _crossed(place: float, words: Sequence[tuple[float, float]], clear: float) -> int:
    return sum(low - clear < place < high + clear for low, high in words)
