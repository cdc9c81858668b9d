"""Options that several commands share, and how their values are read."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated, TypeAlias

import typer

from barmodel.errors import InputError
from barmodel.units import MM, parse_length
from barmodel_cli.exits import ExitCode


class BadValue(typer.BadParameter):
    """An option is known but its value cannot be used; told like a bad value in a file."""

    exit_code = int(ExitCode.BAD_INPUT)


def read_length_mm(text: str | float) -> float:
    """Read a length option: mm, or another unit where written. [mm]"""
    if isinstance(text, int | float):
        return float(text)
    try:
        return round(parse_length(text) / MM, 9)
    except InputError as error:
        raise BadValue(str(error)) from None


def read_number(text: str | float) -> float:
    """Read a number that must be finite."""
    if isinstance(text, int | float):
        return float(text)
    if "," in text:
        raise BadValue(f"{text!r}: write the decimals with a point, as {text.replace(',', '.')!r}")
    try:
        value = float(text)
    except ValueError:
        raise BadValue(f"{text!r} is not a number") from None
    if not math.isfinite(value):
        raise BadValue(f"{text!r} is not a finite number")
    return value


def read_positive(text: str | float) -> float:
    """Read a number that must be above zero."""
    value = read_number(text)
    if value <= 0.0:
        raise BadValue(f"{text} is not above zero")
    return value


def read_frequencies(text: str) -> tuple[float | None, ...]:
    """Read frequencies of modes 1, 2, … as `261,1046,-`; `-` for a mode not heard. [Hz]"""
    words = text.replace(";", ",").split(",")
    values = tuple(None if word.strip() in ("-", "") else read_positive(word) for word in words)
    if all(value is None for value in values):
        raise BadValue(f"{text!r} holds no frequency; write them as 261,1046,- in Hz")
    return values


def existing_bar_path(text: str) -> Path:
    """Path of a bar file, which may be named without its ending."""
    path = Path(text)
    longer = path.with_name(f"{path.name}.bar.json") if path.name else path
    return longer if not path.exists() and longer.exists() else path


def new_bar_path(text: str) -> Path:
    """Path of a bar file to be made; the ending is added where it is left out."""
    path = Path(text)
    if not path.name:
        raise BadValue(f"{text!r} is not a file name")
    return path if path.suffix == ".json" else path.with_name(f"{path.name}.bar.json")


def bar_name(path: Path) -> str:
    """Name of a bar, from the name of its file."""
    return path.name.removesuffix(".json").removesuffix(".bar") or path.name


BarFile: TypeAlias = Annotated[
    Path,
    typer.Argument(
        metavar="BARFILE",
        parser=existing_bar_path,
        help="File of the bar, NAME.bar.json; the ending may be left out.",
        show_default=False,
    ),
]
Json: TypeAlias = Annotated[
    bool, typer.Option("--json", help="Print JSON for programs instead of a table.")
]
Plot: TypeAlias = Annotated[
    Path | None,
    typer.Option("--plot", metavar="FILE", help="Draw a picture: FILE.png, .svg or .pdf."),
]


def length_option(*names: str, help: str, panel: str | None = None) -> typer.models.OptionInfo:
    """Declare an option that takes a length; the value arrives in mm."""
    info: typer.models.OptionInfo = typer.Option(
        *names, parser=read_length_mm, metavar="LENGTH", help=help, rich_help_panel=panel
    )
    return info


def number_option(
    *names: str, help: str, panel: str | None = None, positive: bool = False
) -> typer.models.OptionInfo:
    """Declare an option that takes a finite number."""
    info: typer.models.OptionInfo = typer.Option(
        *names,
        parser=read_positive if positive else read_number,
        metavar="NUMBER",
        help=help,
        rich_help_panel=panel,
    )
    return info
