"""Cuts in words, what `log` shows in a narrow terminal, what a cancellation leaves behind."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from barmodel.files import ArchCut, EndsCut, GrooveCut, PocketCut, read_bar_file
from barmodel_cli.shown.cut_words import as_command, cut_in_words
from tests.cli.conftest import Bench

GROOVE = GrooveCut(at_mm=150.0, width_mm=12.0, depth_mm=0.3, mirror=True)


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ((GROOVE,), "flat cut at 150 and 250 mm, 12 mm long, 0.3 mm deep"),
        (
            (PocketCut(start_mm=80.0, end_mm=140.0, depth_mm=5.0, mirror=True),),
            "pocket 80–140 and 260–320 mm, 5 mm deep",
        ),
        (
            (
                GrooveCut(
                    at_mm=150.0,
                    depth_mm=0.3,
                    section="round",
                    radius_mm=20.0,
                    axis_mm=210.0,
                    mirror=True,
                ),
            ),
            "drum of 40 mm at 150 and 270 mm, 6.9 mm long, 0.3 mm deep",
        ),
        (  # what `next` plans for a drum that is moved along
            (PocketCut(start_mm=120.5, end_mm=149.5, depth_mm=0.6, corner_radius_mm=20.0),),
            "drum of 40 mm at 135 mm, 29 mm long, 0.6 mm deep",
        ),
        (
            (PocketCut(start_mm=100.0, end_mm=300.0, depth_mm=0.3, corner_radius_mm=25.0),),
            "pocket with the rounds of a drum of 50 mm 100–300 mm, 0.3 mm deep",
        ),
        # the shortening comes first, and the other half begins nearer
        ((EndsCut(left_mm=10.0), GROOVE), "10 mm off the left end; flat cut at 150 and 240"),
        (
            (ArchCut(start_mm=80.0, end_mm=320.0, depth_mm=9.123456, measured_from="blank"),),
            "arch 80–320 mm, 9.12 mm deep from the uncut underside",
        ),
    ],
)
def test_cuts_are_told_in_words_at_both_places(entries: Any, words: str) -> None:
    assert words in cut_in_words(entries, 400.0)


def test_cut_tells_both_places(bench: Bench) -> None:
    bench.start()
    words = ("--width", "12", "--depth", "0.3")
    assert "at 150 and 250 mm" in bench("cut", "G3", "--at", "150", *words).out
    assert "at 150 mm" in bench("cut", "G3", "--at", "150", *words, "--one-side").out
    shown = bench("log", "G3").out
    assert "flat cut at 150 and 250 mm, 12 mm long, 0.3 mm deep" in " ".join(shown.split())


def test_floors_one_in_the_other_are_told_as_such() -> None:
    outer = PocketCut(start_mm=80.0, end_mm=320.0, depth_mm=4.0)
    inner = PocketCut(start_mm=120.0, end_mm=280.0, depth_mm=3.0)
    apart = GrooveCut(at_mm=60.0, width_mm=10.0, depth_mm=1.0)
    note = "; each depth from the floor before it"
    assert cut_in_words((outer, inner), 400.0).endswith(note)
    assert note not in cut_in_words((outer, apart), 400.0)


def test_log_fits_a_terminal_of_80_columns(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    bench.start("G3", "--tap", "566.8,1484,2718")
    bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "5", "--tool", "router")
    lines = bench("log", "G3").out.splitlines()
    assert max(map(len, lines)) <= 80
    (cut,) = [line for line in lines if " cut " in line and "no." not in line]
    assert "flat cut 95–305 mm, 5 mm deep (router)" in cut


def test_log_draws_the_way_home(bench: Bench) -> None:
    bench.start()
    assert "no reading to draw" in bench("log", "G3", "--plot", "log.svg").err
    bench("hear", "--into", "G3", "--hz", "566.8,1484,-")
    bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "5")
    assert bench("log", "G3", "--plot", "log.svg").code == 0
    assert (bench.folder / "log.svg").stat().st_size > 5000


def test_cancelling_a_cut_tells_what_stands_on_it_and_how_to_undo(bench: Bench) -> None:
    bench.start()
    bench("cut", "G3", "--at", "150", "--cutter", "drum40", "--depth", "0.3", "--one-side")
    bench("hear", "--into", "G3", "--hz", "566,1480,2710")
    assert "mind" not in bench("log", "G3", "--cancel", "2").err  # a reading: nothing stands on it
    bench("hear", "--into", "G3", "--hz", "566,1480,2710")
    told = bench("log", "G3", "--cancel", "1").told
    assert "entries 4 (reading) came after it" in told
    undo = "barmodel cut G3.bar.json --at 150 --cutter drum40 --depth 0.3 --one-side"
    assert undo in told
    assert bench(*undo.split()[1:]).code == 0
    log = json.loads((bench.folder / "G3.bar.json").read_text())["log"]
    assert log[0]["entries"] == log[-1]["entries"]


def test_cuts_that_need_a_file_of_entries_are_not_put_in_options() -> None:
    assert as_command((ArchCut(start_mm=80.0, end_mm=320.0, depth_mm=9.0),), 400.0) is None
    assert as_command((GROOVE, GROOVE), 400.0) is None
    assert as_command((EndsCut(length_mm=1.0),), 400.0) == "--ends 1"


def test_what_happened_can_be_recorded_but_not_a_hole(bench: Bench) -> None:
    bench.start()
    words = ("cut", "G3", "--at", "200", "--width", "12", "--depth")
    refused = bench(*words, "20.5")
    assert refused.code == 3
    assert "--happened" in refused.err
    assert bench(*words, "20.5", "--happened").code == 0
    for deeper in (("2",), ("2", "--happened")):
        through = bench(*words, *deeper)
        assert through.code == 3
        assert "through" in through.err
        assert "--happened" not in through.err


def test_log_tells_the_time_of_day_and_the_temperature(bench: Bench) -> None:
    bench.start()
    bench("hear", "--into", "G3", "--hz", "566.8,1484,-", "--temperature", "21.5")
    words = ("--width", "12", "--depth", "0.3", "--date", "2026-05-31 14:30")
    bench("cut", "G3", "--at", "150", *words)
    rows = [line for line in bench("log", "G3").out.splitlines() if line.strip()[:1].isdigit()]
    assert "21.5 °C" in rows[0]
    entry = read_bar_file("G3.bar.json").log[0]
    assert entry.date[11:16] in rows[0]
    assert "2026-05-31 14:30" in rows[1]


@pytest.mark.parametrize(("cancelled", "stays"), [("1", "2"), ("2", "1")])
def test_taking_back_one_of_two_like_cuts_leaves_the_other(
    bench: Bench, cancelled: str, stays: str
) -> None:
    bench.start()
    for _ in range(2):
        bench("cut", "G3", "--at", "150", "--cutter", "scraper20", "--depth", "0.3")
    bench("hear", "--into", "G3", "--hz", "566,1480,2710")
    told = bench("log", "G3", "--cancel", cancelled).err
    assert f"entry {stays}, which is like it, still does" in told
    assert "record it again" not in told


def test_the_picture_tells_each_day_once(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    from barmodel.plots import history

    drawn: list[list[str]] = []
    real = history.draw_history

    def seen(cents: Any, labels: list[str], **kind: Any) -> Any:
        drawn.append(labels)
        return real(cents, labels, **kind)

    monkeypatch.setattr(history, "draw_history", seen)
    bench.start()
    for warm in ("20", "21"):
        assert bench("hear", "--into", "G3", "--hz", "560", "--temperature", warm).code == 0
    assert bench("log", "G3", "--plot", "a.png").code == 0
    first, second = drawn[0]
    assert re.fullmatch(r"no. 1\n\d{4}-\d\d-\d\d\n20 °C", first)
    assert second == "no. 2\n21 °C"
