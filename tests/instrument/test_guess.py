"""A guess of what the solid will say saves asking it twice, and a wrong guess does no harm."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.design import find
from barmodel.instrument.window import request_for
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
