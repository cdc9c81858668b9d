"""Names by prediction: the bar's own modes, none when unheard, never sure when it cannot be."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.errors import InputError
from barmodel.strike import Expected, Partial, name_by_prediction


def line(
    hz: float, level_db: float = -10.0, *, steady: bool = False, error: float = 0.2
) -> Partial:
    return Partial(hz, error, 2 * error, level_db, 0.1, 0.001, 40.0, steady=steady)


BAR = [
    Expected("bending", 1, 262.0, 20.0),
    Expected("torsional", 1, 490.0, 40.0),
    Expected("bending", 2, 1046.0, 20.0),
    Expected("torsional", 2, 1105.0, 40.0),
    Expected("bending", 3, 2620.0, 20.0),
]


def names(lines: list[Partial], **options: float) -> dict[tuple[str, int], float]:
    found = name_by_prediction(lines, BAR, **options)
    return {(m.kind, m.number): m.hz for m in found}


def test_each_line_gets_its_own_name() -> None:
    found = names([line(262.5), line(491.0, -30), line(1046.5), line(1104.0, -25), line(2615.0)])
    assert found[("bending", 2)] == 1046.5
    assert found[("torsional", 2)] == 1104.0
    assert len(found) == 5


def test_wood_stiffer_than_believed_moves_all_names_together() -> None:
    up = 2 ** (110 / 1200)
    # mode 2 now lies where the second torsional mode was predicted
    found = names([line(262 * up), line(1046 * up), line(2620 * up)], shared_error_cents=60.0)
    assert found[("bending", 2)] == pytest.approx(1046 * up)
    assert ("torsional", 2) not in found


def test_a_mode_that_is_not_there_is_not_named() -> None:
    found = names([line(262.0), line(2620.0)])
    assert set(found) == {("bending", 1), ("bending", 3)}
    assert names([line(700.0)]) == {}


def test_a_line_that_could_be_either_is_never_sure() -> None:
    modes = name_by_prediction([line(262.0), line(1075.0), line(2620.0)], BAR)
    between = [m for m in modes if m.hz == 1075.0]
    assert all(m.confidence < 0.9 for m in between)
    assert all(m.alternatives for m in between)


def test_steady_lines_are_never_named() -> None:
    assert names([line(262.0, steady=True)]) == {}


def test_clear_names_are_sure() -> None:
    modes = name_by_prediction([line(262.2), line(1046.9), line(2622.0)], BAR)
    assert all(m.confidence > 0.9 for m in modes)
    assert all(np.isfinite(m.predicted_hz or np.nan) for m in modes)


@pytest.mark.parametrize(("hz", "error"), [(0.0, 10.0), (np.nan, 10.0), (100.0, 0.0)])
def test_impossible_predictions_are_refused(hz: float, error: float) -> None:
    with pytest.raises(InputError):
        Expected("bending", 1, hz, error)
