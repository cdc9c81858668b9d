"""What `barmodel hear` does between its options and its output."""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from barmodel_cli.asked.options import made
from barmodel_cli.bench.foretold import Foretold, foretell
from barmodel_cli.exits import say
from barmodel_cli.shown.show import print_json, print_table

if TYPE_CHECKING:
    from barmodel.files import BarDocument, Reading
    from barmodel.modes import ModeSet
    from barmodel.pitch import Target
    from barmodel.strike import Expected, Hearing, Mode, ModeShape, Recording

UNREAD_CENTS, CUT_CENTS, READ_CENTS = 150.0, 80.0, 40.0
"""Error that all predictions share: stiffness from a table; a bar that was read and cut (0.3 mm too
deep in the middle are some 80 cents of mode 1); one that was read only."""
ERRORS_CENTS = {"bending": 25.0, "torsional": 60.0, "lateral": 120.0}
"""Error of one prediction apart from that, per mode number for bending (own judgement)."""
ASSUMED_TORSION_CENTS = 300.0
"""The same for torsion when the long–width shear modulus is a guess (own judgement)."""
SAME_CENTS = 12.0
"""A line of one strike so near to a mode is that mode."""
LEAST_CONFIDENCE = 0.8
"""Names less sure than this are shown and not recorded."""


def document_of(path: Path | None) -> BarDocument | None:
    """The bar file, if one was named."""
    from barmodel.files import read_bar_file

    return None if path is None else read_bar_file(path)


def target_of(document: BarDocument | None) -> Target | None:
    """What the bar is tuned to, if there is a bar."""
    from barmodel.files import target_of as target_of_part

    return None if document is None else target_of_part(document.target)


def listen(
    recordings: Sequence[Recording],
    document: BarDocument | None,
    foretold: Foretold | None,
    strike_at_mm: float | None,
    held_at_mm: Sequence[float],
) -> Hearing:
    """Hear the recordings, naming lines by what is foretold of the bar."""
    from barmodel.strike import hear

    if document is None or foretold is None:
        return hear(recordings)
    guessed = "g_long_width" in document.wood.assumed
    expected = expected_of(foretold, strike_at_mm, held_at_mm, torsion_guessed=guessed)
    return hear(recordings, expected, shared_error_cents=_shared_cents(document))


def _shared_cents(document: BarDocument) -> float:
    if not document.readings:
        sure = document.wood.spread_percent.get("e_long")
        return UNREAD_CENTS if sure is None else max(READ_CENTS, 600.0 * math.log2(1 + sure / 100))
    return CUT_CENTS if document.cuts else READ_CENTS


def shapes_of(modes: ModeSet) -> list[ModeShape]:
    """Shapes of the bending and torsional modes, as the room `strike` takes them."""
    from barmodel.strike import ModeShape

    bending = [ModeShape("bending", k + 1, shape) for k, shape in enumerate(modes.deflection)]
    return bending + [ModeShape("torsional", k + 1, w) for k, w in enumerate(modes.twisting)]


def expected_of(
    foretold: Foretold,
    strike_at_mm: float | None,
    held_at_mm: Sequence[float],
    *,
    torsion_guessed: bool,
) -> list[Expected]:
    """Lines to look for, with how far each may be off and how strong it should be."""
    from barmodel.strike import Expected, expected_amplitudes
    from barmodel.units import MM

    modes = foretold.modes
    shapes = shapes_of(modes)
    known = {"bending": foretold.likely_hz, "torsional": modes.torsional_hz}
    strengths = expected_amplitudes(
        modes.x,
        shapes,
        strike_at=None if strike_at_mm is None else strike_at_mm * MM,
        held_at=[place * MM for place in held_at_mm],
    )
    expected = []
    for shape, strength in zip(shapes, strengths, strict=True):
        error = ERRORS_CENTS[shape.kind]
        if shape.kind == "bending":
            error *= shape.number
        elif torsion_guessed:
            error = ASSUMED_TORSION_CENTS
        hz = float(known[shape.kind][shape.number - 1])
        expected.append(Expected(shape.kind, shape.number, hz, error, float(strength)))
    for index, hz in enumerate(modes.lateral_hz):
        expected.append(Expected("lateral", index + 1, float(hz), ERRORS_CENTS["lateral"], 0.1))
    return expected


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


def record(path: Path, reading: Reading) -> int:
    """Append the reading to the bar file; return its number."""
    from barmodel.files import append_entries

    return append_entries(path, reading).log[-1].id


def cents_from(hz: Sequence[float | None], target: Target) -> Any:
    """Cents of each tuned mode from its target, NaN for one not heard."""
    values = [math.nan if value is None else value for value in hz]
    values += [math.nan] * max(0, len(target.ratios) - len(values))
    return target.cents(values)


def content(
    heard: Hearing | None, reading: Reading, target: Target | None, entry: int | None
) -> dict[str, Any]:
    """The answer for programs."""
    from barmodel.strike import as_json

    answer: dict[str, Any] = {"hz": reading.hz, "entry": entry}
    answer["cents"] = None if target is None else cents_from(reading.hz, target)
    if heard is None:
        return answer | {"partials": [], "modes": [], "warnings": []}
    return answer | as_json(heard)


def draw(
    heard: Hearing,
    recordings: Sequence[Recording],
    document: BarDocument | None,
    target: Target | None,
    path: Path,
) -> None:
    """Draw the loudest strike with the lines found, the targets and the decays."""
    from barmodel.pitch import cents
    from barmodel.plots import save_figure
    from barmodel.plots.spectrum import Line, draw_spectrum
    from barmodel.strike.view import spectrum

    strike = max(heard.strikes, key=lambda s: s.peak)
    recording = next(r for r in recordings if r.name == strike.file)
    aims = () if target is None else tuple(float(hz) for hz in target.hz)
    lines = []
    for partial in strike.partials:
        mode = _mode_at(heard, partial.hz)
        number = mode.number if mode is not None and mode.kind == "bending" else 0
        tuned = 0 < number <= len(aims)
        lines.append(
            Line(
                hz=partial.hz if mode is None else mode.hz,
                level_db=partial.level_db,
                name=_in_picture(mode),
                number=number,
                cents=float(cents(mode.hz, aims[number - 1])) if mode and tuned else None,
                decay_s=partial.decay_s if mode is None else mode.decay_s,
            )
        )
    hz, level_db = spectrum(recording, strike)
    title = recording.name if document is None else document.name
    subtitle = "" if document is None else strike.file
    if (count := len(heard.strikes)) > 1:
        subtitle = f"the loudest strike, of {strike.file}; pitches are means of {count}"
    figure = draw_spectrum(hz, level_db, lines, target_hz=aims, title=title, subtitle=subtitle)
    save_figure(figure, path)


def _in_picture(mode: Mode | None) -> str:
    """Name of a line as the tables have it, with a question mark where it is not sure."""
    if mode is None:
        return ""
    kind = "mode" if mode.kind == "bending" else mode.kind
    doubt = " ?" if mode.kind == "bending" and mode.confidence < LEAST_CONFIDENCE else ""
    return f"{kind} {mode.number}{doubt}"


def _mode_at(heard: Hearing, hz: float) -> Mode | None:
    """The named mode that a line of one strike is part of."""
    near = [m for m in heard.modes if abs(1200.0 * math.log2(hz / m.hz)) < SAME_CENTS]
    return min(near, key=lambda m: abs(m.hz - hz), default=None)


def advise(path: Path, *, as_json: bool) -> None:
    """Say where to hold and strike the bar to bring out each mode."""
    from barmodel.files import read_bar_file
    from barmodel.strike import bring_out, torsion_test

    document = read_bar_file(path)
    modes = foretell(document).modes
    shapes = shapes_of(modes)
    wanted = [("bending", k) for k in (1, 2, 3)] + [("torsional", 1)]
    advice = [bring_out(modes.x, shapes, kind=kind, number=number) for kind, number in wanted]
    rows: list[dict[str, Any]] = [
        {
            "mode": f"{a.kind} {a.number}",
            "hold_mm": [1e3 * place for place in a.hold],
            "strike_mm": 1e3 * a.strike,
            "across": a.across,
            "amplitude": a.amplitude,
        }
        for a in advice
    ]
    taps = torsion_test(modes.x, shapes, strike_at=advice[-1].strike)
    if as_json:
        told = [
            {"mode": f"{kind} {number}", "edge_minus_middle_db": db} for kind, number, db in taps
        ]
        print_json("hear", {"advice": rows, "two_taps": told})
        return
    print_table(
        ("to hear", "hold at, mm", "strike at, mm", "where across", "strength"),
        [
            (
                row["mode"],
                ", ".join(f"{place:.0f}" for place in row["hold_mm"]) or "loosely",
                f"{row['strike_mm']:.0f}",
                row["across"],
                f"{row['amplitude']:.2f}",
            )
            for row in rows
        ],
        title=f"{document.name}: places from the left end",
    )
    place = 1e3 * advice[-1].strike
    print(
        f"\nTwo taps at {place:.0f} mm, on the middle line and at the edge: "
        "what grows much louder at the edge is torsion."
    )
    say(f"next: barmodel hear STRIKE.wav --into {path}")
