from __future__ import annotations

import numpy as np
import pytest

from barmodel.bench import Belief, CutMade, History, Reading, find_alarms
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import MM
from tests.bench.samples import BAR

HZ = np.array([250.0, 1000.0, 2500.0])


def heard(*cents: float, degrees: float | None = None) -> Reading:
    hz = HZ * 2 ** (np.array(cents) / 1200)
    return Reading(hz=tuple(hz.tolist()), error_cents=(0.6,) * 3, temperature_c=degrees)


def kinds(*readings: Reading) -> list[str]:
    found = find_alarms(History(start=BAR, events=readings), Belief())
    return [alarm.kind for alarm in found]


def test_a_steady_bar_raises_no_alarm() -> None:
    assert kinds(heard(0, 0, 0), heard(1.0, -1.0, 0.8), heard(-0.5, 0.3, -0.7)) == []


def test_a_fall_without_a_cut_is_read_again_and_then_is_a_crack() -> None:
    assert kinds(heard(0, 0, 0), heard(0, -12, 0)) == ["fell"]
    assert kinds(heard(0, 0, 0), heard(0, -12, 0), heard(0, -12, 0)) == ["crack"]


def test_falling_again_after_every_strike_is_a_crack() -> None:
    assert kinds(heard(0, 0, 0), heard(-2, -1, 0), heard(-5, -2, -1)) == ["crack"]


def test_a_fall_by_a_cut_is_none() -> None:
    cut = CutMade(cuts=(CUTTERS["scraper20"].cut(at=150 * MM, depth=0.2 * MM, mirror=True),))
    history = History(start=BAR, events=(heard(0, 0, 0), cut, heard(-20, -25, -5)))
    assert find_alarms(history, Belief()) == ()


def test_heat_and_damp_move_all_modes_alike() -> None:
    assert kinds(heard(0, 0, 0), heard(-9, -9.5, -8.6)) == ["warm"]
    assert kinds(heard(0, 0, 0, degrees=20), heard(-9, -9, -9, degrees=30)) == ["warm"]
    # three degrees explain their own three cents
    assert kinds(heard(0, 0, 0, degrees=20), heard(-2.7, -2.7, -2.7, degrees=23)) == []


def test_a_bar_that_still_rises_is_told_to_wait() -> None:
    found = find_alarms(History(start=BAR, events=(heard(0, 0, 0), heard(6, 6, 5))), Belief())
    assert [alarm.kind for alarm in found] == ["warm"]
    assert "wait" in found[0].text
    assert found[0].cents == pytest.approx(6.0)
