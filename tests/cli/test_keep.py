"""The least thickness of a bar: in its file, for once on the command line, and whose it is."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from barmodel.bar import LEAST_THICKNESS
from barmodel.files import bar_as_is, read_bar_file
from tests.cli.conftest import Bench, Result
from tests.cli.test_next import hear

WHOSE = "least thickness 6 mm by the bar file; --keep asks for another, this once"
DEEP = ("--at", "200", "--width", "40", "--depth", "17")
ARCH = {"shape": "arch", "start_mm": 80.0, "end_mm": 320.0, "depth_mm": 13.0, "fullness": 3.0}
"""Leaves 9 mm, and stands near G3 when it is cut."""


@pytest.fixture
def six(bench: Bench) -> Bench:
    """A bar that keeps 6 mm."""
    made = bench.start("G3", "--keep", "6")
    assert made.code == 0, made.err
    assert "least thickness: 6 mm, which every command keeps\n" in made.out
    return bench


def keeps(bench: Bench, keep_mm: float | None, **more: object) -> None:
    """Write a least thickness, and other things, into the bar file."""
    path = bench.folder / "G3.bar.json"
    path.write_text(json.dumps(json.loads(path.read_text()) | {"keep_mm": keep_mm} | more))


def kept_mm(bench: Bench) -> float | None:
    return read_bar_file(bench.folder / "G3.bar.json").keep_mm


@pytest.mark.parametrize(
    ("keep", "word"),
    [
        ("0.6", "too thin to be struck (under 2 mm); did you mean 6 mm (0.6 cm) or 15.24 mm"),
        ("60", "all of the blank's 22 mm, so nothing could be cut; did you mean 6 mm (one digit"),
        ("22", "all of the blank's 22 mm, so nothing could be cut; did you mean 2.2 mm"),
        ("1.9", "did you mean 19 mm (1.9 cm)?"),
        ("0", "not above zero"),
    ],
)
def test_a_least_thickness_that_no_bar_has_is_refused(bench: Bench, keep: str, word: str) -> None:
    result = bench.start("G3", "--keep", keep)
    assert result.code == 3
    assert word in result.told
    assert list(bench.folder.iterdir()) == []
    assert bench.start("G3", "--keep", keep, "--unusual").code == (3 if keep == "0" else 0)


def test_what_does_not_bear_hard_blows_is_told(bench: Bench) -> None:
    assert "keeps; under 6 mm a hard blow may break it" in bench.start("G3", "--keep", "4").out


def test_without_it_two_millimetres_remain_and_nobody_is_named(bench: Bench) -> None:
    bench.start()
    path = bench.folder / "G3.bar.json"
    content = json.loads(path.read_text())
    assert content.pop("keep_mm") is None
    path.write_text(json.dumps(content))  # a file from before there was the field
    assert kept_mm(bench) is None
    assert bench("cut", "G3", *DEEP).code == 0
    refused = bench("cut", "G3", "--at", "200", "--width", "40", "--depth", "4")
    assert f"at least {LEAST_THICKNESS * 1e3:.2f} mm must remain" in refused.told
    assert "by the bar file" not in refused.told


@pytest.mark.parametrize("verb", ["cut", "try"])
def test_the_bench_keeps_what_the_file_tells_unless_another_is_said(six: Bench, verb: str) -> None:
    quick = ("--model", "beam") if verb == "try" else ()
    refused = six(verb, "G3", *DEEP, *quick)
    assert refused.code == 3
    assert "at least 6.00 mm must remain; the deepest possible there is 16.00 mm" in refused.told
    assert WHOSE in refused.told
    once = six(verb, "G3", *DEEP, *quick, "--keep", "4")
    assert once.code == 0, once.err
    if verb == "try":  # the command it names can be called as it stands
        command = once.err[once.err.index("barmodel cut") :].split()[1:]
        assert command[-2:] == ["--keep", "4"]
        assert six(*command).code == 0
    assert kept_mm(six) == 6.0
    too_far = six(verb, "G3", "--at", "200", "--width", "40", "--depth", "2", *quick, "--keep", "4")
    assert too_far.code == 3
    assert "by the bar file" not in too_far.told


def test_a_refusal_for_another_reason_names_no_least_thickness(six: Bench) -> None:
    off = six("cut", "G3", "--at", "500", "--width", "12", "--depth", "1")
    assert "nearest place" in off.told
    through = six("cut", "G3", "--at", "200", "--width", "12", "--depth", "23")
    assert "go through the bar" in through.told
    for refused in (off, through):
        assert "by the bar file" not in refused.told


def test_the_map_offers_no_cut_that_leaves_too_little(bench: Bench) -> None:
    near_home(bench, 30.0, 26.0, 20.0)
    words = ("map", "G3", "--stations", "24")
    free = command_in(bench(*words).err)
    assert bench(*free).code == 0
    keeps(bench, 10.0)
    assert "by the bar file" in bench(*free).told
    bound = command_in(bench(*words).err)
    assert bound != free
    assert bench(*bound).code == 0
    once = command_in(bench(*words, "--keep", "3").err)
    assert once == [*free, "--keep", "3"]
    keeps(bench, 22.0)
    recipe = bench(*words, "--lower", "V1", "--by", "5")
    assert recipe.code == 4
    assert "least thickness of 22 mm" in recipe.told
    assert "(least thickness 22 mm by the bar file" in recipe.told


def command_in(text: str) -> list[str]:
    """The words of the command that an answer ends with."""
    return text[text.index("barmodel try") :].split(",")[0].split()[1:]


def test_a_design_is_made_for_the_files_least_thickness(six: Bench) -> None:
    def design(*words: str) -> Result:
        return six("design", "G3", "--model", "beam", *words)

    keeps(six, 9.5)
    refused = design()
    assert refused.code == 4
    assert "(least thickness 9.5 mm by the bar file" in refused.told
    assert "the same with --keep" in refused.err
    assert design("--keep", "4").code == 0
    assert kept_mm(six) == 9.5, "for once"
    saved = design("--keep", "4", "--save")
    assert "saved in G3.bar.json, and the 4 mm that every command keeps from now on" in saved.out
    assert kept_mm(six) == 4.0
    assert "keeps from now on" not in design("--save").out
    assert kept_mm(six) == 4.0
    assert "did you mean 4 mm (0.4 cm)" in design("--keep", "0.4", "--save").told
    assert design("--keep", "0.4", "--save", "--unusual").code == 0
    assert kept_mm(six) == 0.4
    keeps(six, 30.0)
    assert "nothing could be cut (least thickness 30 mm by the bar file" in design().told


def test_the_first_cut_and_its_papers_stop_at_the_least_thickness(bench: Bench) -> None:
    bench.start()
    keeps(bench, 12.0, design=[ARCH])
    blank = json.loads(bench("modes", "G3", "--blank", "--json").out)["bending_hz"][:3]
    assert bench("hear", "--into", "G3", "--hz", ",".join(f"{hz:.2f}" for hz in blank)).code == 0
    answer = json.loads(bench("next", "G3", "--json").out)
    assert (answer["state"], answer["keep_mm"]) == ("cut", 12.0)
    assert 12.0 - 1e-6 < answer["minimum_thickness_mm"] < 12.1
    told = bench("next", "G3", "--save", "cut.json").out
    assert f"thinnest then: {answer['minimum_thickness_mm']:.2f} mm; 12 mm must remain, by the" in (
        told
    )
    paper = json.loads(bench("sheet", "G3", "--json", "--out", "a.csv").out)
    assert any("first cut stops up to 3.0" in note for note in paper["notes"])
    # for once thinner: every command that follows says so as well, or it could not be called
    deeper = bench("next", "G3", "--save", "cut.json", "--keep", "5").out
    assert "by the bar file" not in deeper
    assert "barmodel cut G3.bar.json --entries cut.json --keep 5, and strike" in deeper
    sheet = ("sheet", "G3", "--entries", "cut.json", "--out", "c.csv")
    refused = bench(*sheet)
    assert refused.code == 3
    assert "(least thickness 12 mm by the bar file" in refused.told
    drawn = bench(*sheet, "--keep", "5")
    assert drawn.code == 0, drawn.err
    assert "barmodel cut G3.bar.json --entries cut.json --keep 5" in drawn.err
    assert "give --entries as well" in bench("sheet", "G3", "--keep", "5").told
    assert bench("cut", "G3", "--entries", "cut.json").code == 3
    assert bench("cut", "G3", "--entries", "cut.json", "--keep", "5").code == 0
    assert bar_as_is(read_bar_file("G3.bar.json")).profile.least_thickness()[0] < 12e-3


def test_a_design_below_the_least_thickness_is_roughed_out_no_further(bench: Bench) -> None:
    bench.start()
    keeps(bench, 12.0, design=[ARCH])
    for part in (("modes", "G3", "--blank", "--json"), ("modes", "G3", "--json")):
        hz = json.loads(bench(*part).out)["bending_hz"][:3]
        assert bench("hear", "--into", "G3", "--hz", ",".join(f"{v:.2f}" for v in hz)).code == 0
        told = bench("next", "G3", "--save", "cut.json")
        if told.code == 0:
            assert bench("cut", "G3", "--entries", "cut.json").code == 0
    assert told.code == 4
    assert (
        "and the design goes below the least thickness of 12 mm; find an undercut to" in told.told
    )
    assert "(least thickness 12 mm by the bar file" in told.told
    least = bar_as_is(read_bar_file("G3.bar.json")).profile.least_thickness()[0]
    assert least == pytest.approx(12e-3, abs=0.05e-3)


def near_home(bench: Bench, *cents: float) -> None:
    """A bar with its arch cut, heard twice so many cents from its target."""
    bench.start()
    Path("arch.json").write_text(json.dumps([ARCH]))
    assert bench("cut", "G3", "--entries", "arch.json").code == 0
    for _ in range(2):
        hear(bench, *cents)


def test_advice_keeps_to_it(bench: Bench) -> None:
    near_home(bench, 30.0, 26.0, 20.0)
    free = json.loads(bench("next", "G3", "--json").out)
    assert (free["state"], free["keep_mm"]) == ("cut", 2.0)
    assert free["minimum_thickness_mm"] < 8.9
    keeps(bench, 9.0)
    bound = json.loads(bench("next", "G3", "--json").out)
    assert (bound["state"], bound["keep_mm"]) == ("cut", 9.0)
    assert bound["minimum_thickness_mm"] > 9.0 - 1e-6


def test_advice_says_when_it_holds_the_bar_back(bench: Bench) -> None:
    near_home(bench, 60.0, 5.0, 6.0)
    assert "mm at its thinnest" not in bench("next", "G3").out
    keeps(bench, 9.0)
    told = bench("next", "G3").out
    assert "mm at its thinnest, which leaves little to take there (least thickness 9 mm by" in told
    assert "mm at its thinnest" not in bench("next", "G3", "--keep", "8").out
    keeps(bench, 4.0)
    assert "mm at its thinnest" not in bench("next", "G3").out, "there is room enough"
