"""`barmodel next`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from barmodel_cli.asked import cutting
from barmodel_cli.asked.keeping import least_kept
from barmodel_cli.asked.options import (
    BadValue,
    BarFile,
    Json,
    length_option,
    number_option,
    output_path,
    read_number,
)
from barmodel_cli.bench.season import Bench, Room
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, print_json, progress

if TYPE_CHECKING:
    from barmodel.bench import Advice, Goal
    from barmodel.files import BarDocument
    from barmodel.undercut.cutters import Cutter

HIGHEST_RISK = 0.5


def run(
    bar_file: BarFile,
    risk: Annotated[
        float | None,
        number_option(
            "--risk", help="Chance of a mode ending flat that a cut may run (0.05).", positive=True
        ),
    ] = None,
    cutter: Annotated[
        list[str] | None,
        typer.Option(
            "--cutter",
            metavar="NAME",
            help="A cutter at hand; repeat for each. Without it those of cutters.toml, or file10, "
            f"scraper20, scraper40 and drum40. {cutting.SIZES}.",
            show_default=False,
        ),
    ] = None,
    cutters: cutting.CuttersPath = None,
    tolerance: Annotated[
        str | None,
        typer.Option(
            metavar="SHARP:FLAT,…",
            help="Cents each tuned mode may end sharp and flat (3:1,6:3,15:10).",
            show_default=False,
        ),
    ] = None,
    keep: cutting.Keep = None,
    save: Annotated[
        Path | None,
        typer.Option(
            "--save",
            metavar="FILE",
            parser=output_path,
            help="Write the cut to a file, to be recorded once made: cut BARFILE --entries FILE.",
        ),
    ] = None,
    holes: Annotated[
        float | None,
        length_option(
            "--holes",
            help="Diameter of cord holes still to be drilled, as 6.4, for this once, instead of "
            "what the bar file tells; 0 for none. Drilled ones are in the readings.",
        ),
    ] = None,
    room: Room = None,
    bench: Bench = None,
    as_json: Json = False,
) -> None:
    """The next cut: where, how long, how deep, what it does, and whether the bar can be finished.

    It starts from all that was heard and cut so far. Nothing is recorded; make the cut, record
    it with `cut`, strike the bar again.

    Example: barmodel next G3 --cutter scraper20 --cutter drum40
    """
    from barmodel.bench import advise
    from barmodel.errors import NoSolutionError
    from barmodel.files import bar_as_designed, read_bar_file
    from barmodel_cli.bench.advice_json import cautions_of, content_of, write_cut
    from barmodel_cli.bench.advice_text import show_advice
    from barmodel_cli.bench.cords import drill_when, reminder
    from barmodel_cli.bench.history import belief_of, history_of
    from barmodel_cli.bench.today import print_why, today_of
    from barmodel_cli.bench.untold import with_drilling_first
    from barmodel_cli.sets.set_bench import next_of_set, off_its_set, print_next_of_set

    document = read_bar_file(bar_file)
    today = today_of(document, bar_file, room=room, bench=bench, holes_mm=holes, told=True)
    goal, belief = today.aimed(_goal(document, risk, tolerance), belief_of(document))
    tools, least = _tools(bar_file, cutter, cutters), least_kept(document, keep)
    with progress("weighing cuts"), least.told():
        try:
            found = advise(
                history_of(document, today.water_percent),
                goal,
                cutters=tools,
                design=bar_as_designed(document).undercut if document.design else None,
                belief=belief,
                keep=least.keep,
            )
        except NoSolutionError as error:  # the library knows no file
            named = NoSolutionError(str(error).replace("BARFILE", str(bar_file)))
            raise named.if_thinner(error.too_thin) from None
    found = with_drilling_first(found, today.holes)
    if save is not None and found.cuts:
        write_cut(save, document, found)
    off = off_its_set(document, bar_file)
    for warning in (*([off] if off else []), *cautions_of(document, bar_file, found)):
        caution(warning)
    if as_json:
        content = content_of(document, bar_file, found) | next_of_set(bar_file, found.state)
        print_json("next", content | {"keep_mm": least.mm} | today.content)
    else:
        show_advice(document, bar_file, found, least, save, holes=today.holes)
        print_why("the aim counts with this", *today.why)
        if today.holes is not None:
            print(drill_when(found.state, asked=holes is not None))
        elif holes is None and (told := reminder(document, found, bar_file)):
            print(told)
        print_next_of_set(bar_file, found.state)
    if save is not None:
        say(_saved(save, found))


def _goal(document: BarDocument, risk: float | None, tolerance: str | None) -> Goal:
    from barmodel.bench import RISK, TOLERANCES, Goal
    from barmodel.files import target_of

    if risk is not None and risk >= HIGHEST_RISK:
        raise BadValue(f"--risk {risk:g}: give a share below {HIGHEST_RISK:g}, as 0.05")
    return Goal(
        target=target_of(document.target),
        tolerances=TOLERANCES if tolerance is None else _tolerances(tolerance),
        risk=RISK if risk is None else risk,
    )


def _tolerances(text: str) -> tuple[tuple[float, float], ...]:
    """Read `3:1,6:3` as cents sharp and flat of each mode."""
    out = []
    for part in text.replace("+", "").replace("-", "").split(","):
        words = part.replace("/", ":").split(":")
        if len(words) not in (1, 2) or "" in words:
            raise BadValue(
                f"--tolerance {text!r}: write cents sharp and flat of each mode, as 3:1,6:3,15:10"
            )
        numbers = [abs(read_number(word)) for word in words]
        out.append((numbers[0], numbers[-1]))
    return tuple(out)


def _tools(bar_file: Path, names: list[str] | None, cutters: Path | None) -> tuple[Cutter, ...]:
    from barmodel.undercut.cutters import find_cutter

    own = cutting.own_cutters(bar_file, cutters)
    if names:
        return tuple(find_cutter(name, own) for name in names)
    return tuple(own.values())


def _saved(path: Path, found: Advice) -> str:
    """Say what was written to the file of the cut, or that nothing was."""
    if not found.cuts:
        old = f"; what {path} holds is an earlier cut, do not use it" if path.exists() else ""
        return f"not saved: there is no cut to make now, so no file was written{old}"
    count = "one entry" if len(found.cuts) == 1 else f"{len(found.cuts)} entries"
    later = found.state == "rescue" and found.rescues[0].then
    rest = "; the cuts afterwards are not in it" if later else ""
    return f"saved: {path} holds the cut above, {count}{rest}"
