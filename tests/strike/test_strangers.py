"""Another bar's sound: its strongest lines belong to no mode of this one."""

from __future__ import annotations

import pytest

from barmodel.strike import Expected, hear
from tests.strike.made_up import RATE, placed, recorded, ring

BLANK = [
    Expected("bending", 1, 491.5, 25.0),
    Expected("torsional", 1, 1072.0, 60.0),
    Expected("bending", 2, 1317.4, 50.0),
    Expected("torsional", 2, 2177.0, 60.0),
    Expected("bending", 3, 2484.2, 75.0),
    Expected("bending", 4, 3916.0, 100.0),
]
OWN = ((1.0, 1.0, 0.2), (2.68, 0.5, 0.08), (5.054, 0.3, 0.04))


def of(first_hz: float, lines: tuple[tuple[float, float, float], ...]):
    sound = placed(ring(first_hz=first_hz, lines=lines), at=(0.2,), seconds=1.2)
    return recorded(sound, rate=RATE)


def codes(heard) -> list[str]:
    return [caution.code for caution in heard.warnings]


def test_another_bar_is_doubted_and_no_name_is_sure() -> None:
    """300, 800 and 1500 Hz: the last was once taken for bending 2, 94 % sure."""
    other = of(300.0, ((1.0, 1.0, 0.2), (2.667, 0.6, 0.1), (5.0, 0.3, 0.06)))
    heard = hear(other, BLANK, shared_error_cents=150.0)
    assert [mode.kind for mode in heard.modes] == ["bending"]
    assert heard.modes[0].confidence < 0.2
    said = next(caution.text for caution in heard.warnings if caution.code == "other bar")
    assert said.startswith("the strongest sounds, 300 and 800 Hz, belong to no mode of this bar")


@pytest.mark.parametrize("cents", [-120.0, 0.0, 120.0])
def test_the_right_bar_is_not_doubted(cents: float) -> None:
    """Also where the wood is stiffer than believed: all its lines move together."""
    heard = hear(of(491.5 * 2 ** (cents / 1200), OWN), BLANK, shared_error_cents=150.0)
    assert codes(heard) == []
    assert heard.mode(1) is not None
    assert heard.mode(1).confidence > 0.8


def test_a_faint_line_of_something_else_is_no_reason_to_doubt() -> None:
    heard = hear(of(491.5, (*OWN, (1.5, 0.1, 0.2))), BLANK)
    assert codes(heard) == []
    loud = hear(of(491.5, (*OWN, (1.5, 0.4, 0.2))), BLANK)
    assert codes(loud) == ["other bar"]
    assert loud.mode(1).confidence < heard.mode(1).confidence
    assert loud.mode(1).confidence > 0.8


def test_without_a_prediction_nothing_is_strange() -> None:
    assert "other bar" not in codes(hear(of(300.0, ((1.0, 1.0, 0.2), (2.667, 0.6, 0.1)))))


def test_the_doubt_is_as_large_as_the_share_of_the_sound() -> None:
    def sure(*others: tuple[float, float, float]) -> float:
        return hear(of(491.5, ((1.0, 1.0, 0.2), *others)), BLANK).mode(1).confidence

    alone = sure()
    assert alone > 0.95
    for db in (0.0, 6.0):
        both = sure((1.5, 10.0 ** (db / 20.0), 0.2))
        assert both == pytest.approx(alone / (1 + 10.0 ** (db / 10.0)), rel=0.01)
