"""What a set of bars has come to, kept so that a run that was stopped goes on where it was.

`work.json` in the folder of the bars: lengths as they were chosen, and the outcome of every bar
under the fingerprint of what was asked. It is written by the tool alone and may be deleted; then
everything is computed again.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Literal

import numpy as np
from pydantic import Field, ValidationError

from barmodel.atomic import write_atomically
from barmodel.errors import FileError
from barmodel.files.aim import TargetPart, target_part
from barmodel.files.convert import entries_of, shapes_of
from barmodel.files.cuts import Record, Sparse, UndercutEntry
from barmodel.files.problems import file_error
from barmodel.files.store import read_text
from barmodel.instrument import Blueprint, Clash, Lengths, Outcome, SetPlan
from barmodel.instrument.layout import places
from barmodel.pitch import note_of, note_semitone
from barmodel.units import GRAM, MM
from barmodel.weather import Condition

WORK_NAME = "work.json"
LARGEST_WORK = 3_000_000
"""A record beyond this was not written by the tool, and is not read. [byte]"""


class ClashPart(Record):
    """An untuned mode beside a tuned one."""

    kind: str
    number: int
    mode: int
    hz: float
    distance_hz: float


class OutcomePart(Sparse):
    """One bar: its design, or why there is none."""

    digest: str
    state: Literal["designed", "refused", "failed"]
    reason: str = ""
    seconds: float = 0.0
    undercut: tuple[UndercutEntry, ...] = ()
    measures: dict[str, float] = Field(default_factory=dict, description="lengths in mm")
    bending_hz: tuple[float, ...] = ()
    target_hz: tuple[float, ...] = ()
    cents: tuple[float, ...] = ()
    correction_cents: tuple[float, ...] = Field(
        default=(), description="what the last model said above the beam"
    )
    sensitivity_cents: tuple[float, ...] = Field(
        default=(), description="of the whole undercut 0.1 mm deeper"
    )
    nodes_mm: tuple[float, ...] = ()
    node_slope_per_m: float = 0.0
    centre_mm: float | None = None
    least_mm: float | None = None
    least_at_mm: float | None = None
    mass_g: float | None = None
    clashes: tuple[ClashPart, ...] = Field(default=(), fail_fast=True)
    hole_cents: tuple[float, ...] = ()
    even: bool = True
    model: str = ""
    warnings: tuple[str, ...] = ()


class LengthsKept(Record):
    """Lengths as they were chosen, in the order of the notes."""

    digest: str
    length_mm: tuple[float, ...]
    wish_mm: tuple[float, ...]
    shortest_mm: tuple[float, ...]
    longest_mm: tuple[float, ...]
    node_share: tuple[float, ...]
    centre_mm: tuple[float, ...]
    held: tuple[dict[str, float], ...]
    begin: tuple[dict[str, float], ...] = Field(description="depths in m, places as shares")
    doubtful: tuple[str, ...] = ()
    planks: dict[str, str] = Field(default_factory=dict, description="by note")
    does_for: dict[str, tuple[str, ...]] = Field(
        default_factory=dict, description="notes that each plank would do for"
    )
    sawn_mm: dict[str, float] = Field(
        default_factory=dict, description="by note, bars that were sawn then"
    )


class AirKept(Record):
    """A bar's state once it has settled in a room."""

    temperature_c: float
    moisture_percent: float


class TherePart(Record):
    """Nodes of a bar that was begun, and is not just as the set file would have it."""

    digest: str = Field(description="of what decides them in its own file")
    nodes_mm: tuple[float, float]
    node_slope_per_m: float


class WorkDocument(Record):
    """What a run has come to."""

    schema_: Literal["barmodel/set-work/1"] = Field(alias="schema", default="barmodel/set-work/1")
    lengths: LengthsKept | None = None
    bars: dict[str, OutcomePart] = Field(default_factory=dict, max_length=500)
    room: AirKept | None = Field(default=None, description="where it will be played")
    bench: AirKept | None = Field(default=None, description="where it is tuned")
    targets: dict[str, TargetPart] = Field(
        default_factory=dict, max_length=500, description="what the set file asks, by note"
    )
    there: dict[str, TherePart] = Field(
        default_factory=dict, max_length=500, description="by note, where the bar file decides"
    )


def read_work(folder: Path) -> WorkDocument:
    """Read what earlier runs came to; empty if there was none."""
    where = folder / WORK_NAME
    if not where.exists():
        return WorkDocument()
    try:
        return WorkDocument.model_validate_json(read_text(where, largest=LARGEST_WORK))
    except ValidationError as error:
        told = file_error(where.name, error, WorkDocument)
        raise FileError(f"{told}; delete {where} to compute the set again") from None


def write_work(folder: Path, work: WorkDocument) -> None:
    """Write what the run has come to, atomically."""
    write_atomically(folder / WORK_NAME, work.model_dump_json(by_alias=True, indent=1) + "\n")


def with_air(work: WorkDocument, plan: SetPlan) -> WorkDocument:
    """Add where the set will be played, and where it is tuned."""
    return work.model_copy(update={"room": _air(plan.room), "bench": _air(plan.bench)})


def with_targets(work: WorkDocument, plan: SetPlan) -> WorkDocument:
    """Add what every bar is to be tuned to."""
    return work.model_copy(update={"targets": targets_of(plan)})


def targets_of(plan: SetPlan) -> dict[str, TargetPart]:
    """What a set file asks of its bars, by note."""
    return {note_of(semitone): target_part(plan.target(semitone)) for semitone in plan.semitones}


def _air(state: Condition | None) -> AirKept | None:
    if state is None:
        return None
    return AirKept(temperature_c=state.temperature_c, moisture_percent=state.moisture_percent)


def with_outcome(work: WorkDocument, outcome: Outcome) -> WorkDocument:
    """Add or replace the outcome of a bar."""
    note = note_of(outcome.semitone)
    return work.model_copy(update={"bars": {**work.bars, note: _part(outcome)}})


def outcomes_kept(work: WorkDocument) -> dict[str, Outcome]:
    """Outcomes by the fingerprint of their task, without those whose computation broke."""
    found = {}
    for note, part in work.bars.items():
        if part.state != "failed":
            found[part.digest] = outcome_of(note, part)
    return found


def _part(outcome: Outcome) -> OutcomePart:
    places_ = {n: v if n == "fullness" else v / MM for n, v in outcome.measures.items()}
    return OutcomePart(
        digest=outcome.digest,
        state=outcome.state,
        reason=outcome.reason,
        seconds=round(outcome.seconds, 3),
        undercut=entries_of(outcome.undercut),
        measures=places_,
        bending_hz=outcome.bending_hz,
        target_hz=outcome.target_hz,
        cents=outcome.cents,
        correction_cents=outcome.correction_cents,
        sensitivity_cents=outcome.sensitivity_cents,
        nodes_mm=tuple(_mm(node) for node in outcome.nodes),
        node_slope_per_m=outcome.node_slope,
        centre_mm=_or_none(outcome.centre, MM),
        least_mm=_or_none(outcome.least, MM),
        least_at_mm=_or_none(outcome.least_at, MM),
        mass_g=_or_none(outcome.mass, GRAM),
        clashes=tuple(ClashPart.model_validate(_fields(item)) for item in outcome.clashes),
        hole_cents=outcome.hole_cents,
        even=outcome.even,
        model=outcome.model,
        warnings=outcome.warnings,
    )


def outcome_of(note: str, part: OutcomePart) -> Outcome:
    """Return the outcome that a part of the record describes."""
    measures = {n: v if n == "fullness" else v * MM for n, v in part.measures.items()}
    return Outcome(
        semitone=note_semitone(note),
        digest=part.digest,
        state=part.state,
        reason=part.reason,
        seconds=part.seconds,
        undercut=shapes_of(part.undercut),
        measures=measures,
        bending_hz=part.bending_hz,
        target_hz=part.target_hz,
        cents=part.cents,
        correction_cents=part.correction_cents,
        sensitivity_cents=part.sensitivity_cents,
        nodes=tuple(node * MM for node in part.nodes_mm),
        node_slope=part.node_slope_per_m,
        centre=_metres(part.centre_mm),
        least=_metres(part.least_mm),
        least_at=_metres(part.least_at_mm),
        mass=math.nan if part.mass_g is None else part.mass_g * GRAM,
        clashes=tuple(Clash(**item.model_dump()) for item in part.clashes),
        hole_cents=part.hole_cents,
        even=part.even,
        model=part.model,
        warnings=part.warnings,
    )


def _fields(clash: Clash) -> dict[str, Any]:
    return {name: getattr(clash, name) for name in ClashPart.model_fields}


def _mm(value: float) -> float:
    return round(value / MM, 6)


def _or_none(value: float, unit: float) -> float | None:
    return round(value / unit, 6) if math.isfinite(value) else None


def _metres(value: float | None) -> float:
    return math.nan if value is None else value * MM


def keep_lengths(work: WorkDocument, blueprint: Blueprint, digest: str) -> WorkDocument:
    """Add the lengths that were chosen."""
    lengths = blueprint.lengths

    def listed(values: Iterable[float]) -> tuple[float, ...]:
        return tuple(_mm(float(value)) for value in values)

    kept = LengthsKept(
        digest=digest,
        length_mm=listed(lengths.length),
        wish_mm=listed(lengths.wish),
        shortest_mm=listed(lengths.shortest),
        longest_mm=listed(lengths.longest),
        node_share=tuple(map(float, lengths.node)),
        centre_mm=listed(lengths.centre),
        held=blueprint.held,
        begin=blueprint.begin,
        doubtful=tuple(map(note_of, blueprint.doubtful)),
        planks={note_of(note): name for note, name in blueprint.plank.items()},
        does_for={n: tuple(map(note_of, notes)) for n, notes in blueprint.does_for.items()},
        sawn_mm={note_of(note): _mm(length) for note, length in blueprint.sawn.items()},
    )
    return work.model_copy(update={"lengths": kept})


def blueprint_kept(work: WorkDocument, plan: SetPlan, digest: str) -> Blueprint | None:
    """Lengths of an earlier run, if they were chosen for this very plan."""
    kept = work.lengths
    if kept is None or kept.digest != digest:
        return None
    return Blueprint(
        plan=plan,
        lengths=Lengths(
            length=np.array(kept.length_mm) * MM,
            wish=np.array(kept.wish_mm) * MM,
            shortest=np.array(kept.shortest_mm) * MM,
            longest=np.array(kept.longest_mm) * MM,
            node=np.array(kept.node_share),
            centre=np.array(kept.centre_mm) * MM,
        ),
        place=places(plan),
        held=kept.held,
        begin=kept.begin,
        doubtful=tuple(map(note_semitone, kept.doubtful)),
        plank={note_semitone(note): name for note, name in kept.planks.items()},
        does_for={n: tuple(map(note_semitone, notes)) for n, notes in kept.does_for.items()},
        sawn={note_semitone(note): length * MM for note, length in kept.sawn_mm.items()},
    )
