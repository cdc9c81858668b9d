"""Speed of sound, tubes and stops."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.air import (
    END_CORRECTION,
    equal_area_radius,
    speed_of_sound,
    stop_travel,
    tube_hz,
    tube_length,
)
from barmodel.errors import GeometryError, InputError
from barmodel.pitch import cents, note_hz


def test_speed_of_sound() -> None:
    # published: ISO 9613-1:1993
    assert speed_of_sound(0.0) == pytest.approx(331.286, abs=5e-4)
    assert speed_of_sound(20.0) == pytest.approx(343.2)
    assert speed_of_sound(25.0) == pytest.approx(346.114, abs=5e-4)


def test_one_degree_lifts_a_tube_by_three_cents() -> None:
    # own calculation from the formula: 2.95 cents per degree near 20 °C
    assert cents(speed_of_sound(20.5), speed_of_sound(19.5)) == pytest.approx(2.95, abs=0.005)


def test_printed_tube() -> None:
    # published: L 1.5 m, r 0.02 m, end correction 0.6 r, c 340 m/s resonate at 56.22 Hz
    celsius = (340 / 343.2) ** 2 * 293.15 - 273.15
    found = tube_hz(1.5, radius=0.02, temperature_c=celsius, end_correction=0.6)
    assert found == pytest.approx(56.22, abs=0.005)


def test_tube_lengths_of_the_trade() -> None:
    # own calculation in trade notes, c = 331.3 + 0.606 T and 0.61 r: C3 of 60 mm bore 638 mm;
    # 10 °C more need 11 mm at C3, 5.6 mm at C4
    assert 1000 * tube_length(note_hz("C3"), radius=0.030) == pytest.approx(638, abs=1)
    for note, millimetres in (("C3", 11.2), ("C4", 5.6)):
        short, long = stop_travel(note_hz(note), radius=0.02, coldest_c=15.0, hottest_c=25.0)
        assert 1000 * (long - short) == pytest.approx(millimetres, abs=0.1)


@given(st.floats(60, 1200), st.floats(0.005, 0.02), st.floats(-10, 40), st.floats(-40, 40))
def test_length_and_frequency_are_inverse(hz: float, radius: float, air: float, up: float) -> None:
    length = tube_length(hz, radius=radius, temperature_c=air, offset_cents=up)
    found = tube_hz(length, radius=radius, temperature_c=air)
    assert cents(found, hz) == pytest.approx(up, abs=1e-7)


def test_box_of_equal_area() -> None:
    assert math.pi * equal_area_radius(0.06, 0.04) ** 2 == pytest.approx(0.06 * 0.04)
    assert END_CORRECTION == 0.6133  # Levine & Schwinger 1948 (from memory)


@pytest.mark.parametrize("celsius", [-20.1, 50.1, 293.15, float("nan")])
def test_air_no_instrument_is_played_in(celsius: float) -> None:
    with pytest.raises(InputError, match="Celsius"):
        speed_of_sound(celsius)


def test_impossible_tubes_are_refused() -> None:
    with pytest.raises(GeometryError, match="too wide"):
        tube_length(2093.0, radius=0.03)
    with pytest.raises(GeometryError, match="radius"):
        tube_length(220.0, radius=0.0)
    with pytest.raises(GeometryError, match="length"):
        tube_hz(-0.1, radius=0.02)
    with pytest.raises(GeometryError, match="box"):
        equal_area_radius(0.06, 0.0)
    with pytest.raises(InputError, match="frequency"):
        tube_length(float("nan"), radius=0.02)
    with pytest.raises(InputError, match="exchange"):
        stop_travel(220.0, radius=0.02, coldest_c=30.0, hottest_c=10.0)
    for far in (1201.0, -1e300, float("nan")):
        with pytest.raises(InputError, match="octave"):
            tube_length(220.0, radius=0.02, offset_cents=far)
