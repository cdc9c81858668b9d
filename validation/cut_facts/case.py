"""What makers know of where to cut, on bars tuned by design: sign and rank of every effect."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from barmodel.bar import Bar
from barmodel.cutmap import LightEffect, light_effect, predict
from barmodel.cuts import EndTrim
from barmodel.modes import solve
from barmodel.undercut import Arch, Pocket
from barmodel.undercut.piece import Array
from barmodel.units import MM
from validation.check import Check
from validation.recipes.case import tuned_bar

TITLE = "Where to cut, as makers know it"
ABOUT = """\
Six made-up bars of three woods, C3 to C4, tuned to 1:4:10 by design. On each, rules that makers
work by are looked up in its cut map and, for the ends and for the first flat cut, in bars solved
anew. Counted are the bars on which a rule holds. The negative control reads the map at places
moved by a tenth of the length, and makes the first cut too deep."""

MAKERS = "common practice, no source: a maker's rules"
TRADE = "common practice, no source: general rules of the trade"
BARS = 6
RULES = {
    "hollows on the outer part of the arch lower mode 2 most, and mode 1 with it": MAKERS,
    "hollows just beside the centre lower mode 1 almost alone": MAKERS,
    "wood from the very centre lowers modes 1 and 3 and spares mode 2": MAKERS,
    "at the ends of the arch mode 3 moves most": TRADE,
    "trimming the ends raises all three": TRADE,
    "after the first flat cut mode 3 is nearly there and mode 2 far sharper": MAKERS,
}


def checks() -> list[Check]:
    return _checks(moved=0.0, floor_cents=0.0)


def negative_control() -> list[Check]:
    """Places moved by a tenth of the length; a flat cut that takes mode 3 far below its note."""
    return _checks(moved=0.1, floor_cents=-600.0)


def _checks(moved: float, floor_cents: float) -> list[Check]:
    held = np.sum([_held(number, moved, floor_cents) for number in range(BARS)], axis=0)
    return [
        Check(
            key=rule,
            expected=BARS,
            computed=float(count),
            tolerance=0.0,
            unit="bars",
            source=source,
            tag="common practice, no source",
            reason="the rule is told without exception",
        )
        for (rule, source), count in zip(RULES.items(), held, strict=True)
    ]


def _held(number: int, moved: float, floor_cents: float) -> list[bool]:
    bar, effect = _mapped(number)
    length = bar.blank.length
    arch = bar.undercut[0]
    assert isinstance(arch, Arch)

    def fall(place: float) -> Array:
        """Cents per area by which the modes fall for wood off at a share of the length."""
        return -effect.at(np.array([place - moved]) * length)[:, 0]

    start = arch.start / length
    outer = start + 0.6 * (0.5 - start)
    v1, v2, v3 = fall(outer)
    beside = fall(0.46)
    centre = fall(0.5)
    ends = np.abs(fall(start + 0.04))
    ends_moved = predict(bar, [EndTrim(left=MM, right=MM)]).shift_cents
    after = _flat_cut(number, floor_cents)
    return [
        bool(v2 > v1 > 0.25 * v2 and v2 > v3),
        bool(beside[0] > 3.0 * np.abs(beside[1:]).max()),
        bool(centre[0] > 0.0 and centre[2] > 0.0 and abs(centre[1]) < 0.1 * centre[2]),
        bool(ends[2] > 1.5 * ends[:2].max()),
        bool((ends_moved > 0.0).all()),
        bool(0.0 <= after[2] < 30.0 and after[1] > 5.0 * after[2] and after[1] > 100.0),
    ]


@lru_cache(maxsize=BARS)
def _mapped(number: int) -> tuple[Bar, LightEffect]:
    bar = tuned_bar(number)
    return bar, light_effect(bar)


@lru_cache(maxsize=2 * BARS)
def _flat_cut(number: int, floor_cents: float) -> Array:
    """Cents above the finished bar after a flat cut over the arch that stops by mode 3."""
    bar, _ = _mapped(number)
    arch = bar.undercut[0]
    home = solve(bar, families=["bending"], order="quick").bending_hz

    def above(depth: float) -> Array:
        cut = Pocket(start=arch.extent[0], end=arch.extent[1], depth=depth)
        flat = Bar(blank=bar.blank, undercut=(cut,))
        hz = solve(flat, families=["bending"], order="quick").bending_hz
        return np.asarray(1200.0 * np.log2(hz / home))

    return above(_deepest(lambda depth: bool(above(depth)[2] >= floor_cents), bar))


def _deepest(fits: Callable[[float], bool], bar: Bar) -> float:
    """Greatest depth that fits, to a thousandth of the thickness. [m]"""
    low, high = 0.2 * bar.blank.thickness, 0.8 * bar.blank.thickness
    while high - low > 1e-3 * bar.blank.thickness:
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
