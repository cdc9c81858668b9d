"""Options that several commands share, and how their values are read."""

from __future__ import annotations

import difflib
import itertools
import math
import re
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeAlias, TypeVar

import typer

from barmodel.errors import InputError
from barmodel.units import MM, parse_length
from barmodel_cli.exits import ExitCode, shortened

if TYPE_CHECKING:
    from barmodel.files.cuts import Record

R = TypeVar("R", bound="Record")
OPTION_OF = {
    "temperature_c": "--temperature",
    "humidity_percent": "--humidity",
    "strike_at_mm": "--strike-at",
    "held_at_mm": "--held-at",
    "measured_depth_mm": "--measured-depth",
    "density_kg_m3": "--density",
    "mass_g": "--mass",
}
"""Options by the field of the file they fill, where their values are checked."""
PICTURES = (".png", ".svg", ".pdf")
"""Endings of a picture's name."""
LONGEST_NAME = 200
"""Letters that the name of a bar may have, as its file holds it."""


class BadValue(typer.BadParameter):
    """An option is known but its value cannot be used; told like a bad value in a file."""

    exit_code = int(ExitCode.BAD_INPUT)

    def __init__(self, message: str) -> None:
        super().__init__(shortened(message))


def read_length_mm(text: str | float) -> float:
    """Read a length option: mm, or another unit where written. [mm]"""
    if isinstance(text, int | float):
        return float(text)
    try:
        return round(parse_length(text) / MM, 9)
    except InputError as error:
        if text.strip().startswith(("-", "−")) and len(text.strip()) > 1:
            raise BadValue(f"{text} is given, but a length must be above zero") from None
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
        raise BadValue(f"{text} is given, but it must be above zero")
    return value


_BETWEEN = re.compile(r"\s*;\s*|\s+,\s*|\s*,\s+|\s+")
"""What stands between two frequencies, other than a bare comma."""


def read_frequencies(text: str) -> tuple[float | None, ...]:
    """Read frequencies of modes 1, 2, … as `261,1046,-` or `261 1046 -`; `-` not heard. [Hz]"""
    words = _BETWEEN.split(text.strip())
    bare = len(words) == 1
    if bare:
        words = text.strip().split(",")
    # where something else stands between the modes, a comma can only be a decimal comma
    values = tuple(None if word in ("-", "") else read_positive(word) for word in words)
    known = [value for value in values if value is not None]
    if not known:
        raise BadValue(f"{text!r} holds no frequency; write them as 261,1046,- in Hz")
    if any(low >= high for low, high in itertools.pairwise(known)):
        meant = _decimals_joined(words) if bare else None
        hint = f"; decimals are written with a point: did you mean {meant}?" if meant else ""
        raise BadValue(f"{text!r}: modes count upward, so their frequencies must ascend{hint}")
    return values


def _decimals_joined(words: list[str]) -> str | None:
    """`690,5,1780` as it was meant: with a point where the comma was one of decimals."""
    joined: list[str] = []
    for word in words:
        short = word.isdigit() and len(word) <= 2
        if short and joined and joined[-1].isdigit() and float(word) < float(joined[-1]):
            joined[-1] += f".{word}"
        else:
            joined.append(word)
    try:
        values = [float(word) for word in joined if word != "-"]
    except ValueError:
        return None
    ascends = all(low < high for low, high in itertools.pairwise(values))
    return ",".join(joined) if ascends and len(joined) < len(words) else None


def made(about: str, kind: type[R], **values: Any) -> R:
    """Make a part of a file from options; what is wrong with one is told as of a file's field.

    Parameters
    ----------
    about : str
        What the part is to the maker, for the message.
    kind : type
        The part.
    **values
        Its fields.
    """
    from pydantic import ValidationError

    from barmodel.errors import FileError
    from barmodel.files.problems import file_error

    try:
        return kind(**values)
    except ValidationError as error:
        told = file_error(about, error, kind)
        raise FileError(_as_options(about, str(told))) from None


def _as_options(about: str, text: str) -> str:
    """Name the option where the file's field has one of nearly that name."""
    for name, option in OPTION_OF.items():
        text = text.replace(f"{about}: {name}: ", f"{option}: ")
    return text


def existing_bar_path(text: str) -> Path:
    """Path of a bar file, which may be named without its ending."""
    path = Path(text)
    longer = path.with_name(f"{path.name}.bar.json") if path.name else path
    try:
        return longer if not path.exists() and longer.exists() else path
    except (OSError, ValueError):  # no name for a file; whoever reads it says why
        return path


def new_bar_path(text: str) -> Path:
    """Path of a bar file to be made; the ending is added where it is left out."""
    path = Path(text)
    if not path.name or "\0" in text or not _is_unicode(text):
        raise BadValue(f"{text!r} is not a name for a file")
    if len(bar_name(path)) > LONGEST_NAME:
        raise BadValue(
            f"a name of {len(path.name)} letters is too long; {LONGEST_NAME} are the most"
        )
    return path if path.suffix == ".json" else path.with_name(f"{path.name}.bar.json")


def _is_unicode(text: str) -> bool:
    try:
        text.encode()
    except UnicodeEncodeError:  # bytes of a file name that are no letters
        return False
    return True


def output_path(text: str) -> Path:
    """Path of a file to be written, refused before any work if its folder cannot take it."""
    from barmodel.atomic import check_place
    from barmodel.errors import FileError

    try:
        check_place(text)
    except FileError as error:
        raise BadValue(str(error)) from None
    return Path(text)


def picture_path(text: str) -> Path:
    """Path of a picture to be drawn."""
    path = Path(text)
    if path.suffix.lower() not in PICTURES:
        given = f"ends in {path.suffix!r}" if path.suffix else "has no ending"
        raise BadValue(f"picture {text}: the name {given}; end it in .png, .svg or .pdf")
    return output_path(text)


def bar_name(path: Path) -> str:
    """Name of a bar, from the name of its file."""
    return path.name.removesuffix(".json").removesuffix(".bar") or path.name


def choice_option(
    kind: type[StrEnum], *names: str, help: str, panel: str | None = None
) -> typer.models.OptionInfo:
    """Declare an option that takes one of a few words; a misspelt one gets the nearest."""
    words = [member.value for member in kind]

    def read(text: str) -> StrEnum:
        if text in words:
            return kind(text)
        near = difflib.get_close_matches(text, words, n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}?" if near else f"choose one of {', '.join(words)}"
        raise BadValue(f"{text!r} is not known; {hint}")

    info: typer.models.OptionInfo = typer.Option(
        *names, parser=read, metavar="|".join(words), help=help, rich_help_panel=panel
    )
    return info


class Model(StrEnum):
    """Which model answers."""

    BEST = "best"
    SOLID = "solid"
    BEAM = "beam"


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
    typer.Option(
        "--plot",
        metavar="FILE",
        parser=picture_path,
        help="Draw a picture: FILE.png, .svg or .pdf.",
    ),
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
