"""The same recording given twice: counted once, and never without a word."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import Bench
from tests.strike.made_up import write_strikes

BLANK = ((566.8, 1.0, 0.25), (1484.0, 0.4, 0.1), (2718.0, 0.2, 0.05))


@pytest.fixture
def strike(tmp_path: Path) -> str:
    (tmp_path / "taps").mkdir()
    return write_strikes(tmp_path / "taps" / "a.wav", BLANK)


def log_of(bench: Bench, name: str = "G3") -> list[dict[str, object]]:
    return list(json.loads((bench.folder / f"{name}.bar.json").read_text())["log"])


def test_a_recording_given_twice_counts_once(bench: Bench, strike: str) -> None:
    bench.start()
    shutil.copy(strike, "copy.wav")
    one = json.loads(bench("hear", strike, "--bar", "G3", "--json").out)
    for twin, said in ((strike, "was given twice"), ("copy.wav", "holds the same sound as")):
        both = bench("hear", strike, twin, "--bar", "G3", "--json")
        assert json.loads(both.out) == one
        assert f"{twin} {said}" in both.err
        assert "it is counted once" in both.err
    other = write_strikes(bench.folder / "b.wav", BLANK, seed=2)
    two = bench("hear", strike, other, "--into", "G3")
    assert "counted once" not in two.err
    assert "2 strikes" in two.out


def test_a_recording_in_this_log_is_not_recorded_again(bench: Bench, strike: str) -> None:
    bench.start()
    assert bench("hear", strike, "--into", "G3").code == 0
    before = log_of(bench)
    shutil.copy(strike, "copy.wav")
    fresh = write_strikes(bench.folder / "b.wav", BLANK, seed=2)
    again = bench("hear", fresh, "copy.wav", "--into", "G3")
    assert again.code == 3
    assert "copy.wav is entry 1 of this bar's log already" in again.told
    assert "b.wav" not in again.err
    assert log_of(bench) == before
    assert bench("hear", "copy.wav", "--bar", "G3").err.count("already") == 0  # only looked at
    meant = bench("hear", "copy.wav", "--into", "G3", "--unusual")
    assert meant.code == 0
    assert "entry 1 of this bar's log already" in meant.err
    assert len(log_of(bench)) == 2


def test_a_reading_taken_back_may_be_recorded_again(bench: Bench, strike: str) -> None:
    bench.start()
    bench("hear", strike, "--into", "G3")
    bench("log", "G3", "--cancel", "1")
    assert bench("hear", strike, "--into", "G3").code == 0


def test_a_recording_of_a_bar_beside_it_is_refused(bench: Bench, strike: str) -> None:
    bench.start("other")
    bench.start()
    assert bench("hear", strike, "--into", "other").code == 0
    (bench.folder / "broken.bar.json").write_bytes(b"\xff{")
    told = bench("hear", strike, "--into", "G3")
    assert told.code == 3
    assert "a.wav is entry 1 in the log of other.bar.json: is it that bar?" in told.told
    assert log_of(bench) == []
    bench("log", "other", "--cancel", "1")
    assert bench("hear", strike, "--into", "G3").code == 0


def test_a_reading_typed_twice_is_told(bench: Bench) -> None:
    """Alike in every digit, as two strikes seldom are; it counts until it is taken back."""
    bench.start()
    words = ("hear", "--hz", "566.8,1484.3", "--into", "G3")
    assert "the very same pitches" not in bench(*words).told
    again = bench(*words)
    assert again.code == 0
    assert "entry 1 has the very same pitches" in again.told
    assert "barmodel log G3.bar.json --cancel 2" in again.told
    assert len(log_of(bench)) == 2
    assert "the very same" not in bench("hear", "--hz", "566.8,1484.4", "--into", "G3").told
    assert "the very same" not in bench("hear", "--hz", "566.8,1484.3", "--bar", "G3").told
    # what was taken back does not count, nor what was heard before a cut or before the holes
    for entry in (1, 2, 3):
        assert bench("log", "G3", "--cancel", str(entry)).code == 0
    assert "the very same" not in bench(*words).told
    assert bench("cut", "G3", "--at", "200", "--cutter", "drum40", "--depth", "0.1").code == 0
    assert "the very same" not in bench(*words).told
    assert "the very same" not in bench(*words, "--drilled").told
    assert "has the very same pitches" in bench(*words).told
