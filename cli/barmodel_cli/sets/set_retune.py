"""Retune an old set: readings in, what to take off each bar out."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import numpy as np

from barmodel.bar import Bar
from barmodel.errors import FileError
from barmodel.files import BarDocument, bar_as_designed, bar_as_is, entries_of, read_bar_file
from barmodel.files.aim import aim_options, same_aim, same_note, target_part
from barmodel.files.set_readings import read_readings
from barmodel.files.set_table import write_table
from barmodel.instrument import SetPlan, to_leave
from barmodel.instrument.retune import Job, Retuning, retune
from barmodel.pitch import cents, note_of
from barmodel.undercut.cutters import Cutter
from barmodel.undercut.piece import Array
from barmodel.units import GRAM, MM
from barmodel_cli.bench.cords import holes_to_come
from barmodel_cli.shown.show import caution, cents_text, print_json, print_table

COLUMNS = (
    "note",
    "verdict",
    "mode1_away_cents",
    "mode2_away_cents",
    "mode3_away_cents",
    "mode1_after_cents",
    "mode2_after_cents",
    "mode3_after_cents",
    "cuts",
    "trim_each_end_mm",
    "mass_g",
    "least_mm",
    "reason",
)


def jobs_of(
    plan: SetPlan, folder: Path, readings: Path, cutter: Cutter
) -> tuple[list[Job], list[Retuning]]:
    """Bars to retune, and those that cannot be asked about."""
    jobs, lost = [], []
    for semitone, heard in sorted(read_readings(readings).items()):
        if semitone not in plan.semitones:
            lost.append(_lost(semitone, "is not in the range of the set file"))
            continue
        target = plan.target(semitone)
        try:
            document = read_bar_file(folder / f"{note_of(semitone)}.bar.json")
            bar = _bar(document)
        except FileError as error:
            lost.append(_lost(semitone, str(error)))
            continue
        if not same_note(document.target, target_part(target)):
            lost.append(_lost(semitone, f"its file has become {document.target.note}"))
            continue
        shift = to_leave(plan, bar.blank.wood)
        count = len(target.ratios)
        hz = np.array(heard[:count] + (np.nan,) * (count - len(heard)))
        above = (0.0 if shift is None else shift.cents) - _by_holes(document, count)
        away = tuple((cents(hz, target.hz) - above).tolist())
        jobs.append(
            Job(
                semitone=semitone,
                bar=bar,
                away_cents=away,
                cutter=cutter,
                keep=_kept(document, bar, plan),
            )
        )
    return jobs, lost


def _lost(semitone: int, reason: str) -> Retuning:
    return Retuning(semitone=semitone, verdict="cannot", away_cents=(), reason=reason)


def _kept(document: BarDocument, bar: Bar, plan: SetPlan) -> float:
    """Least thickness of a bar: its own file's, which `cut` keeps as well, or the set file's. [m]

    One that is thinner already may lose a little more.
    """
    own = plan.limits.keep if document.keep_mm is None else document.keep_mm * MM
    there = bar.profile.least_thickness()[0]
    return own if there >= own else 0.95 * there


def _by_holes(document: BarDocument, count: int) -> Array:
    """What holes that are still to be drilled will do to each mode. [cent]

    A bar whose file tells of no work is an old one, and has its holes.
    """
    holes = holes_to_come(document) if document.valid_log else None
    found = np.zeros(count)
    if holes is not None:
        found[: holes.cents.size] = holes.cents[:count]
    return found


def _bar(document: BarDocument) -> Bar:
    """Bar as it is, or as designed where nothing of it has been cut yet in its file."""
    if document.begun:
        return bar_as_is(document)
    return bar_as_designed(document)


def work(
    jobs: list[Job], mapped: Callable[..., Iterable[Retuning]], step: Callable[[], None]
) -> list[Retuning]:
    """Retune every bar."""
    done = []
    for item in mapped(retune, jobs):
        done.append(item)
        step()
    return done


def to_bring_over(results: list[Retuning], folder: Path, plan: SetPlan) -> list[str]:
    """Commands after which `next` goes to the set file's pitch as well, where it does not yet."""
    found = []
    for item in results:
        path = folder / f"{note_of(item.semitone)}.bar.json"
        if item.semitone not in plan.semitones:
            continue
        try:
            there = read_bar_file(path).target
        except FileError:  # told in its line of the table
            continue
        wanted = target_part(plan.target(item.semitone))
        if same_note(there, wanted) and not same_aim(there, wanted):
            found.append(f"barmodel log {path} {aim_options(there, wanted)}")
    return found


def tell(results: list[Retuning], folder: Path, plan: SetPlan, *, as_json: bool) -> None:
    """Write the table, and print it."""
    results = sorted(results, key=lambda item: item.semitone)
    rows = [_row(item) for item in results]
    write_table(folder / "retune.csv", COLUMNS, rows)
    over = to_bring_over(results, folder, plan)
    if as_json:
        cuts = [[entry.model_dump() for entry in entries_of(item.cuts)] for item in results]
        bars = [row | {"cuts": made} for row, made in zip(rows, cuts, strict=True)]
        print_json("instrument", {"bars": bars, "folder": str(folder), "to_bring_over": over})
        return
    shift = to_leave(plan, plan.wood)
    if shift is not None:
        caution(
            "the readings are taken to be of bars that have settled at the bench, which are left "
            f"{shift.cents:+.1f} ± {shift.standard_error:.1f} cents from the pitch they have where "
            "they are played. If they were heard in another air, say it: --bench 21/50"
        )
    print_table(("note", "verdict", "now", "then", "what to do"), [_cells(r) for r in results])
    counts = {
        verdict: sum(item.verdict == verdict for item in results)
        for verdict in ("in tune", "cut", "trim", "cannot")
    }
    print("\n" + ", ".join(f"{count} {verdict}" for verdict, count in counts.items()))
    if shift is not None:
        print(
            "now and then count from what is left for the room, and for holes still to be drilled"
        )
    if over:
        print("so that `next` goes on to this pitch as well:")
        for command in over:
            print(f"  {command}")
    print(
        "places in mm from the left end as it is now, on both halves alike, one cut after the "
        "other, each so\ndeep from the surface that it finds; the ends last. With the cutter asked "
        "for; "
        f"table in {folder}/retune.csv\n"
        "next: take one bar all the way and strike it again, before you begin the others"
    )


def _row(item: Retuning) -> dict[str, Any]:
    row: dict[str, Any] = {"note": note_of(item.semitone), "verdict": item.verdict}
    for name, values in (("away", item.away_cents), ("after", item.after_cents)):
        for number, value in enumerate(values, start=1):
            row[f"mode{number}_{name}_cents"] = round(value, 2) if np.isfinite(value) else None
    return row | {
        "cuts": "; ".join(_cut_texts(item)),
        "trim_each_end_mm": round(item.trim / MM, 2),
        "mass_g": round(item.mass / GRAM, 2),
        "least_mm": round(item.least / MM, 2) if np.isfinite(item.least) else None,
        "reason": item.reason,
    }


def _cut_texts(item: Retuning) -> list[str]:
    found = []
    for cut in item.cuts:
        start, end = cut.extent
        depth = float(getattr(cut, "depth", 0.0))
        found.append(f"{depth / MM:.2f} deep at {(start + end) / 2 / MM:.0f}")
    return found


def _cells(item: Retuning) -> tuple[str, ...]:
    do = []
    if item.cuts:
        places = ", ".join(text.replace(" deep", "") for text in _cut_texts(item))
        do.append(f"mm deep: {places}")
    if item.reason:
        do.append(f"then {item.reason}" if item.trim > 0.0 and item.cuts else item.reason)
    return (
        note_of(item.semitone),
        item.verdict,
        " ".join(cents_text(value) for value in item.away_cents),
        " ".join(cents_text(value) for value in item.after_cents),
        "; ".join(do),
    )
