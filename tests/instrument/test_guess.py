"""A guess of what the solid will say saves asking it twice, and a wrong guess does no harm."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from barmodel.design import find
from barmodel.instrument import LengthRule, Outcome, draw_blueprint
from barmodel.instrument.trial import request_for
from tests.instrument.plans import plan


@pytest.mark.parametrize("wrong_by", [0.0, 15.0])
def test_a_guess_of_the_correction(wrong_by: float) -> None:
    request = request_for(plan(), 45, 0.39)
    plain = find(request, advise=False)
    assert plain.rounds > 1
    guess = plain.correction_cents + wrong_by
    guessed = find(request, advise=False, expected_cents=guess)
    assert np.abs(guessed.cents).max() < 0.5
    assert (guessed.rounds == 1) == (wrong_by == 0.0)
    for name, value in plain.measures.items():
        assert guessed.measures[name] == pytest.approx(value, rel=5e-3)


def test_pilots_lead_the_bars_between_them_and_no_others() -> None:
    """On a parabola the reading between pilots is exact; what is not held is led, in metres."""
    given = {note: 0.4 - 0.004 * (note - 48) for note in range(48, 64)}
    drawn = draw_blueprint(plan("C4", "D#5", lengths=LengthRule(given=given)))
    assert drawn.pilots == (48, 49, 53, 56, 60, 61, 63)  # one of three modes, two of two, one

    def made(note: int) -> Outcome:
        x = note - 49
        return Outcome(
            semitone=note,
            digest="",
            state="designed",
            correction_cents=(1.0 + 0.5 * x - 0.1 * x**2, -2.0 * x)[: 2 if note < 61 else 1],
            measures={"start": 0.25 * given[note], "depth": 0.01 + 1e-4 * x, "fullness": 2.5},
        )

    outcomes = {note: made(note) for note in drawn.plan.semitones}
    outcomes[54] = replace(outcomes[54], correction_cents=(99.0, 99.0))  # no pilot: not asked
    led = drawn.led(outcomes)
    for note in (50, 55, 59):
        expected = made(note).correction_cents
        assert led.task(note).expected_cents == pytest.approx(expected, abs=1e-9)
        begin = led.task(note).request.begin
        assert begin == pytest.approx(
            {"start": 0.25 * given[note], "depth": made(note).measures["depth"]}
        )
    assert led.task(49) == drawn.task(49)
    ends = [made(note).correction_cents[0] for note in (61, 63)]
    assert led.task(62).expected_cents == (sum(ends) / 2,)
    without = drawn.led({note: replace(item, state="refused") for note, item in outcomes.items()})
    assert without.task(50) == drawn.task(50)
