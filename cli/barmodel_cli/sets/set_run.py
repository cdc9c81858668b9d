"""A run over a set: what is there already, what is missing, what is written when."""

from __future__ import annotations

import contextlib
import itertools
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from barmodel.errors import FileError, InputError
from barmodel.files.lock import locked
from barmodel.files.set_bars import Kept, save_bar, save_holes
from barmodel.files.set_table import (
    BAR_COLUMNS,
    BLANK_COLUMNS,
    Row,
    bar_rows,
    blank_rows,
    write_table,
)
from barmodel.files.set_work import (
    WORK_NAME,
    WorkDocument,
    blueprint_kept,
    keep_lengths,
    outcome_of,
    outcomes_kept,
    read_work,
    with_air,
    with_outcome,
    write_work,
)
from barmodel.instrument import (
    Blueprint,
    Outcome,
    Rails,
    Sawn,
    SetPlan,
    Task,
    blanks,
    design_bar,
    fit_rails,
    held_back,
    lay_out,
)
from barmodel.instrument.rails import WORST
from barmodel.pitch import note_of
from barmodel.units import MM
from barmodel.weather import Condition

design = design_bar


@dataclass(frozen=True, slots=True)
class SetRun:
    """All there is to say of a set after a run."""

    blueprint: Blueprint
    outcomes: dict[int, Outcome]
    rails: Rails
    sawn: tuple[Sawn, ...]
    designed_now: int
    cautions: tuple[str, ...]
    own: dict[int, Kept]
    """Bars whose own file counts, and not what the set file would have of them."""

    @property
    def rows(self) -> tuple[Row, ...]:
        """One row per bar, as in the set table."""
        return bar_rows(self.blueprint, self.outcomes, self.rails, self.own)


@dataclass(slots=True)
class Work:
    """The folder of a set while it is worked on."""

    folder: Path
    document: WorkDocument
    earlier: WorkDocument
    kept: dict[int, Kept] = field(default_factory=dict)
    gone: list[str] = field(default_factory=list)

    def blueprint(self, plan: SetPlan) -> Blueprint | None:
        """Lengths of an earlier run, if they were chosen for this very plan."""
        return blueprint_kept(self.document, plan, plan.digest)

    def keep(self, blueprint: Blueprint) -> Blueprint:
        """Keep lengths; return them as any later run will read them."""
        plan = blueprint.plan
        self.document = keep_lengths(self.document, blueprint, plan.digest)
        write_work(self.folder, self.document)
        return blueprint_kept(self.document, plan, plan.digest) or blueprint

    def note_air(self, plan: SetPlan) -> None:
        """Keep where the set is tuned and played, for the bench."""
        self.document = with_air(self.document, plan)
        write_work(self.folder, self.document)

    def led(self, blueprint: Blueprint) -> Blueprint:
        """Let the pilots lead the others, as far as they are done."""
        known = outcomes_kept(self.document)
        digests = {note: blueprint.task(note).digest for note in blueprint.pilots}
        made = {note: known[digest] for note, digest in digests.items() if digest in known}
        return blueprint.led(made)

    def missing(self, blueprint: Blueprint, notes: Iterable[int]) -> list[Task]:
        """Tasks that no earlier run has done; bar files that went astray are put back."""
        known = outcomes_kept(self.document)
        missing = []
        for task in map(blueprint.task, notes):
            outcome = known.get(task.digest)
            if outcome is None:
                missing.append(task)
            else:
                note = note_of(outcome.semitone)
                if outcome.designed and not (self.folder / f"{note}.bar.json").exists():
                    self.gone.append(note)
                self._save_bar(task, outcome)
        return missing

    def add(self, blueprint: Blueprint, outcome: Outcome) -> None:
        """Keep an outcome: first in the record, then as a bar file."""
        self.document = with_outcome(self.document, outcome)
        write_work(self.folder, self.document)
        self._save_bar(blueprint.task(outcome.semitone), outcome)

    def _save_bar(self, task: Task, outcome: Outcome) -> None:
        if not outcome.designed:
            return
        try:
            kept = save_bar(self.folder, task.request, outcome, self.earlier.bars)
        except FileError as error:
            kept = Kept(None, f"was not written: {error}")
        if kept is not None:
            self.kept[outcome.semitone] = kept

    def _save_holes(self, plan: SetPlan, rails: Rails, outcomes: dict[int, Outcome]) -> None:
        """Tell the bar files where the cords go through, now that they are known."""
        if plan.rails.hole_diameter == 0.0:
            return
        for note, holes in rails.holes.items():
            if outcomes[note].designed and note not in self.kept:
                save_holes(self.folder, note, holes, diameter=plan.rails.hole_diameter)

    def finished(self, blueprint: Blueprint, *, designed_now: int) -> SetRun:
        """Fit the rails, tell the bar files of their holes, and lay out the blanks."""
        plan = blueprint.plan
        by_digest = {blueprint.task(note).digest: note for note in plan.semitones}
        found = {
            part.digest: note for note, part in self.document.bars.items()
        }  # outcomes whose computation broke are shown as well
        outcomes = {
            semitone: outcome_of(found[digest], self.document.bars[found[digest]])
            for digest, semitone in by_digest.items()
            if digest in found
        }
        rails = fit_rails(
            plan,
            blueprint.lengths.length,
            blueprint.place,
            [outcomes.get(semitone) for semitone in plan.semitones],
        )
        self._save_holes(plan, rails, outcomes)
        undone = {note for note in plan.semitones if not _designed(outcomes.get(note))}
        sawn, short = saw(blueprint, without=undone | self.kept.keys())
        own = {note: kept for note, kept in self.kept.items() if kept.why}
        told = [f"{note_of(note)}.bar.json {kept.why}" for note, kept in own.items()]
        cautions = [*plan.remarks, *told, *rails.warnings, *short]
        if self.gone:
            cautions.append(
                f"there was no bar file any more of {' '.join(self.gone)}, and it was written as "
                "designed; if that bar was begun, put its own file back from a copy"
            )
        if own:
            names = " ".join(map(note_of, sorted(own)))
            cautions.append(
                f"{names}: the tables tell what its own file holds, and no blank is sawn for it; "
                "the cords pass where they suit the set file's bar"
            )
        if any(rail.worst > WORST for rail in rails.rails):
            cautions += [f"holds the lengths back: {text}" for text in held_back(blueprint)]
        cautions += doubts(blueprint)
        return SetRun(blueprint, outcomes, rails, sawn, designed_now, tuple(cautions), own)


def _without_plank(blueprint: Blueprint, notes: list[int]) -> str:
    """Bars that get no plank: those that none does for, and those for which none is left."""
    suited = {note for found in blueprint.does_for.values() for note in found}
    names = {
        "no plank does for": [note_of(note) for note in notes if note not in suited],
        "no plank is left for": [note_of(note) for note in notes if note in suited],
    }
    told = "; ".join(f"{words} {' '.join(found)}" for words, found in names.items() if found)
    total = len(blueprint.plan.semitones)
    return (
        f"{told}: these {len(notes)} of {total} bars are designed in the wood of the stock, which "
        "must be got for them"
    )


def _designed(outcome: Outcome | None) -> bool:
    return outcome is not None and outcome.designed


def doubts(blueprint: Blueprint) -> list[str]:
    """Notes whose length is a guess, or above that of the note below."""
    guessed = [
        f"{note_of(note)}: no length was found to suit it; its length is a guess, and those of its "
        "neighbours lean on it"
        for note in blueprint.doubtful
    ]
    longer = [
        f"{note_of(note)} comes out at {high / MM:.1f} mm, longer than {note_of(note - 1)} at "
        f"{low / MM:.1f} mm: lengths are given, or ratios change there; give others"
        for note, (low, high) in zip(
            blueprint.plan.semitones[1:], itertools.pairwise(blueprint.lengths.length), strict=True
        )
        if high > low
    ]
    return [*guessed, *longer]


@contextlib.contextmanager
def opened(folder: Path, *, afresh: bool) -> Iterator[Work]:
    """Open the folder of a set for one run at a time."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise FileError(f"{folder}: is a file; name a folder with --into") from None
    with locked(folder.resolve() / WORK_NAME):
        there = read_work(folder)
        yield Work(folder, WorkDocument() if afresh else there, there)


def saw(
    blueprint: Blueprint, *, without: Collection[int] = ()
) -> tuple[tuple[Sawn, ...], tuple[str, ...]]:
    """Lay the blanks out in their planks, the others in boards; and say what does not fit.

    Bars `without` a blank, by semitone, have one already or no design.
    """
    plan, lengths = blueprint.plan, blueprint.lengths.length
    sawn: list[Sawn] = []
    for plank in plan.planks:
        bars = [
            n - plan.lowest
            for n, name in blueprint.plank.items()
            if name == plank.name and n not in without
        ]
        laid = lay_out(
            blanks(plan, lengths, bars), length=plank.length, width=plank.width, kerf=plan.kerf
        )
        sawn += [replace(item, board=plank.name) for item in laid]
    rest = [
        i
        for i, note in enumerate(plan.semitones)
        if note not in blueprint.plank and note not in without
    ]
    trouble = []
    if rest and plan.planks:
        trouble.append(_without_plank(blueprint, [plan.semitones[i] for i in rest]))
    if rest and plan.board_length is not None and plan.board_width is not None:
        try:
            sawn += lay_out(
                blanks(plan, lengths, rest),
                length=plan.board_length,
                width=plan.board_width,
                kerf=plan.kerf,
            )
        except InputError as error:
            trouble.append(f"no cut list: {error}")
    return tuple(sawn), tuple(trouble)


def with_bench(
    plan: SetPlan, temperature_c: float | None, humidity_percent: float | None
) -> SetPlan:
    """Put the air of today at the bench into a plan."""
    if temperature_c is None and humidity_percent is None:
        return plan
    if temperature_c is None or humidity_percent is None:
        raise InputError("give both --bench-temperature and --bench-humidity, or neither")
    bench = Condition.settled(
        temperature_c=temperature_c, relative_humidity=humidity_percent / 100.0
    )
    return replace(plan, bench=bench)


def length_rows(blueprint: Blueprint) -> list[dict[str, Any]]:
    """Lengths and what bounds them, for programs."""
    lengths = blueprint.lengths
    columns = {
        "length_mm": lengths.length / MM,
        "wish_mm": lengths.wish / MM,
        "shortest_mm": lengths.shortest / MM,
        "longest_mm": lengths.longest / MM,
        "centre_mm": lengths.centre / MM,
        "node_mm": lengths.node * lengths.length / MM,
    }
    return [
        {"note": note_of(semitone)} | {n: round(float(v[i]), 2) for n, v in columns.items()}
        for i, semitone in enumerate(blueprint.plan.semitones)
    ]


def write_tables(result: SetRun, folder: Path) -> None:
    """Write the set table and the cut list."""
    write_table(folder / "bars.csv", BAR_COLUMNS, result.rows)
    if result.sawn:
        rows = blank_rows(result.sawn, result.blueprint.plan.thickness)
        write_table(folder / "blanks.csv", BLANK_COLUMNS, rows)
