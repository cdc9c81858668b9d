"""A writer killed at any instant: what was acknowledged stays, the file is whole."""

from __future__ import annotations

import multiprocessing
import os
import random
import select
import signal
import time
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from barmodel.files import Reading, append_entries, read_bar_file
from barmodel.files.store import write_bar_file
from tests.files.samples import document

WRITES = 500
BARS = 5
"""Over so many files they are spread: a log of hundreds of entries is no bar's."""
MOST_WRITES = 12
"""Entries that are written before a writer is killed, somewhere in the next one or two."""
MOST_DELAY_S = 0.015
FORK = multiprocessing.get_context("fork")


def write_on(path: Path, writer: str, mouth: int) -> None:
    """Append entries without end, and tell of each only when it is said to be written."""
    for number in range(10_000):
        name = f"{writer}.{number}"
        append_entries(path, Reading(hz=(200.0,), remark=name))
        os.write(mouth, f"{name}\n".encode())


class Writer:
    """A process that writes until it is killed, and comes back."""

    def __init__(self, path: Path, name: str) -> None:
        self.path, self.name = path, name
        self.lives = 0
        self.told: list[str] = []
        self.start()

    def start(self) -> None:
        self.lives += 1
        ear, mouth = os.pipe()
        arguments = (self.path, f"{self.name}.{self.lives}", mouth)
        self.process: Any = FORK.Process(target=write_on, args=arguments)
        self.process.start()
        os.close(mouth)
        self.ear = ear

    def listen(self) -> bytes:
        """Take what was acknowledged; nothing is left to take when the writer is gone."""
        heard = os.read(self.ear, 1_000_000)  # lines this short come whole
        self.told += heard.decode().splitlines()
        return heard

    def kill(self) -> None:
        os.kill(self.process.pid, signal.SIGKILL)
        self.process.join()
        while self.listen():
            pass
        os.close(self.ear)


def told(writers: list[Writer]) -> int:
    return sum(len(writer.told) for writer in writers)


def wait_for(writers: list[Writer], count: int) -> None:
    """Wait until so many more entries are acknowledged by any of them."""
    limit = told(writers) + count
    while told(writers) < limit:
        for ear in select.select([writer.ear for writer in writers], [], [])[0]:
            (writer,) = (one for one in writers if one.ear == ear)
            assert writer.listen(), "the writer ended by itself"


def lost(path: Path, writers: list[Writer]) -> list[str]:
    """Acknowledged entries that are not in the file exactly once; it must be whole and in order."""
    log = read_bar_file(path).log
    assert [entry.id for entry in log] == list(range(1, len(log) + 1))
    there = Counter(entry.remark for entry in log)
    assert all(count == 1 for count in there.values())
    return [name for writer in writers for name in writer.told if there[name] != 1]


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked writers")
@pytest.mark.parametrize("count", [1, 2])
def test_no_acknowledged_entry_is_lost_to_kills(tmp_path: Path, count: int) -> None:
    rng = random.Random(count)
    written = kills = 0
    for bar in range(BARS):
        path = tmp_path / f"G{bar}" / "G.bar.json"
        path.parent.mkdir()
        write_bar_file(path, document())
        writers = [Writer(path, str(number)) for number in range(count)]
        while told(writers) < WRITES / BARS:
            victim = rng.choice(writers)
            wait_for(writers, rng.randint(0, MOST_WRITES))
            time.sleep(rng.uniform(0.0, MOST_DELAY_S))
            victim.kill()
            kills += 1
            assert lost(path, writers) == []  # while the other one goes on writing
            victim.start()
        for writer in writers:
            writer.kill()
        assert lost(path, writers) == []
        unacknowledged = len(read_bar_file(path).log) - told(writers)
        assert 0 <= unacknowledged <= sum(writer.lives for writer in writers)
        written += told(writers)
        # no lock of the dead stands in the way, and their unfinished files are swept out
        append_entries(path, Reading(hz=(200.0,)))
        assert [found.name for found in path.parent.iterdir()] == [path.name]
    assert written >= WRITES
    assert kills >= 50


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills forked writers")
def test_the_search_for_lost_entries_finds_one(tmp_path: Path) -> None:
    """Negative control: an entry told of and not written is found missing."""
    path = tmp_path / "G3.bar.json"
    write_bar_file(path, document())
    writer = Writer(path, "0")
    wait_for([writer], 3)
    writer.kill()
    writer.told.append("0.1.9999")
    assert lost(path, [writer]) == ["0.1.9999"]
