"""How far the bars of a set are, and which is next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading
    from barmodel.files.set_folder import SetFolder
    from barmodel_cli.bench.today import Today

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
    return {"next_bar": None if found is None else str(folder.bar_file(found.note))}


def print_next_of_set(bar_file: Path, state: str) -> None:
    """Say which bar of the set comes after this one."""
    for path in next_of_set(bar_file, state).values():
        told = "none: every other bar with a design is in tune"
        told = told if path is None else f"barmodel next {path}"
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
        print("every bar that has a design is in tune")
    else:
        print(f"next bar: {found.note}")
        print(f"its papers: barmodel sheet {folder.bar_file(found.note)}")
        print(f"its next cut: barmodel next {folder.bar_file(found.note)}")


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
    from barmodel_cli.bench.today import today_of

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
    today = today_of(document, folder.bar_file(document.name), bench=bench)
    cents = _cents(document, last, today)
    done = since == 0 and _tuned(cents)
    to_drill = today.holes is not None
    return Progress(note, IN_TUNE if done else BEGUN, cents, since, to_drill)


def _cents(document: BarDocument, last: Reading, today: Today) -> tuple[float | None, ...]:
    """Cents of a reading from what each tuned mode is to be today."""
    from barmodel.files import target_of
    from barmodel.pitch import cents

    wanted = target_of(document.target).hz
    above = today.above(wanted.size)
    found: list[float | None] = []
    for number, want in enumerate(wanted):
        hz = last.hz[number] if number < len(last.hz) else None
        found.append(None if hz is None else float(cents(hz, float(want)) - above[number]))
    return tuple(found)


def _tuned(away: Sequence[float | None]) -> bool:
    from barmodel_cli.bench.verdict import finished

    known = [value for value in away if value is not None]
    return len(known) == len(away) and finished(known)
