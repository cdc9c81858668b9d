"""`barmodel log`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked.aims import TARGET, aim_asked, check_aim
from barmodel_cli.asked.options import (
    BadValue,
    BarFile,
    Json,
    Plot,
    length_option,
    made,
    number_option,
)
from barmodel_cli.asked.plausible import Unusual
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, cents_text, print_json, print_table
from barmodel_cli.shown.steps import next_step

if TYPE_CHECKING:
    from barmodel.files import AnyEntry, BarDocument, Cancellation, NewAim, TargetPart
    from barmodel_cli.bench.today import Today


def run(
    bar_file: BarFile,
    cancel: Annotated[
        int | None,
        typer.Option(metavar="NUMBER", help="Record that this entry was a mistake."),
    ] = None,
    note: Annotated[
        str | None,
        typer.Option("--note", help="Note to tune to from now on.", rich_help_panel=TARGET),
    ] = None,
    a4: Annotated[
        float | None, number_option("--a4", help="Pitch of A4 from now on. [Hz]", panel=TARGET)
    ] = None,
    ratios: Annotated[
        str | None,
        typer.Option(
            "--ratios", help="Tuned modes over the first from now on.", rich_help_panel=TARGET
        ),
    ] = None,
    offset: Annotated[
        float | None,
        number_option(
            "--offset", help="Cents to tune sharp (+) or flat (−) from now on.", panel=TARGET
        ),
    ] = None,
    remark: Annotated[
        str | None, typer.Option(help="Why it was cancelled, or has another aim.")
    ] = None,
    holes: Annotated[
        float | None,
        length_option(
            "--holes",
            help="Note that two cord holes of this diameter are still to be drilled, at the nodes: "
            "every command leaves for them until `hear --drilled`. 0 for none.",
        ),
    ] = None,
    unusual: Unusual = False,
    as_json: Json = False,
    plot: Plot = None,
) -> None:
    """History of the bar: readings in cents from what it was to be, cuts, what was cancelled.

    Nothing is ever removed: a mistake stays in the file and no longer counts. A bar that is to
    become another note, or is wanted at another A4, goes on from here: --note F#3, --a4 443.

    Example: barmodel log G3 --cancel 4 --remark "wrong bar"
    """
    from barmodel.files import Cancellation, NewAim, read_bar_file, target_of, update_bar_file
    from barmodel_cli.bench.aim_text import since_heard, what_follows
    from barmodel_cli.bench.log_picture import draw_log, something_to_draw
    from barmodel_cli.bench.season import rooms_of
    from barmodel_cli.bench.today import today_of, todays_of
    from barmodel_cli.sets.set_bench import off_its_set

    document = read_bar_file(bar_file)
    before = document.target
    wanted = aim_asked(document, note=note, a4=a4, ratios=ratios, offset=offset)
    entry: Cancellation | NewAim | None = None
    if wanted is not None:
        if cancel is not None:
            raise BadValue("--cancel and another aim are two entries of the log; give one of them")
        if not unusual:
            check_aim(document, wanted)
        entry = made("aim", NewAim, target=wanted, remark=remark)
    if cancel is not None:
        entry = made("--cancel", Cancellation, entry=cancel, remark=remark)
    if plot is not None:
        something_to_draw(document, without=cancel)
    if holes is not None:
        _check_no_set(document, bar_file)
    if entry is not None or holes is not None:
        document = update_bar_file(
            bar_file, lambda there: _changed(there, entry, holes, bar_file.name)
        )
    if cancel is not None and (warning := _stands_on_it(bar_file, document, cancel)):
        caution(warning)
    if off := off_its_set(document, bar_file):
        caution(off)
    if document.target != before:
        for warning in what_follows(document, before, bar_file):
            caution(warning)
    rooms = rooms_of(bar_file)
    then, today = todays_of(document, rooms), today_of(document, bar_file, rooms=rooms)
    if plot is not None:
        draw_log(document, then, plot)
    if as_json:
        print_json("log", _content(document, then) | today.content)
    else:
        _show(document, then)
        if told := since_heard(document, then):
            print(f"\n{told}")
        if today:
            print()
            today.show(target_of(document.target))
        elif document.to_drill is not None and not document.shaped:
            print(
                f"\ntwo cord holes of {document.to_drill.diameter_mm:g} mm to come: what they do "
                "is told once there is a design"
            )
        say(f"next: {next_step(bar_file, document)}")


def _changed(
    document: BarDocument, entry: Cancellation | NewAim | None, holes_mm: float | None, name: str
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
    if found is not None and bar_file in map(found.bar_file, found.order):
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
    from barmodel_cli.bench.log_picture import cents_of

    targets, cancelled = document.targets, document.cancelled
    entries = []
    for entry in document.log:
        row = entry.model_dump(mode="json") | {"counts": entry.id not in cancelled}
        if entry.kind == "reading":
            row["cents"] = cents_of(entry, document.target)
            row["cents_that_day"] = cents_of(entry, targets[entry.id], then[entry.id])
        entries.append(row)
    return {
        "name": document.name,
        "plank": document.blank.plank,
        "target": document.target.model_dump(mode="json"),
        "target_hz": target_of(document.target).hz,
        "begun_for": document.begun_for.model_dump(mode="json"),
        "log": entries,
    }


def _show(document: BarDocument, then: dict[int, Today]) -> None:
    from barmodel.files import aim_in_words, target_of
    from barmodel_cli.bench.log_picture import home_of
    from barmodel_cli.shown.cut_words import lengths_mm

    wanted = ", ".join(f"{hz:.1f}" for hz in target_of(document.target).hz)
    begun = f"; begun for {aim_in_words(document.begun_for)}" if document.aims else ""
    told = aim_in_words(document.target) if begun else document.target.note
    of_plank = "" if document.blank.plank is None else f", of plank {document.blank.plank}"
    print(f"{document.name}{of_plank}, target {told}: {wanted} Hz{begun}")
    if not document.log:
        print("nothing was measured or cut yet")
        return
    lengths, targets, cancelled = lengths_mm(document), document.targets, document.cancelled
    rows = [
        (
            entry.id,
            entry.date[:16].replace("T", " "),
            entry.kind,
            _words(entry, targets[entry.id], lengths, then, counts=entry.id not in cancelled),
        )
        for entry in document.log
    ]
    print_table(
        ("no.", "date", "what", f"cents from {home_of(document, then)}, or what was cut"), rows
    )


def _words(
    entry: AnyEntry,
    target: TargetPart,
    lengths: dict[int, float],
    then: dict[int, Today],
    *,
    counts: bool,
) -> str:
    from barmodel_cli.bench.aim_text import aim_words
    from barmodel_cli.bench.log_picture import cents_of
    from barmodel_cli.shown.cut_words import made_in_words

    if entry.kind == "reading":
        cents = "  ".join(_short_cents(c) for c in cents_of(entry, target, then[entry.id]))
        hz = "  ".join("–" if hz is None else f"{hz:.1f}" for hz in entry.hz)
        text = f"{cents} cents   {hz} Hz"
        if entry.temperature_c is not None:
            text += f"   {entry.temperature_c:g} °C"
        if entry.moisture_percent is not None:
            text += f"   {entry.moisture_percent:.1f} % water"
        if entry.drilled:
            text += "   holes drilled before"
    elif entry.kind == "cut":
        text = made_in_words(entry, lengths[entry.id])
    elif entry.kind == "aim":
        text = aim_words(entry.target, target)
    else:
        text = f"of entry {entry.entry}"
    return ("" if counts else "cancelled: ") + text + (f"; {entry.remark}" if entry.remark else "")


def _short_cents(cents: float | None) -> str:
    """Cents, without decimals where they are far from home anyway."""
    if cents is None:
        return "–"
    return f"{cents:+.0f}" if abs(cents) >= 100.0 else cents_text(cents)
