from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import pytest

from barmodel_cli.app import call
from tests.strike.made_up import write_strikes

BLANK = ((566.8, 1.0, 0.25), (878.0, 0.1, 0.1), (1484.0, 0.4, 0.1), (2718.0, 0.2, 0.05))
"""Lines of a made-up blank: hertz, amplitude, decay time in seconds."""


class Result(NamedTuple):
    code: int
    out: str
    err: str

    @property
    def told(self) -> str:
        """What stands beside the answer, in one line, without the frames of usage errors."""
        return _in_a_line(self.err)

    @property
    def shown(self) -> str:
        """The answer, in one line, without the frames of help."""
        return _in_a_line(self.out)


def _in_a_line(text: str) -> str:
    return " ".join(text.replace("│", " ").split())


class Bench:
    """A folder in which commands run, in this process and at a fixed width."""

    def __init__(self, folder: Path, capture: pytest.CaptureFixture[str]) -> None:
        self.folder = folder
        self._capture = capture

    def __call__(self, *words: str) -> Result:
        code = call(list(words))
        out, err = self._capture.readouterr()
        return Result(int(code), out, err)

    def start(self, name: str = "G3", *more: str) -> Result:
        """Make a bar file of a made-up padauk bar."""
        sizes = ("--length", "400", "--width", "60", "--thickness", "22")
        return self("start", name, *sizes, "--wood", "padauk", "--note", "G3", *more)


@pytest.fixture
def bench(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Bench:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("NO_COLOR", "1")
    return Bench(tmp_path, capsys)


@pytest.fixture
def cut_bench(bench: Bench) -> Bench:
    """A bar with a pocket already in it."""
    bench.start()
    assert bench("cut", "G3", "--from", "95", "--to", "305", "--depth", "5").code == 0
    return bench


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    path = tmp_path / "strikes.wav"
    write_strikes(path, BLANK, blows=2)
    return path
