"""What `barmodel hear` prints of a reading, for people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barmodel_cli.bench.hear_entry import LEAST_CONFIDENCE
from barmodel_cli.bench.today import cents_from
from barmodel_cli.exits import tell
from barmodel_cli.shown.show import cents_text, hz_text, print_table

if TYPE_CHECKING:
    from barmodel.strike import Hearing
    from barmodel_cli.bench.struck import Struck

COLUMNS = (
    "mode",
    "Hz",
    "± cents",
    "sure, %",
    "decay, ms",
    "cents from target",
    "from today's aim",
)
TUNED = 3
"""Bending modes that are looked for when no bar says how many are tuned."""
FAINT_DB = -45.0
"""Fainter lines without a name are not told. [dB]"""


def show_heard(struck: Struck, *, recorded: bool) -> None:
    """Print the modes of a reading, how sure they are, and what was heard besides."""
    heard, document = struck.heard, struck.document
    unsure = _unsure(heard, list(struck.reading.hz))
    rows = [*_bending_rows(struck, unsure), *_other_rows(heard)]
    # a reading by hand knows no more than its pitches
    shown = [0, 1, *(() if heard is None else (2, 3, 4)), 5, *((6,) if struck.today else ())]
    title = None if document is None else f"{document.name}, target {document.target.note}"
    columns = tuple(COLUMNS[k] for k in shown)
    print_table(columns, [tuple(row[k] for k in shown) for row in rows], title=title)
    if heard is None:
        return
    names = "this bar's own prediction" if heard.pattern == "prediction" else heard.pattern
    count = len(heard.strikes)
    strikes = "1 strike" if count == 1 else f"{count} strikes"
    print(f"\n{strikes}, named by: {names}; ± is the 95 % interval")
    for text in _of_few(heard):
        tell(text)
    for number, hz in unsure.items():
        print(f"mode {number} is not sure enough to be taken for a reading{_rival(heard, number)}")
        if where := _bring_out(struck, number):
            print(f"  to hear it well: {where}")
        if command := _all_the_same(struck, number, hz, recorded=recorded):
            print(f"  if it is {hz:.1f} Hz all the same: {command}")
    if faint := _other_unsure(heard):
        print(faint)
    for text in _not_told(heard, TUNED if struck.target is None else struck.target.hz.size):
        tell(text)


def _bending_rows(struck: Struck, unsure: dict[int, float]) -> list[tuple[object, ...]]:
    """A row of all columns for each bending mode, unsure ones as well."""
    shown = list(struck.reading.hz)
    for number, doubtful in unsure.items():
        shown += [None] * (number - len(shown))
        shown[number - 1] = doubtful
    cents: list[float] = []
    away: list[float] = []
    if struck.target is not None:
        cents = cents_from(shown, struck.target).tolist()
        away = struck.today.away(shown, struck.target).tolist()
    rows: list[tuple[object, ...]] = []
    for index, hz in enumerate(shown):
        named = None if struck.heard is None else struck.heard.mode(index + 1)
        rows.append(
            (
                f"mode {index + 1}",
                hz_text(float("nan") if hz is None else hz),
                _plus_minus(named.uncertainty_cents) if named else None,
                f"{100 * named.confidence:.0f}" if named else None,
                f"{1000 * named.decay_s:.0f}" if named and named.decay_s else None,
                cents_text(cents[index]) if index < len(cents) else None,
                cents_text(away[index]) if index < len(away) else None,
            )
        )
    return rows


def _other_rows(heard: Hearing | None) -> list[tuple[object, ...]]:
    """The same for torsional and lateral modes."""
    modes = () if heard is None else heard.modes
    return [
        (
            f"{mode.kind} {mode.number}",
            hz_text(mode.hz),
            _plus_minus(mode.uncertainty_cents),
            f"{100 * mode.confidence:.0f}",
            *(None, None, None),
        )
        for mode in modes
        if mode.kind != "bending"
    ]


def _rival(heard: Hearing, number: int) -> str:
    """What else the line of a mode could be, and how far off that was foretold."""
    named = heard.mode(number)
    rivals = () if named is None else named.alternatives
    told: list[str] = []
    for rival in rivals:
        text = rival.text.replace("the line is", "its line could be")
        if rival.predicted_hz is not None:
            text += f", foretold {abs(rival.predicted_hz - rival.hz):.0f} Hz away"
            told.insert(0, text)  # a mode in its place says more than that it was not heard
        else:
            told.append(text.replace("this mode was not heard", "it may not have been heard"))
    return f": {told[0]}" if told else ""


def _bring_out(struck: Struck, number: int) -> str:
    """Where to hold and strike the bar for a bending mode; empty where no bar is known."""
    from barmodel_cli.bench.hear_how import bring_out_in_words

    if struck.subject is None or struck.of_another:
        return ""
    return bring_out_in_words(struck.subject.foretold.modes, "bending", number)


def _other_unsure(heard: Hearing) -> str:
    """Torsional and lateral modes that are shown and do not go into the log."""
    unsure = [m for m in heard.modes if m.kind != "bending" and m.confidence < LEAST_CONFIDENCE]
    if not unsure:
        return ""
    which = ", ".join(f"{mode.kind} {mode.number}" for mode in unsure)
    verb = "is" if len(unsure) == 1 else "are"
    return (
        f"{which} {verb} shown and not taken for the reading: less than "
        f"{100 * LEAST_CONFIDENCE:.0f} % sure"
    )


def _all_the_same(struck: Struck, number: int, hz: float, *, recorded: bool) -> str:
    """The command that records a mode not sure enough by hand; empty where it may be another's."""
    if struck.target is None or number > struck.target.hz.size or struck.of_another:
        return ""
    given = ",".join(f"{hz:.2f}" if k == number else "-" for k in range(1, number + 1))
    warm = struck.reading.temperature_c
    at = "" if warm is None else f" --temperature {warm:g}"
    bar = struck.subject.path if struck.subject is not None and recorded else "BARFILE"
    return f"barmodel hear --hz {given} --into {bar}{at}"


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
