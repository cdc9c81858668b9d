"""The least thickness: what the bar file tells, what `--keep` says for once, and slips in it."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from barmodel_cli.asked.options import BadValue
from barmodel_cli.asked.plausible import LENGTHS

if TYPE_CHECKING:
    from barmodel.files import BarDocument


@dataclass(frozen=True, slots=True)
class Least:
    """Thickness that must remain where a bar is cut.

    Attributes
    ----------
    mm : float
    of_file : bool
        Whether the bar file tells it, and not `--keep` or what is usual.
    option : str
        ` --keep 4` where it was said for once, so that a command told next says it as well.
    """

    mm: float
    of_file: bool = False
    option: str = ""

    @property
    def keep(self) -> float:
        """As the library takes it. [m]"""
        from barmodel.units import MM

        return self.mm * MM

    @property
    def whose(self) -> str:
        """Whose it is, in words, and the way round it; empty unless it is the bar file's."""
        if not self.of_file:
            return ""
        return f"least thickness {self.mm:g} mm by the bar file; --keep asks for another, this once"

    @contextlib.contextmanager
    def told(self) -> Iterator[None]:
        """Say of a refusal for the least thickness whose that is."""
        from barmodel.errors import BarModelError

        try:
            yield
        except BarModelError as error:
            if self.of_file and error.too_thin:
                error.args = (f"{error} ({self.whose})",)
            raise


def least_kept(document: BarDocument, keep_mm: float | None) -> Least:
    """Least thickness: as `--keep` says for once, as the bar file tells, or as usual.

    Parameters
    ----------
    document : BarDocument
    keep_mm : float or None
        From the command line. [mm]

    Raises
    ------
    BadValue
        If it is below zero.
    """
    from barmodel.bar import LEAST_THICKNESS
    from barmodel.units import MM

    if keep_mm is not None:
        if keep_mm < 0.0:
            raise BadValue("--keep cannot be negative")
        return Least(keep_mm, option=f" --keep {keep_mm:g}")
    if document.keep_mm is not None:
        return Least(document.keep_mm, of_file=True)
    return Least(LEAST_THICKNESS / MM)


def check_keep(keep_mm: float | None, thickness_mm: float, *, unusual: bool) -> None:
    """Refuse a least thickness that no bar has: more than the blank, or too thin to be struck.

    Parameters
    ----------
    keep_mm : float or None
        As given. [mm]
    thickness_mm : float
        Of the blank. [mm]
    unusual : bool
        Whether the maker means it so.

    Raises
    ------
    BadValue
        With the likely slip.
    """
    from barmodel.bar import LEAST_THICKNESS
    from barmodel.units import MM

    thinnest = LEAST_THICKNESS / MM
    if keep_mm is None:
        return
    if keep_mm <= 0.0:
        raise BadValue(f"--keep: {keep_mm:g} mm is not above zero")
    if unusual or thinnest <= keep_mm < thickness_mm:
        return
    guesses = [
        f"{keep_mm * factor:.4g} mm ({words.format(keep_mm)})"
        for factor, words in LENGTHS
        if thinnest <= keep_mm * factor < thickness_mm
    ]
    wrong = (
        f"too thin to be struck (under {thinnest:g} mm)"
        if keep_mm < thinnest
        else f"all of the blank's {thickness_mm:g} mm, so nothing could be cut"
    )
    meant = f"; did you mean {' or '.join(guesses)}?" if guesses else ""
    end = "" if meant else "."
    raise BadValue(
        f"--keep is {keep_mm:g} mm, {wrong}{meant}{end} If it is really so, add --unusual"
    )


def with_keep(document: BarDocument, keep_mm: float) -> BarDocument:
    """The bar file with a least thickness of its own.

    Raises
    ------
    FileError
        If a bar file cannot hold it.
    """
    from pydantic import ValidationError

    from barmodel.files import BarDocument
    from barmodel.files.problems import file_error

    try:
        return document.changed(keep_mm=keep_mm)
    except ValidationError as error:
        raise file_error("--keep", error, BarDocument) from None
