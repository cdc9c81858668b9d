"""JSON schemas of the files, and lists of cuts that stand in a file of their own."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field, RootModel, ValidationError

from barmodel.files.cuts import MOST_CUTS, CutEntry
from barmodel.files.cutter_list import CutterList
from barmodel.files.document import BarDocument
from barmodel.files.problems import file_error
from barmodel.files.store import read_text


class EntriesFile(
    RootModel[Annotated[tuple[CutEntry, ...], Field(max_length=MOST_CUTS, fail_fast=True)]]
):
    """A JSON list of cuts, as `undercut` in a bar file; entries may also shorten the ends."""


def read_entries(path: str | os.PathLike[str]) -> tuple[CutEntry, ...]:
    """Read a file that holds a list of cuts.

    Raises
    ------
    FileError
        If it cannot be read or an entry is wrong.
    """
    where = Path(path)
    try:
        return EntriesFile.model_validate_json(read_text(where), strict=True).root
    except ValidationError as error:
        raise file_error(where.name, error, EntriesFile) from None


def file_schemas() -> dict[str, dict[str, Any]]:
    """JSON schema of every file format, by the name under which `barmodel schema` prints it."""
    # the set file leans on the whole library, which other readers of files need not wait for
    from barmodel.files.set_document import SetDocument

    return {
        "bar": BarDocument.model_json_schema(by_alias=True),
        "entries": EntriesFile.model_json_schema(by_alias=True),
        "set": SetDocument.model_json_schema(by_alias=True),
        "cutters": CutterList.model_json_schema(by_alias=True),
    }
