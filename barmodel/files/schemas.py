"""JSON schemas of the files."""

from __future__ import annotations

from typing import Any

from barmodel.files.cut_file import CutFile, EntriesFile
from barmodel.files.cutter_list import CutterList
from barmodel.files.document import BarDocument


def file_schemas() -> dict[str, dict[str, Any]]:
    """JSON schema of every file format, by the name under which `barmodel schema` prints it."""
    # the set file leans on the whole library, which other readers of files need not wait for
    from barmodel.files.set_document import SetDocument

    return {
        "bar": BarDocument.model_json_schema(by_alias=True),
        "cut": CutFile.model_json_schema(by_alias=True),
        "entries": EntriesFile.model_json_schema(by_alias=True),
        "set": SetDocument.model_json_schema(by_alias=True),
        "cutters": CutterList.model_json_schema(by_alias=True),
    }
