"""Light cuts: one solution against many, and the identities of the uniform bar."""

from __future__ import annotations

import pytest

from barmodel.bar import Bar
from barmodel.cutmap import light_effect
from barmodel.errors import InputError
from barmodel.undercut import Groove


def test_one_cut_has_half_the_effect_of_its_pair(arched: Bar) -> None:
    effect = light_effect(arched)
    one = Groove(at=0.15, width=0.01, depth=1e-4)
    pair = Groove(at=0.15, width=0.01, depth=1e-4, mirror=True)
    assert 2 * effect.shift(one) == pytest.approx(effect.shift(pair), rel=1e-9)


def test_torsion_and_lateral_modes_come_on_request(arched: Bar) -> None:
    effect = light_effect(arched, ["V1", "T1"], order="quick")
    middle = effect.shift(Groove(at=0.215, width=0.01, depth=1e-4))
    assert middle[1] < 0.0
    assert effect.hz[1] > effect.hz[0]
    with pytest.raises(InputError, match="use V1"):
        light_effect(arched, ["W1"])
