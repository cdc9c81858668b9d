"""Recordings that were counted already: the same sound twice tells nothing new of a bar."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.asked.options import BadValue
from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading
    from barmodel.strike import Recording


def same_sound(one: Recording, other: Recording) -> bool:
    """Whether two recordings hold the same samples, whatever their files are called."""
    import numpy as np

    if one.digest and one.digest == other.digest:
        return True
    return one.rate == other.rate and np.array_equal(one.samples, other.samples)


def refuse_heard(
    recordings: Sequence[Recording], document: BarDocument, path: Path, *, unusual: bool
) -> None:
    """Refuse recordings that stand in this bar's log, or in that of a bar beside it.

    With `unusual` they are taken, and told all the same.
    Readings that were cancelled do not count. Other bar files are searched as text, and read only
    where that finds something.

    Raises
    ------
    BadValue
        Naming each recording, the reading it stands in, and the way on.
    """
    names = {r.digest: r.name for r in recordings if r.digest}
    if not names:
        return
    told = [
        f"{names[digest]} is entry {entry} of this bar's log already, and the same sound says "
        "nothing new: leave it out, and strike again"
        for digest, entry in _entries(document).items()
        if digest in names
    ]
    told += [
        f"{names[digest]} is entry {entry} in the log of {other.name}: is it that bar? If not, "
        f"take it back there: barmodel log {other} --cancel {entry}"
        for other in _others(path)
        for digest, entry in _found_in(other, names)
    ]
    if told and unusual:
        caution("; ".join(told))
    elif told:
        raise BadValue(f"{'; '.join(told)}. Nothing was written; --unusual takes it all the same")


def typed_before(document: BarDocument, reading: Reading) -> int | None:
    """Number of a reading with just these pitches that was recorded since the last cut.

    Two strikes seldom agree in every digit; a line typed twice does, and would count as two.
    """
    if reading.drilled:
        return None
    for entry in reversed(document.valid_log):
        if entry.kind != "reading":
            return None
        if entry.hz == reading.hz:
            return entry.id
        if entry.drilled:
            return None
    return None


def _entries(document: BarDocument) -> dict[str, int]:
    """Entry of the last reading that counts for the content of each recording."""
    return {
        source.sha256: entry.id
        for entry in document.readings
        for source in entry.sources
        if source.sha256
    }


def _others(path: Path) -> list[Path]:
    """Bar files beside this one."""
    here = path.resolve()
    return [other for other in sorted(path.parent.glob("*.bar.json")) if other.resolve() != here]


def _found_in(other: Path, names: dict[str, str]) -> list[tuple[str, int]]:
    from barmodel.errors import FileError
    from barmodel.files import read_bar_file

    try:
        text = other.read_bytes()
        if not any(digest.encode() in text for digest in names):
            return []
        entries = _entries(read_bar_file(other))
    except (OSError, FileError):
        return []  # what ails another bar's file is told where it is used
    return [(digest, entry) for digest, entry in entries.items() if digest in names]
