"""How sure a reading is of its pitch: few taps borrow, and no tap alone is surer than two."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.pitch import cents
from barmodel.strike import Hearing, hear
from barmodel.strike.apart import about_apart
from barmodel.strike.records import Partial, Strike
from barmodel.strike.spread import NORMAL_95, USUAL_CENTS, Settled, Taken, settle
from tests.strike.made_up import placed, recorded, ring

FIT_CENTS = (0.05, 0.05, 0.1)
"""Standard errors of the fits of three modes."""
LINE = Partial(
    hz=220.0,
    standard_error_cents=0.1,
    uncertainty_cents=0.2,
    level_db=0.0,
    decay_s=0.3,
    decay_error_s=0.01,
    snr_db=60.0,
)


def line(*values: float, error: float = 0.05) -> Taken:
    return Taken(np.array(values), np.full(len(values), error), 40 * len(values))


def half(*lines: Taken) -> float:
    return settle(lines)[0].half_cents


def struck(*bars_cents: float) -> Hearing:
    """Hear one bar, its strikes so many cents off."""
    rings = [ring(0.5, first_hz=220.0 * 2 ** (off / 1200)) for off in bars_cents]
    at = tuple(0.1 + 0.6 * k for k in range(len(rings)))
    return hear(recorded(placed(*rings, at=at, seconds=0.2 + 0.6 * len(rings))))


def test_one_tap_is_no_surer_than_two_a_cent_apart() -> None:
    one, two = struck(0.0).modes, struck(0.0, 1.0).modes
    for single, both in zip(one, two, strict=True):
        assert 0.7 < both.uncertainty_cents <= single.uncertainty_cents < 2.0


def test_more_taps_that_agree_as_well_are_surer() -> None:
    pattern = np.array([-0.5, 0.5, -0.2, 0.3, 0.1])
    width = [half(*[line(*pattern[:n])] * 3) for n in (1, 2, 3, 5)]
    assert width == sorted(width, reverse=True)


def test_strikes_that_agree_say_so() -> None:
    assert all(m.uncertainty_cents < 0.2 for m in struck(0.0, 0.0, 0.0).modes)


def test_strikes_far_apart_are_believed_over_what_is_usual() -> None:
    assert half(line(0.0, 10.0)) > 5.0  # and no end of the interval lies between them


def test_a_mode_heard_once_learns_from_the_others() -> None:
    once = line(0.0)
    alone, calm, wild = (
        settle([*others, once])[-1].half_cents
        for others in ([], [line(0.0, 0.03, 0.01)] * 2, [line(0.0, 3.0, -2.0)] * 2)
    )
    assert calm < alone < wild


def test_a_mode_unlike_the_others_goes_its_own_way() -> None:
    calm = [line(0.0, 0.03, 0.01, 0.02)] * 3
    with_wild = settle([*calm, line(0.0, 6.0, -5.0, 3.0)])
    assert with_wild[-1].half_cents > 2.0
    assert with_wild[0].half_cents < 2.0 * half(*calm)


def test_without_any_spread_the_fits_alone_count() -> None:
    rng = np.random.default_rng(4)
    lines = [Taken(x, np.full(5, 2.0), 5000) for x in 2.0 * rng.standard_normal((4, 5))]
    assert half(*lines) == pytest.approx(NORMAL_95 * 2.0 / np.sqrt(5), rel=0.1)


def test_few_degrees_of_freedom_are_less_sure() -> None:
    few, many = (Taken(np.array([0.0]), np.array([5.0]), count) for count in (3, 1000))
    assert half(few) > 1.4 * half(many)


def test_a_stranger_is_left_out_and_close_company_makes_none() -> None:
    far = struck(0.0, 0.1, 6.0)
    assert all(mode.strikes == 2 for mode in far.partials)
    assert abs(cents(far.modes[0].hz, 220.0)) < 0.3
    (told,) = [caution.text for caution in far.warnings if caution.code == "apart"]
    assert "the strike at 1.3 s of bar.wav lies +6.0 cents from the others and was left out" in told
    near = struck(0.0, 0.05, 1.0)
    assert all(mode.strikes == 3 for mode in near.partials)


def test_a_strike_of_another_bar_among_the_others_is_told() -> None:
    found = struck(0.0, 0.3, 100.0).warnings
    (told,) = [caution.text for caution in found if caution.code == "apart"]
    assert "at 1.3 s of bar.wav shares no strong line with the others" in told
    for fair in ((0.0, 100.0), (0.0, 3.0, -4.0, 5.0), (0.0, 0.0, 0.0), (0.0, 0.0, 90.0, 90.0)):
        assert "apart" not in {caution.code for caution in struck(*fair).warnings}


def test_a_recording_that_begins_while_the_bar_still_rings_is_no_strike_but_joins_its_line() -> (
    None
):
    def strike(steady: bool, *lines_hz: float) -> Strike:
        lines = tuple(replace(LINE, hz=hz, steady=steady) for hz in lines_hz)
        return Strike(file="bar.wav", start_s=0.0, end_s=0.5, peak=0.5, partials=lines)

    fair = [strike(False, 220.0), strike(False, 220.01), strike(False, 219.99)]
    shared = [replace(LINE, hz=220.0, strikes=4)]
    assert about_apart([*fair, strike(True, 220.02)], shared) == []
    odd = strike(False, 221.0)
    (told,) = about_apart([*fair, odd, strike(True, 220.02), strike(True)], shared)
    assert "lies +7.9 cents from the others" in told.text


def settled(strikes: int, scatter: float, *, common: bool, bars: int = 100) -> list[Settled]:
    """Bars whose true pitches are 0, struck so often with so much scatter. [cent]"""
    rng = np.random.default_rng(7)
    found: list[Settled] = []
    for _ in range(bars):
        shift = rng.standard_normal((1 if common else len(FIT_CENTS), strikes))
        values = scatter * np.broadcast_to(shift, (len(FIT_CENTS), strikes))
        found += settle(
            [
                line(*(row + error * rng.standard_normal(strikes)), error=error)
                for row, error in zip(values, FIT_CENTS, strict=True)
            ]
        )
    return found


def covered(found: list[Settled]) -> float:
    return float(np.mean([abs(x.cents) <= x.half_cents for x in found]))


@pytest.mark.parametrize("strikes", [1, 2, 3, 5])
@pytest.mark.parametrize("factor", [0.5, 1.0, 2.0])
def test_intervals_hold_the_truth_where_strikes_differ_otherwise_than_usual(
    strikes: int, factor: float
) -> None:
    """Asked of two and more strikes: 90 to 99 %, with the chance error of 300 intervals.

    One tap cannot know how much its bar's strikes differ: its interval is that of all bars, holds
    too often where they differ little (asked there: no less than 95 %), and must not fall under
    90 % where they differ twice as much as usual.
    """
    share = covered(settled(strikes, factor * USUAL_CENTS, common=False))
    chance = 2.0 * np.sqrt(0.95 * 0.05 / 300)
    assert share >= 0.90 - chance
    if strikes > 1:
        assert share <= 0.99 + chance


def test_modes_that_all_shift_together_teach_less_than_is_thought() -> None:
    """Modes are taken to shift each on its own; where all shift alike, two taps promise too much
    (some 85 % where 95 are stated), and five no longer do."""
    two, five = (covered(settled(n, USUAL_CENTS, common=True)) for n in (2, 5))
    assert 0.80 < two < five
    assert five > 0.90
