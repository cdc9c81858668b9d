"""Start of the command line against an empty typer program."""

from __future__ import annotations

import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from validation.benchmarks.timing import Row, best_child

EMPTY = '''\
import typer

app = typer.Typer()


@app.command()
def nothing() -> None:
    """Do nothing."""


app()
'''


def rows() -> Iterator[Row]:
    """Time `--help` of both, each in a fresh process."""
    script = Path(sys.executable).with_name("barmodel")
    with tempfile.TemporaryDirectory() as folder:
        empty = Path(folder) / "empty.py"
        empty.write_text(EMPTY, encoding="utf-8")
        ours, theirs = best_child(
            [
                lambda: _run([sys.executable, str(script), "--help"]),
                lambda: _run([sys.executable, str(empty), "--help"]),
            ],
            rounds=12,
        )
    yield Row(
        job="barmodel --help, fresh process",
        seconds=ours,
        against="empty typer program --help",
        other_seconds=theirs,
        asked="≤ 1.3",
    )


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True)
