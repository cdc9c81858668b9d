from __future__ import annotations

import numpy as np
import pytest

from barmodel.bench import CutMade, History, Reading, standing
from barmodel.cuts import EndTrim
from barmodel.errors import InputError
from barmodel.undercut.cutters import CUTTERS
from barmodel.units import MM
from tests.bench.samples import BAR, computed

CUT = CutMade(cuts=(CUTTERS["scraper20"].cut(at=150 * MM, depth=0.2 * MM, mirror=True),))
TRIM = CutMade(cuts=(EndTrim(left=1 * MM, right=1 * MM),))


def sharper(hz: np.ndarray, cents: np.ndarray) -> tuple[float, ...]:
    return tuple((hz * 2 ** (cents / 1200)).tolist())


def test_history_gives_the_bar_between_its_cuts() -> None:
    first, second = Reading(hz=(200.0,)), Reading(hz=(199.0, None, 1900.0))
    history = History(start=BAR, events=(first, CUT, TRIM, second))
    stages = history.stages
    assert [stage.number for stage in stages] == [0, 1, 2]
    assert [stage.readings for stage in stages] == [(first,), (), (second,)]
    assert stages[1].bar == BAR.with_cuts(*CUT.cuts)
    assert history.bar.blank.length == pytest.approx(398 * MM)


def test_prediction_starts_from_what_was_last_heard_of_each_mode() -> None:
    before, after = computed(BAR), computed(BAR.with_cuts(*CUT.cuts))
    early = np.array([40.0, -25.0, 12.0])
    late = np.array([47.0, np.nan, np.nan])
    history = History(
        start=BAR,
        events=(
            Reading(hz=sharper(before, early)),
            CUT,
            Reading(hz=(sharper(after, late)[0], None)),
        ),
    )
    stands = standing(history, order="quick")
    assert stands.offset_cents == pytest.approx([47.0, -25.0, 12.0], abs=1e-6)
    assert stands.cuts_since.tolist() == [0, 1, 1]
    expected = stands.expected(after)
    assert 1200 * np.log2(expected / after) == pytest.approx([47.0, -25.0, 12.0], abs=1e-6)


def test_the_last_of_several_readings_counts() -> None:
    hz = computed(BAR)
    events = tuple(Reading(hz=sharper(hz, np.full(3, cents))) for cents in (5.0, 9.0))
    stands = standing(History(start=BAR, events=events), order="quick")
    assert stands.offset_cents == pytest.approx(9.0, abs=1e-6)


def test_nothing_heard_leaves_the_model_alone() -> None:
    stands = standing(History(start=BAR), order="quick")
    assert np.isnan(stands.heard_hz).all()
    assert stands.expected(np.array([200.0, 800.0])).tolist() == [200.0, 800.0]


def test_a_reading_holds_something() -> None:
    with pytest.raises(InputError):
        Reading(hz=(None, None))
