"""Reading and writing files so that no crash, reader or second writer ever meets half a file.

Writing: a new file in the same folder, flushed to disk, then renamed over the old one. Changing:
under a lock that every writer takes, the file is read again, changed and written.
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import secrets
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from barmodel.errors import FileError
from barmodel.files.document import BAR_SCHEMA, BarDocument
from barmodel.files.lock import locked
from barmodel.files.log import AnyEntry
from barmodel.files.problems import file_error

LARGEST_BYTES = 32_000_000
"""A bar file beyond this is something else, and is not loaded into memory."""

_SCHEMA = re.compile(r"barmodel/bar/(\d+)")
_VERSION = int(BAR_SCHEMA.rsplit("/", 1)[1])
_PART = ".part"


def read_bar_file(path: str | os.PathLike[str]) -> BarDocument:
    """Read and check a bar file.

    Parameters
    ----------
    path : path
        The file.

    Raises
    ------
    FileError
        If it cannot be read, is not a bar file, was written by a newer version, or a field is
        wrong; the message names file and field.
    """
    where = Path(path)
    text = read_text(where)
    _refuse_other_schemas(where, text)
    try:
        return BarDocument.model_validate_json(text)
    except ValidationError as error:
        raise file_error(where.name, error, BarDocument) from None


def read_text(path: Path) -> str:
    """Text of a file of sensible size, or a `FileError` that says why not."""
    try:
        size = path.stat().st_size
        if size > LARGEST_BYTES:
            raise FileError(
                f"{path.name}: holds {size / 1e6:.0f} MB, far more than a file of this kind; "
                "check the name"
            )
        return path.read_bytes().decode("utf-8-sig")
    except FileNotFoundError:
        raise FileError(f"{path}: there is no such file; check the name and the folder") from None
    except IsADirectoryError:
        raise FileError(f"{path}: is a folder; give the file inside it") from None
    except UnicodeDecodeError:
        raise FileError(f"{path.name}: is not text in UTF-8; check that it is the file") from None
    except OSError as error:
        raise FileError(f"{path}: cannot be read: {reason(error)}") from None
    except ValueError as error:  # a NUL inside the name
        raise FileError(f"{str(path)!r}: is not a file name: {error}") from None


def _refuse_other_schemas(path: Path, text: str) -> None:
    """Tell a foreign or newer file before hundreds of fields seem wrong."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return  # the full reading tells the line
    stated = document.get("schema") if isinstance(document, dict) else None
    match = _SCHEMA.fullmatch(stated) if isinstance(stated, str) else None
    if match is None:
        raise FileError(
            f"{path.name}: is not a bar file: it lacks the line "
            f'"schema": "{BAR_SCHEMA}"; make one with: barmodel start'
        )
    if int(match[1]) > _VERSION:
        raise FileError(
            f"{path.name}: schema: {stated} was written by a newer barmodel than this one, which "
            f"knows {BAR_SCHEMA} and would lose what is new; update barmodel"
        )


def write_bar_file(
    path: str | os.PathLike[str], document: BarDocument, *, overwrite: bool = False
) -> None:
    """Write a whole bar file, atomically.

    Parameters
    ----------
    path : path
        The file.
    document : BarDocument
        Its content.
    overwrite : bool
        Whether an existing file may be replaced.

    Raises
    ------
    FileError
        If it exists and must not be replaced, or cannot be written; nothing is changed then.
    """
    where = real_path(path)
    with locked(where):
        if where.exists() and not overwrite:
            raise FileError(
                f"{where.name}: exists already, with its history; choose another name, or add "
                "--force to replace it"
            )
        write_atomically(where, document_text(document))


def update_bar_file(
    path: str | os.PathLike[str], change: Callable[[BarDocument], BarDocument]
) -> BarDocument:
    """Change a bar file under its lock: read again, change, write.

    Parameters
    ----------
    path : path
        The file.
    change : callable
        Takes the document as it is on disk and returns the one to write. The log may only grow.

    Returns
    -------
    BarDocument
        What was written.

    Raises
    ------
    FileError
        If the file cannot be read or written, or the change would rewrite history.
    """
    where = real_path(path)
    if not where.exists():
        raise FileError(f"{path}: there is no such file; check the name and the folder")
    with locked(where):
        before = read_bar_file(where)
        after = change(before)
        if after.log[: len(before.log)] != before.log:
            raise FileError(
                f"{where.name}: log entries are never changed; cancel the entry by a later one"
            )
        write_atomically(where, document_text(after))
        return after


def append_entries(path: str | os.PathLike[str], *entries: AnyEntry) -> BarDocument:
    """Append entries to the log of a bar file; they are numbered here.

    Parameters
    ----------
    path : path-like
        The bar file; it is locked while it is read and written.
    *entries : log entry
        In the order in which they happened.

    Raises
    ------
    FileError
        If the file cannot be read or written, or an entry does not fit the log.
    """

    def appended(document: BarDocument) -> BarDocument:
        try:
            return document.with_entries(*entries)
        except ValidationError as error:
            raise file_error(Path(path).name, error, BarDocument) from None

    return update_bar_file(path, appended)


def document_text(document: BarDocument) -> str:
    """JSON text of a document, one line per entry so that two versions compare line by line."""
    content: dict[str, Any] = document.model_dump(mode="json", by_alias=True)
    lines = []
    for name, value in content.items():
        if isinstance(value, list) and value:
            rows = ",\n".join(f"  {_json(item)}" for item in value)
            lines.append(f" {_json(name)}: [\n{rows}\n ]")
        else:
            lines.append(f" {_json(name)}: {_json(value)}")
    return "{\n" + ",\n".join(lines) + "\n}\n"


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def real_path(path: str | os.PathLike[str]) -> Path:
    """Follow symbolic links, so that the file is replaced and the link stays."""
    try:
        return Path(path).resolve()
    except (OSError, RuntimeError, ValueError) as error:
        raise FileError(f"{path}: cannot be found: {error}") from None


def write_atomically(path: Path, content: str | bytes) -> None:
    """Put content in a file so that at any instant the old or the new one is there, whole.

    The mode of an existing file is kept. On a failure the old file stays and no debris is left.

    Parameters
    ----------
    path : Path
    content : str or bytes
        Text is written as UTF-8.
    """
    data = content.encode() if isinstance(content, str) else content
    part = path.with_name(f".{path.name[:100]}.{secrets.token_hex(4)}{_PART}")
    try:
        with _new_file(part) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(FileNotFoundError):
            os.chmod(part, path.stat().st_mode & 0o7777)
        os.replace(part, path)
        _sync_folder(path.parent)
    except OSError as error:
        raise FileError(
            f"{path}: cannot be written: {reason(error)}; nothing was changed"
        ) from None
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


@contextlib.contextmanager
def _new_file(path: Path) -> Iterator[Any]:
    # os.open applies the person's umask; tempfile would make the file private
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666)
    with os.fdopen(handle, "wb") as file:
        yield file


def _sync_folder(folder: Path) -> None:
    """Make the renaming itself last through a power cut, where folders can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def reason(error: OSError) -> str:
    """Reason of an operating system error, in lower case, without number or path."""
    text = error.strerror or str(error)
    return text[:1].lower() + text[1:]
