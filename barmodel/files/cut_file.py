"""A cut in a file of its own: planned for one bar, or a plain list of entries made by hand."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Annotated, Literal

from pydantic import Field, RootModel, ValidationError

from barmodel.atomic import write_atomically
from barmodel.files.cuts import MOST_CUTS, CutEntry, Line, Record
from barmodel.files.document import MOST_ENTRIES, BarDocument
from barmodel.files.problems import check_schema, file_error
from barmodel.files.store import document_text, read_text

CUT_SCHEMA: Literal["barmodel/cut/1"] = "barmodel/cut/1"
"""What a cut file says it is; a plain list says nothing."""

Entries = Annotated[tuple[CutEntry, ...], Field(max_length=MOST_CUTS, fail_fast=True)]


class EntriesFile(RootModel[Entries]):
    """A JSON list of cuts, as `undercut` in a bar file; entries may also shorten the ends."""


class CutFile(Record):
    """A cut, and the bar it was planned for as that was then."""

    schema_: Literal["barmodel/cut/1"] = Field(default=CUT_SCHEMA, alias="schema")
    bar: Line | None = Field(default=None, description="name of the bar; null for any")
    log_entries: int | None = Field(
        default=None, ge=0, le=MOST_ENTRIES, description="how many entries its log had"
    )
    last_entry: Line | None = Field(
        default=None, description="date of the last of them; tells bars of one name apart"
    )
    entries: Entries

    @classmethod
    def planned_for(cls, document: BarDocument, entries: tuple[CutEntry, ...]) -> CutFile:
        """Return the file of a cut that is planned for a bar as it is."""
        log = document.log
        return cls(
            bar=document.name,
            log_entries=len(log),
            last_entry=log[-1].date if log else None,
            entries=entries,
        )


def read_cut_file(path: str | os.PathLike[str]) -> CutFile:
    """Read a cut file, or a plain list of cuts, which is for any bar.

    Raises
    ------
    FileError
        If it cannot be read, was written by a newer version, or an entry is wrong.
    """
    where = Path(path)
    text = read_text(where)
    model = CutFile if text.lstrip().startswith("{") else EntriesFile
    try:
        found = model.model_validate_json(text, strict=True)
    except ValidationError as error:
        if model is CutFile:
            _refuse_other_schemas(where, text)
        raise file_error(where.name, error, model) from None
    return found if isinstance(found, CutFile) else CutFile(entries=found.root)


def read_entries(path: str | os.PathLike[str]) -> tuple[CutEntry, ...]:
    """Read the cuts of a file, whatever bar they are for.

    Raises
    ------
    FileError
        If it cannot be read or an entry is wrong.
    """
    return read_cut_file(path).entries


def write_cut_file(path: str | os.PathLike[str], cut: CutFile) -> None:
    """Write a cut file, whole or not at all.

    Parameters
    ----------
    path : path
        The file; one that is there is replaced.
    cut : CutFile

    Raises
    ------
    FileError
        If it cannot be written.
    """
    write_atomically(path, document_text(cut))


def _refuse_other_schemas(path: Path, text: str) -> None:
    """Tell a foreign or newer file, of which many fields seem wrong."""
    try:
        content = json.loads(text)
    except (ValueError, RecursionError):
        return  # the full reading tells the line
    check_schema(
        path.name,
        content.get("schema"),
        CUT_SCHEMA,
        written=f'"schema": "{CUT_SCHEMA}"',
        hint="; cuts written by hand stand in a list, in brackets: [{…}]",
    )
