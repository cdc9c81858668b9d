from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.bench import Alarm, CutMade, History, Reading, advise, find_alarms, infer
from barmodel.cuts import EndTrim, apply_cuts
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import MM
from tests.bench.samples import BAR, GOAL, computed

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


def alarms_of(*readings: Reading) -> tuple[Alarm, ...]:
    return find_alarms(infer(History(start=BAR, events=(*KNOWN, *readings))))


@pytest.mark.parametrize("low_c", [20.0, 21.5])
def test_a_bar_that_is_as_warm_as_before_was_not_lowered_by_heat(low_c: float) -> None:
    before = heard(0, 0, 0, degrees=20)
    low = heard(-12, -12.4, -11.8, degrees=low_c)
    for readings in ((before, low), (before, before, low, low)):
        (found,) = alarms_of(*readings)
        assert found.kind == "fell"
        assert "warmer" not in found.text
        assert "at the same temperature: the bar is damper than before, or wood" in found.text
        assert found.since == readings.index(low)
    told = 0.9 * (low_c - 20.0)  # what heat explains is taken off
    assert found.moved == pytest.approx((-12 + told, -12.4 + told, -11.8 + told))


def test_a_bar_of_unknown_or_other_warmth_may_be_warmer() -> None:
    for before, after in ((None, 20.0), (20.0, None), (20.0, 26.0)):
        low = heard(-19, -19, -19, degrees=after)
        (found,) = (a for a in alarms_of(heard(0, 0, 0, degrees=before), low) if a.modes)
        assert found.kind == "warm"
        assert "warmer or damper" in found.text


def test_a_fall_is_dated_by_the_first_reading_that_is_low() -> None:
    high, low = heard(0, 0, 0), heard(-3, -25, -1)
    unheard = Reading(hz=(float(HZ[0]), None, float(HZ[2])), error_cents=(0.6,) * 3)
    for readings, since in (
        ((high, low), 1),
        ((high, low, low), 1),
        ((high, high, low), 2),
        ((high, unheard, low), 1),
    ):
        assert alarms_of(*readings)[0].since == since


def test_a_fall_beyond_any_crack_is_a_cut_that_is_not_in_the_log() -> None:
    far, near = heard(-1710, -1500, -900), heard(-140, -60, -20)
    for readings in ((far,), (far, far)):
        (found,) = alarms_of(heard(0, 0, 0), *readings)
        assert found.kind == "untold"
        assert "no crack takes more than 150" in found.text
        assert "a cut is not in the log" in found.text
    assert [alarm.kind for alarm in alarms_of(heard(0, 0, 0), near, near)] == ["crack"]


def test_nothing_is_advised_on_readings_that_stand_on_another_bar() -> None:
    """Not even once the cut is recorded: they still stand before it."""
    events = (heard(0, 0, 0), heard(-400, -300, -100), CUT, heard(0, 0, 0), heard(0, 0, 0))
    found = advise(History(start=BAR, events=events), GOAL)
    assert found.state == "measure"
    assert "no crack takes more than 150" in found.reason


def sawn(mm: float) -> Reading:
    hz = computed(apply_cuts(BAR, (EndTrim(left=mm * MM, right=mm * MM),)))
    return Reading(hz=tuple(hz.tolist()), error_cents=(0.6,) * 3, temperature_c=20)


@pytest.mark.parametrize("mm", [0.5, 2.0])
def test_ends_sawn_off_untold_are_named_with_their_length(mm: float) -> None:
    (found,) = alarms_of(heard(0, 0, 0, degrees=20), sawn(mm))
    assert found.kind == "rose"
    assert found.ends == pytest.approx(mm * MM, rel=0.1)
    assert f"{found.ends / MM:.1f} mm off each end would do it" in found.text
    assert "warm" not in found.text


def test_a_rise_that_the_ends_would_not_do_is_drying() -> None:
    (found,) = alarms_of(heard(0, 0, 0, degrees=20), heard(18, 19, 20, degrees=20))
    assert (found.kind, found.ends) == ("rose", 0.0)
    assert "the bar is drying" in found.text
    assert "ends" not in found.text


def test_a_bar_that_still_rises_is_told_to_wait() -> None:
    found = find_alarms(infer(History(start=BAR, events=(heard(0, 0, 0), heard(6, 6, 5)))))
    assert [alarm.kind for alarm in found] == ["rose"]
    assert "was warm" in found[0].text
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
