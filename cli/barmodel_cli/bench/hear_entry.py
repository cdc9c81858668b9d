"""From what was heard to the entry of the log, and to the answer for programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from barmodel_cli.asked.options import made

if TYPE_CHECKING:
    from barmodel.files import Reading
    from barmodel.strike import Hearing, Recording
    from barmodel_cli.bench.struck import Struck

LEAST_CONFIDENCE = 0.8
"""Names less sure than this are shown and not recorded."""
SHARP_CENTS = 50.0
"""So far above what is foretold a bar that was cut deeper than told may still lie: what is foretold
is off by that much itself (own judgement). [cent]"""


def reading_of(
    heard: Hearing | None,
    recordings: Sequence[Recording],
    *,
    by_hand: Sequence[float | None] | None,
    lowest_told: float | None = None,
    **circumstances: Any,
) -> Reading:
    """Make the log entry of what was heard; only names that are sure enough go into it.

    `lowest_told` is mode 1 as foretold of a bar that was cut, and may have been cut deeper than
    told. [Hz]
    """
    from barmodel.errors import FileError, RecordingError
    from barmodel.files import Reading, SourceFile

    if heard is None:
        found: dict[str, Any] = {"hz": tuple(by_hand or ())}
    else:
        found = _columns(heard)
        found["sources"] = tuple(
            SourceFile(name=_in_letters(r.name), sha256=r.digest or None) for r in recordings
        )
    try:
        if not found["hz"]:
            raise FileError("no line can be taken for a bending mode")
        return made("this reading", Reading, **found, **circumstances)
    except FileError as error:
        hint = "" if heard is None else _hint(heard, recordings, lowest_told)
        raise RecordingError(f"{error}{hint}") from None


def _hint(heard: Hearing, recordings: Sequence[Recording], lowest_told: float | None) -> str:
    """What was heard instead, and the way on; pitches by hand only where it may be this bar."""
    lines = ", ".join(f"{p.hz:.1f}" for p in heard.partials[:8])
    doubts = [c.text for c in heard.warnings if c.code == "other bar"]
    alone = _by_itself(recordings, lowest_told) if heard.pattern == "prediction" else ""
    hint = f"; lines heard: {lines} Hz" if lines else ""
    if lines and not doubts and not alone:
        hint += "; give a reading by hand with --hz"
    return hint + "".join(f". {text[0].upper()}{text[1:]}" for text in doubts) + alone


def _by_itself(recordings: Sequence[Recording], lowest_told: float | None) -> str:
    """What the lines would be, were nothing known of the bar.

    A bar that was cut may be cut deeper than told, and is then lower than foretold; else it is
    another one.
    """
    from barmodel.strike import hear

    alone = hear(recordings)
    hz = _columns(alone)["hz"]
    if not any(hz):
        return ""
    told = f". By itself it sounds like a bar {alone.pattern}"
    numbers = ["-" if value is None else f"{value:.2f}" for value in hz]
    if lowest_told is None or (hz[0] or 0.0) > lowest_told * 2.0 ** (SHARP_CENTS / 1200.0):
        return f"{told}, modes 1, 2, … at {', '.join(numbers)} Hz, and not like this one"
    return f"{told}; if it is this one, cut deeper than told: --hz {','.join(numbers)}"


def _in_letters(name: str) -> str:
    """Name of a file with a question mark for what is no letter."""
    return "".join(letter if letter.isprintable() else "?" for letter in name)


def _columns(heard: Hearing) -> dict[str, Any]:
    sure = [m for m in heard.modes if m.confidence >= LEAST_CONFIDENCE]

    def column(kind: str, name: str) -> tuple[float | None, ...]:
        values = {m.number: getattr(m, name) for m in sure if m.kind == kind}
        return tuple(values.get(k) for k in range(1, max(values, default=0) + 1))

    return {
        "hz": column("bending", "hz"),
        "standard_error_cents": column("bending", "standard_error_cents"),
        "decay_s": column("bending", "decay_s"),
        "torsional_hz": column("torsional", "hz"),
        "lateral_hz": column("lateral", "hz"),
    }


def content(struck: Struck, entry: int | None) -> dict[str, Any]:
    """The answer for programs; `entry` is its number in the log."""
    from barmodel.strike import as_json
    from barmodel_cli.bench.today import cents_from

    hz, target, today = struck.reading.hz, struck.target, struck.today
    answer: dict[str, Any] = {"hz": hz, "entry": entry}
    answer["cents"] = None if target is None else cents_from(hz, target)
    answer["cents_today"] = None if target is None else today.away(hz, target)
    answer |= today.content
    if struck.heard is None:
        return answer | {"partials": [], "modes": [], "warnings": []}
    return answer | as_json(struck.heard)
