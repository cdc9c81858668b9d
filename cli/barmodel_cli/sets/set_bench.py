"""How far the bars of a set are, and which is next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from barmodel.files import BarDocument, TargetPart
    from barmodel.files.set_folder import SetFolder

IN_TUNE, BEGUN, UNTOUCHED, WITHOUT = "in tune", "begun", "not begun", "no design"
OTHER_AIM, BECAME = "other aim", "another note"


@dataclass(frozen=True, slots=True)
class Progress:
    """One bar of a set.

    Attributes
    ----------
    note : str
    state : {"in tune", "begun", "not begun", "no design", "other aim", "another note"}
        Other aim: begun, and its file does not aim at what the set file wants. Another note: the
        set lacks this one.
    cents : tuple of float or None
        Modes when last heard, from what the set wants them to be today; None for one not heard.
        [cent]
    cuts_since : int
        Cuts since then.
    to_drill : bool
        Whether its cord holes are still to be drilled, and the cents leave for them.
    reason : str
        Why there is no design, why the bar file cannot be read, or what its aim is.
    command : str
        What brings its aim to that of the set.
    """

    note: str
    state: str
    cents: tuple[float | None, ...] = ()
    cuts_since: int = 0
    to_drill: bool = False
    reason: str = ""
    command: str = ""


def progress_of(
    folder: SetFolder,
    bench: str | None = None,
    targets: Mapping[str, TargetPart] | None = None,
) -> tuple[Progress, ...]:
    """Look at every bar of a set, in the order of work.

    Parameters
    ----------
    folder : SetFolder
    bench : str, optional
        Today's air, as 17/45.
    targets : mapping of str to TargetPart, optional
        What the set file asks by now, by note; by default as in its last run.
    """
    wanted = folder.targets if targets is None else targets
    return tuple(_progress(folder, note, bench, wanted.get(note)) for note in folder.order)


def next_in(bars: Sequence[Progress]) -> Progress | None:
    """Choose the bar to take in hand: one that was begun, else the first that was not.

    Before that comes one whose aim the set file has left.
    """
    for state in (BEGUN, OTHER_AIM, UNTOUCHED):
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
        "next_bar_first": None if found is None else found.command or None,
        "bars_to_drill": [bar.note for bar in others if bar.state == IN_TUNE and bar.to_drill],
        "bars_to_make_again": [bar.note for bar in others if bar.state == BECAME],
    }


def print_next_of_set(bar_file: Path, state: str) -> None:
    """Say which bar of the set comes after this one."""
    found = next_of_set(bar_file, state)
    if not found:
        return
    told = "none: every other bar with a design is in tune"
    if found["bars_to_drill"]:
        told += f"; holes still to be drilled: {' '.join(found['bars_to_drill'])}"
    if found["bars_to_make_again"]:
        told += f"; to be made again: {' '.join(found['bars_to_make_again'])}"
    if found["next_bar"] is not None:
        first = f"{found['next_bar_first']}, then " if found["next_bar_first"] else ""
        told = f"{first}barmodel next {found['next_bar']}"
    print(f"next bar of the set: {told}")


def off_its_set(document: BarDocument, bar_file: Path) -> str:
    """That a bar does not aim at what its set wants of it; empty if it does, or is in no set."""
    from barmodel.errors import FileError
    from barmodel.files.set_folder import read_set_folder

    try:
        folder = read_set_folder(bar_file.parent)
    except FileError:  # told where the rooms of the set are looked for
        return ""
    if folder is None:
        return ""
    for note, wanted in folder.targets.items():
        if folder.bar_file(note).name == bar_file.name:
            told, command = _off(document, bar_file, note, wanted)
            if not told:
                return ""
            return f"{document.name}: {told}: {command}" if command else f"{document.name}: {told}"
    return ""


def _off(
    document: BarDocument, bar_file: Path, note: str, wanted: TargetPart | None
) -> tuple[str, str]:
    """How a bar aims beside what its set wants, and the command against it."""
    from barmodel.files import aim_in_words, aim_options, same_aim, same_note

    if wanted is None or same_aim(document.target, wanted):
        return "", ""
    if not same_note(document.target, wanted):
        became = f"it has become {document.target.note}, and the set lacks {note}"
        return f"{became}; barmodel instrument SETFILE tells how to make {note} again", ""
    told = f"it aims at {aim_in_words(document.target)}, its set at {aim_in_words(wanted)}"
    return told, f"barmodel log {bar_file} {aim_options(document.target, wanted)}"


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
    for state in (OTHER_AIM, BECAME):
        if count := sum(bar.state == state for bar in bars):
            counts.append(f"{count} {state}")
    print(f"\n{', '.join(counts)}: by the last reading alone; `barmodel next` weighs all of them")
    for bar in bars:
        if bar.command or bar.state == BECAME:
            print(f"{bar.note}: {bar.reason}{': ' if bar.command else ''}{bar.command}")
    if old := [
        bar.note for bar in bars if bar.state == UNTOUCHED and bar.reason and not bar.command
    ]:
        print(
            "the set file asks another pitch by now: run barmodel instrument SETFILE, which "
            f"designs {' '.join(old)} anew"
        )
    found = next_in(bars)
    if found is None:
        print(f"every bar that has a design is in tune{_left(bars)}")
    else:
        print(f"next bar: {found.note}")
        if found.command:
            print(f"its aim first: {found.command}")
        if found.state == UNTOUCHED:
            print(f"its papers: barmodel sheet {folder.bar_file(found.note)}")
        print(f"its next cut: barmodel next {folder.bar_file(found.note)}")


def _left(bars: Sequence[Progress]) -> str:
    told = ""
    for words, found in (
        ("to be drilled still, and heard with --drilled", [b for b in bars if b.to_drill]),
        ("to be made again", [b for b in bars if b.state == BECAME]),
    ):
        told += f"; {words}: {' '.join(bar.note for bar in found)}" if found else ""
    return told


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
                "command": bar.command or None,
            }
            for bar in bars
        ],
        "next_bar": None if found is None else str(folder.bar_file(found.note)),
    }


def _progress(
    folder: SetFolder, note: str, bench: str | None, wanted: TargetPart | None
) -> Progress:
    from barmodel.errors import FileError
    from barmodel.files import Reading, aim_in_words, read_bar_file, target_of
    from barmodel.files.set_bars import is_begun
    from barmodel_cli.bench.season import Rooms, read_air
    from barmodel_cli.bench.today import today_of
    from barmodel_cli.bench.verdict import finished

    try:
        document = read_bar_file(folder.bar_file(note))
    except FileError as error:
        return Progress(note, WITHOUT, reason=folder.without.get(note, str(error)))
    if note in folder.without and not is_begun(document):
        return Progress(note, WITHOUT, reason=folder.without[note])
    log = document.valid_log
    reason, command = _off(document, folder.bar_file(note), note, wanted)
    if reason and not command:
        return Progress(note, BECAME, reason=reason)
    if not is_begun(document):
        if reason and not document.aims:  # it waits for the next run, and for no aim of its own
            reason, command = f"designed for {aim_in_words(document.target)}", ""
        return Progress(note, UNTOUCHED, reason=reason, command=command)
    begun = OTHER_AIM if reason else BEGUN
    heard = [number for number, entry in enumerate(log) if isinstance(entry, Reading)]
    if not heard:
        return Progress(note, begun, cuts_since=len(log), reason=reason, command=command)
    since = len(log) - 1 - heard[-1]
    last = log[heard[-1]]
    assert isinstance(last, Reading)
    usual = folder.bench if bench is None else read_air(bench, "--bench")
    rooms = Rooms(folder.room, usual)  # and as warm as it was when it was heard
    today = today_of(document, folder.bar_file(note), rooms=rooms)
    cents = today.away_by(last, document, target_of(wanted or document.target)).tolist()
    state = IN_TUNE if since == 0 and finished(cents) and not reason else begun
    told = tuple(None if math.isnan(c) else c for c in cents)
    return Progress(note, state, told, since, today.holes is not None, reason, command)
