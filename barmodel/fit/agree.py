"""What several taps of one blank agree on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

APART_CENTS = 10.0
"""Taps of one blank farther apart than this are not of one mode of one bar (own choice). [cent]"""

Row = Sequence[float | None]


@dataclass(frozen=True, slots=True)
class Odd:
    """A frequency that the other taps do not bear out.

    Attributes
    ----------
    tap : int
        Which tap, from 0.
    mode : int
        Which mode, from 0.
    hz : float
        [Hz]
    cents : float
        From what the others say, or from the nearest of them. [cent]
    alone : bool
        Whether no majority speaks against it: then nobody can tell which is wrong.
    """

    tap: int
    mode: int
    hz: float
    cents: float
    alone: bool


def agreed(taps: Sequence[Row]) -> tuple[tuple[float | None, ...], tuple[Odd, ...]]:
    """Take the median of each mode over the taps that agree.

    Parameters
    ----------
    taps : sequence of sequences of float or None
        Frequencies of modes 1, 2, … of each tap; None for one not heard. [Hz]

    Returns
    -------
    hz : tuple of float or None
        One frequency for each mode. [Hz]
    odd : tuple of Odd
        What was left out.

    Examples
    --------
    >>> hz, odd = agreed([(700.0, 1800.0), (700.4, 1900.0), (699.8, 1801.0)])
    >>> hz[0], hz[1], [(one.tap, one.mode, one.alone) for one in odd]
    (700.0, 1800.5, [(1, 1, False)])
    """
    out: list[float | None] = []
    odd: list[Odd] = []
    for mode in range(max((len(tap) for tap in taps), default=0)):
        heard = {
            number: hz
            for number, tap in enumerate(taps)
            if mode < len(tap) and (hz := tap[mode]) is not None
        }
        if not heard:
            out.append(None)
            continue
        groups = [[n for n in heard if _near(heard[n], heard[m])] for m in heard]
        kept = max(groups, key=len)
        middle = median(heard[n] for n in kept)
        out.append(middle)
        for number in heard:
            if number not in kept:
                cents = 1200.0 * math.log2(heard[number] / middle)
                alone = 2 * len(kept) <= len(heard)
                odd.append(Odd(number, mode, heard[number], cents, alone))
    return tuple(out), tuple(odd)


def _near(one: float, other: float) -> bool:
    return abs(1200.0 * math.log2(one / other)) <= APART_CENTS
