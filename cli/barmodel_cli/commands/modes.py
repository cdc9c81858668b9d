"""`barmodel modes`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.options import BadValue, BarFile, Json, Model, Plot, choice_option
from barmodel_cli.bench.aim_text import old_design
from barmodel_cli.bench.history import last_heard, print_heard
from barmodel_cli.bench.season import Bench, Room
from barmodel_cli.bench.today import today_of
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, cents_text, hz_text, print_json, print_table, progress
from barmodel_cli.shown.steps import next_step

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.bench import Standing
    from barmodel.files import BarDocument
    from barmodel.modes import ModeSet
    from barmodel.pitch import Target


def run(
    bar_file: BarFile,
    blank: Annotated[bool, typer.Option("--blank", help="The uncut blank.")] = False,
    designed: Annotated[
        bool, typer.Option("--designed", help="The blank less the design in the file.")
    ] = False,
    model: Annotated[
        Model,
        choice_option(
            Model, "--model", help="best: most accurate; beam: quick, sharp on deep cuts."
        ),
    ] = Model.BEST,
    count: Annotated[int, typer.Option(min=1, max=12, help="Number of bending modes.")] = 4,
    estimate: Annotated[
        bool, typer.Option("--estimate", help="Estimate the model's own error; takes longer.")
    ] = False,
    room: Room = None,
    bench: Bench = None,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """Modes of the bar as it is, as an uncut blank, or as designed.

    Where it is known where the bar will be played, it says what to leave today.

    Example: barmodel modes G3 --designed --plot G3.png
    """
    from barmodel.files import bar_as_designed, bar_as_is, blank_bar, read_bar_file, target_of
    from barmodel.modes import solve

    if blank and designed:
        raise BadValue("--blank and --designed ask for two different bars; give one of them")
    document = read_bar_file(bar_file)
    choose = blank_bar if blank else bar_as_designed if designed else bar_as_is
    bar = choose(document)
    target = target_of(document.target)
    today = today_of(document, bar_file, room=room, bench=bench, told=True)
    with progress("solving"):
        wanted = max(count, len(target.ratios))
        modes = solve(bar, model=model.value, count=wanted, estimate=estimate)
        stands = None
        if not (blank or designed):
            known = {bar: modes.bending_hz}
            stands = last_heard(
                document,
                today.water_percent,
                count=modes.bending_hz.size,
                known=known,
                model=model.value,
            )
    cents = target.cents(modes.bending_hz)
    if plot is not None:
        with progress("drawing"):
            _draw(bar, modes, target, document.name, plot, stands)
    for warning in modes.warnings:
        caution(warning)
    if designed and (told := old_design(document, bar_file)):
        caution(told)
    if as_json:
        content = _content(modes, cents, target, stands)
        print_json("modes", content | today.content)
    else:
        _show(modes, cents if stands is None else None, target.hz, document)
        if stands is not None:
            print_heard(stands, modes.bending_hz, target, today)
        today.show(target)
        say(f"next: {next_step(bar_file, document)}")


def _content(modes: ModeSet, cents: Any, target: Target, stands: Standing | None) -> dict[str, Any]:
    expected = None if stands is None else stands.expected(modes.bending_hz)
    return {
        "bending_hz": modes.bending_hz,
        "torsional_hz": modes.torsional_hz,
        "lateral_hz": modes.lateral_hz,
        "axial_hz": modes.axial_hz,
        "heard_hz": None if stands is None else stands.heard_hz,
        "expected_hz": expected,
        "expected_cents": None if expected is None else target.cents(expected),
        "target_hz": target.hz,
        "cents": cents,
        "nodes_mm": [points * 1e3 for points in modes.nodes],
        "model": modes.model,
        "mesh": modes.mesh,
        "residual": modes.residual,
        "error_cents": modes.error_cents,
        "warnings": modes.warnings,
    }


def _show(modes: ModeSet, cents: Any, target_hz: Any, document: BarDocument) -> None:
    """Print the modes; `cents` None where the bar was heard, and they are told beside the ear's."""
    rows: list[tuple[object, ...]] = []
    for index, hz in enumerate(modes.bending_hz):
        tuned = index < len(target_hz)
        places = ", ".join(f"{point * 1e3:.1f}" for point in modes.nodes[index])
        rows.append(
            (
                f"mode {index + 1}",
                hz_text(float(hz)),
                f"{hz / modes.bending_hz[0]:.3f}",
                hz_text(float(target_hz[index])) if tuned else None,
                cents_text(float(cents[index])) if tuned and cents is not None else None,
                places,
            )
        )
    for kind, found in (("torsional", modes.torsional_hz), ("lateral", modes.lateral_hz)):
        for index, hz in enumerate(found):
            ratio = f"{hz / modes.bending_hz[0]:.3f}"
            rows.append((f"{kind} {index + 1}", hz_text(float(hz)), ratio, None, None, ""))
    columns = ["mode", "computed Hz", "ratio", "target Hz", "cents", "nodes, mm from the left end"]
    if cents is None:
        columns, rows = [*columns[:4], columns[5]], [(*row[:4], row[5]) for row in rows]
    print_table(columns, rows, title=f"{document.name}, target {document.target.note}")
    print(f"\nmodel: {modes.model} ({modes.mesh})")
    errors = [cents_text(float(value)).lstrip("+") for value in modes.error_cents]
    if set(errors) != {"–"}:
        print(f"estimated error of the bending modes: {', '.join(errors)} cents")


def _draw(
    bar: Bar,
    modes: ModeSet,
    target: Target,
    title: str,
    path: Path,
    stands: Standing | None,
) -> None:
    """Draw shapes as computed; pitches, where the bar was heard, as they stand by its readings."""
    from barmodel.plots import save_figure
    from barmodel.plots.modes import draw_modes

    heard = None if stands is None else stands.expected(modes.bending_hz)
    save_figure(draw_modes(bar, modes, target, heard_hz=heard, title=title), path)
