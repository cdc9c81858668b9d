"""Light cuts: one solution against many, and the identities of the uniform bar."""

from __future__ import annotations

import numpy as np
import pytest

from barmodel.bar import Bar, Blank
from barmodel.cutmap import light_effect, predict
from barmodel.errors import InputError
from barmodel.undercut import Groove
from barmodel.wood import Wood


@pytest.mark.parametrize("at", [0.04, 0.12, 0.172, 0.205])
def test_light_cuts_shift_as_a_solution_of_the_dished_bar_says(arched: Bar, at: float) -> None:
    effect = light_effect(arched)
    dish = Groove(at=at, width=0.02, depth=2e-5, section="dished", mirror=True)
    solved = predict(arched, [dish]).shift_cents
    peak = 42.0 * 0.02  # strongest effect on mode 1, at the middle of the bar
    assert effect.shift(dish) == pytest.approx(solved, abs=0.02 * peak)


def test_one_cut_has_half_the_effect_of_its_pair(arched: Bar) -> None:
    effect = light_effect(arched)
    one = Groove(at=0.15, width=0.01, depth=1e-4)
    pair = Groove(at=0.15, width=0.01, depth=1e-4, mirror=True)
    assert 2 * effect.shift(one) == pytest.approx(effect.shift(pair), rel=1e-9)


def test_uniform_bar_without_shear_keeps_the_textbook_sums_and_zero_points() -> None:
    metal = Wood.from_isotropic(e=70e9, nu=0.0, density=2700.0)
    thickness = 0.002
    bar = Bar(blank=Blank(length=1.0, width=0.02, thickness=thickness, wood=metal))
    effect = light_effect(bar)
    # a layer off everywhere: −1731.234·dh/h cents in every mode
    assert effect.density @ effect.weight * thickness == pytest.approx(-1731.234, rel=5e-4)
    for row, zero in enumerate((0.14720, 0.08786, 0.06278)):
        outside, inside = effect.at(np.array([zero - 5e-4, zero + 5e-4]))[row]
        assert outside > 0.0 > inside


def test_torsion_and_lateral_modes_come_on_request(arched: Bar) -> None:
    effect = light_effect(arched, ["V1", "T1"], order="quick")
    middle = effect.shift(Groove(at=0.215, width=0.01, depth=1e-4))
    assert middle[1] < 0.0
    assert effect.hz[1] > effect.hz[0]
    with pytest.raises(InputError, match="use V1"):
        light_effect(arched, ["W1"])
