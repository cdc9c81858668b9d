"""Reading and writing files so that no crash, reader or second writer ever meets half a file.

Writing: a new file in the same folder, flushed to disk, then renamed over the old one. Changing:
under a lock that every writer takes, the file is read again, changed and written.
"""

from __future__ import annotations

import json
import os
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from barmodel.atomic import real_path, reason, write_atomically
from barmodel.errors import FileError
from barmodel.files.cuts import Record
from barmodel.files.document import BAR_SCHEMA, BarDocument
from barmodel.files.lock import locked
from barmodel.files.log import AnyEntry
from barmodel.files.problems import check_schema, file_error

LARGEST_BYTES = 4_000_000
"""A bar file beyond this is something else, and is not loaded into memory."""
LARGEST_BY_HAND = 300_000
"""A description or a table beyond this was not written by hand, and is not read. [byte]"""
MOST_POINTS = 500
"""Points that one line of a TOML file may hold."""


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
    try:
        return BarDocument.model_validate_json(text)
    except ValidationError as error:
        _refuse_other_schemas(where, text)
        raise file_error(where.name, error, BarDocument) from None


def read_toml(path: Path) -> dict[str, Any]:
    """Content of a TOML file that was written by hand, or a `FileError` that says why not."""
    text = read_text(path, largest=LARGEST_BY_HAND)
    for number, line in enumerate(text.splitlines(), start=1):
        if line.count(".") > MOST_POINTS:  # tomllib takes minutes over a.a.a.a.… = 1
            raise FileError(f"{path.name}: line {number} is not one of such a file; mend it")
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise FileError(f"{path.name}: lists within lists without end; mend that place") from None
    except ValueError as error:  # a number of thousands of digits as well
        raise FileError(
            f"{path.name}: is not readable TOML: {error}; mend that place (decimals have a point, "
            "a name with # stands in quotes, and once)"
        ) from None


def read_text(path: Path, *, largest: int = LARGEST_BYTES) -> str:
    """Text of a file of sensible size, or a `FileError` that says why not.

    Parameters
    ----------
    path : Path
    largest : int
        Size beyond which it is not read. [byte]
    """
    try:
        with path.open("rb") as file:
            data = file.read(largest + 1)  # the size of a device or a pipe is not known
    except FileNotFoundError:
        raise FileError(f"{path}: there is no such file; check the name and the folder") from None
    except IsADirectoryError:
        raise FileError(f"{path}: is a folder; give the file inside it") from None
    except OSError as error:
        raise FileError(f"{path}: cannot be read: {reason(error)}") from None
    except ValueError as error:  # a NUL inside the name
        raise FileError(f"{str(path)!r}: is not a file name: {error}") from None
    if len(data) > largest:
        raise FileError(
            f"{path.name}: holds more than {largest / 1e6:g} MB, far more than a file of this "
            "kind; check the name"
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise FileError(f"{path.name}: is not text in UTF-8; check that it is the file") from None


def _refuse_other_schemas(path: Path, text: str) -> None:
    """Tell a foreign or newer file, of which hundreds of fields seem wrong."""
    try:
        document = json.loads(text)
    except (ValueError, RecursionError):
        return  # the full reading tells the line
    stated = document.get("schema") if isinstance(document, dict) else None
    check_schema(
        path.name,
        stated,
        BAR_SCHEMA,
        written=f'"schema": "{BAR_SCHEMA}"',
        hint="; make one with: barmodel start",
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
                "--force to replace it. A bar that is to become something else goes on with "
                f"barmodel log {where.name} --note, --a4, --ratios or --offset"
            )
        write_atomically(where, _readable_text(where, document))


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
        write_atomically(where, _readable_text(where, after))
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

    return update_bar_file(path, lambda there: appended(there, *entries, name=Path(path).name))


def appended(document: BarDocument, *entries: AnyEntry, name: str) -> BarDocument:
    """Return a document with entries appended to its log, as `append_entries` would write it.

    Parameters
    ----------
    document : BarDocument
    *entries : log entry
    name : str
        Of its file, for the message.

    Raises
    ------
    FileError
        If an entry does not fit the log.
    """
    try:
        return document.with_entries(*entries)
    except ValidationError as error:
        raise file_error(name, error, BarDocument) from None


def _readable_text(path: Path, document: BarDocument) -> str:
    """Text of a document that will be read again, or a `FileError` before it is written."""
    text = document_text(document)
    if len(text.encode()) > LARGEST_BYTES:
        raise FileError(
            f"{path.name}: would hold more than {LARGEST_BYTES / 1e6:g} MB and not be read again; "
            "begin another file for this bar"
        )
    try:
        BarDocument.model_validate_json(text)
    except ValidationError as error:
        raise file_error(path.name, error, BarDocument) from None
    return text


def document_text(document: Record) -> str:
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
