"""What pydantic finds wrong, in words a maker can act on: `file: field: message`."""

from __future__ import annotations

import difflib
import re
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError

from barmodel.errors import FileError

_MOST_SHOWN = 6
_PLAIN = {
    "missing": "is missing; add it",
    "finite_number": "must be a finite number, not NaN or infinity",
    "float_type": "must be a number",
    "int_type": "must be a whole number",
    "string_type": "must be a text in quotes",
    "bool_type": "must be true or false",
    "tuple_type": "must be a list",
    "list_type": "must be a list",
    "model_type": "must be an object in braces",
    "model_attributes_type": "must be an object in braces",
}


_LIMITS = {
    "less_than_equal": ("le", "at most"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "below"),
    "greater_than": ("gt", "above"),
}


def file_error(name: str, error: ValidationError, model: type[BaseModel]) -> FileError:
    """Rewrite a pydantic error as a `FileError`, one line per field that is wrong.

    Parameters
    ----------
    name : str
        Name of the file, for the message.
    error : ValidationError
        What pydantic found.
    model : type
        The document that was read; its field names are offered for misspelt ones.
    """
    found = error.errors(include_url=False)
    known = _field_names(model)
    lines = [f"{name}: {_line(item, known)}" for item in found[:_MOST_SHOWN]]
    if len(found) > _MOST_SHOWN:
        lines.append(f"{name}: and {len(found) - _MOST_SHOWN} more")
    return FileError("\n".join(lines))


def _line(item: Any, known: frozenset[str]) -> str:
    kind, where = item["type"], field_path(item["loc"])
    if kind == "json_invalid":
        return f"is not readable JSON: {item['ctx']['error']}; mend that place or take a copy"
    if kind == "extra_forbidden":
        near = difflib.get_close_matches(str(item["loc"][-1]), known, n=1)
        hint = f"did you mean {near[0]}?" if near else "remove it, or use the version that wrote it"
        return f"{where}: unknown field; {hint}"
    if kind == "union_tag_invalid":
        context = item["ctx"]
        tag, choices = context["tag"], context["expected_tags"]
        return f"{where}: {context['discriminator'].strip(chr(39))} {tag!r} is unknown; {choices}"
    if kind == "union_tag_not_found":
        return f"{where}: lacks {item['ctx']['discriminator']}, which says what it is"
    if kind == "value_error":
        text = str(item["ctx"]["error"])
        return f"{where}: {text}" if where else text
    if kind in ("too_short", "too_long"):
        few = kind == "too_short"
        count = item["ctx"]["min_length" if few else "max_length"]
        return f"{where or 'the file'}: holds too {'few' if few else 'many'}; " + (
            f"at least {count} is needed" if few else f"at most {count} are read"
        )
    text = _PLAIN.get(kind) or item["msg"][:1].lower() + item["msg"][1:]
    if kind in _LIMITS:
        name, words = _LIMITS[kind]
        text = f"must be {words} {item['ctx'][name]:g}"
    value = item.get("input")
    shown = f" (it is {value!r})" if isinstance(value, int | float | str) and value != "" else ""
    return f"{where or 'the file'}: {text}{shown}"


def field_path(location: tuple[int | str, ...]) -> str:
    """Path to a field as one would write it: `design[0].depth_mm`.

    Examples
    --------
    >>> field_path(("design", 0, "arch", "depth_mm"))
    'design[0].depth_mm'
    """
    path = ""
    after_number = False
    for part in location:
        if isinstance(part, int):
            path += f"[{part}]"
            after_number = True
            continue
        # after a position in a list pydantic names the kind of entry, which nobody wrote
        if not (after_number and part in _KINDS):
            path += f".{part}" if path else part
        after_number = False
    return path


_KINDS = {"arch", "pocket", "groove", "table", "ends", "reading", "cut", "aim", "cancel"}


@cache
def _field_names(model: type[BaseModel]) -> frozenset[str]:
    """Every field name in the document and its parts."""
    schema = model.model_json_schema(by_alias=True)
    parts = [schema, *schema.get("$defs", {}).values()]
    return frozenset(name for part in parts for name in part.get("properties", {}))


def check_schema(name: str, stated: object, known: str, *, written: str, hint: str = "") -> None:
    """Tell a foreign or newer file, of which hundreds of fields seem wrong.

    Parameters
    ----------
    name : str
        Of the file.
    stated : object
        What stands in its field `schema`.
    known : str
        What this version reads, as "barmodel/bar/1".
    written : str
        The line that says so in this kind of file.
    hint : str
        How such a file is made.

    Raises
    ------
    FileError
        If it is of another kind, or of a later version.
    """
    kind, version = known.rsplit("/", 1)
    match = re.fullmatch(rf"{kind}/(\d+)", stated) if isinstance(stated, str) else None
    if match is None:
        what = kind.removeprefix("barmodel/")
        raise FileError(f"{name}: is not a {what} file: it lacks the line {written}{hint}")
    if int(match[1]) > int(version):
        raise FileError(
            f"{name}: schema: {stated} was written by a newer barmodel than this one, which knows "
            f"{known} and would lose what is new; update barmodel"
        )
