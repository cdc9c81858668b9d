"""The way home of a bar, reading after reading: in cents, and as a picture."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading, TargetPart
    from barmodel_cli.bench.today import Today


def home_of(document: BarDocument, then: dict[int, Today]) -> str:
    """What cents of the readings count from."""
    changed = document.aims or any(then.values())
    return "what it was to be that day" if changed else "the target"


def cents_of(reading: Reading, part: TargetPart, then: Today | None = None) -> list[float | None]:
    """Cents of each tuned mode from a target, or from what it was to be that day."""
    from barmodel.files import target_of
    from barmodel_cli.bench.today import cents_from

    target = target_of(part)
    cents = cents_from(reading.hz, target) if then is None else then.away(reading.hz, target)
    return [None if math.isnan(c) else float(c) for c in cents]


def something_to_draw(document: BarDocument, *, without: int | None = None) -> None:
    """Refuse a picture of no reading, before anything is done."""
    from barmodel.errors import InputError

    if not [reading for reading in document.readings if reading.id != without]:
        raise InputError(
            f"{document.name}: there is no reading to draw{' then' if without else ' yet'}; strike "
            "the bar and record it with barmodel hear"
        )


def draw_log(document: BarDocument, then: dict[int, Today], path: Path) -> None:
    """Draw how far each mode was from home, which may have moved in between.

    Of a bar with a reading: see `something_to_draw`.
    """
    import numpy as np

    from barmodel.plots import save_figure
    from barmodel.plots.history import draw_history

    rows, labels = [], []
    for reading, target, label in _steps(document):
        rows.append(
            [math.nan if c is None else c for c in cents_of(reading, target, then[reading.id])]
        )
        labels.append(label)
    most = max(map(len, rows))
    cents = np.array([row + [math.nan] * (most - len(row)) for row in rows])
    history = draw_history(cents, labels, home=home_of(document, then), title=document.name)
    save_figure(history, path)


def _steps(document: BarDocument) -> list[tuple[Reading, TargetPart, str]]:
    """Readings with what the bar was to become then, and what stands under each.

    The last comes twice where the bar got another aim since: where it was, and where it is from
    there.
    """
    targets, steps, aim, cuts, day = document.targets, [], document.begun_for, 0, ""
    for entry in document.valid_log:
        if entry.kind == "cut":
            cuts += 1
            continue
        date = "" if entry.date[:10] == day else entry.date[:10]  # once for each day
        warmth = "" if entry.temperature_c is None else f"{entry.temperature_c:g} °C"
        after = {0: "", 1: "after a cut"}.get(cuts, f"after {cuts} cuts")
        target = targets[entry.id]
        changed = _changed(aim, target)
        words = (f"no. {entry.id}", date, changed or warmth, after)  # no room for more lines
        steps.append((entry, target, "\n".join(filter(None, words))))
        aim, cuts, day = target, 0, entry.date[:10]
    if aim != document.target:
        last = document.readings[-1]
        steps.append((last, document.target, f"no. {last.id}\n{_changed(aim, document.target)}"))
    return steps


def _changed(aim: TargetPart, target: TargetPart) -> str:
    """What of the aim is new, in a line as short as the others."""
    from barmodel.files import ratios_in_words, same_note

    new = [
        text
        for text, same in (
            (target.note, same_note(aim, target)),
            (f"A4 {target.a4_hz:g}", aim.a4_hz == target.a4_hz),
            (ratios_in_words(target), aim.ratios == target.ratios),
            (f"{target.offset_cents:+.3g} cents", aim.offset_cents == target.offset_cents),
        )
        if not same
    ]
    return f"now {', '.join(new)}" if new else ""
