"""A cut file names its bar: on another one it is refused, after another cut it is doubted."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from barmodel.files import read_bar_file, read_cut_file
from tests.cli.conftest import Bench
from tests.cli.test_next import hear, roughed

__all__ = ["roughed"]

MADE = ("cut", "G3", "--entries", "cut.json")
OTHER = ("cut", "G3", "--at", "120", "--cutter", "scraper20", "--depth", "0.05")


@pytest.fixture
def planned(roughed: Bench) -> Bench:
    """A bar with a cut saved, when its log had three entries."""
    for _ in range(2):
        hear(roughed, 30.0, 26.0, 20.0)
    told = roughed("next", "G3", "--cutter", "scraper20", "--save", "cut.json")
    assert told.code == 0, told.err
    return roughed


def entries_in_log(name: str = "G3") -> int:
    return len(read_bar_file(f"{name}.bar.json").log)


def test_it_names_the_bar_and_how_far_its_log_was(planned: Bench) -> None:
    cut = read_cut_file("cut.json")
    log = read_bar_file("G3.bar.json").log
    assert (cut.bar, cut.log_entries, cut.last_entry) == ("G3", 3, log[-1].date)
    made = planned(*MADE)
    assert made.code == 0
    assert "mind:" not in made.err
    assert read_bar_file("G3.bar.json").cuts[-1].entries == cut.entries


def test_on_another_bar_it_is_refused_unless_it_is_meant(planned: Bench) -> None:
    planned.start("B3")
    told = "cut.json was made for G3, and this is B3. If the cut is for this bar all the same, add"
    for words in (("cut", "B3"), ("sheet", "B3", "--out", "b.csv")):
        refused = planned(*words, "--entries", "cut.json")
        assert refused.code == 3
        assert told in refused.told
    assert not Path("b.csv").exists()
    assert entries_in_log("B3") == 0
    tried = planned("try", "B3", "--entries", "cut.json", "--model", "beam")
    assert tried.code == 0, "nothing is recorded by it"
    assert "mind: cut.json was made for G3, and this is B3\n" in tried.err
    paper = planned("sheet", "B3", "--entries", "cut.json", "--unusual", "--out", "b.csv")
    assert paper.code == 0, paper.err
    made = planned("cut", "B3", "--entries", "cut.json", "--unusual")
    assert made.code == 0
    assert "mind:" not in made.err, "another bar's log tells nothing of it"


def test_bars_of_one_name_are_told_apart_by_their_logs(planned: Bench) -> None:
    shutil.copy("G3.bar.json", "mine.bar.json")
    content = json.loads(Path("G3.bar.json").read_text())
    content["log"][2]["date"] = "2025-01-01"
    Path("G3.bar.json").write_text(json.dumps(content))
    assert "made for another bar called G3: there log entry 3 is of" in planned(*MADE).told
    content["log"] = content["log"][:2]
    Path("G3.bar.json").write_text(json.dumps(content))
    refused = planned(*MADE)
    assert refused.code == 3
    assert "when the log of G3 had 3 entries, and this has 2" in refused.told
    assert planned("cut", "mine", "--entries", "cut.json").code == 0, "a copy is the same bar"


def test_used_twice_is_said_once(planned: Bench) -> None:
    assert planned(*MADE).code == 0
    again = planned(*MADE)
    assert again.code == 0
    assert again.err.count("mind:") == 1
    assert "mind: like entry 4, and nothing was heard between; recorded twice?" in again.err
    assert planned("log", "G3", "--cancel", "5").code == 0
    hear(planned, 6.0, 12.0, 16.0)
    tried = planned("try", "G3", "--entries", "cut.json", "--model", "beam")
    assert "cut.json was made before entry 4 was cut" in tried.err
    third = planned(*MADE)
    assert third.code == 0
    assert third.err.count("mind:") == 1
    assert "mind: cut.json was recorded already, as entry 4; if it was not cut a" in third.err
    assert "barmodel log G3.bar.json --cancel 8\n" in third.err
    assert entries_in_log() == 8


def test_a_second_use_that_is_too_deep_asks_the_same(planned: Bench) -> None:
    assert planned(*MADE).code == 0
    hear(planned, 6.0, 12.0, 16.0)
    refused = planned(*MADE, "--keep", "9")
    assert refused.code == 3
    assert "cut.json was recorded as entry 4: a second time? If it was cut all the" in refused.told


def test_what_came_between_is_told(planned: Bench) -> None:
    hear(planned, 29.0, 26.0, 20.0)
    kept = Path("G3.bar.json").read_bytes()
    heard = planned(*MADE)
    assert "mind: cut.json was made before entry 4 was heard; what was heard after this" in (
        heard.err
    )
    Path("G3.bar.json").write_bytes(kept)
    assert planned(*OTHER).code == 0
    paper = planned("sheet", "G3", "--entries", "cut.json", "--out", "c.csv")
    late = planned(*MADE)
    for result in (paper, late):
        assert result.code == 0, result.err
        assert result.err.count("mind:") == 1
        assert "mind: cut.json was made before entry 5 was cut; `barmodel next` says" in result.err
    Path("G3.bar.json").write_bytes(kept)
    assert planned("log", "G3", "--cancel", "1").code == 0
    without = planned(*MADE, "--happened").err
    assert "mind: cut.json was made before entry 1 was cancelled" in without


def test_a_cut_for_the_aim_before_is_doubted(planned: Bench) -> None:
    assert planned("log", "G3", "--a4", "443").code == 0
    hear(planned, 30.0, 26.0, 20.0)
    said = "mind: cut.json was made before entry 4 gave the bar another aim; `barmodel next` says"
    for words in (("try", "--model", "beam"), ("sheet", "--out", "c.csv"), ("cut",)):
        verb, *more = words
        told = planned(verb, "G3", "--entries", "cut.json", *more)
        assert told.code == 0, told.err
        assert told.err.count("mind: cut.json") == 1
        assert said in told.err


def test_an_aim_taken_back_is_none(planned: Bench) -> None:
    assert planned("log", "G3", "--a4", "443").code == 0
    assert planned("log", "G3", "--cancel", "4").code == 0
    assert "mind:" not in planned(*MADE).err


def test_a_list_made_by_hand_is_for_any_bar_at_any_time(planned: Bench) -> None:
    entries = json.loads(Path("cut.json").read_text())["entries"]
    Path("hand.json").write_text(json.dumps(entries))
    planned.start("B3")
    assert planned(*OTHER).code == 0
    for name in ("B3", "G3"):
        made = planned("cut", name, "--entries", "hand.json")
        assert made.code == 0
        assert "mind:" not in made.err
