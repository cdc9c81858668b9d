from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bench import CutMade, History, Reading, find_alarms, infer
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import MM
from tests.bench.samples import BAR, computed

HZ = computed(BAR)


def heard(*cents: float, degrees: float | None = None) -> Reading:
    hz = HZ * 2 ** (np.array(cents) / 1200)
    return Reading(hz=tuple(hz.tolist()), error_cents=(0.6,) * 3, temperature_c=degrees)


CUT = CutMade(cuts=(CUTTERS["scraper20"].cut(at=150 * MM, depth=0.02 * MM, mirror=True),))
"""A cut that hardly matters; what is heard after it is expected."""


def kinds(*readings: Reading, before: tuple[Reading | CutMade, ...] = ()) -> list[str]:
    found = infer(History(start=BAR, events=(*before, *readings)))
    return [alarm.kind for alarm in find_alarms(found)]


KNOWN = (heard(0, 0, 0), CUT)


def test_a_steady_bar_raises_no_alarm() -> None:
    assert kinds(heard(0, 0, 0), heard(1.0, -1.0, 0.8), heard(-0.5, 0.3, -0.7)) == []


def test_a_fall_without_a_cut_is_read_again_and_then_is_a_crack() -> None:
    first, low = heard(-2, -2.4, -0.5), heard(-2, -15, -0.5)
    assert kinds(first, low, before=KNOWN) == ["fell"]
    assert kinds(first, low, low, before=KNOWN) == ["crack"]


def test_a_fall_that_may_be_what_the_water_did_is_no_alarm() -> None:
    low = heard(-2, -15, -0.5)
    winter = replace(heard(28, 27.6, 29.5), water_cents=-30.0)
    assert kinds(winter, low, low, before=KNOWN) == ["crack"]
    assert kinds(replace(winter, water_error=6.0), low, low, before=KNOWN) == []


def test_an_odd_reading_before_others_that_fit_is_no_crack() -> None:
    odd, good = heard(-2, 38, -0.5), heard(-2, -2.4, -0.5)
    assert kinds(odd, good, before=KNOWN) == []
    assert kinds(odd, good, good, before=KNOWN) == []


def test_falling_again_after_every_strike_is_a_crack() -> None:
    assert kinds(heard(0, 0, 0), heard(-2, -1, 0), heard(-5, -2, -1)) == ["crack"]


def test_a_fall_by_a_cut_is_none() -> None:
    cut = CutMade(cuts=(CUTTERS["scraper20"].cut(at=150 * MM, depth=0.2 * MM, mirror=True),))
    assert kinds(heard(-20, -25, -5), before=(heard(0, 0, 0), cut)) == []


def test_heat_and_damp_move_all_modes_alike() -> None:
    assert kinds(heard(0, 0, 0), heard(-9, -9.5, -8.6)) == ["warm"]
    assert kinds(heard(0, 0, 0, degrees=20), heard(-9, -9, -9, degrees=30)) == ["warm"]
    # three degrees explain their own three cents
    assert kinds(heard(0, 0, 0, degrees=20), heard(-2.7, -2.7, -2.7, degrees=23)) == []


def test_a_bar_that_stays_warm_lies_in_a_warm_room() -> None:
    earlier = (heard(0, 0, 0, degrees=20), heard(0, 0, 0, degrees=20), heard(0, 0, 0, degrees=21))
    cut = CutMade(cuts=(CUTTERS["scraper20"].cut(at=150 * MM, depth=0.02 * MM, mirror=True),))
    once = (heard(-5, -5, -5, degrees=26),)
    assert kinds(*once, before=(*earlier, cut)) == ["warm"]
    again = heard(-5.2, -5.1, -5, degrees=26.5)
    assert kinds(*once, again, before=(*earlier, cut)) == []


def test_a_bar_that_still_rises_is_told_to_wait() -> None:
    found = find_alarms(infer(History(start=BAR, events=(heard(0, 0, 0), heard(6, 6, 5)))))
    assert [alarm.kind for alarm in found] == ["warm"]
    assert "wait" in found[0].text
    assert found[0].cents == pytest.approx(6.0)


def test_modes_that_rise_by_very_different_amounts_are_a_slip_and_no_heat() -> None:
    assert kinds(heard(-25, -67, -9), heard(0, 0, 0)) == []


def test_a_reading_that_does_not_say_how_warm_it_was_makes_no_pitch_rise() -> None:
    """The same blow told twice, once with 35 °C: warm, but not rising, whichever came first."""
    untold, warm = heard(0, 0, 0), heard(0, 0, 0, degrees=35)
    for readings in ((untold, warm), (warm, untold)):
        found = infer(History(start=BAR, events=readings))
        texts = [alarm.text for alarm in find_alarms(found)]
        assert not any("rising" in text or "fell" in text for text in texts)
        assert not found.doubts
        # all modes are brought to 20 °C alike, none from the one reading and one from the other
        moved = 1200 * np.log2(found.hz[:3] / HZ)
        assert np.ptp(moved) < 0.5
        assert moved == pytest.approx([13.5] * 3, abs=0.05)
