from __future__ import annotations

import json
import multiprocessing
import os
import stat
import time
from pathlib import Path

import pytest

from barmodel.errors import FileError
from barmodel.files import (
    Cancellation,
    Reading,
    append_entries,
    lock,
    read_bar_file,
    update_bar_file,
)
from barmodel.files.store import LARGEST_BYTES, read_toml, write_bar_file
from tests.files.samples import document


@pytest.fixture
def bar(tmp_path: Path) -> Path:
    path = tmp_path / "G3.bar.json"
    write_bar_file(path, document())
    return path


def hidden(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.startswith(".")]


def append_many(path: Path, count: int, hz: float) -> None:
    for _ in range(count):
        append_entries(path, Reading(hz=(hz,)))


def test_what_is_written_is_read(bar: Path) -> None:
    append_entries(bar, Reading(hz=(300.0, None, 2000.0), temperature_c=21.5))
    assert read_bar_file(bar).readings[0].hz == (300.0, None, 2000.0)
    assert hidden(bar.parent) == []


def test_existing_file_is_not_overwritten_unasked(bar: Path) -> None:
    before = bar.read_bytes()
    with pytest.raises(FileError, match="exists already"):
        write_bar_file(bar, document(name="other"))
    assert bar.read_bytes() == before
    write_bar_file(bar, document(name="other"), overwrite=True)
    assert read_bar_file(bar).name == "other"


def test_two_writers_lose_no_entry(bar: Path) -> None:
    writers = [
        multiprocessing.get_context("fork").Process(target=append_many, args=(bar, 25, hz))
        for hz in (201.0, 202.0, 203.0)
    ]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    log = read_bar_file(bar).readings
    assert [entry.id for entry in log] == list(range(1, 76))
    assert sorted(entry.hz[0] for entry in log) == [201.0] * 25 + [202.0] * 25 + [203.0] * 25


def test_history_cannot_be_rewritten(bar: Path) -> None:
    append_entries(bar, Reading(hz=(300.0,)))
    before = bar.read_bytes()
    with pytest.raises(FileError, match="never changed"):
        update_bar_file(bar, lambda old: old.changed(log=()))
    assert bar.read_bytes() == before


def test_failing_change_changes_nothing(bar: Path) -> None:
    before = bar.read_bytes()

    def fails(_: object) -> None:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        update_bar_file(bar, fails)
    assert bar.read_bytes() == before
    assert hidden(bar.parent) == []


def test_mode_and_link_are_kept(bar: Path, tmp_path: Path) -> None:
    bar.chmod(0o640)
    link = tmp_path / "link.bar.json"
    link.symlink_to(bar)
    append_entries(link, Reading(hz=(300.0,)))
    assert link.is_symlink()
    assert stat.S_IMODE(bar.stat().st_mode) == 0o640
    assert len(read_bar_file(bar).log) == 1


def test_newer_file_is_neither_read_nor_rewritten(bar: Path) -> None:
    newer = json.loads(bar.read_text()) | {"schema": "barmodel/bar/7"}
    bar.write_text(json.dumps(newer))
    before = bar.read_bytes()
    with pytest.raises(FileError, match="newer"):
        append_entries(bar, Reading(hz=(300.0,)))
    assert bar.read_bytes() == before


def test_places_that_cannot_be_written_are_told(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="there is no folder"):
        write_bar_file(tmp_path / "missing" / "a.bar.json", document())
    with pytest.raises(FileError, match="no such file"):
        append_entries(tmp_path / "a.bar.json", Reading(hz=(300.0,)))
    with pytest.raises(FileError, match="is a folder"):
        read_bar_file(tmp_path)


def test_huge_file_is_not_loaded(tmp_path: Path) -> None:
    path = tmp_path / "huge.bar.json"
    with path.open("wb") as file:
        file.truncate(LARGEST_BYTES + 1)
    with pytest.raises(FileError, match="MB"):
        read_bar_file(path)


def test_lock_by_existence_serves_where_the_kernel_has_none(
    bar: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "fcntl", None)
    monkeypatch.setattr(lock, "PATIENCE_S", 0.05)
    append_entries(bar, Reading(hz=(300.0,)))
    held = bar.with_name(f".{bar.name}.lock")
    held.touch()
    with pytest.raises(FileError, match="another command"):
        append_entries(bar, Reading(hz=(300.0,)))
    old = time.time() - 2 * lock.STALE_S
    os.utime(held, (old, old))
    append_entries(bar, Reading(hz=(300.0,)))
    assert len(read_bar_file(bar).log) == 2
    assert hidden(bar.parent) == []


def test_lock_held_by_another_process_is_waited_for_then_told(
    bar: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "PATIENCE_S", 0.05)
    with lock.locked(bar), pytest.raises(FileError, match="another command"):
        append_entries(bar, Reading(hz=(300.0,)))


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device here")
def test_a_device_without_end_is_not_loaded() -> None:
    with pytest.raises(FileError, match="holds more than 4 MB"):
        read_bar_file("/dev/zero")


@pytest.mark.parametrize(
    "text",
    ["a." * 100_000 + "a = 1", "a = " + "[" * 200_000, "a = " + "9" * 5000, "a = 1\na = 2"],
    ids=["points", "nested", "digits", "twice"],
)
def test_hand_written_files_are_read_in_bounded_time(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.toml"
    path.write_text(text)
    began = time.monotonic()
    with pytest.raises(FileError, match=r"a\.toml: "):
        read_toml(path)
    assert time.monotonic() - began < 5.0


def test_what_could_not_be_read_again_is_not_written(bar: Path) -> None:
    before = bar.read_bytes()
    for entry in (
        Cancellation.model_construct(entry=1, remark="\x1b[2J"),
        Reading.model_construct(hz=(-1.0,)),
        Reading(hz=(300.0,), remark="a" * 20_000),
    ):
        with pytest.raises(FileError, match=r"G3\.bar\.json"):
            append_entries(bar, *([entry] * 250))
    assert bar.read_bytes() == before
    assert hidden(bar.parent) == []
