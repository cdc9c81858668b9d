"""Recipes do what they say, by a solution of the cut bar."""

from __future__ import annotations

import pytest

from barmodel.bar import Bar
from barmodel.cutmap import find_recipe, predict
from barmodel.errors import InputError, NoSolutionError
from barmodel.undercut.cutters import CUTTERS


@pytest.mark.parametrize(("mode", "row"), [("V1", 0), ("V2", 1)])
def test_one_mode_comes_down_and_the_others_stay(arched: Bar, mode: str, row: int) -> None:
    recipe = find_recipe(arched, CUTTERS["scraper20"], mode=mode, cents=10.0, tolerance=1.0)
    shift = predict(arched, recipe.cuts).shift_cents
    assert shift[row] == pytest.approx(-10.0, rel=0.03)
    assert all(abs(other) <= 1.0 for k, other in enumerate(shift) if k != row)
    assert recipe.volume > 0.0


def test_what_cannot_be_had_is_told(arched: Bar) -> None:
    with pytest.raises(NoSolutionError, match=r"ask for less|allow them"):
        find_recipe(arched, CUTTERS["scraper20"], mode="V1", cents=900.0, order="quick")
    with pytest.raises(InputError, match="not among"):
        find_recipe(arched, CUTTERS["scraper20"], mode="V9", cents=5.0)
