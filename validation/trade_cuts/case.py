"""What makers know of the order of cuts, held against the cut map and the advice of `next`."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache, partial

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.bench import Goal, History, Outcome, Reading, advise
from barmodel.bench.model import ORDER, solid_log_hz
from barmodel.cutmap import LightEffect, light_effect
from barmodel.cuts import Cut, EndTrim
from barmodel.pitch import Target
from barmodel.undercut import Arch
from barmodel.undercut.cutters import CUTTERS
from barmodel.undercut.piece import Array
from barmodel.units import CENTS, MM
from barmodel.wood import species
from validation.check import Check, Controls
from validation.kit.compare import compared

TITLE = "What makers know of the order of cuts"
ABOUT = """\
Facts of the trade: removing wood for mode 2 brings mode 1 down a good deal as well, so mode 2 is
brought near first while mode 1 stays sharp; with the fundamental near its note and mode 2 home,
light work at the very centre finishes mode 1 and moves mode 3 down with it; a mode 3 within 6 Hz
at 1800 Hz and within 2 Hz at 1530 Hz is called good. Makers give no numbers for "a good deal" or
"with it"; the bounds are our reading of the words. The bar is made up: an arch near 1 : 4 : 10 in a
400 mm rosewood blank, with a 20 mm scraper. Its target is what the solid says of it, so that it
can be put any number of cents from home."""

_check = partial(
    compared,
    source="common practice, no source: what makers say of tuning at the bench",
    tag="common practice, no source",
)
BLANK = Blank(
    length=400 * MM, width=60 * MM, thickness=22 * MM, wood=species("honduran rosewood").wood()
)
BAR = Bar(blank=BLANK, undercut=(Arch(start=75 * MM, end=325 * MM, depth=13.5 * MM, fullness=3.0),))
FAR = np.array([60.0, 90.0, 12.0])
"""Cents from home of a roughed bar whose mode 2 is farthest."""
NEARLY = np.array([9.0, 1.0, 10.0])
"""The fundamental near its note, mode 2 home."""
HOME = np.array([1.0, 1.5])
EXCHANGED = [1, 0, 2]
GOOD = ((1800.0, 6.0), (1530.0, 2.0))
"""Mode 3 and what it may be off. [Hz]"""


def checks() -> list[Check]:
    return [*_map(), *_order(told=FAR), *_finish(told=NEARLY), *_good()]


def negative_controls() -> Controls:
    return {
        "places moved outward by 8 % of the length": _map(off=0.08),
        "modes 1 and 2 taken for each other in the reading": [
            *_order(told=FAR[EXCHANGED]),
            *_finish(told=NEARLY[EXCHANGED]),
        ],
        "mode 3 put 22 cents off": _good(off_cents=22.0),
    }


@lru_cache(maxsize=1)
def _effect() -> LightEffect:
    return light_effect(BAR, ["V1", "V2", "V3"], order=ORDER)


def _shift(at: float) -> Array:
    """Shift of the modes by a light pair of strokes, or one at the middle. [cent]"""
    cut = CUTTERS["scraper20"].cut(at=at, depth=0.1 * MM, mirror=at < BLANK.length / 2 - MM)
    return _effect().shift(cut)


def _map(*, off: float = 0.0) -> list[Check]:
    """Effects where mode 2 answers most, and at the centre; `off` the place by a share of L."""
    length = BLANK.length
    places = np.arange(0.15 * length, length / 2 - 10 * MM, 2 * MM)
    best = places[int(np.argmin([_shift(at)[1] for at in places]))]
    for_two = _shift(float(best) - off * length)
    centre = _shift(length / 2 - off * length)
    then = FAR[1] / -for_two[1] * for_two[0]  # mode 2 brought home from there, nothing else
    return [
        _check(
            "cut for mode 2: fall of mode 1 over that of mode 2",
            0.65,
            float(for_two[0] / for_two[1]),
            0.32,
            "",
            '"a good deal": between a third and nearly all of it',
        ),
        _check(
            "mode 1 at home first, then mode 2 from +90 cents: where mode 1 ends",
            -60.0,
            float(then),
            30.0,
            "cent",
            "flat by more than trimming the ends wins back (20 to 30 cents, from memory), and no "
            "more than mode 2 came down",
        ),
        _check(
            "cut at the centre: shift of mode 2 over that of mode 1",
            0.0,
            float(centre[1] / centre[0]),
            0.05,
            "",
            "mode 2 is home and stays: a twentieth of a last 9 cents is under half a cent",
        ),
        _check(
            "cut at the centre: fall of mode 3 over that of mode 1",
            0.5,
            float(centre[2] / centre[0]),
            0.4,
            "",
            '"with it": the same way, by a tenth to nine tenths',
        ),
    ]


def _order(*, told: Array) -> list[Check]:
    """The first bite for a roughed bar whose mode 2 is farthest."""
    _, expected = _advised(told)
    then = FAR + expected.shift_cents
    flat = float(_goal().flat_chance(then, expected.covariance)[0])
    return [
        _check(
            "bite at +60, +90, +12 cents: share of mode 2's way made",
            1.0,
            float((FAR[1] - then[1]) / FAR[1]),
            0.4,
            "",
            '"near first": most of it in the first bite',
        ),
        _check(
            "bite at +60, +90, +12 cents: mode 1 after it",
            25.0,
            float(then[0]),
            25.0,
            "cent",
            '"stays sharp": above its note, and lower than it was',
        ),
        _check(
            "bite at +60, +90, +12 cents: chance that mode 1 is flat of its tolerance",
            0.0,
            flat,
            0.05,
            "",
            "the risk asked for",
        ),
    ]


def _finish(*, told: Array) -> list[Check]:
    """The last cut with mode 1 near its note and mode 2 home."""
    cuts, expected = _advised(told)
    shift = expected.shift_cents
    from_centre = (
        0.5 if isinstance(cut, EndTrim) else abs(sum(cut.extent) / 2 / BLANK.length - 0.5)
        for cut in cuts
    )
    return [
        _check(
            "last cut at +9, +1, +10 cents: distance from the centre",
            0.0,
            max(from_centre, default=np.nan),
            0.06,
            "L",
            '"the very centre": within a scraper\'s width of 20 to 40 mm',
        ),
        _check(
            "last cut at +9, +1, +10 cents: mode 1 after it",
            1.0,
            float(NEARLY[0] + shift[0]),
            2.0,
            "cent",
            "its tolerance of +3/−1",
        ),
        _check(
            "last cut at +9, +1, +10 cents: shift of mode 2",
            0.0,
            float(shift[1]),
            1.0,
            "cent",
            "left as it is",
        ),
        _check(
            "last cut at +9, +1, +10 cents: shift of mode 3",
            -4.0,
            float(shift[2]),
            3.5,
            "cent",
            "moves down with mode 1, by less",
        ),
    ]


def _good(*, off_cents: float | None = None) -> list[Check]:
    found = []
    for hz, off_hz in GOOD:
        for sign, side in ((1.0, "sharp"), (-1.0, "flat")):
            off = sign * off_cents if off_cents else CENTS * np.log((hz + sign * off_hz) / hz)
            state = advise(_history(np.array([*HOME, off])), _goal()).state
            found.append(
                _check(
                    f"mode 3 {off_hz:g} Hz {side} at {hz:g} Hz, modes 1 and 2 home: left be",
                    1.0,
                    float(state == "finished"),
                    0.0,
                    "",
                    "called good, so nothing more is cut",
                )
            )
    return found


def _advised(told: Array) -> tuple[Sequence[Cut], Outcome]:
    """What is advised to a bar that was heard so many cents from home."""
    advice = advise(_history(told), _goal())
    assert advice.expected is not None
    return advice.cuts, advice.expected


@lru_cache(maxsize=1)
def _goal() -> Goal:
    """The bar's own pitches as the target, so that cents from it are free to choose."""
    hz = np.exp(solid_log_hz(BAR, 3))
    offset = CENTS * np.log(hz[0] / Target("A3").hz[0])
    ratios = (1.0, *(hz[1:] / hz[0]).tolist())
    return Goal(target=Target("A3", ratios=ratios, offset_cents=float(offset)))


def _history(cents: Array) -> History:
    hz = _goal().target.hz * 2.0 ** (cents / 1200)
    return History(start=BAR, events=(Reading(hz=tuple(hz.tolist()), error_cents=(0.5,) * 3),))
