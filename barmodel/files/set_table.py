"""The set as tables: one row per bar, and one row per blank to be sawn; CSV with units on top."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from pathlib import Path

from barmodel.atomic import write_atomically
from barmodel.errors import FileError
from barmodel.files.aim import target_of
from barmodel.files.bars import bar_as_is
from barmodel.files.document import BarDocument
from barmodel.files.set_bars import Kept, holes_kept
from barmodel.instrument import (
    Blueprint,
    Hole,
    Outcome,
    Rails,
    Sawn,
    SetPlan,
    Standing,
    is_accidental,
    order_of_work,
    to_leave,
)
from barmodel.pitch import note_of, note_semitone
from barmodel.units import MM

BAR_COLUMNS = (
    "note",
    "row",
    "order_of_work",
    "state",
    "plank",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "place_mm",
    "start_mm",
    "depth_mm",
    "fullness",
    "centre_mm",
    "least_mm",
    "mode1_target_hz",
    "mode1_cents",
    "mode2_cents",
    "mode3_cents",
    "mode1_cents_per_0.1mm",
    "node_mm",
    "hole_mm",
    "hole_bass_edge_mm",
    "hole_treble_edge_mm",
    "hole_far_bass_edge_mm",
    "hole_far_treble_edge_mm",
    "hole_misfit_mm",
    "hole_angle_degrees",
    "hole_far_angle_degrees",
    "drilling_mode1_cents",
    "leave_today_cents",
    "leave_today_error_cents",
    "clashes",
    "remark",
)
"""Columns of the set table; distances of a hole are from the end of the bar it is nearer to."""
BLANK_COLUMNS = (
    "board",
    "strip",
    "from_mm",
    "from_edge_mm",
    "note",
    "length_mm",
    "width_mm",
    "thickness_mm",
)

HOLE_COLUMNS = tuple(name for name in BAR_COLUMNS if name.startswith("hole_"))
THERE = ("designed", "kept")
"""States of bars that there are, or can be."""
Row = dict[str, object]


def bar_rows(
    blueprint: Blueprint,
    outcomes: Mapping[int, Outcome],
    rails: Rails,
    kept: Mapping[int, Kept],
    standing: Mapping[int, Standing],
) -> tuple[Row, ...]:
    """Say everything about every bar, in the order of the notes; numbers in the column's unit.

    Parameters
    ----------
    blueprint : Blueprint
    outcomes : mapping of int to Outcome
        By semitone.
    rails : Rails
    kept : mapping of int to Kept
        Bars that were begun. Of those that are not as the set file has them, and of holes that
        are drilled, the row tells what their own file holds; of one that has become another note,
        what is to be made again.
    standing : mapping of int to Standing
        How long they are, and where their nodes will be.
    """
    order = order_of_work(list(outcomes.values()), blueprint.plank)
    rank = {note: number for number, note in enumerate(order, start=1)}
    rows = []
    for semitone in blueprint.plan.semitones:
        row: Row = dict.fromkeys(BAR_COLUMNS)
        row |= {
            "note": note_of(semitone),
            "row": "accidentals" if is_accidental(semitone) else "naturals",
            "order_of_work": rank.get(semitone),
            "place_mm": _mm(float(blueprint.place[semitone - blueprint.plan.lowest])),
        }
        begun = kept.get(semitone)
        became = "" if begun is None else begun.became
        if became:
            begun = None
        if begun is not None and begun.why:
            row |= _own_row(begun)
        else:
            row |= _bar_row(blueprint, outcomes.get(semitone), rails, semitone)
            row |= _leave_columns(blueprint, row, begun)
        if semitone in standing:
            row |= _standing_columns(standing[semitone])
        document = None if begun is None else begun.document
        if begun is not None and document is not None and (begun.why or document.drilled):
            told = _has_places(document, plan=blueprint.plan)
            holes = rails.holes.get(semitone) if told else None
            row |= dict.fromkeys(HOLE_COLUMNS) | _hole_columns(holes)
        if became:
            again = f"to be made again: its file has become {became}"
            row["remark"] = "; ".join(filter(None, (again, str(row["remark"] or ""))))
        rows.append(row)
    return tuple(rows)


def _has_places(document: BarDocument, *, plan: SetPlan) -> bool:
    """Whether holes are drilled where its file tells, or are to be drilled."""
    if document.drilled is not None:
        return holes_kept(document) is not None
    return document.holes is not None and plan.rails.hole_diameter > 0.0


def _standing_columns(there: Standing) -> Row:
    row: Row = {"length_mm": _mm(there.length)}
    return row | {"node_mm": _mm(there.nodes[0])} if there.nodes else row


def _own_row(kept: Kept) -> Row:
    """What the file of a bar tells that is not as the set file would have it."""
    row: Row = {"state": "kept", "remark": kept.why}
    if kept.document is None:
        return row
    try:
        bar = bar_as_is(kept.document)
    except FileError as error:
        return row | {"remark": f"{kept.why}; {error}"}
    blank, target = bar.blank, target_of(kept.document.target)
    return row | {
        "plank": kept.document.blank.plank,
        "length_mm": _mm(blank.length),
        "width_mm": _mm(blank.width),
        "thickness_mm": _mm(blank.thickness),
        "mode1_target_hz": round(float(target.hz[0]), 3),
    }


def _bar_row(blueprint: Blueprint, outcome: Outcome | None, rails: Rails, semitone: int) -> Row:
    plan, i = blueprint.plan, semitone - blueprint.plan.lowest
    row: Row = {
        "state": "not begun" if outcome is None else outcome.state,
        "plank": blueprint.plank.get(semitone),
        "length_mm": _mm(float(blueprint.lengths.length[i])),
        "width_mm": _mm(plan.width(semitone)),
        "thickness_mm": _mm(plan.thickness),
    }
    if outcome is None:
        return row
    row["remark"] = "; ".join(filter(None, (outcome.reason, *outcome.warnings)))
    if not outcome.designed:
        return row
    row |= _design_columns(outcome)
    return row | _hole_columns(rails.holes.get(semitone) if plan.rails.hole_diameter else None)


def _leave_columns(blueprint: Blueprint, row: Row, begun: Kept | None) -> Row:
    """What to leave of mode 1 today: for the room, and for holes that are still to be drilled."""
    shift = to_leave(blueprint.plan, blueprint.wood(note_semitone(str(row["note"]))))
    drilled = begun is not None and begun.document is not None and begun.document.drilled
    holes = None if drilled else row.get("drilling_mode1_cents")
    if shift is None and holes is None:
        return {}
    for_room = 0.0 if shift is None else shift.cents
    return {
        "leave_today_cents": round(for_room - float(str(holes or 0.0)), 1),
        "leave_today_error_cents": None if shift is None else round(shift.standard_error, 1),
    }


def _design_columns(outcome: Outcome) -> Row:
    row: Row = {
        "centre_mm": _mm(outcome.centre),
        "least_mm": _mm(outcome.least),
        "mode1_target_hz": round(outcome.target_hz[0], 3),
        "mode1_cents_per_0.1mm": round(outcome.sensitivity_cents[0], 1),
        "node_mm": _mm(outcome.nodes[0]),
        "clashes": "; ".join(
            f"{item.kind} {item.number} {item.distance_hz:+.0f} Hz from mode {item.mode}"
            for item in outcome.clashes
        ),
    }
    for name in ("start", "depth", "fullness"):
        if name in outcome.measures:
            value = outcome.measures[name]
            column = name if name == "fullness" else f"{name}_mm"
            row[column] = round(value, 4) if name == "fullness" else _mm(value)
    for number, cents in enumerate(outcome.cents, start=1):
        row[f"mode{number}_cents"] = round(cents, 2)
    if outcome.hole_cents:
        row["drilling_mode1_cents"] = round(outcome.hole_cents[0], 1)
    return row


def _hole_columns(holes: tuple[Hole, Hole] | None) -> Row:
    if holes is None:
        return {}
    player, far = holes
    return {
        "hole_mm": _mm(player.middle),
        "hole_bass_edge_mm": _mm(player.bass_edge),
        "hole_treble_edge_mm": _mm(player.treble_edge),
        "hole_far_bass_edge_mm": _mm(far.bass_edge),
        "hole_far_treble_edge_mm": _mm(far.treble_edge),
        "hole_misfit_mm": _mm(player.misfit),
        "hole_angle_degrees": round(player.angle_degrees, 2),
        "hole_far_angle_degrees": round(far.angle_degrees, 2),
    }


def blank_rows(sawn: Sequence[Sawn], thickness: float) -> tuple[Row, ...]:
    """Cut list: where each blank lies in its board."""
    return tuple(
        {
            "board": item.board,
            "strip": item.strip,
            "from_mm": _mm(item.at),
            "from_edge_mm": _mm(item.across),
            "note": note_of(item.piece.semitone),
            "length_mm": _mm(item.piece.length),
            "width_mm": _mm(item.piece.width),
            "thickness_mm": _mm(thickness),
        }
        for item in sawn
    )


def write_table(path: Path, columns: Sequence[str], rows: Sequence[Row]) -> None:
    """Write rows as CSV, atomically; an empty cell says that nothing is known."""
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, lineterminator="\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: "" if row.get(name) is None else row[name] for name in columns})
    write_atomically(path, text.getvalue())


def _mm(value: float) -> float | None:
    return round(value / MM, 3) if math.isfinite(value) else None
