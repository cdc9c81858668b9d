"""Blank and bar: mass, cuts, shortening."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.bar import Bar, Blank, bears_blows
from barmodel.errors import GeometryError
from barmodel.modes import solve
from barmodel.undercut import Arch, Groove, Pocket
from barmodel.wood import Wood, species

METAL = Wood.from_isotropic(e=70e9, nu=0.33, density=2700.0)


def bar(*cuts) -> Bar:
    return Bar(blank=Blank(length=0.3, width=0.05, thickness=0.012, wood=METAL), undercut=cuts)


def test_mass_follows_what_is_cut_away() -> None:
    whole, cut = bar(), bar(Pocket(start=0.1, end=0.2, depth=0.006))
    assert whole.mass == pytest.approx(0.3 * 0.05 * 0.012 * 2700.0)
    assert whole.mass - cut.mass == pytest.approx(0.1 * 0.05 * 0.006 * 2700.0)


@pytest.mark.parametrize("model", ["beam", "solid"])
@pytest.mark.parametrize(
    "cut", [Arch(start=0.05, end=0.25, depth=0.0121), Pocket(start=0.1, end=0.2, depth=0.0121)]
)
def test_a_bar_cut_through_has_no_modes(model, cut) -> None:
    shortened = bar(cut).trimmed(left=0.06)  # the cut reaches past the new end, rightly
    with pytest.raises(GeometryError, match="go through the bar at x = "):
        solve(shortened, model=model, count=1, families=["bending"])


def test_metal_bears_blows_when_thinner() -> None:
    assert bears_blows(METAL) < bears_blows(species("padauk").wood())


@pytest.mark.parametrize(("left", "right"), [(0.004, 0.004), (0.010, 0.0), (0.0, 0.007)])
def test_shortening_leaves_every_cut_where_it_was(left: float, right: float) -> None:
    before = bar(Groove(at=0.08, width=0.01, depth=0.004, mirror=True))
    after = before.trimmed(left=left, right=right)
    x = np.linspace(0.02, 0.28, 97)
    assert after.blank.length == pytest.approx(0.3 - left - right)
    assert after.profile.thickness(x - left) == pytest.approx(before.profile.thickness(x))


@pytest.mark.parametrize(
    ("sizes", "words"),
    [
        ((0.0, 0.05, 0.01), "positive length"),
        ((0.02, 0.01, 0.012), "twice the thickness"),
        ((0.05, 0.06, 0.01), "exchange"),
    ],
)
def test_impossible_blanks_are_refused(sizes: tuple[float, float, float], words: str) -> None:
    length, width, thickness = sizes
    with pytest.raises(GeometryError, match=words):
        Blank(length=length, width=width, thickness=thickness, wood=METAL)
