"""Readings of a whole set: a CSV with a line per bar, `note,mode1_hz,mode2_hz,mode3_hz`."""

from __future__ import annotations

import csv
import math
from pathlib import Path

from barmodel.errors import FileError, InputError
from barmodel.files.store import read_text
from barmodel.pitch import note_semitone

HEADER = ("note", "mode1_hz", "mode2_hz", "mode3_hz")


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
    rows = csv.DictReader(read_text(path).splitlines())
    columns = [name.strip() for name in rows.fieldnames or ()]
    if columns[:2] != list(HEADER[:2]) or not set(columns) <= set(HEADER):
        raise FileError(
            f"{path.name}: its first line must be {','.join(HEADER)}; it is {','.join(columns)}"
        )
    rows.fieldnames = columns
    found: dict[int, tuple[float, ...]] = {}
    for row in rows:
        where = f"{path.name}: line {rows.line_num}"
        try:
            semitone = note_semitone(row["note"] or "")
        except InputError as error:
            raise FileError(f"{where}: {error}") from None
        if semitone in found:
            raise FileError(f"{where}: {row['note']} stands twice; keep its last reading")
        found[semitone] = tuple(_hz(where, name, row.get(name)) for name in HEADER[1:])
    if not found:
        raise FileError(f"{path.name}: holds no reading; add a line per bar")
    return found


def _hz(where: str, column: str, text: str | None) -> float:
    text = (text or "").strip()
    if text in ("", "-", "–"):
        return math.nan
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and 0.0 < value < 1e6):
        raise FileError(f"{where}: {column}: {text!r} is not a frequency in hertz")
    return value
