"""What `barmodel hear` prints of a reading, for people."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from barmodel_cli.bench.today import cents_from
from barmodel_cli.exits import tell
from barmodel_cli.shown.show import cents_text, hz_text, print_table

if TYPE_CHECKING:
    from pathlib import Path

    from barmodel.files import BarDocument
    from barmodel.pitch import Target
    from barmodel.strike import Hearing
    from barmodel_cli.bench.today import Today

TUNED = 3
"""Bending modes that are looked for when no bar says how many are tuned."""
FAINT_DB = -45.0
"""Fainter lines without a name are not told. [dB]"""


def show_heard(
    heard: Hearing | None,
    reading: Any,
    target: Target | None,
    today: Today,
    document: BarDocument | None,
    into: Path | None,
) -> None:
    """Print the modes of a reading, how sure they are, and what was heard besides."""
    rows: list[tuple[object, ...]] = []
    aims = [] if target is None else list(target.hz)
    shown = list(reading.hz)
    unsure = _unsure(heard, shown)
    for number, hz in unsure.items():
        shown += [None] * (number - len(shown))
        shown[number - 1] = hz
    cents = [] if target is None else cents_from(shown, target).tolist()
    away = [] if target is None else today.away(shown, target).tolist()
    for index, hz in enumerate(shown):
        named = heard.mode(index + 1) if heard is not None else None
        rows.append(
            (
                f"mode {index + 1}",
                hz_text(float("nan") if hz is None else hz),
                _plus_minus(named.uncertainty_cents) if named else None,
                f"{100 * named.confidence:.0f}" if named else None,
                f"{1000 * named.decay_s:.0f}" if named and named.decay_s else None,
                cents_text(cents[index]) if index < len(aims) else None,
                cents_text(away[index]) if index < len(aims) else None,
            )
        )
    for mode in heard.modes if heard is not None else ():
        if mode.kind != "bending":
            error, sure = _plus_minus(mode.uncertainty_cents), f"{100 * mode.confidence:.0f}"
            known = (f"{mode.kind} {mode.number}", hz_text(mode.hz), error, sure)
            rows.append((*known, None, None, None))
    title = "" if document is None else f"{document.name}, target {document.target.note}"
    columns: tuple[str, ...] = (
        "mode",
        "Hz",
        "± cents",
        "sure, %",
        "decay, ms",
        "cents from target",
        "from today's aim",
    )
    # a reading by hand knows no more than its pitches
    told = [0, 1, *(() if heard is None else (2, 3, 4)), 5, *((6,) if today else ())]
    print_table(
        tuple(columns[k] for k in told),
        [tuple(row[k] for k in told) for row in rows],
        title=title or None,
    )
    if heard is not None:
        names = "this bar's own prediction" if heard.pattern == "prediction" else heard.pattern
        count = len(heard.strikes)
        strikes = "1 strike" if count == 1 else f"{count} strikes"
        print(f"\n{strikes}, named by: {names}; ± is the 95 % interval")
        for text in _of_few(heard):
            tell(text)
        other = any(caution.code == "other bar" for caution in heard.warnings)
        for number, hz in unsure.items():
            print(f"mode {number} is not sure enough to be taken for a reading")
            if document is not None and number <= len(aims) and not other:
                given = ",".join(f"{hz:.2f}" if k == number else "-" for k in range(1, number + 1))
                warm = reading.temperature_c
                at = "" if warm is None else f" --temperature {warm:g}"
                bar = into or "BARFILE"
                print(
                    f"  if it is {hz:.1f} Hz all the same: "
                    f"barmodel hear --hz {given} --into {bar}{at}"
                )
        for text in _not_told(heard, len(aims) or TUNED):
            tell(text)


def _plus_minus(half_cents: float) -> str:
    """Half of an interval; nothing heard is sure to 0.0 cents."""
    return f"{half_cents:.1f}" if half_cents >= 0.05 else "<0.1"


def _of_few(heard: Hearing) -> list[str]:
    """Say where the spread between strikes comes from when it could not be heard."""
    count = len(heard.strikes)
    if count == 1:
        return [
            "one strike: its ± counts in how much strikes usually differ (common practice, no "
            "source); a few more say how much yours do"
        ]
    single = {p.hz for p in heard.partials if p.strikes == 1}
    once = [mode for mode in heard.modes if mode.hz in single]
    few = ", ".join(f"{'mode' if m.kind == 'bending' else m.kind} {m.number}" for m in once)
    return [f"in one strike only: {few}; ± by the spread of the other modes"] if few else []


def _unsure(heard: Hearing | None, taken: list[float | None]) -> dict[int, float]:
    """Bending modes that were named but not surely enough, with their frequencies."""
    sure = {k for k, hz in enumerate(taken, start=1) if hz is not None}
    modes = () if heard is None else heard.modes
    return {m.number: m.hz for m in modes if m.kind == "bending" and m.number not in sure}


def _not_told(heard: Hearing, tuned: int) -> list[str]:
    """Tuned modes for which no line was found, and strong lines without a name."""
    missing = [str(k) for k in range(1, tuned + 1) if heard.mode(k) is None]
    named = {mode.hz for mode in heard.modes}
    loud = [p for p in heard.partials if not p.steady and p.hz not in named]
    loud = sorted((p for p in loud if p.level_db > FAINT_DB), key=lambda p: -p.level_db)[:4]
    told = []
    if missing:
        which = f"mode {missing[0]}" if len(missing) == 1 else f"modes {', '.join(missing)}"
        told.append(f"no line was taken for {which}")
    if loud:
        lines = ", ".join(f"{p.hz:.1f} Hz ({p.level_db:.0f} dB)" for p in loud)
        told.append(f"without a name: {lines}; dB from the strongest line")
    return told
