"""`barmodel try`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.asked import cutting
from barmodel_cli.asked.cut_doubts import in_centimetres, made_before, of_another_bar
from barmodel_cli.asked.keeping import least_kept
from barmodel_cli.asked.options import BarFile, Json, Model, choice_option
from barmodel_cli.bench.history import last_heard, print_heard
from barmodel_cli.bench.today import today_of
from barmodel_cli.exits import say
from barmodel_cli.shown.show import caution, cents_text, hz_text, print_json, print_table, progress

if TYPE_CHECKING:
    from barmodel.bench import Standing
    from barmodel.cutmap import Prediction
    from barmodel.files import BarDocument, CutEntry
    from barmodel_cli.bench.today import Today


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
    keep: cutting.Keep = None,
    torsion: Annotated[
        bool, typer.Option("--torsion", help="Torsional and lateral modes as well; slower.")
    ] = False,
    model: Annotated[
        Model,
        choice_option(
            Model, "--model", help="best: most accurate; beam: quick, blind to the cutter."
        ),
    ] = Model.BEST,
    as_json: Json = False,
) -> None:
    """What a cut would do to the bar as it is; nothing is recorded.

    Example: barmodel try G3 --at 200 --width 12 --depth 0.3
    """
    from barmodel.cutmap import predict
    from barmodel.files import bar_as_is, read_bar_file, read_cut_file, target_of
    from barmodel_cli.shown.cut_words import as_command, cut_in_words

    document = read_bar_file(bar_file)
    planned = None if entries is None else read_cut_file(entries)
    bar = bar_as_is(document)
    own = cutting.own_cutters(bar_file, cutters)
    words = cutting.CutWords(at, start, end, width, depth, cutter, one_side, ends, planned, own)
    made = words.to_entries(bar)
    today = today_of(document, bar_file)
    least = least_kept(document, keep)
    with progress("solving"), least.told():
        found = predict(
            bar,
            cutting.to_cuts(made),
            model=model.value,
            count=max(3, len(document.target.ratios)),
            families=("bending", "torsion") if torsion else ("bending",),
            keep=least.keep,
        )
        before = found.before.bending_hz
        known = {bar: before}
        stands = last_heard(
            document, today.water_percent, count=before.size, known=known, model=model.value
        )
    flat = _flat_after(document, found, stands, today)
    doubt = in_centimetres(document, bar, words, made)
    if planned is not None and entries is not None:  # nothing is recorded: a word will do
        doubt = of_another_bar(document, planned, entries) or made_before(
            document, planned, entries
        )
    for warning in (*found.after.warnings, flat, doubt):
        if warning:
            caution(warning)
    if as_json:
        content = _content(document, made, found, stands)
        print_json("try", content | today.content)
    else:
        print(f"tried: {cut_in_words(made, bar.blank.length * 1e3)}")
        _show(document, found, stands, today)
        today.show(target_of(document.target))
        length_mm = bar.blank.length * 1e3
        options = as_command(made, length_mm) or "with the same options"
        if entries is not None:
            options = f"--entries {entries}"
        step = f"if it is worth making, make it, then barmodel cut {bar_file} {options}"
        step += least.option
        say(f"next: {'try less' if flat else step}")


def _flat_after(
    document: BarDocument, found: Prediction, stands: Standing | None, today: Today
) -> str | None:
    """What the cut would leave flat, by the last reading; None where that is nothing."""
    from barmodel.files import target_of
    from barmodel.tolerance import TOLERANCE_CENTS

    if stands is None:
        return None
    target = target_of(document.target)
    then = today.away(stands.expected(found.after.bending_hz).tolist(), target)
    low = [f"mode {k + 1} {cents:+.0f}" for k, cents in enumerate(then)
           if cents < TOLERANCE_CENTS[min(k, 3)][0]]  # fmt: skip
    if not low:
        return None
    return f"it would leave {', '.join(low)} cents flat, and wood cannot be put back"


def _content(
    document: BarDocument,
    entries: tuple[CutEntry, ...],
    found: Prediction,
    stands: Standing | None,
) -> dict[str, Any]:
    from barmodel.files import target_of

    target = target_of(document.target)
    expected = None if stands is None else stands.expected(found.after.bending_hz)
    return {
        "cut": [entry.model_dump(mode="json") for entry in entries],
        "before_hz": found.before.bending_hz,
        "after_hz": found.after.bending_hz,
        "shift_cents": found.shift_cents,
        "cents": target.cents(found.after.bending_hz),
        "heard_hz": None if stands is None else stands.heard_hz,
        "expected_hz": expected,
        "expected_cents": None if expected is None else target.cents(expected),
        "torsional_hz": found.after.torsional_hz,
        "lateral_hz": found.after.lateral_hz,
        "nodes_mm": [points * 1e3 for points in found.after.nodes],
        "minimum_thickness_mm": found.least_thickness * 1e3,
        "thinnest_at_mm": found.thinnest_at * 1e3,
        "removed_g": found.mass_removed * 1e3,
        "model": found.after.model,
        "mesh": found.after.mesh,
        "warnings": found.after.warnings,
    }


def _show(document: BarDocument, found: Prediction, stands: Standing | None, today: Today) -> None:
    from barmodel.files import target_of

    target = target_of(document.target)
    cents = target.cents(found.after.bending_hz)
    rows: list[tuple[object, ...]] = []
    for index, (before, after) in enumerate(
        zip(found.before.bending_hz, found.after.bending_hz, strict=True)
    ):
        rows.append(
            (
                f"mode {index + 1}",
                hz_text(float(before)),
                hz_text(float(after)),
                cents_text(float(found.shift_cents[index])),
                cents_text(float(cents[index])) if index < len(cents) else None,
                ", ".join(f"{point * 1e3:.1f}" for point in found.after.nodes[index]),
            )
        )
    rows += _other_rows(found)
    columns = [
        "mode",
        "computed Hz",
        "then Hz",
        "shift cents",
        "then from target",
        "nodes then, mm",
    ]
    if stands is not None:  # told below, beside the ear's
        columns, rows = [*columns[:4], columns[5]], [(*row[:4], row[5]) for row in rows]
    print_table(columns, rows, title=f"{document.name}, target {document.target.note}")
    print(
        f"\nthinnest then: {found.least_thickness * 1e3:.2f} mm at "
        f"{found.thinnest_at * 1e3:.1f} mm; {found.mass_removed * 1e3:.2f} g come off"
    )
    if stands is not None:
        print_heard(stands, found.after.bending_hz, target, today, then=True)
    print(f"model: {found.after.model} ({found.after.mesh}); nothing recorded")


def _other_rows(found: Prediction) -> list[tuple[object, ...]]:
    from barmodel.pitch import cents

    rows: list[tuple[object, ...]] = []
    for kind in ("torsional", "lateral"):
        pairs = zip(
            getattr(found.before, f"{kind}_hz"), getattr(found.after, f"{kind}_hz"), strict=False
        )
        for number, (before, after) in enumerate(pairs, start=1):
            shift = cents_text(cents(float(after), float(before)))
            hz = hz_text(float(before)), hz_text(float(after))
            rows.append((f"{kind} {number}", *hz, shift, None, ""))
    return rows
