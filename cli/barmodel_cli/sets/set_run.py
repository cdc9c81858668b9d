"""A run over a set: what is there already, what is missing, what is written when."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from barmodel.errors import FileError
from barmodel.files.lock import locked
from barmodel.files.set_bars import Kept, bar_begun, drop_untouched, is_begun, save_bar, save_holes
from barmodel.files.set_table import (
    BAR_COLUMNS,
    BLANK_COLUMNS,
    Row,
    bar_rows,
    blank_rows,
    write_table,
)
from barmodel.files.set_there import begun_bars, standing_of
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
    with_targets,
    write_work,
)
from barmodel.instrument import (
    Begun,
    Blueprint,
    Outcome,
    Rails,
    Sawn,
    SetPlan,
    Standing,
    Task,
    design_bar,
    fit_rails,
    held_back,
    saw,
)
from barmodel.instrument.rails import WORST
from barmodel.pitch import note_of, note_semitone
from barmodel.units import MM

design = design_bar


@dataclass(frozen=True, slots=True)
class SetRun:
    """All there is to say of a set after a run."""

    blueprint: Blueprint
    outcomes: dict[int, Outcome]
    rails: Rails
    sawn: tuple[Sawn, ...]
    rows: tuple[Row, ...]
    """One for each bar, as in the set table."""
    designed_now: int
    cautions: tuple[str, ...]
    own: dict[int, Kept]
    """Bars whose own file counts, and not what the set file would have of them."""
    standing: dict[int, Standing]
    """Bars that are otherwise than the set file has them: as they are."""


@dataclass(slots=True)
class Work:
    """The folder of a set while it is worked on."""

    folder: Path
    document: WorkDocument
    earlier: WorkDocument
    bring_over: bool = False
    """Whether bars that were begun get the aims of the set file."""
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

    def note_plan(self, plan: SetPlan) -> None:
        """Keep where the set is tuned and played, and to what, for the bench."""
        self.document = with_targets(with_air(self.document, plan), plan)
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
                self._save_bar(blueprint, task, outcome)
        return missing

    def add(self, blueprint: Blueprint, outcome: Outcome) -> None:
        """Keep an outcome: first in the record, then as a bar file."""
        self.document = with_outcome(self.document, outcome)
        write_work(self.folder, self.document)
        self._save_bar(blueprint, blueprint.task(outcome.semitone), outcome)

    def begun(self, plan: SetPlan) -> dict[int, Begun]:
        """Bars whose blanks are sawn."""
        return begun_bars(self.folder, plan.semitones)

    def _save_bar(self, blueprint: Blueprint, task: Task, outcome: Outcome) -> None:
        note, bars = outcome.semitone, self.earlier.bars
        plank = blueprint.plank.get(note)
        try:
            if outcome.designed:
                kept = save_bar(
                    self.folder, task.request, outcome, bars, plank, bring_over=self.bring_over
                )
            else:
                drop_untouched(self.folder, note, bars.get(note_of(note)))
                kept = bar_begun(self.folder, note)
        except FileError as error:
            kept = Kept(None, f"was not written: {error}")
        if kept is not None:
            self.kept[outcome.semitone] = kept

    def _save_holes(self, plan: SetPlan, rails: Rails) -> Iterator[str]:
        """Tell the bar files where the cords go through; what could not be told."""
        for note, holes in rails.holes.items():
            kept = self.kept.get(note)
            if kept is not None and (kept.document is None or kept.became):
                continue
            own = kept is not None and bool(kept.why)
            try:
                save_holes(self.folder, note, holes, diameter=plan.rails.hole_diameter, own=own)
            except FileError as error:
                yield f"its cord holes are not in the bar file: {error}"

    def finished(self, blueprint: Blueprint, *, designed_now: int) -> SetRun:
        """Fit the rails, tell the bar files of their holes, and lay out the blanks."""
        plan, outcomes = blueprint.plan, self._outcomes(blueprint)
        standing = self._standing()
        rails = fit_rails(
            plan,
            blueprint.lengths.length,
            blueprint.place,
            [outcomes.get(semitone) for semitone in plan.semitones],
            standing,
        )
        untold = list(self._save_holes(plan, rails))
        undone = {note for note in plan.semitones if not _designed(outcomes.get(note))}
        there = {note: kept for note, kept in self.kept.items() if not kept.became}
        sawn, short = saw(blueprint, without=undone | there.keys(), begun=self.begun(plan))
        own = {note: kept for note, kept in there.items() if kept.why}
        cautions = [*plan.remarks, *self._told(own), *untold, *rails.warnings, *short]
        if any(rail.worst > WORST for rail in rails.rails):
            cautions += [f"holds the lengths back: {text}" for text in held_back(blueprint)]
        cautions += blueprint.doubts
        rows = bar_rows(blueprint, outcomes, rails, self.kept, standing)
        return SetRun(
            blueprint, outcomes, rails, sawn, rows, designed_now, tuple(cautions), own, standing
        )

    def _standing(self) -> dict[int, Standing]:
        """Bars that are otherwise than the set file has them; nodes are computed once."""
        known = {note_semitone(note): part for note, part in self.document.there.items()}
        standing, parts = standing_of(self.kept, known)
        if parts != known:
            there = {note_of(semitone): part for semitone, part in parts.items()}
            self.document = self.document.model_copy(update={"there": there})
            write_work(self.folder, self.document)
        return standing

    def _outcomes(self, blueprint: Blueprint) -> dict[int, Outcome]:
        """What there is for this very blueprint; those whose computation broke as well."""
        notes = {part.digest: note for note, part in self.document.bars.items()}
        digests = {
            semitone: blueprint.task(semitone).digest for semitone in blueprint.plan.semitones
        }
        return {
            semitone: outcome_of(notes[digest], self.document.bars[notes[digest]])
            for semitone, digest in digests.items()
            if digest in notes
        }

    def _told(self, own: dict[int, Kept]) -> Iterator[str]:
        """What is to be said of bar files that were kept, or were not there any more."""
        changed = [(note, kept) for note, kept in sorted(self.kept.items()) if kept.now_keeps]
        if changed:
            keep_mm = changed[0][1].document.keep_mm if changed[0][1].document else None
            yield (
                f"{' '.join(note_of(note) for note, _ in changed)}: begun, and the bench now keeps "
                f"{keep_mm:g} mm of it, as the set file says"
            )
        for note, kept in self.kept.items():
            if kept.why:
                yield f"{note_of(note)}.bar.json {kept.why}"
        elsewhere = [note_of(note) for note, kept in self.kept.items() if kept.aims_elsewhere]
        if len(elsewhere) > 1:
            yield (
                f"to bring {' '.join(elsewhere)} over to the set file's aim at once: the same "
                "command with --bring-over; each log tells of it, and it can be cancelled there"
            )
        if self.gone:
            yield (
                f"there was no bar file any more of {' '.join(self.gone)}, and it was written as "
                "designed; if that bar was begun, put its own file back from a copy"
            )
        if own:
            yield (
                f"{' '.join(map(note_of, sorted(own)))}: the tables tell what its own file holds, "
                "no blank is sawn for it, and the cords are drawn for it as it is"
            )
        for note, kept in sorted(own.items()):
            if kept.document is not None and not is_begun(kept.document):
                blank = kept.document.blank
                sizes = (blank.length_mm, blank.width_mm, blank.thickness_mm)
                yield (
                    f"{note_of(note)} is not sawn yet, and not in the cut list: by its own file "
                    f"its blank is {' × '.join(f'{size:g}' for size in sizes)} mm"
                )


def _designed(outcome: Outcome | None) -> bool:
    return outcome is not None and outcome.designed


@contextlib.contextmanager
def opened(folder: Path, *, afresh: bool, bring_over: bool = False) -> Iterator[Work]:
    """Open the folder of a set for one run at a time."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise FileError(f"{folder}: is a file; name a folder with --into") from None
    with locked(folder.resolve() / WORK_NAME):
        there = read_work(folder)
        yield Work(folder, WorkDocument() if afresh else there, there, bring_over)


def lengths_kept(folder: Path, plan: SetPlan, *, afresh: bool) -> Blueprint | None:
    """Lengths that a run would take over, chosen for this very plan before."""
    return None if afresh else blueprint_kept(read_work(folder), plan, plan.digest)


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
    if result.sawn or (folder / "blanks.csv").exists():  # an old list would saw bars twice
        rows = blank_rows(result.sawn, result.blueprint.plan.thickness)
        write_table(folder / "blanks.csv", BLANK_COLUMNS, rows)
