"""Linear programmes whose answers can be had by hand."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.errors import NoSolutionError
from barmodel.linear import cheapest, nearest

ONES = np.ones(2)
FREE = np.full(2, np.inf)
AT_LEAST_ONE = {"rows": -np.ones((1, 2)), "at_most": np.array([-1.0])}
"""x + y ≥ 1."""


def test_the_cheaper_is_taken_up_to_its_limit() -> None:
    found = cheapest(np.array([1.0, 3.0]), **AT_LEAST_ONE, upper=np.array([0.4, np.inf]))
    assert found is not None
    assert found.amounts == pytest.approx([0.4, 0.6])
    assert found.cost == pytest.approx(0.4 + 3.0 * 0.6)


def test_an_equation_is_kept() -> None:
    difference = {"equal": np.array([[1.0, -1.0]]), "to": np.array([0.5])}
    found = cheapest(ONES, **AT_LEAST_ONE, upper=FREE, **difference)
    assert found is not None
    assert found.amounts == pytest.approx([0.75, 0.25])


@pytest.mark.parametrize("cost", [ONES, -ONES], ids=["contradiction", "no bottom"])
def test_what_has_no_solution_is_none(cost: np.ndarray) -> None:
    upper = np.full(2, 0.4) if cost[0] > 0.0 else FREE
    assert cheapest(cost, **AT_LEAST_ONE, upper=upper) is None


def _led(price: float, **limits: np.ndarray):
    """One amount, up to 2, that moves by −1 to −3 and by +1 to at most 0.5."""
    return nearest(
        np.array([1e-3]),
        np.array([[-1.0], [1.0]]),
        low=np.array([-3.0, -1.0]),
        high=np.array([-1.0, 0.5]),
        over_price=np.array([1.0, price]),
        under_price=ONES,
        upper=np.array([2.0]),
        **limits,
    )


def test_windows_that_exclude_each_other_are_missed_where_it_is_cheaper() -> None:
    first, second = _led(0.5), _led(2.0)
    assert first.amounts == pytest.approx([1.0])  # inside the first, beyond the second
    assert first.over == pytest.approx([0.0, 0.5])
    assert second.amounts == pytest.approx([0.5])
    assert second.over == pytest.approx([0.5, 0.0])
    assert first.under == pytest.approx([0.0, 0.0])


def test_limits_that_must_be_kept_are_kept() -> None:
    kept = _led(0.5, rows=np.ones((1, 1)), at_most=np.array([0.25]))
    assert kept.amounts == pytest.approx([0.25])
    assert kept.over == pytest.approx([0.75, 0.0])
    with pytest.raises(NoSolutionError, match="contradict"):
        _led(0.5, rows=np.ones((1, 1)), at_most=np.array([-0.25]))


def test_windows_are_missed_below_too() -> None:
    told = nearest(
        ONES, np.eye(2), low=np.full(2, 3.0), high=np.full(2, 4.0), over_price=ONES,
        under_price=np.array([5.0, 0.5]), upper=np.array([2.0, 9.0]),
    )  # fmt: skip
    assert told.amounts == pytest.approx([2.0, 0.0])  # the first to its limit; the second is dear
    assert told.under == pytest.approx([1.0, 3.0])
    assert told.over == pytest.approx([0.0, 0.0])
