"""`barmodel instrument`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from barmodel_cli.asked.options import BadValue, Json, Plot
from barmodel_cli.asked.plausible import Unusual
from barmodel_cli.bench.season import Bench, read_air
from barmodel_cli.shown.show import caution, print_json, progress

if TYPE_CHECKING:
    from barmodel.instrument import Begun, Blueprint, Crew, SetPlan
    from barmodel_cli.sets.set_run import SetRun


def run(
    set_file: Annotated[
        Path,
        typer.Argument(metavar="SETFILE", help="Description, NAME.set.toml.", show_default=False),
    ],
    into: Annotated[
        Path | None,
        typer.Option(
            "--into", metavar="FOLDER", help="Where bar files and tables go; by default NAME."
        ),
    ] = None,
    new: Annotated[
        bool, typer.Option("--new", help="Write a set file to begin with, every field explained.")
    ] = False,
    lengths_only: Annotated[
        bool, typer.Option("--lengths-only", help="Only choose the lengths: no design, no files.")
    ] = False,
    afresh: Annotated[
        bool,
        typer.Option("--afresh", help="Compute everything again; bars with a history are kept."),
    ] = False,
    bring_over: Annotated[
        bool,
        typer.Option(
            "--bring-over",
            help="Give bars that were begun the aims of this set file, as after another a4_hz.",
        ),
    ] = False,
    cores: Annotated[
        int | None, typer.Option("--cores", min=1, help="Processes at work; all cores by default.")
    ] = None,
    bench: Bench = None,
    bars_next: Annotated[
        bool, typer.Option("--next", help="How far the bars are, and which is next; quick.")
    ] = False,
    retune: Annotated[
        Path | None,
        typer.Option(
            "--retune",
            metavar="READINGS",
            help="What brings the bars in the folder to this set file's pitch; nothing is "
            "designed. READINGS is a CSV with the columns note, mode1_hz, mode2_hz, mode3_hz; "
            "a dash for a mode that was not heard.",
        ),
    ] = None,
    cutter: Annotated[
        str,
        typer.Option(
            "--cutter",
            help="What is used to retune: scraper20 cuts 20 mm along the bar, drum40 is 40 mm "
            "across.",
        ),
    ] = "scraper20",
    unusual: Unusual = False,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """Plan and design a whole set of bars; a run that was stopped goes on where it was.

    Example: barmodel instrument school.set.toml --into school --plot school.pdf
    """
    from barmodel.files.set_there import begun_bars
    from barmodel.instrument import crew
    from barmodel_cli.sets import set_pictures, set_run
    from barmodel_cli.sets.set_text import content, show, show_lengths

    quick = [
        name
        for name, given in (
            ("--new", new), ("--next", bars_next), ("--retune", retune is not None),
            ("--lengths-only", lengths_only),
        )
        if given
    ]  # fmt: skip
    if len(quick) > 1:
        raise BadValue(f"{' and '.join(quick)} are different things to do; give one of them")
    if plot is not None and quick:
        raise BadValue(f"--plot draws the set once it is designed; leave it out with {quick[0]}")
    if new:
        _write_new(set_file)
        return
    usual = plan = _plan(set_file, unusual=unusual or bars_next or retune is not None)
    if bench is not None:
        plan = replace(plan, bench=read_air(bench, "--bench"))
    folder = into or set_file.with_name(_stem(set_file))
    if bars_next:
        _next(plan, folder, set_file, bench, as_json)
        return
    # processes are begun before anything here starts a thread
    with crew(cores) as hands:
        if retune is not None:
            _retune(plan, folder, retune, cutter, hands, as_json)
            return
        if lengths_only:
            blueprint = set_run.lengths_kept(folder, plan, afresh=afresh) or _draw(
                plan, hands, begun_bars(folder, plan.semitones)
            )
            for text in plan.remarks:
                caution(text)
            if as_json:
                print_json("instrument", {"lengths": set_run.length_rows(blueprint)})
            else:
                show_lengths(blueprint)
            return
        result = _work(plan, usual, folder, hands, afresh=afresh, bring_over=bring_over)
    set_run.write_tables(result, folder)
    set_pictures.write_papers(result, folder / "papers.pdf")
    for path in (folder / "set.pdf", plot):
        if path is not None:
            set_pictures.draw(result, path)
    for text in result.cautions:
        caution(text)
    if as_json:
        print_json("instrument", content(result, folder))
    else:
        show(result, folder)


def _plan(set_file: Path, *, unusual: bool) -> SetPlan:
    """Read the set file, and refuse slips; where nothing is planned they do no harm."""
    from barmodel.files.set_file import plan_of, read_set_document
    from barmodel_cli.asked.set_slips import check_set

    document = read_set_document(set_file)
    if not unusual:
        check_set(document, set_file.name)
    return plan_of(document, file_name=set_file.name)


def _write_new(set_file: Path) -> None:
    """Write a set file to begin with; never over one that is there."""
    from importlib import resources

    from barmodel.atomic import write_atomically

    if set_file.exists():
        raise BadValue(f"{set_file} exists; name another, or edit that one")
    template = resources.files("barmodel").joinpath("data", "set_template.toml")
    write_atomically(set_file, template.read_text(encoding="utf-8"))
    print(
        f"wrote {set_file}: five made-up bars; edit it\n"
        f"next: barmodel instrument {set_file} --lengths-only"
    )


def _next(plan: SetPlan, folder: Path, set_file: Path, bench: str | None, as_json: bool) -> None:
    """Tell which bar is next."""
    from barmodel.files.set_folder import read_set_folder
    from barmodel.files.set_work import targets_of
    from barmodel_cli.sets import set_bench

    found = read_set_folder(folder)
    if found is None:
        raise BadValue(f"{folder} holds no set yet; run: barmodel instrument {set_file}")
    undone = len(plan.semitones) - len(found.order)
    gone = [note for note in found.order if not found.there(note)]
    if undone > 0 or gone:
        lacking = f"{undone} of its notes" if undone > 0 else f"the bar files of {' '.join(gone)}"
        caution(f"the set lacks {lacking}; run: barmodel instrument {set_file}")
    bars = set_bench.progress_of(found, bench, targets_of(plan))
    if as_json:
        print_json("instrument", set_bench.progress_content(bars, found))
    else:
        set_bench.show_progress(bars, found)


def _retune(
    plan: SetPlan, folder: Path, readings: Path, cutter: str, hands: Crew, as_json: bool
) -> None:
    from barmodel.undercut.cutters import find_cutter
    from barmodel_cli.sets import set_retune

    jobs, lost = set_retune.jobs_of(plan, folder, readings, find_cutter(cutter))
    with progress("retuning", len(jobs)) as step:
        results = set_retune.work(jobs, hands.map, step)
    set_retune.tell([*results, *lost], folder, plan, as_json=as_json)


def _stem(path: Path) -> str:
    return path.name.removesuffix(".toml").removesuffix(".set") or "set"


def _draw(plan: SetPlan, hands: Crew, begun: dict[int, Begun]) -> Blueprint:
    from barmodel.instrument import draw_blueprint

    with progress("choosing lengths"):
        return draw_blueprint(plan, hands.map, begun)


def _work(
    plan: SetPlan, usual: SetPlan, folder: Path, hands: Crew, *, afresh: bool, bring_over: bool
) -> SetRun:
    """Design what is not designed yet, keeping every bar as soon as it is done.

    The folder keeps the air of the `usual` plan; another at the bench is for this once.
    """
    from barmodel_cli.sets import set_run

    with set_run.opened(folder, afresh=afresh, bring_over=bring_over) as work:
        work.note_plan(usual)
        drawn = work.blueprint(plan) or work.keep(_draw(plan, hands, work.begun(plan)))
        first = drawn.pilots
        others = [note for note in plan.semitones if note not in first]
        pilots, tasks = work.missing(drawn, first), work.missing(work.led(drawn), others)
        with progress("designing", len(pilots) + len(tasks)) as step:
            for outcome in hands.each(set_run.design, pilots):
                work.add(drawn, outcome)
                step()
            led = work.led(drawn)
            tasks = work.missing(led, others)
            for outcome in hands.each(set_run.design, tasks):
                work.add(led, outcome)
                step()
        return work.finished(led, designed_now=len(pilots) + len(tasks))
