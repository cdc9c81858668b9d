"""How far the bars of a set are, and which is next."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barmodel.files.set_folder import SetFolder

IN_TUNE, BEGUN, UNTOUCHED, WITHOUT = "in tune", "begun", "not begun", "no design"


@dataclass(frozen=True, slots=True)
class Progress:
    """One bar of a set.

    Attributes
    ----------
    note : str
    state : {"in tune", "begun", "not begun", "no design"}
    cents : tuple of float or None
        Modes when last heard, from what they are to be today; None for one not heard. [cent]
    cuts_since : int
        Cuts since then.
    to_drill : bool
        Whether its cord holes are still to be drilled, and the cents leave for them.
    reason : str
        Why there is no design, or why the bar file cannot be read.
    """

    note: str
    state: str
    cents: tuple[float | None, ...] = ()
    cuts_since: int = 0
    to_drill: bool = False
    reason: str = ""


def progress_of(folder: SetFolder, bench: str | None = None) -> tuple[Progress, ...]:
    """Look at every bar of a set, in the order of work; `bench` is today's air, as 17/45."""
    return tuple(_progress(folder, note, bench) for note in folder.order)


def next_in(bars: Sequence[Progress]) -> Progress | None:
    """Choose the bar to take in hand: one that was begun, else the first that was not."""
    for state in (BEGUN, UNTOUCHED):
        for bar in bars:
            if bar.state == state:
                return bar
    return None


def next_of_set(bar_file: Path, state: str) -> dict[str, Any]:
    """Once a bar is done: the set's next, for programs; empty if there is no set or more to do."""
    from barmodel.errors import FileError
    from barmodel.files.set_folder import read_set_folder

    if state not in ("finished", "lost"):
        return {}
    try:
        folder = read_set_folder(bar_file.parent)
    except FileError:  # told where the rooms of the set are looked for
        return {}
    if folder is None:
        return {}
    others = [bar for bar in progress_of(folder) if folder.bar_file(bar.note) != bar_file]
    found = next_in(others)
    return {
        "next_bar": None if found is None else str(folder.bar_file(found.note)),
        "bars_to_drill": [bar.note for bar in others if bar.state == IN_TUNE and bar.to_drill],
    }


def print_next_of_set(bar_file: Path, state: str) -> None:
    """Say which bar of the set comes after this one."""
    found = next_of_set(bar_file, state)
    if not found:
        return
    told = "none: every other bar with a design is in tune"
    if found["bars_to_drill"]:
        told += f"; holes still to be drilled: {' '.join(found['bars_to_drill'])}"
    told = told if found["next_bar"] is None else f"barmodel next {found['next_bar']}"
    print(f"next bar of the set: {told}")


def show_progress(bars: Sequence[Progress], folder: SetFolder) -> None:
    """Print how far every bar is, and which is next."""
    from barmodel_cli.shown.show import cents_text, print_table

    rows = []
    for number, bar in enumerate(bars, start=1):
        heard = " ".join("–" if value is None else cents_text(value) for value in bar.cents)
        if bar.cents and bar.cuts_since:
            heard += f", {bar.cuts_since} cuts since" if bar.cuts_since > 1 else ", a cut since"
        elif bar.state == IN_TUNE and bar.to_drill:
            heard += ", holes to drill"
        rows.append((number, bar.note, bar.state, heard or bar.reason))
    print_table(("order", "note", "state", "last heard, cents from what it is to be today"), rows)
    counts = [f"{sum(bar.state == s for bar in bars)} {s}" for s in (IN_TUNE, BEGUN, UNTOUCHED)]
    print(f"\n{', '.join(counts)}: by the last reading alone; `barmodel next` weighs all of them")
    found = next_in(bars)
    if found is None:
        print(f"every bar that has a design is in tune{_to_drill(bars)}")
    else:
        print(f"next bar: {found.note}")
        if found.state == UNTOUCHED:
            print(f"its papers: barmodel sheet {folder.bar_file(found.note)}")
        print(f"its next cut: barmodel next {folder.bar_file(found.note)}")


def _to_drill(bars: Sequence[Progress]) -> str:
    notes = " ".join(bar.note for bar in bars if bar.to_drill)
    return f"; to be drilled still, and heard with --drilled: {notes}" if notes else ""


def progress_content(bars: Sequence[Progress], folder: SetFolder) -> dict[str, Any]:
    """The same for programs."""
    found = next_in(bars)
    return {
        "bars": [
            {
                "note": bar.note,
                "state": bar.state,
                "cents": bar.cents,
                "cuts_since": bar.cuts_since,
                "holes_to_drill": bar.to_drill,
                "reason": bar.reason,
            }
            for bar in bars
        ],
        "next_bar": None if found is None else str(folder.bar_file(found.note)),
    }


def _progress(folder: SetFolder, note: str, bench: str | None) -> Progress:
    from barmodel.errors import FileError
    from barmodel.files import Reading, read_bar_file
    from barmodel_cli.bench.season import Rooms, read_air
    from barmodel_cli.bench.today import today_of
    from barmodel_cli.bench.verdict import finished

    if note in folder.without:
        return Progress(note, WITHOUT, reason=folder.without[note])
    try:
        document = read_bar_file(folder.bar_file(note))
    except FileError as error:
        return Progress(note, WITHOUT, reason=str(error))
    log = document.valid_log
    if not log and not document.undercut:
        return Progress(note, UNTOUCHED)
    heard = [number for number, entry in enumerate(log) if isinstance(entry, Reading)]
    if not heard:
        return Progress(note, BEGUN, cuts_since=len(log))
    since = len(log) - 1 - heard[-1]
    last = log[heard[-1]]
    assert isinstance(last, Reading)
    usual = folder.bench if bench is None else read_air(bench, "--bench")
    rooms = Rooms(folder.room, usual)  # and as warm as it was when it was heard
    today = today_of(document, folder.bar_file(note), rooms=rooms)
    cents = today.away_by(last, document).tolist()
    state = IN_TUNE if since == 0 and finished(cents) else BEGUN
    told = tuple(None if math.isnan(c) else c for c in cents)
    return Progress(note, state, told, since, today.holes is not None)
