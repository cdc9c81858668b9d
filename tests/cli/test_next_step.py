"""Every answer ends with the step that comes next, and what it names can be called."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from barmodel_cli.app import COMMANDS
from tests.cli.conftest import Bench

WITHOUT = {
    "schema": "it prints JSON for programs alone",
    "instrument": "a whole set, walked in tests/cli/test_instrument.py",
}
WALK = (
    ("woods",),
    ("woods", "padauk"),
    ("start", "G3", "--length", "400", "--width", "60", "--thickness", "22", "--wood", "padauk",
     "--note", "G3"),
    ("hear", "--how", "G3"),
    ("log", "G3"),
    ("modes", "G3", "--model", "beam"),
    ("hear", "--hz", "566.8,1484,2718", "--into", "G3", "--temperature", "21"),
    ("log", "G3"),
    ("fit", "G3"),
    ("fit", "G3", "--save"),
    ("design", "G3", "--model", "beam"),
    ("design", "G3", "--model", "beam", "--save"),
    ("sheet", "G3", "--out", "G3.csv"),
    ("next", "G3"),
    ("next", "G3", "--save", "cut.json"),
    ("sheet", "G3", "--entries", "cut.json", "--out", "cut.csv"),
    ("try", "G3", "--at", "200", "--width", "20", "--depth", "0.5", "--model", "beam"),
    ("try", "G3", "--entries", "cut.json", "--model", "beam"),
    ("cut", "G3", "--entries", "cut.json"),
    ("next", "G3"),
    ("modes", "G3", "--model", "beam"),
    ("sheet", "G3", "--remaining", "--out", "rest.csv"),
    ("map", "G3", "--stations", "12"),
    ("hear", "--hz", "205,820,2030", "--into", "G3", "--temperature", "21", "--unusual"),
    ("map", "G3", "--stations", "12"),
    ("log", "G3"),
    ("tube", "G3", "--bore", "40"),
    ("tube", "G3", "--bore", "40", "--coldest", "15", "--hottest", "30"),
)  # fmt: skip


def test_every_command_is_walked() -> None:
    verbs = {command.name for command in COMMANDS}
    assert {words[0] for words in WALK} | set(WITHOUT) == verbs


def test_every_answer_ends_with_the_next_step(bench: Bench) -> None:
    named = set()
    for words in WALK:
        result = bench(*words)
        assert result.code == 0, (words, result.err)
        ends = [text.rstrip().splitlines()[-1] for text in (result.out, result.err) if text.strip()]
        steps = [line for line in ends if re.search(r"\b(next|then): ", line)]
        assert steps, (words, ends)
        named |= set(re.findall(r"barmodel (\w+)", " ".join(steps)))
    verbs = {command.name for command in COMMANDS}
    assert named <= verbs
    assert {"start", "hear", "fit", "design", "sheet", "next", "cut", "try"} <= named


@pytest.mark.parametrize("words", [("--at", "150", "--width", "12", "--depth", "0.3"),
                                   ("--at", "150", "--cutter", "drum40", "--depth", "0.3"),
                                   ("--ends", "0.5")])  # fmt: skip
def test_what_was_tried_can_be_recorded_as_told(bench: Bench, words: tuple[str, ...]) -> None:
    bench.start()
    told = bench("try", "G3", *words, "--model", "beam").err
    command = shlex.split(re.findall(r"barmodel (cut .*)", told)[0])
    assert bench(*command).code == 0
    one = bench("log", "G3", "--json").out
    Path("G3.bar.json").unlink()
    bench.start()
    assert bench("cut", "G3", *words).code == 0
    again = bench("log", "G3", "--json").out
    entries = [re.findall(r'"entries": (\[.*?\])', text) for text in (one, again)]
    assert entries[0] == entries[1] != []
