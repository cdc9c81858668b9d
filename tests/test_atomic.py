from __future__ import annotations

import errno
import os
import stat
import threading
from pathlib import Path

import pytest

from barmodel import atomic
from barmodel.atomic import hidden_prefix, replaced, write_atomically
from barmodel.errors import FileError


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_a_link_stays_and_what_it_points_to_is_replaced(tmp_path: Path) -> None:
    place, link = tmp_path / "real" / "a.csv", tmp_path / "a.csv"
    place.parent.mkdir()
    place.write_text("old")
    place.chmod(0o640)
    link.symlink_to(place)
    write_atomically(link, "new")
    assert link.is_symlink()
    assert (place.read_text(), stat.S_IMODE(place.stat().st_mode)) == ("new", 0o640)
    dangling = tmp_path / "b.csv"
    dangling.symlink_to(tmp_path / "real" / "b.csv")
    write_atomically(dangling, "new")
    assert dangling.is_symlink()
    assert names(tmp_path / "real") == ["a.csv", "b.csv"]


def test_a_pipe_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    pipe, heard = tmp_path / "pipe", []
    os.mkfifo(pipe)
    reader = threading.Thread(target=lambda: heard.append(pipe.read_text()), daemon=True)
    reader.start()
    write_atomically(pipe, "through")
    reader.join(timeout=5.0)
    assert heard == ["through"]
    assert stat.S_ISFIFO(pipe.stat().st_mode)
    assert names(tmp_path) == ["pipe"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no such device here")
def test_a_full_device_is_told() -> None:
    with pytest.raises(FileError, match="no space"):
        write_atomically("/dev/full", "content")


@pytest.mark.parametrize(
    "name",
    ["a" * 250, "木" * 80, "💥" * 60, "e\u0301" * 80, "بار", "-", ".5", "a b\t;$(c)"],
    ids=lambda name: f"{name[:3]}{len(name)}",
)
def test_any_name_the_disk_takes_can_be_written(tmp_path: Path, name: str) -> None:
    write_atomically(tmp_path / name, "content")
    assert names(tmp_path) == [name]
    assert len(os.fsencode(hidden_prefix(tmp_path / name))) < 200


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("", "is a folder"),
        ("a\0b", "not a file name"),
        ("none/a", "folder .*none does not exist"),
        ("a" * 300, "too long"),
        ("file/a", "does not exist|not a directory"),
        ("loop", "symbolic link|cannot be found"),
    ],
    ids=lambda word: word[:8].replace("\0", "0"),
)
def test_names_that_cannot_be_written_are_told(tmp_path: Path, name: str, told: str) -> None:
    (tmp_path / "file").touch()
    (tmp_path / "loop").symlink_to("loop")
    with pytest.raises(FileError, match=told):
        write_atomically(tmp_path / name, "content")
    assert names(tmp_path) == ["file", "loop"]


@pytest.mark.parametrize("step", ["open", "fsync", "replace"])
@pytest.mark.parametrize("code", [errno.ENOSPC, errno.EROFS, errno.EACCES, errno.EIO])
def test_a_failure_at_any_step_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str, code: int
) -> None:
    path = tmp_path / "a.csv"
    path.write_text("old")

    def fails(*_: object) -> None:
        raise OSError(code, os.strerror(code))

    with monkeypatch.context() as patched:
        patched.setattr(atomic.os, step, fails)
        with pytest.raises(FileError, match="nothing was changed"):
            write_atomically(path, "new")
    assert path.read_text() == "old"
    assert names(tmp_path) == ["a.csv"]


def test_another_file_that_lacks_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"no such file.*letters\.ttf"), replaced(tmp_path / "a"):
        (tmp_path / "letters.ttf").read_bytes()
    assert names(tmp_path) == []


def test_what_goes_wrong_in_between_is_not_hidden(tmp_path: Path) -> None:
    with pytest.raises(ZeroDivisionError), replaced(tmp_path / "a"):
        raise ZeroDivisionError
    assert names(tmp_path) == []
