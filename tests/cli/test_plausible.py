"""Wrong units, slipped decimals, decimal commas: told with the likely slip, never taken."""

from __future__ import annotations

import json
import re

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


SET_FILE = """
schema = "barmodel/set/1"
lowest = "F3"
highest = "A#4"
a4_hz = 442
[ratios]
F3 = [1, 4, 10]
G4 = [1, 4]
[width_mm]
F3 = 56
C4 = 50
[stock]
thickness_mm = 21
wood = {species = "padauk", density_kg_m3 = 740, e_long_gpa = 12.5}
[lengths]
given_mm = {F3 = 372, C4 = 310}
[shape]
keep_mm = 6
[rails]
hole_diameter_mm = 6.4
gap_mm = 8
[room]
temperature_c = 21
humidity_percent = 50
[[planks]]
name = "P1"
length_mm = 900
width_mm = 60
thickness_mm = 22
mass_g = 950
tap_hz = [116.4, 318.1, 616.0]
"""


@pytest.mark.parametrize(
    ("old", "new", "word"),
    [
        ("C4 = 50\n", "C4 = 6.2\n", "width_mm.C4 is 6.2 mm, outside the 15 to 150 mm of bars; did "
         "you mean 62 mm (6.2 cm)"),
        ("F3 = 372", "F3 = 37.2", "lengths.given_mm.F3 is 37.2 mm, outside the 60 to 1200 mm of "
         "bars; did you mean 372 mm (37.2 cm)"),
        ("F3 = 372", "F3 = 3720", "did you mean 372 mm (one digit less)"),
        ("thickness_mm = 21", "thickness_mm = 2.1", "stock.thickness_mm is 2.1 mm"),
        ("keep_mm = 6", "keep_mm = 0.6", "shape.keep_mm is 0.6 mm, outside the 1.5 to 25 mm of "
         "bars; did you mean 6 mm (0.6 cm)"),
        ("keep_mm = 6", "keep_mm = 60", "not below the 21 mm of the stock, so that nothing could "
         "be cut; did you mean 6 mm?"),
        ("G4 = [1, 4]", "G4 = [1, 4.10]", "ratios.G4 is [1, 4.1], mode 2 at 4.1 times mode 1, "
         "where bars have 3 or 4; did you mean [1, 4, 10]?"),
        ("G4 = [1, 4]", "G4 = [1, 3.6]", "did you mean [1, 3, 6]?"),
        ("G4 = [1, 4]", "G4 = [4, 10]", "did you mean [1, 4, 10]?"),
        ("G4 = [1, 4]", "G4 = [1, 40]", "mode 2 at 40 times mode 1, where bars have 3 or 4 ("),
        ("density_kg_m3 = 740", "density_kg_m3 = 0.74", "did you mean 740 kg/m³ (0.74 g/cm³)"),
        ("density_kg_m3 = 740", "density_kg_m3 = 46", "did you mean 736.8 kg/m³ (46 lb/ft³)"),
        ("e_long_gpa = 12.5", "e_long_gpa = 9999", "did you mean 9.999 GPa (9999 MPa)"),
        ("hole_diameter_mm = 6.4", "hole_diameter_mm = 0.64", "did you mean 6.4 mm (0.64 cm)"),
        ("gap_mm = 8", "gap_mm = 0.8", "rails.gap_mm is 0.8 mm"),
        ("length_mm = 900", "length_mm = 90", "plank P1: length_mm is 90 mm"),
        ("mass_g = 950", "mass_g = 0.95", "plank P1: mass_g is 0.95 g, which makes 0.8 kg/m³ of "
         "this blank, outside the 250 to 1500 kg/m³ of bars; did you mean 950 g (0.95kg)"),
        ("[116.4, 318.1, 616.0]", "[0.1164, 0.3181, 0.616]", "did you mean 116.4 Hz (0.1164 kHz)"),
        ("temperature_c = 21", "temperature_c = 50", "if that is °F, write 10"),
        ('lowest = "F3"', 'lowest = "C1"', "lowest is C1, outside the C2 to E8 of bars"),
    ],
)  # fmt: skip
def test_slips_in_a_set_file_are_met_with_what_was_meant(
    bench: Bench, old: str, new: str, word: str
) -> None:
    assert SET_FILE.count(old) == 1
    (bench.folder / "a.set.toml").write_text(SET_FILE.replace(old, new), encoding="utf-8")
    for words in (("--lengths-only",), ()):
        result = bench("instrument", "a.set.toml", *words)
        assert result.code == 3
        assert word in result.told
        assert "add --unusual" in result.told
        assert [path.name for path in bench.folder.iterdir()] == ["a.set.toml"]


@pytest.mark.parametrize(
    ("old", "new", "word"),
    [
        ("a4_hz = 442", "a4_hz = 44.2", "did you mean 442?"),
        ("a4_hz = 442", "a4_hz = 0.442", "did you mean 442?"),
        ('lowest = "F3"', 'lowest = "C5"', "were they exchanged?"),
        ('highest = "A#4"', 'highest = "H4"', "did you mean B4?"),
        ('highest = "A#4"', 'highest = "Fis4"', "did you mean F#4?"),
        ('highest = "A#4"', 'highest = "as4"', "did you mean Ab4?"),
    ],
)
def test_what_no_set_can_be_says_what_was_meant(
    bench: Bench, old: str, new: str, word: str
) -> None:
    """Without --unusual and with it."""
    (bench.folder / "a.set.toml").write_text(SET_FILE.replace(old, new), encoding="utf-8")
    for words in ((), ("--unusual",)):
        result = bench("instrument", "a.set.toml", "--lengths-only", *words)
        assert result.code == 3
        assert word in result.told


def test_unusual_takes_an_odd_set_and_usual_ones_need_no_word(bench: Bench) -> None:
    small = SET_FILE.replace('"A#4"', '"F#3"').replace("C4 = 310", '"F#3" = 366')
    small = small[: small.index("[[planks]]")]
    (bench.folder / "a.set.toml").write_text(small, encoding="utf-8")
    assert bench("instrument", "a.set.toml", "--lengths-only", "--cores", "1").code == 0
    odd = small.replace("hole_diameter_mm = 6.4", "hole_diameter_mm = 1.2")
    (bench.folder / "a.set.toml").write_text(odd, encoding="utf-8")
    assert bench("instrument", "a.set.toml", "--lengths-only", "--cores", "1").code == 3
    taken = bench("instrument", "a.set.toml", "--lengths-only", "--cores", "1", "--unusual")
    assert taken.code == 0, taken.err


def test_many_slips_are_told_in_short(bench: Bench) -> None:
    names = ("F3", "G3", "A3", "B3", "C4", "D4", "E4", "F4")
    widths = "\n".join(f"{name} = 5.6" for name in names)
    text = SET_FILE.replace("F3 = 56\nC4 = 50", widths)
    (bench.folder / "a.set.toml").write_text(text, encoding="utf-8")
    told = bench("instrument", "a.set.toml").told
    assert told.count("5.6 cm") == 6
    assert "and 2 more (ranges" in told


def test_the_ratios_of_one_bar_have_the_same_slip(bench: Bench) -> None:
    assert "did you mean 1:4:10?" in start(bench, ratios="1:4.10").told
    assert start(bench, ratios="1:3.96").code == 0


@pytest.mark.parametrize(
    ("note", "more", "says"),
    [
        ("A6", (), r"mode 1 of the blank rings at about (\d+) Hz, and mode 1 of A6 is to be 1760"),
        ("F4", (), r"mode 3 of the blank rings at about (\d+) Hz, and mode 3 of F4 is to be 3492"),
        ("A6", ("--tap", "566.8,1484,2718"), r"mode 1 of the blank rings at (567) Hz"),
        ("F4", ("--ratios", "1:4"), None),
        ("G3", (), None),
    ],
)  # fmt: skip
def test_a_note_above_the_blank_is_told_at_start(
    bench: Bench, note: str, more: tuple[str, ...], says: str | None
) -> None:
    """Wood off the underside lowers a bar: what rings below its note never comes up to it."""
    size = ("--length", "400", "--width", "60", "--thickness", "22", "--wood", "padauk")
    found = bench("start", "bar", *size, "--note", note, *more)
    assert found.code == 0
    blank = json.loads(bench("modes", "bar", "--json").out)["bending_hz"]
    if says is None:
        assert "of the blank rings" not in found.told
        return
    told = re.search(says, found.told)
    assert told is not None
    mode = int(says[5]) - 1
    if not more:
        assert float(told[1]) == pytest.approx(blank[mode], rel=5e-3)
    assert found.err.count("of the blank rings") == 1
