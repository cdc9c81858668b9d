"""What each family draws, and that its derivatives belong to what it draws."""

import numpy as np
import pytest

from barmodel.bar import Blank
from barmodel.design import FAMILIES, Limits
from barmodel.design.aim import Aim, begin
from barmodel.design.family import complex_jacobian, most_curved
from barmodel.design.steps import StepsFamily
from barmodel.units import CENTS
from barmodel.wood import from_partial

BLANK = Blank(
    length=0.372, width=0.053, thickness=0.022, wood=from_partial(density=1000.0, e_long=21e9)
)


@pytest.mark.parametrize("name", FAMILIES)
def test_slopes_are_those_of_the_drawn_bar(name: str) -> None:
    family = FAMILIES[name](BLANK, Limits())
    aim = Aim(family=family, hz=np.array([261.6, 1046.5, 2616.3]))
    at = begin(aim, family.starts(modes=3)[0])
    exact = aim.slopes(aim.modes(at), at)
    for index in range(at.size):
        step = np.zeros(at.size)
        step[index] = 1e-5
        high, low = aim.modes(at + step).hz, aim.modes(at - step).hz
        difference = CENTS * np.log(high / low) / 2e-5
        assert exact[:, index] == pytest.approx(difference, rel=2e-4, abs=0.05)


@pytest.mark.parametrize("name", FAMILIES)
def test_measures_are_what_is_drawn_and_what_a_maker_fixes(name: str) -> None:
    family = FAMILIES[name](BLANK, Limits())
    at = family.starts(modes=3)[0]
    measures = family.measures(at)
    fixed = family.fixed(measures)
    assert [fixed[i] for i in range(at.size)] == pytest.approx(at.tolist())
    assert family.cuts(at)[0].extent[0] == pytest.approx(next(iter(measures.values())))


def test_a_step_is_measured_from_the_floor_before_it() -> None:
    family = StepsFamily(BLANK, Limits(), 2)
    at = family.starts(modes=2)[0]
    deepest = sum(cut.depth for cut in family.cuts(at))
    assert deepest == pytest.approx(family.measures(at)["depth2"])


def test_curvature_of_a_parabola_is_largest_in_the_middle() -> None:
    half, depth = np.array(0.1), np.array(0.01)
    found = most_curved(half, depth, np.array(2.0))
    assert float(found) == pytest.approx(2 * 0.01 / 0.1**2, rel=1e-3)


def test_room_to_the_drum_has_the_derivative_of_its_value() -> None:
    family = FAMILIES["arch"](BLANK, Limits(drum_radius=0.03))
    at = family.starts(modes=3)[0]
    _, gradient = complex_jacobian(family.slack, at)
    step = np.array([0.0, 1e-6, 0.0])
    change = (family.slack(at + step) - family.slack(at - step)) / 2e-6
    assert gradient[:, 1] == pytest.approx(change, abs=1e-6)
