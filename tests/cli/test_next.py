"""`next`: the contract of its JSON, its words, and the way from blank to finished."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barmodel.files import read_bar_file
from tests.cli.conftest import Bench

KEYS = {"state", "cut", "expected_hz", "low_hz", "high_hz", "reason", "rounds_left"}


@pytest.fixture
def roughed(bench: Bench) -> Bench:
    """A bar near its note, heard after its rough cut."""
    bench.start()
    bench("cut", "G3", "--entries", str(_arch(bench)))
    return bench


def _arch(bench: Bench) -> Path:
    path = bench.folder / "arch.json"
    arch = {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0, "fullness": 3.0}
    path.write_text(json.dumps([arch]), encoding="utf-8")
    return path


def hear(bench: Bench, *cents: float, more: tuple[str, ...] = ()) -> None:
    """Record a reading that lies so many cents from the target of G3, 1:4:10."""
    hz = [195.99772 * ratio * 2 ** (c / 1200) for ratio, c in zip((1, 4, 10), cents, strict=True)]
    told = ",".join(f"{value:.3f}" for value in hz)
    found = bench("hear", "--into", "G3", "--hz", told, *more)
    assert found.code == 0, found.err


def test_the_rough_cut_of_a_shortened_bar_lies_about_its_middle(bench: Bench) -> None:
    bench.start()
    assert bench("design", "G3", "--model", "beam", "--save").code == 0
    blank = json.loads(bench("modes", "G3", "--blank", "--json").out)["bending_hz"][:3]
    assert bench("cut", "G3", "--ends", "8").code == 0
    shorter = json.loads(bench("modes", "G3", "--json").out)["bending_hz"][:3]
    assert shorter[0] > blank[0]
    for _ in range(2):
        heard = bench("hear", "--into", "G3", "--hz", ",".join(f"{hz:.2f}" for hz in shorter))
        assert heard.code == 0, heard.err
    told = bench("next", "G3", "--json", "--cutter", "scraper20")
    assert told.code == 0, told.err
    (arch,) = json.loads(told.out)["cut"]
    length = read_bar_file(bench.folder / "G3.bar.json").blank.length_mm - 16.0
    assert (arch["start_mm"] + arch["end_mm"]) / 2 == pytest.approx(length / 2, abs=0.01)
    assert bench("cut", "G3", "--designed").code == 0
    cut = read_bar_file(bench.folder / "G3.bar.json").cuts[-1].entries[0]
    assert (cut.start_mm + cut.end_mm) / 2 == pytest.approx(length / 2, abs=0.01)


def test_it_asks_to_listen_first(roughed: Bench) -> None:
    found = roughed("next", "G3", "--json")
    assert found.code == 0, found.err
    answer = json.loads(found.out)
    assert answer["state"] == "measure"
    assert set(answer) >= KEYS
    assert answer["cut"] == []


def test_cut_in_words_and_numbers_can_be_recorded(roughed: Bench) -> None:
    for _ in range(2):  # twice, for it is not where the written cut would have it
        hear(roughed, 30.0, 26.0, 20.0)
    options = ("--cutter", "scraper20", "--cutter", "drum40")
    answer = json.loads(roughed("next", "G3", *options, "--json").out)
    assert answer["state"] == "cut"
    assert set(answer["cutter"]) <= {"scraper20", "drum40"}
    assert all(
        low < middle < high
        for low, middle, high in zip(
            answer["low_hz"], answer["expected_hz"], answer["high_hz"], strict=True
        )
    )
    assert answer["expected_hz"][0] >= 195.99772
    text = roughed("next", "G3", *options, "--save", "cut.json")
    assert "then: barmodel cut G3.bar.json --entries cut.json, and strike" in text.out
    assert "saved: cut.json holds the cut above, " in text.err
    assert "mm deep" in text.out
    assert "why: " in text.out
    assert "90 % between" in text.out
    made = roughed("cut", "G3", "--entries", "cut.json")
    assert made.code == 0, made.err
    assert json.loads(roughed("next", "G3", "--json").out)["state"] == "measure"
    # no cut now: the advice is shown all the same, and the old file is not passed off as new
    again = roughed("next", "G3", "--save", "cut.json")
    assert again.code == 0
    assert "then: barmodel hear STRIKE.wav --into G3.bar.json" in again.out
    assert "not saved: there is no cut to make now, so no file was written" in again.err
    assert "what cut.json holds is an earlier cut" in again.err
    fresh = roughed("next", "G3", "--save", "other.json")
    assert fresh.code == 0
    assert "earlier" not in fresh.err
    assert not (roughed.folder / "other.json").exists()


def test_what_remains_is_the_same_in_advice_paper_and_record(roughed: Bench) -> None:
    """`next` once told the depth it guessed, `cut` and the paper the depth that was written."""
    for _ in range(3):
        hear(roughed, 30.0, 26.0, 20.0)
    told = roughed("next", "G3", "--save", "cut.json", "--cutter", "scraper20")
    assert told.code == 0, told.err
    least = json.loads(roughed("next", "G3", "--cutter", "scraper20", "--json").out)
    made = roughed("cut", "G3", "--entries", "cut.json", "--json")
    answer = json.loads(made.out)["minimum_thickness_mm"]
    assert answer == pytest.approx(least["minimum_thickness_mm"], abs=1e-3)


def test_an_odd_reading_is_told_with_how_to_take_it_back(roughed: Bench) -> None:
    for _ in range(2):
        hear(roughed, 30.0, 26.0, 20.0)
    roughed("cut", "G3", "--at", "150", "--cutter", "scraper20", "--depth", "0.03")
    hear(roughed, 28.5, 80.0, 20.0)
    odd = roughed("next", "G3")
    assert "mode 2 reads +5" in odd.out
    assert "or, if it was a slip: barmodel log G3.bar.json --cancel 5" in odd.out
    assert roughed("log", "G3", "--cancel", "5").code == 0
    hear(roughed, 28.5, 25.0, 20.0)
    assert "slip" not in roughed("next", "G3").out


def test_two_readings_that_disagree_are_both_named(roughed: Bench) -> None:
    hear(roughed, 60.0, 40.0, 20.0)
    hear(roughed, 80.0, 40.0, 20.0)
    torn = roughed("next", "G3")
    assert "two readings of mode 1 differ by 20 cents" in torn.out
    assert "barmodel log G3.bar.json --cancel 2 or --cancel 3" in torn.out


def test_where_it_is_no_crack_the_readings_to_cancel_are_named(roughed: Bench) -> None:
    hear(roughed, 60.0, 40.0, 20.0)
    for cents in (48.0, 47.0):
        hear(roughed, cents, 36.0, 20.0)
    told = roughed("next", "G3")
    assert "stop, it is probably cracked" in told.out
    since = "barmodel log G3.bar.json --cancel 3, barmodel log G3.bar.json --cancel 4"
    assert f"a cut that is not written down: {since}" in told.shown
    assert "NUMBER" not in told.out


def test_a_flat_bar_is_told_to_trim_its_ends(roughed: Bench) -> None:
    for _ in range(2):
        hear(roughed, -14.0, 6.0, 8.0)
    answer = json.loads(roughed("next", "G3", "--json").out)
    assert answer["state"] == "rescue"
    (trim,) = answer["cut"]
    assert trim["shape"] == "ends"
    assert 0.3 < trim["length_mm"] < 4.0
    assert answer["rescues"][0]["end_mm"] == pytest.approx(trim["length_mm"])
    shown = roughed("next", "G3").out
    assert "--ends" in shown
    assert "all of it leaves the modes at about" in shown
    assert "chance to be finished by it" in shown
    cuts = [line for line in shown.splitlines() if line.startswith("  ") and line.endswith("deep")]
    assert len(cuts) == len(answer["rescues"][0]["then"])  # a line for each, with its cutter
    tools = answer["rescues"][0]["then_cutter"]
    assert all(f"  {tool}: " in line for line, tool in zip(cuts, tools, strict=False))


def test_a_bar_at_home_is_left_be_unless_tolerances_say_otherwise(roughed: Bench) -> None:
    for _ in range(2):
        hear(roughed, 1.0, 2.0, 4.0)
    assert json.loads(roughed("next", "G3", "--json").out)["state"] == "finished"
    narrow = roughed("next", "G3", "--tolerance", "1:1,1:1,2:2", "--json")
    assert json.loads(narrow.out)["state"] != "finished"


def test_far_from_home_it_asks_for_a_design(bench: Bench) -> None:
    bench.start("G3", "--tap", "672,1765,3210")
    found = bench("next", "G3")
    assert found.code == 4
    assert "barmodel design G3.bar.json --save" in found.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--risk", "0.9"), "risk"),
        (("--tolerance", "three"), "'three' is not a number"),
        (("--cutter", "spoon"), "'spoon'"),
        (("--risk", "0"), "risk"),
    ],
)
def test_bad_values_are_told(roughed: Bench, words: tuple[str, str], told: str) -> None:
    found = roughed("next", "G3", *words)
    assert found.code == 3
    assert told in found.err


def test_cutters_that_cannot_are_told_and_those_that_can(roughed: Bench) -> None:
    for _ in range(3):
        hear(roughed, 3.0, 3.0, 40.0)
    found = roughed("next", "G3", "--cutter", "belt100")
    assert "not with these cutters (belt100)" in found.out
    assert "cannot become" not in found.out
    (then,) = [line for line in found.out.splitlines() if line.startswith("then: ")]
    again = roughed(*then.split("then: barmodel ")[1].split(), "--json")
    assert json.loads(again.out)["state"] == "cut"


def test_the_rough_cut_is_told_from_the_uncut_underside(bench: Bench) -> None:
    bench.start("G3", "--tap", "672,1765,3210")
    text = json.loads(Path("G3.bar.json").read_text())
    text["design"] = [
        {"shape": "pocket", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 7.0},
        {"shape": "pocket", "start_mm": 120.0, "end_mm": 280.0, "depth_mm": 5.0},
    ]
    Path("G3.bar.json").write_text(json.dumps(text))
    shown = bench("next", "G3").out
    first, second = (line for line in shown.splitlines() if "–" in line and line[0].isdigit())
    assert first.startswith("80.0–120.0 and 280.0–320.0")
    assert second.startswith("120.0–280.0")
    (outer, _rest, _short), (depth, remains, short) = (
        [float(word) for word in line.split()[-3:]] for line in (first, second)
    )
    assert 6.0 < outer < 7.0
    assert depth + remains == pytest.approx(22.0)
    assert depth + short == pytest.approx(12.0)
    assert f"{short:.2f} mm short of the design where that is deepest" in shown


@pytest.mark.parametrize("readings", [1, 2])
def test_a_cut_that_stands_twice_is_suspected_when_the_ear_disagrees(
    roughed: Bench, readings: int
) -> None:
    for _ in range(2):
        hear(roughed, 60.0, 46.0, 20.0)
    words = ("--at", "200", "--cutter", "scraper40", "--depth", "0.15")
    for _ in range(2):
        roughed("cut", "G3", *words)
    made = json.loads(roughed("try", "G3", *words, "--json").out)
    by_one = [
        before + shift for before, shift in zip((60, 46, 20), made["shift_cents"], strict=False)
    ]
    for _ in range(readings):
        hear(roughed, *by_one)
    found = roughed("next", "G3")
    assert "entries 4 and 5 are the same cut with no reading between, and mode 1" in found.err
    assert "barmodel log G3.bar.json --cancel 5" in found.err
    if "listen again first" in found.out:
        assert "or, if entry 5 was no second cut: barmodel log G3.bar.json --cancel 5" in found.out
    assert roughed("log", "G3", "--cancel", "5").code == 0
    assert "recorded twice" not in roughed("next", "G3").err


def test_a_cut_really_made_twice_is_not_suspected(roughed: Bench) -> None:
    for _ in range(2):
        hear(roughed, 60.0, 46.0, 20.0)
    words = ("--at", "200", "--cutter", "scraper40", "--depth", "0.15")
    shift = json.loads(roughed("try", "G3", *words, "--json").out)["shift_cents"]
    for _ in range(2):
        roughed("cut", "G3", *words)
    hear(roughed, *(start + 2 * by for start, by in zip((60, 46, 20), shift, strict=False)))
    assert "recorded twice" not in roughed("next", "G3").err


def test_a_missing_temperature_beside_others_is_told_by_its_entry(roughed: Bench) -> None:
    hear(roughed, 30.0, 26.0, 20.0)
    target = "200.0,795.0,1980.0"
    roughed("hear", "--into", "G3", "--hz", target, "--temperature", "35", "--unusual")
    found = roughed("next", "G3")
    assert "entry 2 without a temperature: taken to be as warm" in found.err
    assert "35 °C" in found.err
    assert "at 35 °C, as it was last heard; the bar is to be right at 20 °C" in found.out


def test_a_cut_that_is_not_in_the_log_is_no_crack(roughed: Bench) -> None:
    hear(roughed, 430.0, 326.0, 120.0)
    hear(roughed, 30.0, 26.0, 20.0, more=("--unusual",))
    hear(roughed, 30.0, 26.0, 20.0)
    found = roughed("next", "G3")
    assert "listen again first" in found.out
    assert "no crack takes more than 150 of a bar that still rings (own judgement)" in found.out
    assert "probably cracked" not in found.out
    wanted = "barmodel log G3.bar.json --cancel 3, barmodel log G3.bar.json --cancel 4, "
    assert f"then, if a cut was made: {wanted}barmodel cut G3.bar.json …" in found.out


def test_readings_after_a_cut_that_was_cancelled_are_named(roughed: Bench) -> None:
    """Recorded anew, the cut stands behind them: they are of a bar that the log does not know."""
    hear(roughed, 30.0, 26.0, 20.0)
    words = ("cut", "G3", "--at", "200", "--width", "60", "--depth")
    assert roughed(*words, "1.0").code == 0
    hear(roughed, -370.0, -274.0, -80.0, more=("--unusual",))
    assert roughed("log", "G3", "--cancel", "3").code == 0
    assert roughed(*words, "1.5").code == 0
    hear(roughed, -370.0, -274.0, -80.0, more=("--unusual",))
    found = roughed("next", "G3")
    assert "no crack takes more" in found.out
    assert "entry 4 was heard after the cut of entry 3, which is cancelled" in found.out
    assert roughed("log", "G3", "--cancel", "4").code == 0
    assert "no crack takes more" not in roughed("next", "G3").out


def test_ends_sawn_off_untold_can_be_recorded_as_it_says(roughed: Bench) -> None:
    warm = ("--temperature", "20")
    for _ in range(2):
        hear(roughed, 30.0, 26.0, 20.0, more=warm)
    by = json.loads(roughed("try", "G3", "--ends", "1.2", "--json").out)["shift_cents"]
    sawn = [a + b for a, b in zip((30.0, 26.0, 20.0), by, strict=False)]
    hear(roughed, *sawn, more=warm)
    found = roughed("next", "G3")
    assert "all modes rose, by " in found.out
    assert "drying" in found.out
    (line,) = [one for one in found.out.splitlines() if "its ends were sawn off: " in one]
    cancel, cut = line.split("sawn off: ")[1].split(" (or ")[0].split(", ")
    assert cut == "barmodel cut G3.bar.json --ends 1.2"
    for command in (cancel, cut):
        assert roughed(*command.split()[1:]).code == 0
    hear(roughed, *sawn, more=warm)
    assert json.loads(roughed("next", "G3", "--json").out)["alarms"] == []
