"""From what was heard to the entry of the log, and to the answer for programs."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from barmodel_cli.asked.options import made

if TYPE_CHECKING:
    from barmodel.files import Reading
    from barmodel.pitch import Target
    from barmodel.strike import Hearing, Recording
    from barmodel_cli.bench.today import Today

LEAST_CONFIDENCE = 0.8
"""Names less sure than this are shown and not recorded."""


def reading_of(
    heard: Hearing | None,
    recordings: Sequence[Recording],
    *,
    by_hand: Sequence[float | None] | None,
    **circumstances: Any,
) -> Reading:
    """Make the log entry of what was heard; only names that are sure enough go into it."""
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
        lines = ", ".join(f"{p.hz:.1f}" for p in heard.partials[:8]) if heard else ""
        hint = f"; lines heard: {lines} Hz; give a reading by hand with --hz" if lines else ""
        doubts = [c.text for c in heard.warnings if c.code == "other bar"] if heard else []
        hint += "".join(f". {text[0].upper()}{text[1:]}" for text in doubts)
        if heard is not None and heard.pattern == "prediction":
            hint += _by_itself(recordings)
        raise RecordingError(f"{error}{hint}") from None


def _by_itself(recordings: Sequence[Recording]) -> str:
    """What the lines would be, were nothing known of the bar: it may be cut deeper than told."""
    from barmodel.strike import hear

    alone = hear(recordings)
    hz = _columns(alone)["hz"]
    if not any(hz):
        return ""
    given = ",".join("-" if value is None else f"{value:.2f}" for value in hz)
    return (
        f". By itself it sounds like a bar {alone.pattern}; if it is this one, cut deeper than "
        f"told: --hz {given}"
    )


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


def content(
    heard: Hearing | None,
    reading: Reading,
    target: Target | None,
    today: Today,
    entry: int | None,
) -> dict[str, Any]:
    """The answer for programs."""
    from barmodel.strike import as_json
    from barmodel_cli.bench.today import cents_from

    answer: dict[str, Any] = {"hz": reading.hz, "entry": entry}
    answer["cents"] = None if target is None else cents_from(reading.hz, target)
    answer["cents_today"] = None if target is None else today.away(reading.hz, target)
    answer |= today.content
    if heard is None:
        return answer | {"partials": [], "modes": [], "warnings": []}
    return answer | as_json(heard)
