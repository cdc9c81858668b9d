"""The maker's own cutters: a small TOML file, written by hand.

schema = "barmodel/cutters/1"

[cutters.bigdrum]
kind = "drum"
radius_mm = 32

[cutters.bullnose]
kind = "bit"
width_mm = 10
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from barmodel.errors import FileError, InputError
from barmodel.files.cuts import Line, Record, Size
from barmodel.files.problems import check_schema, file_error
from barmodel.files.store import read_toml
from barmodel.undercut.cutters import Cutter
from barmodel.units import MM

CUTTERS_SCHEMA = "barmodel/cutters/1"
AS_WRITTEN = '[cutters.bigdrum], and under it kind = "drum" and radius_mm = 32'


class CutterPart(Record):
    """One cutter."""

    kind: Literal["bit", "drum", "scraper", "belt"]
    width_mm: Size | None = Field(
        None, description="diameter of a bit, dish of a scraper, length of a belt [mm]"
    )
    radius_mm: Size | None = Field(None, description="of a drum, or of a belt's rollers [mm]")


class CutterList(Record):
    """A list of cutters, each under the name it is called by."""

    schema_: Literal["barmodel/cutters/1"] = Field(alias="schema")
    cutters: dict[Line, CutterPart] = Field(min_length=1)


def read_cutters(path: str | os.PathLike[str]) -> dict[str, Cutter]:
    """Read a maker's cutters.

    Parameters
    ----------
    path : path
        A TOML file.

    Raises
    ------
    FileError
        If it cannot be read or a field is wrong; the message names file and field.
    """
    where = Path(path)
    content = read_toml(where)
    check_schema(
        where.name, content.get("schema"), CUTTERS_SCHEMA, written=f'schema = "{CUTTERS_SCHEMA}"'
    )
    try:
        parts = CutterList.model_validate(content, strict=False).cutters
    except ValidationError as error:
        told = file_error(where.name, error, CutterList)
        raise FileError(f"{told}; a cutter is written as {AS_WRITTEN}") from None
    try:
        return {
            name: Cutter(
                name=name,
                kind=part.kind,
                width=(part.width_mm or 0.0) * MM,
                radius=(part.radius_mm or 0.0) * MM,
            )
            for name, part in parts.items()
        }
    except InputError as error:
        raise FileError(f"{where.name}: {error}") from None
