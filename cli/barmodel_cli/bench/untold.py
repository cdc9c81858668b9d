"""Pitches that moved by what nobody told: drilled holes, a cut, sawn ends; and what to do then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.bench import Advice, Alarm
    from barmodel.files import BarDocument
    from barmodel_cli.bench.cords import Holes


@dataclass(frozen=True, slots=True, eq=False)
class Change:
    """A change without a cut that an advice is about.

    Attributes
    ----------
    alarm : Alarm
    before, since : tuple of int
        Readings before and after it, between two cuts, by number of the entry.
    cut : int or None
        A cut made between them that was cancelled.
    """

    alarm: Alarm
    before: tuple[int, ...]
    since: tuple[int, ...]
    cut: int | None

    @classmethod
    def of(cls, document: BarDocument, found: Advice) -> Change | None:
        """Find the change that is the reason of an advice; None if that is another."""
        from barmodel_cli.bench.history import reading_numbers

        told = [alarm for alarm in found.alarms if alarm.text == found.reason and alarm.moved]
        if not told:
            return None
        (alarm, *_) = told
        numbers = reading_numbers(document)[alarm.stage]
        before, since = numbers[: alarm.since], numbers[alarm.since :]
        cancelled = [
            entry.id
            for entry in document.log[before[-1] : since[0]]
            if entry.kind == "cut" and entry.id in document.cancelled
        ]
        return cls(alarm, tuple(before), tuple(since), cancelled[-1] if cancelled else None)


def with_drilling_first(found: Advice, holes: Holes | None) -> Advice:
    """The advice, naming the drilling where the bar fell as its holes are foretold to make it."""
    alarm = next((a for a in found.alarms if a.text == found.reason), None)
    if holes is None or alarm is None or not holes.explain(alarm):
        return found
    from barmodel.bench.words import mode_list

    heard = [mode for mode, cents in enumerate(alarm.moved) if cents == cents]
    fell = ", ".join(f"{alarm.moved[mode]:+.0f}" for mode in heard)
    foretold = ", ".join(f"{cents:+.1f}" for cents in holes.cents[: holes.told])
    reason = (
        f"{mode_list(heard)} moved by {fell} cents though nothing was cut, about what the two cord "
        f"holes of {holes.diameter_mm:g} mm were foretold to do ({foretold}): they are probably "
        "drilled, and it was not told"
    )
    drilled = replace(alarm, kind="fell", text=reason)
    alarms = tuple(drilled if a is alarm else a for a in found.alarms)
    return replace(found, state="measure", reason=reason, alarms=alarms)


def what_then(change: Change, bar_file: Path, holes: Holes | None) -> Iterator[str]:
    """What to do, by what may have made the change."""
    kind, listen = change.alarm.kind, f"barmodel hear STRIKE.wav --into {bar_file}"
    since = cancels(bar_file, *change.since)
    if holes is not None and holes.explain(change.alarm):
        yield (
            f"\nthen, if they are drilled: {since}, and hear those strikes anew: {listen} --drilled"
        )
        yield (
            f"if they are not: {listen}, to be sure of it, and look for a hairline between the "
            "nodes"
        )
        return
    if kind in ("fell", "warm", "rose"):
        yield f"\nthen: {listen}, or with --hz by hand"
    yield from _if_cut(change, bar_file, since)
    if kind in ("fell", "warm") and len(change.since) > 1:
        yield (
            "or, if it reads the same time after time and it is the damp: "
            f"{cancels(bar_file, *change.before)}, and what was heard since counts"
        )
    if kind in ("fell", "warm", "crack"):
        yield (
            f"or, if cord holes were drilled since it was last heard: {since}, and hear them again "
            "with --drilled"
        )


def _if_cut(change: Change, bar_file: Path, since: str) -> Iterator[str]:
    """What to do if wood was taken off, or seemed to be."""
    kind, many = change.alarm.kind, len(change.since) > 1
    record = f"barmodel cut {bar_file} … as it was made, and {'those' if many else 'that'} again"
    if change.cut is not None:
        yield (
            f"{'entries' if many else 'entry'} {', '.join(str(n) for n in change.since)} "
            f"{'were' if many else 'was'} heard after the cut of entry {change.cut}, which is "
            f"cancelled: if it was made, {since}; record it as it was made, if that is not done, "
            "and hear the bar again as it is now"
        )
    elif kind == "rose" and change.alarm.ends:
        yield (
            f"or, if its ends were sawn off: {since}, barmodel cut {bar_file} --ends "
            f"{1e3 * change.alarm.ends:.1f} (or what callipers say), and hear it again"
        )
    elif kind == "crack":
        yield f"\nif there is no crack, but a cut that is not written down: {since}, {record}"
        yield "or, if readings were slips, cancel those"
    elif kind == "untold":
        yield f"\nthen, if a cut was made: {since}, {record}"
        yield f"or, if it was another bar, or a slip: {since}"
    elif kind != "rose":
        yield f"or, if wood was taken off: {since}, {record}"


def cancels(bar_file: Path, *numbers: object) -> str:
    """Commands that cancel entries of the log."""
    return ", ".join(f"barmodel log {bar_file} --cancel {number}" for number in numbers)
