"""Before and while a command computes: its places are looked at first, and a sign of life."""

from __future__ import annotations

import contextlib
import importlib
import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.cli.conftest import Bench

COMMANDS = (
    ("design", "G3", "--plot"),
    ("modes", "G3", "--plot"),
    ("map", "G3", "--plot"),
    ("map", "G3", "--csv"),
    ("sheet", "G3", "--out"),
    ("log", "G3", "--plot"),
    ("next", "G3", "--save"),
    ("hear", "strike.wav", "--bar", "G3", "--plot"),
)


@pytest.fixture
def nothing_computes(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> Bench:
    bench.start()

    def called(*_: Any, **__: Any) -> None:
        raise AssertionError("computed before the place was looked at")

    # every command begins with one of these
    for name in ("barmodel.files.read_bar_file", "barmodel.strike.read_recording"):
        monkeypatch.setattr(name, called)
    return bench


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: f"{words[0]} {words[-1]}")
def test_a_missing_folder_is_told_first(nothing_computes: Bench, words: tuple[str, ...]) -> None:
    result = nothing_computes(*words, str(Path("none") / "x.png"))
    assert result.code == 3
    assert "the folder none does not exist" in result.told


def test_other_endings_and_closed_folders_are_told_first(nothing_computes: Bench) -> None:
    result = nothing_computes("map", "G3", "--plot", "map.bmp")
    assert result.code == 3
    assert "the name ends in '.bmp'" in result.told
    Path("closed").mkdir()
    Path("closed").chmod(0o500)
    if os.access("closed", os.W_OK):  # a super-user may write everywhere
        return
    result = nothing_computes("design", "G3", "--plot", str(Path("closed") / "x.png"))
    assert result.code == 3
    assert "closed to writing" in result.told


def test_what_can_be_written_is_written(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the package for DXF the other files were once not written either."""
    bench.start()
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    result = bench("sheet", "G3", "--out", "a.dxf", "--out", "a.csv", "--out", "a.svg")
    assert result.code == 3
    assert "a.dxf was not written: DXF needs the package ezdxf" in result.err
    assert "barmodel[cad]" in result.err
    assert {p.name for p in bench.folder.iterdir()} == {"G3.bar.json", "a.csv", "a.svg"}
    assert "a.csv" in result.out


SLOW = {
    ("map", "G3", "--stations", "12", "--plot", "m.svg"): ("_draw", "_distances"),
    ("modes", "G3", "--model", "beam", "--plot", "m.svg"): ("_draw", "last_heard"),
    ("design", "G3", "--plot", "d.svg"): ("_draw", "_remedies"),
}
"""Commands, and the slow parts of them."""


@pytest.mark.parametrize("words", SLOW, ids=lambda words: words[0])
def test_slow_parts_show_a_sign_of_life(
    bench: Bench, words: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    module = importlib.import_module(f"barmodel_cli.commands.{words[0]}")
    running: list[str] = []
    seen: dict[str, list[str]] = {}

    @contextlib.contextmanager
    def told(label: str, total: int | None = None) -> Iterator[Callable[[], None]]:
        running.append(label)
        yield lambda: None
        running.pop()

    monkeypatch.setattr(module, "progress", told)
    for name in SLOW[words]:
        slow = getattr(module, name)

        def watched(*args: Any, _name: str = name, _slow: Any = slow, **named: Any) -> Any:
            seen[_name] = list(running)
            return _slow(*args, **named)

        monkeypatch.setattr(module, name, watched)
    bench.start()
    assert bench(*words).code == 0
    assert set(seen) == set(SLOW[words])
    assert all(len(labels) == 1 for labels in seen.values()), seen
