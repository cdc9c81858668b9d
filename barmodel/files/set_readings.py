"""Readings of a whole set: a CSV with a line per bar, `note,mode1_hz,mode2_hz,mode3_hz`."""

from __future__ import annotations

import csv
import itertools
import math
from pathlib import Path
from typing import Any

from barmodel.errors import FileError, InputError
from barmodel.files.store import LARGEST_BY_HAND, read_text
from barmodel.pitch import note_semitone

HEADER = ("note", "mode1_hz", "mode2_hz", "mode3_hz")
POINT = "decimals are written with a point"


def read_readings(path: Path) -> dict[int, tuple[float, ...]]:
    """Read what was heard on each bar.

    Parameters
    ----------
    path : Path
        A CSV file; an empty cell or a dash stands for a mode that was not heard.

    Returns
    -------
    dict of int to tuple of float
        Modes 1, 2, 3 by semitone, NaN for one not heard. [Hz]

    Raises
    ------
    FileError
        Naming line and column of what is wrong.
    """
    try:
        return _readings(path.name, read_text(path, largest=LARGEST_BY_HAND))
    except csv.Error as error:
        raise FileError(f"{path.name}: is not a readable table: {error}; mend it") from None


def _readings(name: str, text: str) -> dict[int, tuple[float, ...]]:
    rows = csv.DictReader(text.splitlines())
    columns = [word.strip() for word in rows.fieldnames or ()]
    if columns[:2] != list(HEADER[:2]) or not set(columns) <= set(HEADER):
        shown = ",".join(columns)[:80]
        hint = "; separate the cells by commas" if ";" in shown else ""
        raise FileError(f"{name}: its first line must be {','.join(HEADER)}; it is {shown!r}{hint}")
    rows.fieldnames = columns
    found: dict[int, tuple[float, ...]] = {}
    for row in rows:
        where = f"{name}: line {rows.line_num}"
        try:
            semitone = note_semitone(row["note"] or "")
        except InputError as error:
            raise FileError(f"{where}: {error}") from None
        if semitone in found:
            raise FileError(f"{where}: {row['note']} stands twice; keep its last reading")
        found[semitone] = _modes(where, row)
    if not found:
        raise FileError(f"{name}: holds no reading; add a line per bar")
    return found


def _modes(where: str, row: dict[str | Any, str | Any]) -> tuple[float, ...]:
    """Frequencies of one line; a decimal comma must not pass for two modes."""
    if None in row:
        raise FileError(f"{where}: more cells than columns; {POINT}")
    values = tuple(_hz(where, name, row.get(name)) for name in HEADER[1:])
    known = [value for value in values if not math.isnan(value)]
    if any(low >= high for low, high in itertools.pairwise(known)):
        raise FileError(f"{where}: modes count upward, so their frequencies must ascend; {POINT}")
    return values


def _hz(where: str, column: str, text: str | None) -> float:
    text = (text or "").strip()
    if text in ("", "-", "–"):
        return math.nan
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and 0.0 < value < 1e6):
        hint = f"; {POINT}" if "," in text else ""
        raise FileError(f"{where}: {column}: {text[:40]!r} is not a frequency in hertz{hint}")
    return value
