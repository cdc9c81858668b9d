"""`barmodel cut`."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked import cutting
from barmodel_cli.asked.cut_doubts import (
    check_bar,
    check_centimetres,
    check_place,
    far_from_told,
    flat_by_a_round_tool,
    made_before,
    over_a_wall,
    recorded_as,
    twin_of,
)
from barmodel_cli.asked.keeping import Least, least_kept
from barmodel_cli.asked.measured import measured_depth
from barmodel_cli.asked.options import BadValue, BarFile, Json, length_option, made
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, print_json

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument, CutEntry, CutMade


def run(
    bar_file: BarFile,
    at: cutting.At = None,
    start: cutting.From = None,
    end: cutting.To = None,
    width: cutting.Width = None,
    depth: cutting.Depth = None,
    cutter: cutting.CutterName = None,
    cutters: cutting.CuttersPath = None,
    one_side: cutting.OneSide = False,
    ends: cutting.Ends = None,
    entries: cutting.EntriesPath = None,
    designed: Annotated[
        bool, typer.Option("--designed", help="The design in the file, all of it or --part.")
    ] = False,
    part: Annotated[
        list[int] | None,
        typer.Option(
            "--part",
            min=1,
            help="With --designed or --entries: only this entry of it, from 1; repeat.",
        ),
    ] = None,
    tool: Annotated[
        str | None,
        typer.Option(help="What it was cut with, as a remark; --cutter tells the shape."),
    ] = None,
    date: Annotated[str | None, typer.Option(help="When, as 2026-05-31 14:30; now if not.")] = None,
    measured: Annotated[
        float | None, length_option("--measured-depth", help="Depth found afterwards.")
    ] = None,
    remains: Annotated[
        float | None,
        length_option(
            "--remains",
            help="Thickness found afterwards, where the cut left least; instead of its depth.",
        ),
    ] = None,
    remark: Annotated[str | None, typer.Option(help="Anything worth keeping.")] = None,
    keep: cutting.Keep = None,
    happened: Annotated[
        bool,
        typer.Option(
            "--happened", help="It was cut all the same: record it although too little remains."
        ),
    ] = False,
    unusual: cutting.OtherBar = False,
    as_json: Json = False,
) -> None:
    """Record a cut that was made. Nothing is computed; see `try` for what it does.

    Example: barmodel cut G3 --from 95 --to 305 --depth 5 --tool router
    """
    from barmodel.files import append_entries, bar_as_is, read_bar_file, read_cut_file
    from barmodel_cli.shown.cut_words import made_in_words

    document = read_bar_file(bar_file)
    planned = None if entries is None else read_cut_file(entries)
    if not unusual:
        check_bar(document, planned, entries)
    bar = bar_as_is(document)
    own = cutting.own_cutters(bar_file, cutters)
    words = cutting.CutWords(at, start, end, width, depth, cutter, one_side, ends, planned, own)
    made = _entries(document, words, bar, designed, part)
    measured = measured_depth(bar, made, depth_mm=measured, remains_mm=remains)
    entry = _record(made, tool=tool or cutter, date=date, measured=measured, remark=remark)
    twin, used = twin_of(document, made), recorded_as(document, planned)
    if not happened:
        check_place(document, bar, made)
        check_centimetres(document, bar, words, made)
    again = ""
    if twin is not None:
        again = f"It is like entry {twin}, with no reading between: recorded already?"
    elif used is not None:
        again = f"{entries} was recorded as entry {used}: a second time?"
    after = _bar_after(bar, entry, least_kept(document, keep), happened=happened, again=again)
    written = append_entries(bar_file, entry)
    number = written.log[-1].id
    least, place = after.profile.least_thickness()
    if warning := over_a_wall(bar, made):
        caution(warning)
    if warning := far_from_told(made, measured):
        caution(warning)
    if warning := flat_by_a_round_tool(words, tool):
        caution(f"{warning}; to take this back: barmodel log {bar_file} --cancel {number}")
    if twin is not None:
        caution(
            f"like entry {twin}, and nothing was heard between; recorded twice? To take it back: "
            f"barmodel log {bar_file} --cancel {number}"
        )
    elif used is not None:
        caution(
            f"{entries} was recorded already, as entry {used}; if it was not cut a second time: "
            f"barmodel log {bar_file} --cancel {number}"
        )
    elif planned and entries and (warning := made_before(document, planned, entries)):
        caution(warning)
    if as_json:
        content: dict[str, Any] = {
            "entry": number,
            "cut": [item.model_dump(mode="json") for item in made],
            "minimum_thickness_mm": least * 1e3,
            "thinnest_at_mm": place * 1e3,
        }
        print_json("cut", content)
    else:
        told = made_in_words(entry, bar.blank.length * 1e3)
        print(f"recorded as entry {number} of {written.name}: {told}")
        print(f"thinnest now, by the depths told: {least * 1e3:.2f} mm at {place * 1e3:.1f} mm")
        say(f"next: let the bar cool, strike it, barmodel hear STRIKE.wav --into {bar_file}")


def _bar_after(bar: Bar, entry: CutMade, least: Least, *, happened: bool, again: str) -> Bar:
    """Return the bar after the cut; refuse one that cannot be, or that nobody says was made."""
    from barmodel.cuts import apply_cuts
    from barmodel.errors import GeometryError
    from barmodel.files import entries_made, with_entries_cut

    made = entries_made(entry)
    if happened:
        return with_entries_cut(bar, made)
    try:
        with least.told():
            return apply_cuts(bar, cutting.to_cuts(made), keep=least.keep)
    except GeometryError as error:
        told = f"{error}. {again}" if again else str(error)
        try:
            with_entries_cut(bar, made)
        except GeometryError:  # no such bar can be
            raise GeometryError(told) from None
        end = "" if told.endswith("?") else "."
        raise GeometryError(
            f"{told}{end} If it was cut all the same, record it with --happened"
        ) from None


def _entries(
    document: BarDocument,
    words: cutting.CutWords,
    bar: Bar,
    designed: bool,
    part: list[int] | None,
) -> tuple[CutEntry, ...]:
    if not designed:
        if part and words.entries is None:
            raise BadValue("--part chooses from the design or a file; say --designed or --entries")
        return _parts(words.to_entries(bar), part, "file")
    from barmodel.files import bar_as_designed, entries_of

    if words.said or words.sized:
        raise BadValue(
            "--designed is the whole cut; leave --at, --from, --width, --depth, --one-side, --ends "
            "and --entries out (--part chooses from it)"
        )
    if not document.design:
        raise BadValue("the file holds no design; find one with: barmodel design --save")
    return _parts(entries_of(bar_as_designed(document).undercut), part, "design")


def _parts(entries: Sequence[CutEntry], part: list[int] | None, what: str) -> tuple[CutEntry, ...]:
    """Entries that were chosen; all of them where none was."""
    if part and max(part) > len(entries):
        raise BadValue(f"--part {max(part)}: the {what} has {len(entries)} entries")
    return tuple(entries[k - 1] for k in part) if part else tuple(entries)


def _record(
    entries: tuple[CutEntry, ...],
    *,
    tool: str | None,
    date: str | None,
    measured: float | None,
    remark: str | None,
) -> CutMade:
    from barmodel.files import CutMade

    told = {"tool": tool, "measured_depth_mm": measured, "remark": remark}
    told |= {} if date is None else {"date": date}
    return made("this cut", CutMade, entries=entries, **told)
