"""Drift of bars with heat and moisture."""

import dataclasses

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.errors import InputError
from barmodel.weather import (
    Condition,
    equilibrium_moisture,
    offset_to_leave,
    property_at_moisture,
    shift,
)
from barmodel.wood import species

PADAUK = species("padauk").weather()
MAPLE = species("sugar maple").weather()
METAL = species("6061").weather()


def test_handbook_moisture_examples() -> None:
    # USDA Wood Handbook eq. 5-3; hard maple 10.7 green, 12.6 at 12 %: 13.250 at 8 % (recomputed)
    assert property_at_moisture(12.6, 10.7, 8.0) == pytest.approx(13.250, abs=5e-4)
    # printed worked example (read in a copy): white ash strength, kPa, at 8 %
    ash = property_at_moisture(103_000, 66_000, 8.0, intersection_percent=24.0)
    assert ash == pytest.approx(119_500, abs=100)
    assert property_at_moisture(12.6, 10.7, 12.0) == 12.6
    assert property_at_moisture(12.6, 10.7, 28.0) == pytest.approx(10.7)


@pytest.mark.parametrize(
    ("celsius", "humidity", "percent"),
    # USDA Wood Handbook table 4-2 (from memory)
    [(21.1, 0.30, 6.2), (21.1, 0.50, 9.2), (21.1, 0.65, 12.0), (26.7, 0.80, 15.7)],
)
def test_wood_settles_as_the_handbook_says(celsius: float, humidity: float, percent: float) -> None:
    assert equilibrium_moisture(celsius, humidity) == pytest.approx(percent, abs=0.11)


def test_one_percent_moisture_flattens_by_ten_to_fifteen_cents() -> None:
    # common practice, no source (own calculation of the trade notes): -10 to -15 cents per percent
    for response in (PADAUK, MAPLE):
        drift = shift(response, Condition(20, 8), Condition(20, 9))
        assert -15 < drift.moisture_cents < -10
        assert drift.heat_cents == 0


def test_rosewood_bar_measured_warm_and_cold() -> None:
    # published (maker's log): 1868.0 Hz at 18.1 °C, 1884.8 Hz at 1 °C, +15.5 cents
    rosewood = species("honduran rosewood").weather()
    cold = shift(rosewood, Condition(18.1, 8), Condition(1.0, 8))
    assert cold.cents == pytest.approx(15.5, abs=0.5)


def test_aluminium_drift_follows_from_its_modulus() -> None:
    # NIST fit of E(T) of 6061-T6, coefficients published (read in a copy), GPa against kelvin;
    # expansion 23.2e-6 per kelvin; f goes as sqrt(E) and half the expansion
    fit = [7.771221e1, 1.030646e-2, -2.924100e-4, 8.993600e-7, -1.070900e-9]
    kelvin = 293.0
    modulus = sum(c * kelvin**n for n, c in enumerate(fit))
    slope = sum(n * c * kelvin ** (n - 1) for n, c in enumerate(fit) if n)
    assert modulus == pytest.approx(70.4, abs=0.3)
    per_degree = 1731.234 * (0.5 * slope / modulus + 0.5 * 23.2e-6)
    assert METAL.cents_per_c == pytest.approx(per_degree, abs=0.01)


def test_metal_does_not_mind_water() -> None:
    drift = shift(METAL, Condition(20, 5), Condition(30, 12))
    assert drift.moisture_cents == 0
    assert drift.cents == pytest.approx(10 * METAL.cents_per_c)


@given(*[st.floats(5, 35), st.floats(4, 20)] * 2)
def test_there_and_back_is_nothing(t1: float, m1: float, t2: float, m2: float) -> None:
    a, b = Condition(t1, m1), Condition(t2, m2)
    there, back = shift(PADAUK, a, b), shift(PADAUK, b, a)
    assert there.cents == pytest.approx(-back.cents, abs=1e-9)
    assert there.standard_error == pytest.approx(back.standard_error)
    assert offset_to_leave(PADAUK, a, b).cents == pytest.approx(-there.cents, abs=1e-9)


def test_moving_to_a_damp_room_means_leaving_it_sharp() -> None:
    bench = Condition.settled(temperature_c=17.0, relative_humidity=0.35)
    hall = Condition.settled(temperature_c=21.0, relative_humidity=0.50)
    leave = offset_to_leave(PADAUK, bench, hall)
    assert leave.cents > 20
    assert 5 < leave.standard_error < leave.cents


def test_uncertainty_grows_with_what_is_not_known() -> None:
    vague = dataclasses.replace(PADAUK, e_dry_ratio_error=0.15, moisture_relative_error=0.6)
    a, b = Condition(20, 7), Condition(20, 10)
    assert shift(vague, a, b).standard_error > 1.8 * shift(PADAUK, a, b).standard_error
    assert shift(PADAUK, a, a).standard_error == 0


def test_impossible_weather_is_refused() -> None:
    with pytest.raises(InputError, match=r"45 % as 0\.45"):
        equilibrium_moisture(20.0, 45.0)
    with pytest.raises(InputError, match="Celsius"):
        equilibrium_moisture(293.0, 0.5)
    with pytest.raises(InputError, match="moisture"):
        Condition(20.0, 31.0)
    with pytest.raises(InputError, match="Celsius"):
        Condition(float("nan"), 8.0)
    with pytest.raises(InputError, match="positive"):
        property_at_moisture(12.6, 0.0, 8.0)


def test_sawing_decides_which_side_swells() -> None:
    # published (fact sheet): padauk shrinks 3.3 % radially, 5.2 % tangentially; in a flat-sawn
    # board radial is the thickness
    flat, quarter = species("padauk").weather(), species("padauk").weather(sawn="quarter")
    assert (flat.shrink_thick_percent, flat.shrink_width_percent) == (3.3, 5.2)
    assert (quarter.shrink_thick_percent, quarter.shrink_width_percent) == (5.2, 3.3)
    # a thicker bar is sharper, so the board whose thickness swells more flattens less
    damp = [shift(r, Condition(20, 8), Condition(20, 12)).cents for r in (flat, quarter)]
    assert damp[0] < damp[1] < 0
