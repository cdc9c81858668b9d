"""Files written whole or not at all, so that no crash and no reader ever meets half a file.

New content goes into a file beside its place, is flushed to disk and renamed over the old one.
A symbolic link stays, and what it points to is replaced. What is no file at all, such as
`/dev/stdout` or a pipe, is written to when all is ready.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from barmodel.errors import FileError

PART = ".part"
"""Ending of an unfinished file."""
MOST_BYTES = 180
"""Of a file's name that its unfinished and its lock file carry; file systems allow 255. [byte]"""


@contextlib.contextmanager
def replaced(path: str | os.PathLike[str]) -> Iterator[Path]:
    """Give a place to write to; what stands there at the end takes the place of `path`.

    The mode of an existing file is kept. On a failure the old file stays and no debris is left.

    Yields
    ------
    Path
        An empty file, to be filled.

    Raises
    ------
    FileError
        If the folder is missing, or the file cannot be written.
    """
    where, is_file = _target(Path(path))
    folder = where.parent if is_file else Path(tempfile.gettempdir())
    part = folder / f"{hidden_prefix(where)}{secrets.token_hex(4)}{PART}"
    try:
        _make(part)
        yield part
        _sync(part)
        if is_file:
            _move(part, where)
        else:
            with part.open("rb") as source, where.open("wb") as sink:
                shutil.copyfileobj(source, sink)
    except BrokenPipeError:
        raise  # the reader of a pipe had enough
    except OSError as error:
        raise _refused(path, part, error) from None
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def write_atomically(path: str | os.PathLike[str], content: str | bytes) -> None:
    """Put content in a file so that at any instant the old or the new one is there, whole.

    Parameters
    ----------
    path : path
    content : str or bytes
        Text is written as UTF-8.

    Raises
    ------
    FileError
        If it cannot be written; nothing is changed then.
    """
    data = content.encode() if isinstance(content, str) else content
    with replaced(path) as part:
        part.write_bytes(data)


def check_place(path: str | os.PathLike[str]) -> None:
    """Refuse a place that nothing can be written to, before anything is computed for it.

    Raises
    ------
    FileError
        If the folder is missing or closed to writing, or the place is a folder itself.
    """
    where, is_file = _target(Path(path))
    if is_file and not os.access(where.parent, os.W_OK):
        raise FileError(
            f"{path}: the folder {where.parent} is closed to writing; name another place"
        )


def _target(path: Path) -> tuple[Path, bool]:
    """Where the content is to go, links followed, and whether that is a file, if still to be."""
    if "\0" in str(path):
        raise FileError(f"{str(path)!r}: is not a file name; give another")
    try:
        if path.is_dir():
            raise FileError(f"{path}: is a folder; give the name of a file")
        if path.exists() and not path.is_file():
            return path, False  # not followed: /dev/stdout leads to what has no name
        where = real_path(path)
        if not where.parent.is_dir():
            raise FileError(f"{path}: the folder {path.parent} does not exist; make it first")
    except OSError as error:
        raise _refused(path, path, error) from None
    return where, True


def _refused(path: str | os.PathLike[str], part: Path, error: OSError) -> FileError:
    told = error.filename
    other = f" ({told})" if told is not None and str(told) not in (str(part), str(path)) else ""
    return FileError(
        f"{path}: cannot be written: {reason(error)}{other}; nothing was changed. Check the disk "
        "and the rights to the folder, or name another place"
    )


def real_path(path: str | os.PathLike[str]) -> Path:
    """Follow symbolic links, so that the file is replaced and the link stays."""
    try:
        return Path(path).resolve()
    except (OSError, RuntimeError, ValueError) as error:
        raise FileError(f"{path}: cannot be found: {error}") from None


def hidden_prefix(path: Path) -> str:
    """Beginning of the names of the hidden files beside a file, its name cut to what fits.

    Examples
    --------
    >>> hidden_prefix(Path("G3.bar.json"))
    '.G3.bar.json.'
    """
    cut = os.fsencode(path.name)[:MOST_BYTES]
    return f".{cut.decode(errors='ignore')}."


def reason(error: OSError) -> str:
    """Reason of an operating system error, in lower case, without number or path."""
    text = error.strerror or str(error)
    return text[:1].lower() + text[1:]


def _make(part: Path) -> None:
    # os.open applies the person's umask; tempfile would make the file private
    os.close(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))


def _move(part: Path, where: Path) -> None:
    """Put a finished file in its place, with the mode of the one that stood there."""
    with contextlib.suppress(FileNotFoundError):
        os.chmod(part, where.stat().st_mode & 0o7777)
    os.replace(part, where)
    _sync_folder(where.parent)


def _sync(part: Path) -> None:
    handle = os.open(part, os.O_RDWR)  # Windows syncs only what is open for writing
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _sync_folder(folder: Path) -> None:
    """Make the renaming itself last through a power cut, where folders can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
