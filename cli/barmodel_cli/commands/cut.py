"""`barmodel cut`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked import cutting
from barmodel_cli.asked.options import BadValue, BarFile, Json, length_option, made
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, print_json

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument, CutEntry, CutMade

DEEP_AT_ENDS = 1e-3
"""Deeper cuts outside the undercut are asked about; ends are thinned by tenths (own choice). [m]"""


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
        typer.Option("--part", min=1, help="With --designed: only this entry of it, from 1."),
    ] = None,
    tool: Annotated[str | None, typer.Option(help="What it was cut with.")] = None,
    date: Annotated[str | None, typer.Option(help="When, as 2026-05-31 14:30; now if not.")] = None,
    measured: Annotated[
        float | None, length_option("--measured-depth", help="Depth found afterwards.")
    ] = None,
    remark: Annotated[str | None, typer.Option(help="Anything worth keeping.")] = None,
    keep: cutting.Keep = None,
    happened: Annotated[
        bool,
        typer.Option(
            "--happened", help="It was cut all the same: record it although too little remains."
        ),
    ] = False,
    as_json: Json = False,
) -> None:
    """Record a cut that was made. Nothing is computed; see `try` for what it does.

    Example: barmodel cut G3 --from 95 --to 305 --depth 5 --tool router
    """
    from barmodel.files import append_entries, bar_as_is, read_bar_file
    from barmodel_cli.shown.cut_words import cut_in_words

    document = read_bar_file(bar_file)
    bar = bar_as_is(document)
    own = cutting.own_cutters(bar_file, cutters)
    words = cutting.CutWords(at, start, end, width, depth, cutter, one_side, ends, entries, own)
    made = _entries(document, words, bar, designed, part)
    entry = _record(made, tool=tool or cutter, date=date, measured=measured, remark=remark)
    twin = _twin(document, made)
    if not happened:
        _check_place(document, bar, made)
    after = _bar_after(bar, entry, cutting.least_kept(keep), happened=happened, twin=twin)
    written = append_entries(bar_file, entry)
    number = written.log[-1].id
    least, place = after.profile.least_thickness()
    if warning := _walls_crossed(bar, made):
        caution(warning)
    if warning := _far_from_told(made, measured):
        caution(warning)
    if twin is not None:
        caution(
            f"like entry {twin}, and nothing was heard between; recorded twice? To take it back: "
            f"barmodel log {bar_file} --cancel {number}"
        )
    if as_json:
        content: dict[str, Any] = {
            "entry": number,
            "cut": [item.model_dump(mode="json") for item in made],
            "minimum_thickness_mm": least * 1e3,
            "thinnest_at_mm": place * 1e3,
        }
        print_json("cut", content)
    else:
        told = cut_in_words(made, bar.blank.length * 1e3)
        print(f"recorded as entry {number} of {written.name}: {told}")
        print(f"thinnest now, by the depths told: {least * 1e3:.2f} mm at {place * 1e3:.1f} mm")
        say(f"next: let the bar cool, strike it, barmodel hear STRIKE.wav --into {bar_file}")


def _check_place(document: BarDocument, bar: Bar, made: tuple[CutEntry, ...]) -> None:
    """Refuse a deep cut in the ends that the undercut leaves alone; centimetres make such."""
    from barmodel.cuts import EndTrim
    from barmodel.files import bar_as_designed
    from barmodel.undercut.outline import cut_span
    from barmodel.units import MM

    aims = [bar] + ([bar_as_designed(document)] if document.design else [])
    spans = [span for aim in aims if (span := cut_span(aim.profile))]
    if not spans:
        return
    first, last = min(span[0] for span in spans), max(span[1] for span in spans)
    for cut in cutting.to_cuts(made):
        if isinstance(cut, EndTrim) or cut.deepest <= DEEP_AT_ENDS:
            continue
        start, end = cut.extent
        if end <= first or start >= last:
            raise BadValue(
                f"{(start + end) / 2 / MM:g} mm from the left end lies outside the undercut "
                f"({first / MM:.1f} to {last / MM:.1f} mm), where nothing as deep as "
                f"{cut.deepest / MM:g} mm is usual: were centimetres meant? If it was cut so, "
                "record it with --happened"
            )


def _walls_crossed(bar: Bar, made: tuple[CutEntry, ...]) -> str | None:
    """A cut over a wall: no cutter follows that, so the places may be told wrongly."""
    from barmodel.cuts import EndTrim, apply_cuts, walls_crossed
    from barmodel.units import MM

    for cut in cutting.to_cuts(made):
        walls = () if isinstance(cut, EndTrim) else walls_crossed(bar, cut)
        if walls:
            places = ", ".join(f"{wall / MM:.1f}" for wall in walls)
            return (
                f"the cut lies across a wall of the underside, at x = {places} mm, which no cutter "
                "follows: check its place and width"
            )
        bar = apply_cuts(bar, [cut], check=False)
    return None


def _far_from_told(made: tuple[CutEntry, ...], measured: float | None) -> str | None:
    """A measured depth so far from the one told that one of them may be a slip. [mm]"""
    told = getattr(made[0], "depth_mm", None)
    if measured is None or not isinstance(told, float) or abs(measured - told) <= 0.3 + 0.2 * told:
        return None
    return (
        f"measured {measured:g} mm where {told:g} mm was told: the measured depth counts; check "
        "the zero of the gauge"
    )


def _twin(document: BarDocument, made: tuple[CutEntry, ...]) -> int | None:
    """Number of a cut just like this one that was recorded since the last reading."""
    for entry in reversed(document.valid_log):
        if entry.kind != "cut":
            return None
        if entry.entries == made:
            return entry.id
    return None


def _bar_after(
    bar: Bar, entry: CutMade, keep: float, *, happened: bool, twin: int | None = None
) -> Bar:
    """Return the bar after the cut; refuse one that cannot be, or that nobody says was made."""
    from barmodel.cuts import apply_cuts
    from barmodel.errors import GeometryError
    from barmodel.files import entries_made, with_entries_cut

    made = entries_made(entry)
    if happened:
        return with_entries_cut(bar, made)
    try:
        return apply_cuts(bar, cutting.to_cuts(made), keep=keep)
    except GeometryError as error:
        told = str(error)
        if twin is not None:
            told += f". It is like entry {twin}, with no reading between: recorded already?"
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
        if part:
            raise BadValue("--part chooses from the design; say --designed as well")
        return words.to_entries(bar)
    from barmodel.files import bar_as_designed, entries_of

    if words.said or words.sized:
        raise BadValue(
            "--designed is the whole cut; leave --at, --from, --width, --depth, --one-side, --ends "
            "and --entries out (--part chooses from it)"
        )
    if not document.design:
        raise BadValue("the file holds no design; find one with: barmodel design --save")
    design = entries_of(bar_as_designed(document).undercut)
    if part and max(part) > len(design):
        raise BadValue(f"--part {max(part)}: the design has {len(design)} entries")
    return tuple(design[k - 1] for k in part) if part else design


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
