"""What is asked for is done or refused: no option is dropped without a word, nothing half done."""

from __future__ import annotations

from pathlib import Path

import pytest

from barmodel.files import read_bar_file
from tests.cli.conftest import Bench
from tests.strike.made_up import write_strikes

START = ("start", "new", "--length", "400", "--width", "60", "--thickness", "22",
         "--note", "G3", "--wood", "padauk")  # fmt: skip


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ((*START, "--temperature", "21"), "give --tap as well"),
        ((*START, "--humidity", "50"), "give --tap as well"),
        ((*START, "--mass", "380", "--density", "720"), "give one of them"),
        (("cut", "G3", "--designed", "--depth", "2"), "--designed is the whole cut"),
        (("cut", "G3", "--designed", "--one-side"), "--designed is the whole cut"),
        (("design", "G3", "--fix-start", "80", "--fix", "start=95"), "start is fixed twice"),
        (("map", "G3", "--tolerance", "2"), "belong to --lower"),
        (("map", "G3", "--deepest", "2"), "belong to --lower"),
        (("tube", "C3", "--bore", "60", "--box-width", "0"), "--bore of a round tube, or"),
        (("tube", "C3", "--bore", "60", "--coldest", "25"), "belong together"),
        (("tube", "C3", "--bore", "6"), "were centimetres meant?"),
        (("tube", "--bore", "60"), "name the notes, as C3 F#3, or a set with --set"),
        (("hear", "--into", "G3", "--hz", "196", "--plot", "x.png"), "--plot draws a recording"),
        (("hear", "--into", "G3", "--hz", "196", "--strike-at", "401"), "lies off the bar"),
        (("hear", "--into", "G3", "--hz", "196", "--held-at", "999"), "lies off the bar"),
        (("instrument", "x.set.toml", "--new", "--next"), "give one of them"),
        (("instrument", "x.set.toml", "--lengths-only", "--plot", "x.png"), "with --lengths-only"),
        (("modes", "G3", "--model", "bset"), "did you mean best?"),
        (("try", "G3", "--ends", "1", "--model", "bset"), "did you mean best?"),
        (("sheet", "G3", "--paper", "a44"), "did you mean a4?"),
    ],
)
def test_what_goes_nowhere_is_refused(bench: Bench, words: tuple[str, ...], told: str) -> None:
    bench.start()
    assert bench("design", "G3", "--model", "beam", "--save").code == 0
    before = {path.name: path.read_bytes() for path in bench.folder.iterdir()}
    found = bench(*words)
    assert found.code == 3, found.err
    assert told in found.told
    assert {path.name: path.read_bytes() for path in bench.folder.iterdir()} == before


def test_a_picture_of_nothing_is_refused_before_the_reading_is_cancelled(bench: Bench) -> None:
    bench.start()
    assert bench("hear", "--into", "G3", "--hz", "560,1480,2760", "--unusual").code == 0
    found = bench("log", "G3", "--cancel", "1", "--plot", "x.png")
    assert found.code == 3
    assert "no reading to draw then" in found.err
    assert len(read_bar_file(bench.folder / "G3.bar.json").log) == 1


def test_recordings_of_one_name_in_two_folders_stay_apart(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from barmodel_cli.bench import hear_picture

    for name, level in (("a", 0.2), ("b", 1.0)):
        (bench.folder / name).mkdir()
        lines = ((566.8, level, 0.1), (1484.0, 0.4 * level, 0.1))
        write_strikes(bench.folder / name / "1.wav", lines)
    drawn = []
    monkeypatch.setattr(hear_picture, "draw", lambda struck, _: drawn.append(struck.recordings))
    paths = [str(Path(name) / "1.wav") for name in ("a", "b")]
    bench.start()
    assert bench("hear", *paths, "--bar", "G3", "--plot", "x.png").code == 0
    assert [recording.name for recording in drawn[0]] == paths
