"""`barmodel log`."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.options import BadValue, BarFile, Json, Plot, length_option, made
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, cents_text, print_json, print_table
from barmodel_cli.shown.steps import next_step

if TYPE_CHECKING:
    from barmodel.files import AnyEntry, BarDocument, Cancellation, Reading
    from barmodel.pitch import Target
    from barmodel_cli.bench.today import Today


def run(
    bar_file: BarFile,
    cancel: Annotated[
        int | None,
        typer.Option(metavar="NUMBER", help="Record that this entry was a mistake."),
    ] = None,
    remark: Annotated[str | None, typer.Option(help="Why it was cancelled.")] = None,
    holes: Annotated[
        float | None,
        length_option(
            "--holes",
            help="Note that two cord holes of this diameter are still to be drilled, at the nodes: "
            "every command leaves for them until `hear --drilled`. 0 for none.",
        ),
    ] = None,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """History of the bar: readings in cents from the target, cuts, what was cancelled.

    Nothing is ever removed: a mistake stays in the file and no longer counts.

    Example: barmodel log G3 --cancel 4 --remark "wrong bar"
    """
    from barmodel.files import Cancellation, read_bar_file, target_of, update_bar_file
    from barmodel_cli.bench.season import rooms_of
    from barmodel_cli.bench.today import today_of, todays_of

    document = read_bar_file(bar_file)
    entry = None
    if cancel is not None:
        entry = made("--cancel", Cancellation, entry=cancel, remark=remark)
        if plot is not None:
            _something_to_draw(document, without=cancel)
    if holes is not None:
        _check_no_set(document, bar_file)
    if entry is not None or holes is not None:
        document = update_bar_file(
            bar_file, lambda there: _changed(there, entry, holes, bar_file.name)
        )
    if entry is not None and (warning := _stands_on_it(bar_file, document, entry.entry)):
        caution(warning)
    rooms = rooms_of(bar_file)
    then, today = todays_of(document, rooms), today_of(document, bar_file, rooms=rooms)
    if plot is not None:
        _draw(document, then, plot)
    if as_json:
        print_json("log", _content(document, then) | today.content)
    else:
        _show(document, then)
        if told := today.words(target_of(document.target)):
            print(f"\n{told}")
        elif document.to_drill is not None and not document.shaped:
            print(
                f"\ntwo cord holes of {document.to_drill.diameter_mm:g} mm to come: what they do "
                "is told once there is a design"
            )
        say(f"next: {next_step(bar_file, document)}")


def _changed(
    document: BarDocument, entry: Cancellation | None, holes_mm: float | None, name: str
) -> BarDocument:
    """What is to be written, all or nothing of it."""
    from barmodel.files import appended
    from barmodel_cli.bench.cords import with_holes

    if entry is not None:
        document = appended(document, entry, name=name)
    return document if holes_mm is None else with_holes(document, holes_mm)


def _check_no_set(document: BarDocument, bar_file: Path) -> None:
    """Refuse to note holes of a bar whose set has them on its cords."""
    from barmodel.files.set_folder import read_set_folder

    found = read_set_folder(bar_file.parent)
    if found is not None and document.name in found.order:
        raise BadValue(
            f"--holes: the holes of {document.name} are on the cords of its set; change "
            "hole_diameter_mm in the set file, and run barmodel instrument. `next --holes` asks "
            "for once"
        )


def _stands_on_it(path: Path, document: BarDocument, number: int) -> str | None:
    """What came after a cancelled cut and now counts as if it had never been made."""
    from barmodel_cli.shown.cut_words import as_command, lengths_mm

    cut = document.log[number - 1]
    later = [f"{entry.id} ({entry.kind})" for entry in document.valid_log if entry.id > number]
    if cut.kind != "cut" or not later:
        return None
    if twin := _twin_of(document, number):
        return f"cut {number} no longer counts; entry {twin}, which is like it, still does"
    words = as_command(cut.entries, lengths_mm(document)[number])
    again = f"barmodel cut {path} {words}" if words else f"barmodel cut {path} --entries FILE"
    return (
        f"cut {number} no longer counts, but entries {', '.join(later)} came after it and now "
        f"stand on a bar without it. If the wood is gone all the same, record it again: {again}; "
        "it then comes last, so cancel and record the later readings anew as well, in their order"
    )


def _twin_of(document: BarDocument, number: int) -> int | None:
    """A cut like one that was just cancelled, with nothing heard between; it still counts."""
    from barmodel_cli.bench.history import twins_of

    before = document.model_copy(update={"log": document.log[:-1]})
    for pair in twins_of(before):
        if number in (pair.first, pair.second):
            return pair.first if number == pair.second else pair.second
    return None


def _content(document: BarDocument, then: dict[int, Today]) -> dict[str, Any]:
    from barmodel.files import target_of

    target = target_of(document.target)
    counted = _counted(document)
    entries = []
    for entry in document.log:
        row = entry.model_dump(mode="json") | {"counts": entry.id in counted}
        if entry.kind == "reading":
            row["cents"] = _cents(entry, target)
            row["cents_that_day"] = _cents(entry, target, then[entry.id])
        entries.append(row)
    return {
        "name": document.name,
        "plank": document.blank.plank,
        "target_hz": target.hz,
        "log": entries,
    }


def _counted(document: BarDocument) -> set[int]:
    """Numbers of the entries that were not cancelled."""
    cancelled = {entry.entry for entry in document.log if entry.kind == "cancel"}
    return {entry.id for entry in document.log} - cancelled


def _show(document: BarDocument, then: dict[int, Today]) -> None:
    from barmodel.files import target_of
    from barmodel_cli.shown.cut_words import lengths_mm

    target = target_of(document.target)
    counted = _counted(document)
    wanted = ", ".join(f"{hz:.1f}" for hz in target.hz)
    of_plank = "" if document.blank.plank is None else f", of plank {document.blank.plank}"
    print(f"{document.name}{of_plank}, target {document.target.note}: {wanted} Hz")
    if not document.log:
        print("nothing was measured or cut yet")
        return
    lengths = lengths_mm(document)
    rows = [
        (
            entry.id,
            entry.date[:16].replace("T", " "),
            entry.kind,
            _words(entry, target, lengths, then, counts=entry.id in counted),
        )
        for entry in document.log
    ]
    print_table(("no.", "date", "what", f"cents from {_home(then)}, or what was cut"), rows)


def _home(then: dict[int, Today]) -> str:
    """What cents of the readings count from."""
    return "what it was to be that day" if any(then.values()) else "the target"


def _words(
    entry: AnyEntry,
    target: Target,
    lengths: dict[int, float],
    then: dict[int, Today],
    *,
    counts: bool,
) -> str:
    from barmodel_cli.shown.cut_words import made_in_words

    if entry.kind == "reading":
        cents = "  ".join(_short_cents(c) for c in _cents(entry, target, then[entry.id]))
        hz = "  ".join("–" if hz is None else f"{hz:.1f}" for hz in entry.hz)
        text = f"{cents} cents   {hz} Hz"
        if entry.temperature_c is not None:
            text += f"   {entry.temperature_c:g} °C"
        if entry.drilled:
            text += "   holes drilled before"
    elif entry.kind == "cut":
        text = made_in_words(entry, lengths[entry.id])
    else:
        text = f"of entry {entry.entry}"
    return ("" if counts else "cancelled: ") + text + (f"; {entry.remark}" if entry.remark else "")


def _short_cents(cents: float | None) -> str:
    """Cents, without decimals where they are far from home anyway."""
    if cents is None:
        return "–"
    return f"{cents:+.0f}" if abs(cents) >= 100.0 else cents_text(cents)


def _cents(reading: Reading, target: Target, then: Today | None = None) -> list[float | None]:
    """Cents of each tuned mode from its target, or from what it was to be that day."""
    from barmodel_cli.bench.today import cents_from

    cents = cents_from(reading.hz, target) if then is None else then.away(reading.hz, target)
    return [None if math.isnan(c) else float(c) for c in cents]


def _something_to_draw(document: BarDocument, *, without: int | None = None) -> None:
    """Refuse a picture of no reading, before anything is done."""
    from barmodel.errors import InputError

    if not [reading for reading in document.readings if reading.id != without]:
        raise InputError(
            f"{document.name}: there is no reading to draw{' then' if without else ' yet'}; strike "
            "the bar and record it with barmodel hear"
        )


def _draw(document: BarDocument, then: dict[int, Today], path: Path) -> None:
    import numpy as np

    from barmodel.files import target_of
    from barmodel.plots import save_figure
    from barmodel.plots.history import draw_history

    _something_to_draw(document)
    target = target_of(document.target)
    rows, labels, cuts, day = [], [], 0, ""
    for entry in document.valid_log:
        if entry.kind == "cut":
            cuts += 1
            continue
        row = [math.nan if c is None else c for c in _cents(entry, target, then[entry.id])]
        rows.append(row + [math.nan] * (len(target.ratios) - len(row)))
        after = {0: "", 1: "after a cut"}.get(cuts, f"after {cuts} cuts")
        warmth = "" if entry.temperature_c is None else f"{entry.temperature_c:g} °C"
        date = "" if entry.date[:10] == day else entry.date[:10]  # once for each day
        labels.append("\n".join(part for part in (f"no. {entry.id}", date, warmth, after) if part))
        cuts, day = 0, entry.date[:10]
    history = draw_history(np.array(rows), labels, home=_home(then), title=document.name)
    save_figure(history, path)
