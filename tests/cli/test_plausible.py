"""Wrong units, slipped decimals, decimal commas: told with the likely slip, never taken."""

from __future__ import annotations

import json

import pytest

from barmodel.files import read_bar_file
from barmodel_cli.asked.options import BadValue, read_frequencies
from barmodel_cli.asked.plausible import doubts, read_density, read_mass_g
from tests.cli.conftest import Bench, Result

GOOD = {"--length": "350", "--width": "58", "--thickness": "21", "--note": "A3", "--wood": "padauk"}


def start(bench: Bench, **changed: str) -> Result:
    words = GOOD | {f"--{name}": value for name, value in changed.items()}
    return bench("start", "a3", *(word for pair in words.items() for word in pair))


@pytest.mark.parametrize(
    ("changed", "word"),
    [
        ({"length": "35", "width": "5.8", "thickness": "2.1"}, "did you mean 350 mm (35 cm)"),
        ({"length": "13.75", "width": "2.25", "thickness": "0.83"}, "349.2 mm (13.75in)"),
        ({"length": "3500"}, "350 mm"),
        ({"length": "350", "width": "21", "thickness": "58"}, "exchanged"),
        ({"mass": "0.32"}, "did you mean 320 g (0.32kg)"),
        ({"density": "0.745"}, "did you mean 745 kg/m³ (0.745 g/cm³)"),
        ({"density": "2700"}, "250 to 1500"),
        ({"e-long": "12540"}, "did you mean 12.54 GPa"),
        ({"mass": "320lbs"}, "0.32kg"),
        ({"tap": "69.0,178,318"}, "did you mean 690,1780,3180?"),
        ({"tap": "690,3180"}, "did you mean 690,-,3180?"),
        ({"tap": "1,2,3"}, "11349 cents below"),
    ],
)
def test_slips_are_refused_with_what_was_meant(
    bench: Bench, changed: dict[str, str], word: str
) -> None:
    result = start(bench, **changed)
    assert result.code == 3
    assert word in result.told
    assert list(bench.folder.iterdir()) == []


def test_unusual_takes_what_was_checked(bench: Bench) -> None:
    words = [
        word for pair in (GOOD | {"--thickness": "3", "--tap": "690"}).items() for word in pair
    ]
    assert bench("start", "a3", *words).code == 3
    assert bench("start", "a3", *words, "--unusual").code == 0
    assert json.loads((bench.folder / "a3.bar.json").read_text())["blank"]["thickness_mm"] == 3.0


def test_metal_may_be_heavy(bench: Bench) -> None:
    assert start(bench, wood="6061", density="2700").code == 0


def test_weights_and_densities_with_their_units() -> None:
    assert read_mass_g("320") == read_mass_g("320g") == read_mass_g("0.32kg") == 320.0
    assert read_mass_g("1 lb") == pytest.approx(453.592, abs=1e-3)
    assert read_density("745") == read_density("0.745 g/cm3") == 745.0
    with pytest.raises(BadValue, match="point"):
        read_mass_g("0,32kg")


def test_help_names_the_units(bench: Bench) -> None:
    shown = bench("start", "-h").shown
    assert "in grams" in shown
    assert "kg/m³" in shown


@pytest.mark.parametrize(
    "text",
    ["690,1780,3180", "690 1780 3180", "690, 1780, 3180", "690;1780;3180", " 690 , 1780 3180"],
)
def test_frequencies_may_stand_apart_in_any_way(text: str) -> None:
    assert read_frequencies(text) == (690.0, 1780.0, 3180.0)


def test_a_mode_not_heard_keeps_its_place() -> None:
    assert read_frequencies("690 - 3180") == read_frequencies("690,,3180") == (690.0, None, 3180.0)


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("690,5,1780", "did you mean 690.5,1780?"),
        ("690,50,1780,25,3180", "did you mean 690.50,1780.25,3180?"),
        ("227,1;893.2;2216", "as '227.1'"),
        ("227,1 893,2", "as '227.1'"),
        ("900,300", "ascend$"),
    ],
)
def test_decimal_commas_get_a_word(text: str, word: str) -> None:
    with pytest.raises(BadValue, match=word.replace("?", r"\?").replace(".", r"\.")):
        read_frequencies(text)


def test_a_reading_within_reach_of_the_wood_is_believed() -> None:
    expected = [700.0, 1820.0, 3300.0]
    assert doubts((700 * 2**0.49, None, 3300.0), expected) == []
    assert doubts((700 * 2**0.51,), expected)


@pytest.mark.parametrize("text", ["1e-300", "1e308kg", "1" * 400, "0kg"])
def test_weights_beyond_any_scale_are_refused(text: str) -> None:
    with pytest.raises(BadValue):
        read_mass_g(text)


def test_next_after_taps_is_the_fit(bench: Bench) -> None:
    assert "next: barmodel fit a3.bar.json --save" in start(bench, tap="690,1780,3180").err
    assert "11.40 GPa was measured by bending" in bench.start("b").err


def test_a_weight_far_from_its_species_is_questioned(bench: Bench) -> None:
    assert "padauk usually 745" in start(bench, mass="120").err


def test_a_temperature_in_fahrenheit_is_noticed(bench: Bench) -> None:
    bench.start()
    words = ("hear", "--hz", "500,-,-", "--into", "G3", "--temperature")
    refused = bench(*words, "70")
    assert refused.code == 3
    assert "write 21" in refused.err
    assert not read_bar_file("G3.bar.json").log
    assert bench(*words, "70", "--unusual").code == 0
    assert read_bar_file("G3.bar.json").readings[0].temperature_c == 70.0
