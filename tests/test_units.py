"""Lengths as makers write them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmodel.errors import InputError
from barmodel.units import INCH, MM, parse_length


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("412", 0.412),
        (" 412 mm ", 0.412),
        ("41.2cm", 0.412),
        (".412 m", 0.412),
        ("0", 0.0),
        ("3/8in", 0.375 * 0.0254),
        ('3/8"', 0.375 * 0.0254),
        ("16 3/4in", 16.75 * 0.0254),
        ("16-3/4 inch", 16.75 * 0.0254),
        ("2 inches", 2 * 0.0254),
        ("1/2", 0.0005),
    ],
)
def test_lengths_are_read_in_every_notation(text: str, metres: float) -> None:
    assert parse_length(text) == pytest.approx(metres, rel=1e-14)


@pytest.mark.parametrize(
    "text", ["", "mm", "12 ft", "-3", "1e3", "16 3/4 5", "nan", "1/2/3", "3 4"]
)
def test_what_is_not_a_length_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="not understood"):
        parse_length(text)


def test_decimal_comma_is_named_and_the_repair_shown() -> None:
    with pytest.raises(InputError, match=r"point, for example '41\.2'"):
        parse_length("41,2")


def test_zero_denominator_is_refused() -> None:
    with pytest.raises(InputError, match="divides by zero"):
        parse_length("3/0in")


@given(st.floats(0, 1e4), st.sampled_from([("mm", MM), ("cm", 10 * MM), ("m", 1.0), ("in", INCH)]))
def test_written_length_is_read_back(number: float, unit: tuple[str, float]) -> None:
    text = f"{number:.12f}{unit[0]}"
    assert math.isclose(parse_length(text), float(f"{number:.12f}") * unit[1], rel_tol=1e-15)


@given(st.integers(0, 99), st.integers(0, 64), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_fraction_equals_its_decimal(whole: int, numerator: int, denominator: int) -> None:
    decimal = whole + numerator / denominator
    assert parse_length(f"{whole} {numerator}/{denominator}in") == decimal * INCH


@pytest.mark.parametrize("text", ["1" * 400, "1" * 400 + "/" + "1" * 400, "9" * 5000 + "/3in"])
def test_lengths_beyond_any_number_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="beyond any number"):
        parse_length(text)
