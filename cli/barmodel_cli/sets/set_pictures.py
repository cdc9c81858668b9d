"""What a set looks like: its chart, and its paper for the bench."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from barmodel.files.set_table import THERE
from barmodel.instrument import Outcome, SetPlan, is_accidental
from barmodel.pitch import note_of
from barmodel.units import MM

if TYPE_CHECKING:
    from barmodel.files.set_table import Row
    from barmodel.plots.instrument import SetRows
    from barmodel_cli.sets.set_run import SetRun


def draw(result: SetRun, path: Path) -> None:
    """Draw the set: bars on their cords, middle thickness, cents of every mode."""
    from barmodel.plots import save_figure
    from barmodel.plots.instrument import draw_set

    plan = result.blueprint.plan
    figure = draw_set(
        chart_rows(result),
        title=plan.name,
        subtitle=told_of(plan),
        least_thickness=plan.limits.keep,
    )
    save_figure(figure, path)


def write_papers(result: SetRun, path: Path) -> None:
    """Write the paper for the bench: order of work, holes, boards, what to mind."""
    from datetime import date

    from barmodel.sheets.whole_set import SetPapers, write_set_pdf

    plan = result.blueprint.plan
    sizes = {plank.name: (plank.length, plank.width) for plank in plan.planks}
    for item in result.sawn:
        if item.board not in sizes and plan.board_length and plan.board_width:
            sizes[item.board] = (plan.board_length, plan.board_width)
    papers = SetPapers(
        name=plan.name,
        told=told_of(plan),
        rows=result.rows,
        sawn=result.sawn,
        sizes=sizes,
        date=date.today().isoformat(),
        cautions=result.cautions,
    )
    write_set_pdf(papers, path)


def told_of(plan: SetPlan) -> str:
    """Wood, stock, pitch and room of a set, in a line."""
    wood = plan.wood.species or "own wood"
    told = f"{wood}, {plan.thickness / MM:g} mm stock, A4 = {plan.a4_hz:g} Hz"
    if plan.room is not None:
        told += f", played at {plan.room.temperature_c:g} °C"
        if plan.bench is not None:
            told += f", 'leave today' for {plan.bench.temperature_c:g} °C at the bench"
    return told


def chart_rows(result: SetRun) -> SetRows:
    """Put the set into the columns that its chart wants."""
    from barmodel.plots.instrument import SetRows

    plan = result.blueprint.plan
    made = [result.outcomes.get(n) if n not in result.own else None for n in plan.semitones]
    good = [item if item is not None and item.designed else None for item in made]
    holes = [result.rails.holes.get(note) for note in plan.semitones]
    missing = (np.nan, np.nan)
    ends = [missing if h is None else (h[0].node, h[1].node) for h in holes]
    cords = [missing if h is None else (h[0].middle, h[1].middle) for h in holes]
    length = np.array([_length(row) for row in result.rows])
    out = np.array([-1.0, 1.0]) * length[:, None] / 2  # ends of the bars, from their middle
    inward = np.array([1.0, -1.0])
    return SetRows(
        names=tuple(map(note_of, plan.semitones)),
        accidental=np.array([is_accidental(note) for note in plan.semitones]),
        length=length,
        width=np.array([plan.width(note) for note in plan.semitones]),
        middle_thickness=np.array([np.nan if o is None else o.centre for o in good]),
        nodes=out + inward * np.array(ends),
        cords=out + inward * np.array(cords),
        cents=np.array([[_at(o, k) for k in range(3)] for o in good]),
        kept=np.array([note in result.own for note in plan.semitones]),
    )


def _length(row: Row) -> float:
    """Length of a bar that is made, or that was begun; NaN for one that cannot be. [m]"""
    there = row["state"] in THERE and row["length_mm"] is not None
    return float(str(row["length_mm"])) * MM if there else np.nan


def _at(outcome: Outcome | None, mode: int) -> float:
    return outcome.cents[mode] if outcome is not None and mode < len(outcome.cents) else np.nan
