"""`barmodel log`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from barmodel_cli.options import BarFile, Json
from barmodel_cli.show import cents_text, print_json, print_table

if TYPE_CHECKING:
    from barmodel.files import AnyEntry, BarDocument, CutMade, Reading
    from barmodel.pitch import Target


def run(
    bar_file: BarFile,
    cancel: Annotated[
        int | None,
        typer.Option(metavar="NUMBER", help="Record that this entry was a mistake."),
    ] = None,
    remark: Annotated[str | None, typer.Option(help="Why it was cancelled.")] = None,
    as_json: Json = False,
) -> None:
    """History of the bar: readings in cents from the target, cuts, what was cancelled.

    Nothing is ever removed: a mistake stays in the file and no longer counts.

    Example: barmodel log G3 --cancel 4 --remark "wrong bar"
    """
    from barmodel.files import Cancellation, append_entries, read_bar_file

    if cancel is None:
        document = read_bar_file(bar_file)
    else:
        entry = Cancellation.model_construct(entry=cancel, remark=remark)
        document = append_entries(bar_file, entry)
    if as_json:
        print_json("log", _content(document))
    else:
        _show(document)


def _content(document: BarDocument) -> dict[str, Any]:
    from barmodel.files import target_of

    target = target_of(document.target)
    counted = _counted(document)
    entries = []
    for entry in document.log:
        row = entry.model_dump(mode="json") | {"counts": entry.id in counted}
        if entry.kind == "reading":
            row["cents"] = _cents(entry, target)
        entries.append(row)
    return {"name": document.name, "target_hz": target.hz, "log": entries}


def _counted(document: BarDocument) -> set[int]:
    """Numbers of the entries that were not cancelled."""
    cancelled = {entry.entry for entry in document.log if entry.kind == "cancel"}
    return {entry.id for entry in document.log} - cancelled


def _show(document: BarDocument) -> None:
    from barmodel.files import target_of

    target = target_of(document.target)
    counted = _counted(document)
    wanted = ", ".join(f"{hz:.1f}" for hz in target.hz)
    print(f"{document.name}, target {document.target.note}: {wanted} Hz")
    if not document.log:
        print("nothing was measured or cut yet")
        return
    rows = [
        (entry.id, entry.date[:16].replace("T", " "), *_words(entry, target, entry.id in counted))
        for entry in document.log
    ]
    print_table(("no.", "date", "what", "cents from target", "detail"), rows)


def _words(entry: AnyEntry, target: Target, counts: bool) -> tuple[str, str, str]:
    what: str = entry.kind
    cents = ""
    if entry.kind == "reading":
        cents = "  ".join(
            cents_text(float("nan") if c is None else c) for c in _cents(entry, target)
        )
        detail = "  ".join("–" if hz is None else f"{hz:.1f}" for hz in entry.hz) + " Hz"
    elif entry.kind == "cut":
        detail = cut_in_words(entry)
    else:
        detail = f"entry {entry.entry}"
    if not counts:
        what += " (cancelled)"
    return what, cents, detail + (f"; {entry.remark}" if entry.remark else "")


def cut_in_words(cut: CutMade) -> str:
    """Say what a cut was, in one line."""
    parts = []
    for entry in cut.entries:
        fields = entry.model_dump(exclude={"shape", "x_mm", "axis_mm"})
        sizes = [f"{name.removesuffix('_mm')} {_short(value)}" for name, value in fields.items()]
        parts.append(f"{entry.shape}: {', '.join(sizes)}")
    text = "; ".join(parts)
    if cut.measured_depth_mm is not None:
        text += f"; measured depth {cut.measured_depth_mm:g}"
    return f"{text} mm" + (f" ({cut.tool})" if cut.tool else "")


def _short(value: object) -> str:
    if isinstance(value, list | tuple):
        return f"up to {max(value):g}"
    return f"{value:g}" if isinstance(value, float) else str(value).lower()


def _cents(reading: Reading, target: Target) -> list[float | None]:
    from barmodel.pitch import cents

    pairs = zip(reading.hz, target.hz, strict=False)
    return [None if hz is None else cents(hz, float(goal)) for hz, goal in pairs]
