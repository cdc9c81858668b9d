"""What makers know of where to cut, on bars tuned by design: sign and rank of every effect."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from barmodel.bar import Bar
from barmodel.cutmap import LightEffect, light_effect, predict
from barmodel.cuts import Cut, EndTrim
from barmodel.modes import solve
from barmodel.undercut import Arch, Pocket
from barmodel.undercut.cutters import CUTTERS
from barmodel.undercut.piece import Array
from barmodel.units import MM
from validation.check import Check, Controls
from validation.recipes.case import tuned_bar

TITLE = "Where to cut, as makers know it"
ABOUT = """\
Six made-up bars of three woods, C3 to C4, tuned to 1:4:10 by design. On each, rules that makers
work by are looked up in its cut map and, for the ends and for the first flat cut, in bars solved
anew. Counted are the bars on which a rule does not hold."""

MAKERS = "common practice, no source: a maker's rules"
TRADE = "common practice, no source: general rules of the trade"
BARS = 6
BESIDE = {
    "hollows on the outer part of the arch lower mode 2 most, and mode 1 with it": MAKERS,
    "hollows just beside the centre lower mode 1 almost alone": MAKERS,
    "wood from the very centre lowers modes 1 and 3 and spares mode 2": MAKERS,
    "at the ends of the arch mode 3 moves most": TRADE,
}
ENDS = {"trimming the ends raises all three": TRADE}
FLAT = {"after the first flat cut mode 3 is nearly there and mode 2 far sharper": MAKERS}
TRIM = EndTrim(left=MM, right=MM)


def checks() -> list[Check]:
    return [
        *_broken(BESIDE, [_by_the_map(number) for number in range(BARS)]),
        *_broken(ENDS, [_trimmed(number) for number in range(BARS)]),
        *_broken(FLAT, [_flat_cut(number) for number in range(BARS)]),
    ]


def negative_controls() -> Controls:
    middle = CUTTERS["scraper20"].cut(at=_mapped(0)[0].blank.length / 2, depth=MM)
    return {
        "the map read a tenth of the length too far out": _broken(
            BESIDE, [_by_the_map(number, moved=0.1) for number in range(BARS)]
        ),
        "the millimetre taken off the middle": _broken(ENDS, [_trimmed(0, middle)]),
        "a flat cut that takes mode 3 far below its note": _broken(
            FLAT, [_flat_cut(0, floor_cents=-600.0)]
        ),
    }


def _broken(rules: dict[str, str], held: list[list[bool]]) -> list[Check]:
    """On how many bars each rule does not hold."""
    return [
        Check(
            key=rule,
            expected=0.0,
            computed=float(sum(not bar[row] for bar in held)),
            tolerance=0.0,
            unit="bars",
            source=source,
            tag="common practice, no source",
            reason="the rule is told without exception",
        )
        for row, (rule, source) in enumerate(rules.items())
    ]


def _by_the_map(number: int, *, moved: float = 0.0) -> list[bool]:
    bar, effect = _mapped(number)
    length = bar.blank.length
    start = _arch(bar).start / length

    def fall(place: float) -> Array:
        """Cents per area by which the modes fall for wood off at a share of the length."""
        return -effect.at(np.array([place - moved]) * length)[:, 0]

    outer = start + 0.6 * (0.5 - start)
    v1, v2, v3 = fall(outer)
    beside = fall(0.46)
    centre = fall(0.5)
    ends = np.abs(fall(start + 0.04))
    return [
        bool(v2 > v1 > 0.25 * v2 and v2 > v3),
        bool(beside[0] > 3.0 * np.abs(beside[1:]).max()),
        bool(centre[0] > 0.0 and centre[2] > 0.0 and abs(centre[1]) < 0.1 * centre[2]),
        bool(ends[2] > 1.5 * ends[:2].max()),
    ]


def _trimmed(number: int, cut: Cut = TRIM) -> list[bool]:
    return [bool((predict(_mapped(number)[0], [cut]).shift_cents > 0.0).all())]


def _arch(bar: Bar) -> Arch:
    arch = bar.undercut[0]
    assert isinstance(arch, Arch)
    return arch


@lru_cache(maxsize=BARS)
def _mapped(number: int) -> tuple[Bar, LightEffect]:
    bar = tuned_bar(number)
    return bar, light_effect(bar)


def _flat_cut(number: int, *, floor_cents: float = 0.0) -> list[bool]:
    """A flat cut over the arch that stops when mode 3 is so far above the finished bar's."""
    bar, _ = _mapped(number)
    begin, end = _arch(bar).extent
    home = solve(bar, families=["bending"], order="quick").bending_hz

    def above(depth: float) -> Array:
        cut = Pocket(start=begin, end=end, depth=depth)
        flat = Bar(blank=bar.blank, undercut=(cut,))
        hz = solve(flat, families=["bending"], order="quick").bending_hz
        return np.asarray(1200.0 * np.log2(hz / home))

    after = above(_deepest(lambda depth: bool(above(depth)[2] >= floor_cents), bar))
    return [bool(0.0 <= after[2] < 30.0 and after[1] > 5.0 * after[2] and after[1] > 100.0)]


def _deepest(fits: Callable[[float], bool], bar: Bar) -> float:
    """Greatest depth that fits, to a thousandth of the thickness. [m]"""
    low, high = 0.2 * bar.blank.thickness, 0.8 * bar.blank.thickness
    while high - low > 1e-3 * bar.blank.thickness:
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
