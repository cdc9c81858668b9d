"""Recipes do what they say, by a solution of the cut bar, in cuts a maker can make."""

from __future__ import annotations

import itertools
import re

import numpy as np
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


@pytest.mark.parametrize(
    ("cutter", "mode", "cents"),
    [("scraper20", "V1", 15.0), ("bit12", "V2", 10.0), ("file10", "V2", 20.0)],
)
def test_cuts_are_shallow_and_apart(arched: Bar, cutter: str, mode: str, cents: float) -> None:
    recipe = find_recipe(
        arched, CUTTERS[cutter], mode=mode, cents=cents, tolerance=2.0, order="quick"
    )
    half = arched.blank.length / 2
    spans = [cut.extent for cut in recipe.cuts]
    assert all(end <= start + 1e-6 for (_, end), (start, _) in itertools.pairwise(spans))
    for cut, (_, end) in zip(recipe.cuts, spans, strict=True):
        assert not cut.mirror or end <= half + 1e-6
        x = np.linspace(*cut.extent, 25)[1:-1]
        thinnest = float(arched.profile.thickness(x).real.min())
        assert cut.depth <= 0.1 * thinnest + 1e-9


def test_neighbours_are_one_longer_cut(arched: Bar) -> None:
    """Two dishes side by side in the middle would save a little wood and cost an edge."""
    recipe = find_recipe(
        arched, CUTTERS["file10"], mode="V1", cents=20.0, tolerance=2.0, order="quick"
    )
    ends, middle = [cut.extent for cut in recipe.cuts]
    assert ends[0] == 0.0
    assert middle[1] - middle[0] == pytest.approx(0.03)


def test_deeper_cuts_may_be_allowed(arched: Bar) -> None:
    ask = {"mode": "V1", "cents": 60.0, "tolerance": 2.0, "order": "quick"}
    with pytest.raises(NoSolutionError, match="allow deeper cuts") as refused:
        find_recipe(arched, CUTTERS["drum40"], **ask)
    recipe = find_recipe(arched, CUTTERS["drum40"], **ask, deepest=0.005)
    assert max(cut.depth for cut in recipe.cuts) > 0.0023
    # what is offered instead is no nonsense: it works
    allow, less = map(float, re.findall(r"(?:them|for) ([0-9.]+) cents", str(refused.value)))
    assert allow > 2.0
    assert less < 60.0
    find_recipe(arched, CUTTERS["drum40"], **(ask | {"cents": less}))
    find_recipe(arched, CUTTERS["drum40"], **(ask | {"tolerance": allow}))


def test_what_cannot_be_had_is_told(arched: Bar) -> None:
    with pytest.raises(NoSolutionError, match=r"it works: ask for [1-9]"):
        find_recipe(arched, CUTTERS["scraper20"], mode="V1", cents=900.0, order="quick")
    with pytest.raises(InputError, match="not among"):
        find_recipe(arched, CUTTERS["scraper20"], mode="V9", cents=5.0)
