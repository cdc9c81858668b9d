"""`barmodel schema`."""

from __future__ import annotations

import json
from typing import Annotated

import typer

from barmodel_cli.asked.options import BadValue


def run(
    name: Annotated[
        str, typer.Argument(metavar="[NAME]", help="One schema by its name, such as bar.")
    ] = "",
) -> None:
    """JSON schemas of the files, for programs that write or check them.

    Example: barmodel schema bar > bar.schema.json
    """
    from barmodel.files import file_schemas

    schemas = file_schemas()
    if name and name not in schemas:
        raise BadValue(f"there is no schema {name!r}; there are {', '.join(schemas)}")
    print(json.dumps(schemas[name] if name else schemas, indent=1))
